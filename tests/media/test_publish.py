"""Published movies, decoded again and looked at frame by frame and click by click."""

from __future__ import annotations

import shutil
import sys
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import get_args

import numpy as np
import pytest
from clips import Clip, Rgb, click_places, levels, make_clip, read_number, run_ffmpeg

from previs.clock import Rate, Timebase
from previs.document.wipes import DRAWN
from previs.faults import Fault, UseFault
from previs.media import (
    Black,
    CardPicture,
    Event,
    FrameReader,
    MediaFault,
    Published,
    Quality,
    Raster,
    TapePicture,
    Transition,
    fingerprint,
    frame_index,
    probe,
    publish,
    tape_sound,
)
from previs.media.wipes import wipe_order
from previs.progress import Step, Stopped

FILM = Timebase(Rate.parse("24"))
RATE = Fraction(24)
RASTER = Raster(320, 180)
START = 86400
QUALITIES = get_args(Quality)


@dataclass(frozen=True)
class Tapes:
    folder: Path
    film: Clip
    phone: Clip
    cache: Path


@pytest.fixture(scope="session")
def tapes(tmp_path_factory: pytest.TempPathFactory) -> Tapes:
    folder = tmp_path_factory.mktemp("tapes")
    film = make_clip(folder / "film.mp4", frames=120, rate=RATE, options={"g": "24", "bf": "2"}, click_frames=range(10, 120, 10))
    kept = [n for n in range(150) if n % 7 != 3]
    phone = make_clip(
        folder / "phone.mp4",
        frames=150,
        rate=Fraction(30),
        kept=kept,
        first_number=1000,
        options={"g": "30"},
        click_frames=range(15, 150, 15),
    )
    return Tapes(folder, film, phone, folder / "cache")


def _on(clip: Clip, first: int, speed: str = "1") -> TapePicture:
    return TapePicture(clip.path, "", clip.path.stem[:8], first, Fraction(speed))


def _cut(tapes: Tapes) -> list[Event]:
    """Every kind of event; each forward shot begins on a click."""
    return [
        Event(24, _on(tapes.film, 10)),
        Event(13, _on(tapes.phone, 12)),
        Event(1, _on(tapes.film, 50)),
        Event(20, _on(tapes.film, 20, "1.43")),
        Event(10, CardPicture("12-14", "Odile vaults the salt cart")),
        Event(12, _on(tapes.phone, 60, "-1")),
        Event(8, _on(tapes.film, 77, "0")),
        Event(15, _on(tapes.film, 40), Transition("dissolve", 7)),
        Event(16, _on(tapes.phone, 24), Transition("wipe", 8, 1)),
        Event(9, _on(tapes.film, 60, "1/2")),
        Event(6, Black(), Transition("dissolve", 6)),
        Event(12, _on(tapes.film, 90), Transition("dissolve", 4)),
    ]


def _number(clip: Clip, picture: TapePicture, k: int) -> int:
    """What frame k of a shot must show, worked out from how the clip was made."""
    travelled = int(abs(picture.speed) * k // 1)
    grid_frame = picture.first_frame + (travelled if picture.speed >= 0 else -travelled)
    begun = [time for time in clip.times if time <= Fraction(grid_frame) / RATE] or [clip.times[0]]
    return round(begun[-1] * clip.rate) + clip.first_number


def _pictures(path: Path) -> list[Rgb]:
    index = frame_index(path)
    with FrameReader(path, index) as reader:
        return list(reader.pictures(range(index.frames)))


@pytest.fixture(scope="session", params=QUALITIES)
def published(request: pytest.FixtureRequest, tapes: Tapes) -> tuple[Published, list[Rgb]]:
    out = tapes.folder / f"{request.param}.mp4"
    made = publish(_cut(tapes), FILM, START, out, cache_dir=tapes.cache, quality=request.param, raster=RASTER)
    return made, _pictures(out)


def test_every_record_frame_shows_its_source_frame(published: tuple[Published, list[Rgb]], tapes: Tapes) -> None:
    _, pictures = published
    at = 0
    looked_at = 0
    for event in _cut(tapes):
        picture = event.picture
        if isinstance(picture, TapePicture):
            clip = tapes.film if picture.path == tapes.film.path else tapes.phone
            for k in range(event.transition.frames if event.transition else 0, event.frames):
                assert read_number(pictures[at + k]) == _number(clip, picture, k), (at, k, picture)
                looked_at += 1
        at += event.frames
    assert at == len(pictures) == 146
    assert looked_at == 111


def test_counts_times_and_label(published: tuple[Published, list[Rgb]]) -> None:
    made, pictures = published
    assert (made.frames, made.samples, made.start_label) == (146, 146 * 2000, "01:00:00:00")
    index = frame_index(made.path)
    assert [index.time_of(k) for k in range(len(pictures))] == [Fraction(k, 24) for k in range(146)]
    facts = probe(made.path)
    assert (facts.codec, facts.start_label, facts.duration) == ("h264", "01:00:00:00", Fraction(146, 24))
    assert facts.sound is not None and facts.sound.codec == "aac"
    assert facts.sound_offset == 0


def test_it_plays_elsewhere_without_complaint(published: tuple[Published, list[Rgb]], tmp_path: Path) -> None:
    made, pictures = published
    complaints = run_ffmpeg(
        "-xerror", "-i", str(made.path), "-fps_mode", "passthrough", "-f", "rawvideo", "-pix_fmt", "gray", f"{tmp_path}/raw"
    )
    assert not complaints
    assert (tmp_path / "raw").stat().st_size == len(pictures) * 320 * 180


def test_the_table_stands_at_the_head_of_the_file(published: tuple[Published, list[Rgb]]) -> None:
    head = published[0].path.read_bytes()
    assert 0 < head.find(b"moov") < head.find(b"mdat")


def _start_of(tapes: Tapes, number: int) -> int:
    return sum(event.frames for event in _cut(tapes)[:number])


def test_the_middle_of_a_dissolve_is_half_of_each(published: tuple[Published, list[Rgb]], tapes: Tapes) -> None:
    _, pictures = published
    middle = _start_of(tapes, 7) + 3
    going, coming = 77, 43
    seen = levels(pictures[middle])
    for bit, level in enumerate(seen):
        share = (going >> bit & 1) + (coming >> bit & 1)
        assert abs(level - (0, 125, 255)[share]) < 22, (bit, seen)


def test_the_outgoing_shot_plays_on_through_a_dissolve(published: tuple[Published, list[Rgb]], tapes: Tapes) -> None:
    """On the first frame of the fade to black, the shot before is 11/12 there, one frame past its out point."""
    _, pictures = published
    first = _start_of(tapes, 10)
    going = _number(tapes.film, _on(tapes.film, 60, "1/2"), 9)
    assert read_number(pictures[first]) == going
    assert levels(pictures[first + 5]).max() < 60


def test_a_wipe_shows_the_incoming_on_the_left_and_the_outgoing_on_the_right(published: tuple[Published, list[Rgb]], tapes: Tapes) -> None:
    _, pictures = published
    begin = _start_of(tapes, 8)
    outgoing, incoming = _on(tapes.film, 40), _on(tapes.phone, 24)
    for j in (3, 4):
        seen = levels(pictures[begin + j]) > 125
        new = _number(tapes.phone, incoming, j)
        old = _number(tapes.film, outgoing, 15 + j)
        assert [bool(seen[bit]) for bit in (0, 4, 8)] == [bool(new >> bit & 1) for bit in (0, 4, 8)]
        assert [bool(seen[bit]) for bit in (3, 7, 11)] == [bool(old >> bit & 1) for bit in (3, 7, 11)]


def test_a_card_is_paper_with_ink_and_tape_on_it(published: tuple[Published, list[Rgb]], tapes: Tapes) -> None:
    card = published[1][_start_of(tapes, 4) + 5].astype(int)
    corner = card[170, 310]
    assert (corner > 215).all() and corner[0] > corner[2]
    assert (card.sum(axis=2) < 200).sum() > 50
    colour = card.max(axis=2) - card.min(axis=2)
    assert (colour > 90).sum() > 300


def test_a_click_sounds_at_every_join(published: tuple[Published, list[Rgb]], tapes: Tapes, tmp_path: Path) -> None:
    """Shots that begin on a click, at their first frame, to well under half a frame, in what players hear."""
    places = click_places(tape_sound(published[0].path, tmp_path))
    for number in (0, 1, 3, 9):
        expected = _start_of(tapes, number) / 24
        nearest = min(places, key=lambda place: abs(place - expected))
        assert abs(nearest - expected) < 0.003, (number, expected, places)
    reversed_and_frozen = _start_of(tapes, 5) / 24, _start_of(tapes, 7) / 24
    assert not [place for place in places if reversed_and_frozen[0] <= place < reversed_and_frozen[1]]


def test_sound_is_as_long_as_the_picture(published: tuple[Published, list[Rgb]], tmp_path: Path) -> None:
    heard = len(tape_sound(published[0].path, tmp_path))
    assert 0 <= heard - 146 * 2000 < 1024


@pytest.mark.parametrize("rate", ["23.976", "25", "29.97", "50"])
def test_other_rates_with_a_leader(tapes: Tapes, tmp_path: Path, rate: str) -> None:
    timebase = Timebase(Rate.parse(rate), drop=rate == "29.97")
    nominal, fps = timebase.rate.nominal, timebase.rate.fps
    start = timebase.frame("01:00:00;00" if timebase.drop else "01:00:00:00")
    out = tmp_path / "out.mov"
    made = publish(
        [Event(20, _on(tapes.film, 0)), Event(11, _on(tapes.phone, 3))],
        timebase,
        start,
        out,
        cache_dir=tapes.cache,
        raster=RASTER,
        leader=True,
    )
    index = frame_index(out)
    assert index.frames == made.frames == 8 * nominal + 31
    assert index.constant_rate == fps
    assert made.start_label == ("00:59:52;00" if timebase.drop else "00:59:52:00") == probe(out).start_label
    with FrameReader(out, index) as reader:
        assert read_number(reader.picture(8 * nominal)) == 0
        assert read_number(reader.picture(8 * nominal + 20)) == _phone_number(tapes.phone, 3, fps)
        assert reader.picture(0)[5, 5].min() > 215
    sound = np.asarray(tape_sound(out, tmp_path))[:, 0]
    loud = np.flatnonzero(np.abs(sound) > 0.1) / 48000
    assert abs(loud[0] - float(6 * nominal / fps)) < 0.004
    assert abs(loud[loud < 7.5][-1] - float((6 * nominal + 2) / fps)) < 0.004


def _phone_number(clip: Clip, grid_frame: int, fps: Fraction) -> int:
    begun = [time for time in clip.times if time <= Fraction(grid_frame) / fps]
    return round(begun[-1] * clip.rate) + clip.first_number


def test_the_leader_may_be_silent(tapes: Tapes, tmp_path: Path) -> None:
    publish([Event(3, Black())], FILM, START, tmp_path / "o.mp4", cache_dir=tapes.cache, raster=RASTER, leader=True, beep=False)
    assert np.abs(np.asarray(tape_sound(tmp_path / "o.mp4", tmp_path))).max() < 0.001


@pytest.mark.parametrize("quality", QUALITIES)
@pytest.mark.parametrize("when", [0.1, 0.6, 0.95])
def test_a_stop_leaves_no_movie_and_the_old_one_in_place(tapes: Tapes, tmp_path: Path, quality: Quality, when: float) -> None:
    """Stopped at a share of all reports of a first run, from an empty cache, so in the copies, the segments or the joining."""
    cut = [Event(8, _on(tapes.film, 10)), Event(8, _on(tapes.phone, 12), Transition("dissolve", 4))]
    count = 0

    def counting(step: Step) -> None:
        nonlocal count
        count += 1

    publish(cut, FILM, START, tmp_path / "whole.mp4", cache_dir=tmp_path / "one", quality=quality, raster=RASTER, report=counting)
    until = int(count * when)
    count = 0

    def stopping(step: Step) -> None:
        nonlocal count
        count += 1
        if count > until:
            raise Stopped

    out = tmp_path / "out" / "cut.mp4"
    out.parent.mkdir()
    out.write_bytes(b"version 1")
    with pytest.raises(Stopped):
        publish(cut, FILM, START, out, cache_dir=tmp_path / "two", quality=quality, raster=RASTER, report=stopping)
    assert [path.name for path in out.parent.iterdir()] == ["cut.mp4"]
    assert out.read_bytes() == b"version 1"
    assert not [path for path in (tmp_path / "two").rglob("*") if ".part" in path.name]
    publish(cut, FILM, START, out, cache_dir=tmp_path / "two", quality=quality, raster=RASTER)
    assert frame_index(out).frames == 16


def test_a_movie_that_came_out_wrong_is_thrown_away(tapes: Tapes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:

    module = sys.modules["previs.media.publish"]
    join = module.join  # type: ignore[attr-defined]

    def one_short(pieces, *rest):  # type: ignore[no-untyped-def]
        join([replace(pieces[0], frames=pieces[0].frames - 1), *pieces[1:]], *rest)

    monkeypatch.setattr(module, "join", one_short)
    with pytest.raises(MediaFault, match="23 frames"):
        publish([Event(24, _on(tapes.film, 10))], FILM, START, tmp_path / "o.mp4", cache_dir=tapes.cache, raster=RASTER)
    assert not list(tmp_path.iterdir())


def test_a_movie_whose_sound_came_out_short_is_thrown_away(tapes: Tapes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    module = sys.modules["previs.media.publish"]
    checked = module._check_written  # type: ignore[attr-defined]
    monkeypatch.setattr(module, "_check_written", lambda path, frames, samples, rate: checked(path, frames, samples + 1, rate))
    with pytest.raises(MediaFault, match="sound came out with 48000 samples instead of 48001"):
        publish([Event(24, _on(tapes.film, 10))], FILM, START, tmp_path / "o.mp4", cache_dir=tapes.cache, raster=RASTER)
    assert not list(tmp_path.iterdir())


def test_a_cut_of_many_tapes_comes_out_the_same_when_one_is_open_at_a_time(
    tapes: Tapes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cut = [Event(6, _on(tapes.film, 10)), Event(6, _on(tapes.phone, 10)), Event(6, _on(tapes.film, 40))]
    made = []
    for most in (16, 1):
        monkeypatch.setattr(sys.modules["previs.media.join"], "_MOST_OPEN", most)
        out = tmp_path / f"{most}.mp4"
        publish(cut, FILM, START, out, cache_dir=tapes.cache, raster=RASTER)
        made.append(out.read_bytes())
    assert made[0] == made[1]


def test_a_damaged_or_emptied_cache_only_costs_time(tapes: Tapes, tmp_path: Path) -> None:
    cut = [Event(8, _on(tapes.film, 10)), Event(8, _on(tapes.phone, 12), Transition("dissolve", 4)), Event(4, CardPicture("9"))]
    cache, out = tmp_path / "cache", tmp_path / "o.mp4"
    publish(cut, FILM, START, out, cache_dir=cache, raster=RASTER)
    first = [picture.tobytes() for picture in _pictures(out)]
    for path in cache.rglob("*.*"):
        path.write_bytes(b"junk")
    publish(cut, FILM, START, out, cache_dir=cache, raster=RASTER)
    assert [picture.tobytes() for picture in _pictures(out)] == first
    shutil.rmtree(cache)
    publish(cut, FILM, START, out, cache_dir=cache, raster=RASTER)
    assert [picture.tobytes() for picture in _pictures(out)] == first


@pytest.mark.parametrize("quality", ["final", "originals"])
def test_after_a_trim_only_what_changed_is_rendered(tapes: Tapes, tmp_path: Path, quality: Quality) -> None:
    cut = [Event(10, _on(tapes.film, 10)), Event(10, _on(tapes.phone, 12)), Event(10, _on(tapes.film, 40))]
    cache = tmp_path / "cache"
    publish(cut, FILM, START, tmp_path / "1.mp4", cache_dir=cache, raster=RASTER, quality=quality)
    before = set((cache / "segments").iterdir())
    cut[1] = Event(9, _on(tapes.phone, 13))
    publish(cut, FILM, START, tmp_path / "2.mp4", cache_dir=cache, raster=RASTER, quality=quality)
    after = set((cache / "segments").iterdir())
    assert len(before) == 3 and len(after - before) == 1 and before < after


def test_a_draft_needs_no_tape_once_there_are_work_copies(tapes: Tapes, tmp_path: Path) -> None:
    away = tmp_path / "away.mp4"
    shutil.copy(tapes.film.path, away)
    tape = TapePicture(away, fingerprint(away), "A001", 30)
    cut = [Event(12, tape), Event(6, replace(tape, speed=Fraction(-1)))]
    publish(cut, FILM, START, tmp_path / "o.mp4", cache_dir=tmp_path / "cache", raster=RASTER)
    away.unlink()
    publish(cut, FILM, START, tmp_path / "p.mp4", cache_dir=tmp_path / "cache", raster=RASTER)
    assert [read_number(picture) for picture in _pictures(tmp_path / "p.mp4")] == [*range(30, 42), *range(30, 24, -1)]
    with pytest.raises(UseFault, match="There is no file"):
        publish(cut, FILM, START, tmp_path / "q.mp4", cache_dir=tmp_path / "cache", raster=RASTER, quality="originals")


def test_past_the_end_of_a_tape_its_last_frame_stands(tapes: Tapes, tmp_path: Path) -> None:
    publish(
        [Event(8, _on(tapes.film, 116)), Event(5, _on(tapes.film, -3))],
        FILM,
        START,
        tmp_path / "o.mp4",
        cache_dir=tapes.cache,
        raster=RASTER,
    )
    assert [read_number(picture) for picture in _pictures(tmp_path / "o.mp4")] == [116, 117, 118, 119, 119, 119, 119, 119, 0, 0, 0, 0, 1]


REFUSED: list[tuple[str, list[Event], str]] = [
    ("empty", [], "The cut is empty"),
    ("no_frames", [Event(0, Black())], "Event 1 has 0 frames"),
    ("long_dissolve", [Event(4, Black(), Transition("dissolve", 5))], "into event 1 lasts 5 frames"),
    ("unknown_wipe", [Event(4, Black(), Transition("wipe", 2, 777))], "Wipe 777"),
    ("no_tape", [Event(4, TapePicture(Path("nowhere.mov"), "", "A", 0))], "There is no file nowhere.mov"),
    ("no_still", [Event(4, CardPicture("1", image=Path("nowhere.png")))], "There is no file nowhere.png"),
]


@pytest.mark.parametrize(("events", "words"), [pytest.param(*rest, id=name) for name, *rest in REFUSED])
def test_what_is_refused_and_how(events: list[Event], words: str, tmp_path: Path) -> None:
    with pytest.raises(UseFault) as caught:
        publish(events, FILM, START, tmp_path / "out.mp4", cache_dir=tmp_path / "cache", raster=RASTER)
    assert words in str(caught.value)
    assert str(caught.value).endswith(".") and "\n" not in str(caught.value)
    assert not (tmp_path / "out.mp4").exists()


def test_another_tape_under_the_same_name_is_refused(tapes: Tapes, tmp_path: Path) -> None:
    event = Event(4, replace(_on(tapes.film, 0), fingerprint=fingerprint(tapes.phone.path)))
    with pytest.raises(MediaFault, match="is not the tape that was logged as film"):
        publish([event], FILM, START, tmp_path / "o.mp4", cache_dir=tapes.cache, raster=RASTER)


def test_a_folder_that_cannot_be_written_is_said(tapes: Tapes, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(Fault, match="cannot be written"):
        publish([Event(4, Black())], FILM, START, tmp_path / "file" / "o.mp4", cache_dir=tapes.cache, raster=RASTER)


@pytest.mark.parametrize("size", [(321, 180), (320, 181), (32, 32), (0, 0)])
def test_rasters_that_cannot_be_coded(size: tuple[int, int]) -> None:
    with pytest.raises(UseFault, match="cannot be made"):
        Raster(*size)


def test_every_wipe_that_is_named_can_be_drawn_and_no_other() -> None:
    raster = Raster(64, 64)
    for number in range(1000):
        if number in DRAWN:
            assert wipe_order(number, raster).shape == (64, 64)
        else:
            with pytest.raises(UseFault, match="cannot be drawn here"):
                wipe_order(number, raster)


@pytest.mark.parametrize("quality", QUALITIES)
def test_sound_that_ends_just_after_a_coder_frame_is_whole(tapes: Tapes, tmp_path: Path, quality: Quality) -> None:
    # 85 frames are 170,000 samples: 16 more than 166 frames of the coder, and no whole number of milliseconds.
    made = publish([Event(85, Black())], FILM, START, tmp_path / "short.mp4", cache_dir=tapes.cache, quality=quality, raster=RASTER)
    assert (made.frames, made.samples) == (85, 170_000)
