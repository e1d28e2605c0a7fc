"""What is looked at is what is published: every frame of a busy cut against the movie's."""

from __future__ import annotations

import random
import shutil
from fractions import Fraction
from pathlib import Path

import av
import msgspec
import numpy as np
import pytest
from clips import read_number
from small_fight import small_fight

from previs.cut.edits import insert
from previs.cut.retimes import retime_to_speed
from previs.cut.transitions import add_transition
from previs.document.model import Black, Card, Sequence, Tape, Transition, TransitionKind
from previs.document.paths import cache_folder, locate
from previs.document.store import open_document
from previs.media import FrameReader, frame_index, publish
from previs.media.from_cut import events_of, raster_of, tapes_to_copy
from previs.media.opening import MediaFault
from previs.media.publish import Quality
from previs.media.viewing import Viewing
from previs.media.workcopy import make_work_copies
from previs.progress import silent


@pytest.fixture(scope="module")
def document(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_fight(tmp_path_factory.mktemp("viewing"))


def busy(sequence: Sequence) -> Sequence:
    sequence = retime_to_speed(sequence, "v1", 1, Fraction(7, 8))
    sequence = insert(sequence, "v1", 2, Card("The leap", 5, 5), 12)
    sequence = insert(sequence, "v1", 3, Black(), 6)
    last = len(sequence.cut("v1").shots)
    sequence = add_transition(sequence, "v1", last, Transition(TransitionKind.DISSOLVE, 8))
    return add_transition(sequence, "v1", 2, Transition(TransitionKind.WIPE, 6, 1))


@pytest.mark.parametrize("quality", ["draft", "final"])
def test_every_frame_looked_at_is_the_frame_published(document: Path, tmp_path: Path, quality: Quality) -> None:
    sequence = busy(open_document(document).sequence)
    cut, cache, out = sequence.cut("v1"), cache_folder(document), tmp_path / "cut.mp4"
    publish(
        events_of(sequence, cut, document),
        sequence.timebase,
        sequence.start_frame,
        out,
        cache_dir=cache,
        quality=quality,
        raster=raster_of(sequence),
    )
    told = 0
    index = frame_index(out)
    assert index.frames == cut.frames
    with Viewing(document, cache, (960, 540)) as viewing, FrameReader(out, index) as reader:
        for frame in range(cut.frames):
            looked_at, published = viewing.cut_picture(sequence, cut, frame), reader.picture(frame)
            assert np.abs(looked_at.astype(int) - published.astype(int)).mean() < 3, frame
            if (number := number_told(looked_at)) is not None:
                told += 1
                assert number == number_told(published), frame
    changing = sum(one.transition.frames for one in cut.shots if one.transition)
    assert told >= cut.frames - changing - 12 - 6


def number_told(picture: np.ndarray) -> int | None:
    """The number in the picture without its bars; None for a card, black, and what is on the way from one to another."""
    lit = np.flatnonzero(picture.max(axis=2).max(axis=0) > 40)
    if not len(lit):
        return None
    try:
        return read_number(np.ascontiguousarray(picture[:, lit[0] : lit[-1] + 1]))
    except ValueError:
        return None


@pytest.mark.parametrize("from_copy", [True, False])
@pytest.mark.parametrize("reel", ["FILM", "PAL", "PHONE"])
def test_every_frame_of_a_tape_is_the_one_on_at_its_moment(document: Path, tmp_path: Path, reel: str, from_copy: bool) -> None:
    sequence = open_document(document).sequence
    tape, rate = sequence.tape(reel), sequence.timebase.rate.fps
    index = frame_index(locate(document, tape))
    kept = [n for n in range(210) if n % 9 not in (4, 7)] if reel == "PHONE" else range(index.frames)
    frames = list(range(index.grid_frames(rate)))
    random.Random(3).shuffle(frames)
    with Viewing(document, cache_folder(document) if from_copy else tmp_path, (480, 270)) as viewing:
        for frame in frames if from_copy else frames[:60]:
            assert number_told(viewing.tape_picture(sequence, reel, frame)) == kept[index.frame_shown(frame, rate)]


def test_a_work_copy_made_meanwhile_is_looked_at_from_then_on(document: Path, tmp_path: Path) -> None:
    sequence = open_document(document).sequence
    tape = sequence.tape("PAL")
    with Viewing(document, tmp_path, (480, 270)) as viewing:
        before = viewing.tape_picture(sequence, "PAL", 40)
        make_work_copies(tapes_to_copy(sequence, [tape], document), sequence.timebase, raster_of(sequence), tmp_path, silent)
        after = viewing.tape_picture(sequence, "PAL", 40)
        assert number_told(before) == number_told(after) is not None
        assert [one.is_copy for one in viewing._open.values()] == [True]


def test_another_size_opens_no_tape_again(document: Path) -> None:
    sequence = open_document(document).sequence
    with Viewing(document, cache_folder(document), (320, 180)) as viewing:
        for size in ((320, 180), (480, 270), (700, 200)):
            viewing.resize(size)
            assert viewing.tape_picture(sequence, "FILM", 50).shape[0] <= size[1]
        assert len(viewing._open) == 1


def test_a_tape_that_fails_while_it_is_open_is_named(document: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sequence = open_document(document).sequence
    with Viewing(document, tmp_path, (320, 180)) as viewing:
        viewing.tape_picture(sequence, "FILM", 10)
        with monkeypatch.context() as gone:
            gone.setattr(FrameReader, "_found", lambda *_: (_ for _ in ()).throw(av.error.OSError(5, "Input/output error")))
            with pytest.raises(MediaFault, match=r"FILM.*cannot be read any more.*Input/output error"):
                viewing.tape_picture(sequence, "FILM", 11)
        assert number_told(viewing.tape_picture(sequence, "FILM", 11)) == 11


def test_beyond_the_tape_stands_its_last_picture_and_beyond_the_cut_nothing(document: Path) -> None:
    sequence = open_document(document).sequence
    with Viewing(document, cache_folder(document), (320, 180)) as viewing:
        last = viewing.tape_picture(sequence, "FILM", 199)
        assert np.array_equal(viewing.tape_picture(sequence, "FILM", 5000), last)
        assert last.shape == (180, 320, 3)
        with pytest.raises(IndexError):
            viewing.cut_picture(sequence, sequence.cut("v1"), sequence.cut("v1").frames)


def test_more_tapes_than_are_held_open_are_opened_in_turn(document: Path, tmp_path: Path) -> None:
    sequence = open_document(document).sequence
    film = sequence.tape("FILM")
    tapes: list[Tape] = []
    for number in range(9):
        copied = tmp_path / f"{number}.mp4"
        shutil.copy(document.parent / film.path, copied)
        tapes.append(msgspec.structs.replace(film, reel=f"R{number}", path=str(copied), fingerprint=f"{number}" * 32))
    many = msgspec.structs.replace(sequence, tapes=tuple(tapes), takes=(), treatments=(), cuts=())
    with Viewing(document, tmp_path / "cache", (320, 180)) as viewing:
        pictures = [viewing.tape_picture(many, f"R{number % 9}", 20) for number in range(18)]
        assert len(viewing._open) == 6
    assert all(np.array_equal(picture, pictures[0]) for picture in pictures)
