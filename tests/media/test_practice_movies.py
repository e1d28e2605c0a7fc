"""The practice reel: the right frame under the right words at every speed, mirrored on request, a beep on each hit."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from clips import make_clip, read_number

from previs.clock import Rate, Timebase, frame_played
from previs.media.burnt_in import burnt_in
from previs.media.practice_movies import Called, ReelPart, title_frames, words_at, write_reel
from previs.media.raster import Raster
from previs.media.workcopy import TapeToCopy, make_work_copies
from previs.progress import Step, Stopped, silent

TIMEBASE = Timebase(Rate.parse("24"), False)
RASTER = Raster(320, 180)


@pytest.fixture
def reel(tmp_path: Path) -> tuple[Path, list[ReelPart]]:
    clip = make_clip(tmp_path / "A1.mp4", frames=96, rate=Fraction(24), size=(320, 180))
    (copy,) = make_work_copies([TapeToCopy(clip.path, "A1")], TIMEBASE, RASTER, tmp_path / "cache", silent)
    counts = (Called(10, "1. high cut", True), Called(30, "2. low sweep", False))
    parts = [
        ReelPart(("half", "Juno Vale"), copy, 20, Fraction(1, 2), 60, counts),
        ReelPart(("full", "Juno Vale"), copy, 20, Fraction(1), 40, (Called(12, "1. high cut", True),)),
    ]
    return tmp_path / "reel.mp4", parts


def pictures(path: Path) -> list[np.ndarray]:
    with av.open(str(path)) as movie:
        return [frame.to_ndarray(format="rgb24") for frame in movie.decode(video=0)]


def sound(path: Path) -> np.ndarray:
    with av.open(str(path)) as movie:
        return np.concatenate([frame.to_ndarray()[0] for frame in movie.decode(audio=0)])


def test_every_frame_is_the_tapes_own_and_beeps_lie_on_the_hits(reel: tuple[Path, list[ReelPart]]) -> None:
    path, parts = reel
    total = write_reel(parts, TIMEBASE, RASTER, path, silent)
    cards = title_frames(TIMEBASE)
    assert total == 2 * cards + 60 + 40
    shown = pictures(path)
    assert len(shown) == total
    begin = 0
    for part in parts:
        begin += cards
        for k in range(part.frames):
            assert read_number(shown[begin + k]) == frame_played(part.first_frame, part.speed, k)
        begin += part.frames
    heard = np.abs(sound(path))
    # A window of ten milliseconds: loud from the hit's frame on, and silent just before.
    for at in (cards + 10, cards + 30, 2 * cards + 60 + 12):
        first = at * 2000
        assert heard[first + 480 : first + 1920].max() > 0.2
        assert heard[first - 4800 : first - 1200].max() < 0.02


def test_mirrored_pictures_are_mirrored_and_words_are_not(reel: tuple[Path, list[ReelPart]]) -> None:
    path, parts = reel
    write_reel(parts[1:], TIMEBASE, RASTER, path, silent, mirrored=True)
    mirrored = pictures(path)[title_frames(TIMEBASE) + 3]
    assert read_number(np.ascontiguousarray(mirrored[:, ::-1])) == 23
    words = burnt_in(np.zeros((180, 320, 3), np.uint8), ("full",))
    bright = words[:30, : 320 // 2].max(axis=2) > 128
    assert bright.any()
    assert (mirrored[:30, : 320 // 2].max(axis=2)[bright] > 100).mean() > 0.8


def test_words_change_after_the_hit() -> None:
    counts = (Called(10, "1", True), Called(30, "2", False))
    assert [words_at(counts, frame) for frame in (0, 10, 11, 30, 31, 99)] == ["1", "1", "2", "2", "2", "2"]
    assert words_at((), 5) == ""


def test_stopping_leaves_no_movie(reel: tuple[Path, list[ReelPart]]) -> None:
    path, parts = reel

    def stop(step: Step) -> None:
        if step.done > 20:
            raise Stopped

    with pytest.raises(Stopped):
        write_reel(parts, TIMEBASE, RASTER, path, stop)
    assert list(path.parent.glob("*reel*")) == []


def test_words_stay_within_the_margins_and_long_ones_are_cut() -> None:
    black = np.zeros((360, 640, 3), np.uint8)
    made = burnt_in(black, ("x" * 400, "second"), ("bottom",))
    bright = made.max(axis=2) > 100
    assert bright.any()
    assert not bright[:18].any()
    assert not bright[-18:].any()
    assert not bright[:, :32].any()
    assert not bright[:, -32:].any()
    assert not black.any()
