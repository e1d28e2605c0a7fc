"""Work copies: the right frame at every place, one shape for all, whole or not there."""

from __future__ import annotations

import threading
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
from clips import Clip, click_places, inner, make_clip, read_number

from previs.clock import Rate, Timebase
from previs.faults import Fault
from previs.media import (
    FrameReader,
    Raster,
    TapeToCopy,
    WorkCopy,
    find_work_copy,
    fingerprint,
    frame_index,
    make_work_copies,
    probe,
    tape_sound,
    workcopy,
)
from previs.progress import Step, Stopped, silent

FILM = Timebase(Rate.parse("24"))
RASTER = Raster(320, 180)


def number_at(clip: Clip, grid_frame: int, rate: Fraction) -> int:
    """What must be seen at a grid frame: worked out from how the clip was made, not by the code under test."""
    moment = Fraction(grid_frame) / rate
    begun = [time for time in clip.times if time <= moment]
    return round((begun[-1] if begun else clip.times[0]) * clip.rate) + clip.first_number


def _numbers(copy: WorkCopy, size: tuple[int, int] = (320, 180)) -> list[int]:
    with FrameReader(copy.path, copy.index) as reader:
        return [read_number(inner(picture, *size)) for picture in reader.pictures(range(copy.frames))]


@pytest.fixture(scope="session")
def copies(clips: dict[str, Clip], tmp_path_factory: pytest.TempPathFactory) -> dict[str, WorkCopy]:
    cache = tmp_path_factory.mktemp("copies")
    made = make_work_copies([TapeToCopy(clip.path) for clip in clips.values()], FILM, RASTER, cache, silent)
    return dict(zip(clips, made, strict=True))


SEEN_SIZE = {"turned_90": (135, 180), "turned_270": (135, 180), "wide_samples": (320, 135)}


def test_every_frame_is_the_tape_frame_on_at_its_time(clips: dict[str, Clip], copies: dict[str, WorkCopy]) -> None:
    for name, clip in clips.items():
        if name == "phone_mkv":
            continue  # its milliseconds decide; see below
        seen = _numbers(copies[name], SEEN_SIZE.get(name, (320, 180)))
        assert seen == [number_at(clip, n, Fraction(24)) for n in range(len(seen))], name
        last_end = clip.times[-1] + 1 / clip.rate
        assert abs(len(seen) - last_end * 24) <= 1, name


def test_a_phone_in_matroska_is_seen_by_its_own_stamps(clips: dict[str, Clip], copies: dict[str, WorkCopy]) -> None:
    clip, index = clips["phone_mkv"], frame_index(clips["phone_mkv"].path)
    shown = [index.frame_shown(n, Fraction(24)) for n in range(copies["phone_mkv"].frames)]
    assert _numbers(copies["phone_mkv"]) == [round(clip.times[n] * clip.rate) for n in shown]


def test_all_have_one_shape_and_only_key_frames(copies: dict[str, WorkCopy]) -> None:
    headers = set()
    for copy in copies.values():
        with av.open(str(copy.path)) as movie:
            stream = movie.streams.video[0]
            headers.add(stream.codec_context.extradata)
            packets = [packet for packet in movie.demux(stream) if packet.size]
            assert all(packet.is_keyframe for packet in packets)
            assert [packet.pts * packet.time_base for packet in packets] == [Fraction(n, 24) for n in range(copy.frames)]
            assert (stream.width, stream.height, stream.pix_fmt) == (320, 180, "yuv420p")
    assert len(headers) == 1


def test_rotation_and_sample_aspect_set_the_bars(copies: dict[str, WorkCopy]) -> None:
    for name, bars in {"turned_90": np.s_[:, :90], "wide_samples": np.s_[:20, :], "turned_270": np.s_[:, -90:]}.items():
        with FrameReader(copies[name].path, copies[name].index) as reader:
            picture = reader.picture(3)
        assert picture[bars].max() < 12, name
        assert picture[60:120, 160 - 60 : 160 + 60].max() > 60, name


def test_its_sound_is_the_tapes(clips: dict[str, Clip], copies: dict[str, WorkCopy], tmp_path: Path) -> None:
    for name in ("h264_b_frames", "late_start_ts", "late_sound", "phone_mp4"):
        places = click_places(tape_sound(copies[name].path, tmp_path))
        assert places == pytest.approx([float(click) for click in clips[name].clicks], abs=0.0016), name
    with av.open(str(copies["silent"].path)) as movie:
        assert not movie.streams.audio


def test_reel_and_time_code_are_written(clips: dict[str, Clip], tmp_path: Path) -> None:
    tape = TapeToCopy(clips["silent"].path, "A001", "10:00:00:12")
    (copy,) = make_work_copies([tape], FILM, RASTER, tmp_path, silent)
    facts = probe(copy.path)
    assert facts.start_label == "10:00:00:12"
    with av.open(str(copy.path)) as movie:
        assert any(stream.metadata.get("reel_name") == "A001" for stream in movie.streams)


def test_finished_copies_are_found_and_not_made_again(clips: dict[str, Clip], tmp_path: Path) -> None:
    tapes = [TapeToCopy(clips["silent"].path), TapeToCopy(clips["fifty"].path)]
    first = make_work_copies(tapes, FILM, RASTER, tmp_path, silent)
    stamps = [copy.path.stat().st_mtime_ns for copy in first]
    assert make_work_copies(tapes, FILM, RASTER, tmp_path, silent) == first
    assert [copy.path.stat().st_mtime_ns for copy in first] == stamps
    assert find_work_copy(fingerprint(tapes[0].path), Fraction(24), Raster(640, 360), tmp_path) is None
    assert find_work_copy(fingerprint(tapes[0].path), Fraction(25), RASTER, tmp_path) is None


def test_a_damaged_copy_is_made_anew(clips: dict[str, Clip], tmp_path: Path) -> None:
    tapes = [TapeToCopy(clips["silent"].path)]
    (copy,) = make_work_copies(tapes, FILM, RASTER, tmp_path, silent)
    whole = copy.path.read_bytes()
    copy.path.write_bytes(whole[: len(whole) // 2])
    assert find_work_copy(copy.fingerprint, Fraction(24), RASTER, tmp_path) is None
    (again,) = make_work_copies(tapes, FILM, RASTER, tmp_path, silent)
    assert _numbers(again)[:3] == [0, 1, 2]


def test_a_stop_leaves_nothing_half_made_and_work_goes_on_from_there(clips: dict[str, Clip], tmp_path: Path) -> None:
    tapes = [TapeToCopy(clips["silent"].path), TapeToCopy(clips["fifty"].path)]
    calls = 0

    def stop_in_the_second(step: Step) -> None:
        nonlocal calls
        calls += 1
        if step.done > 70:
            raise Stopped

    with pytest.raises(Stopped):
        make_work_copies(tapes, FILM, RASTER, tmp_path, stop_in_the_second)
    (left,) = (tmp_path / "copies").iterdir()
    assert left.name.startswith(fingerprint(tapes[0].path))
    assert calls > 10
    assert len(make_work_copies(tapes, FILM, RASTER, tmp_path, silent)) == 2


def test_one_bad_tape_does_not_keep_the_others_from_being_copied(clips: dict[str, Clip], tmp_path: Path) -> None:
    bad = tmp_path / "bad.avi"
    whole = clips["mjpeg_avi"].path.read_bytes()
    bad.write_bytes(whole[: len(whole) // 2])
    good = TapeToCopy(clips["silent"].path)
    with pytest.raises(Fault, match="cut short"):
        make_work_copies([TapeToCopy(bad), good], FILM, RASTER, tmp_path / "cache", silent)
    assert find_work_copy(fingerprint(good.path), Fraction(24), RASTER, tmp_path / "cache") is not None


def test_two_processes_make_the_same_copies_and_can_be_stopped(tmp_path: Path) -> None:
    long = [make_clip(tmp_path / f"{name}.mp4", frames=250, size=(160, 90), options={"preset": "ultrafast"}, sound="") for name in "ab"]
    tapes = [TapeToCopy(clip.path, clip.path.stem) for clip in long]
    # Two tapes of the same content would be one tape.
    with (tmp_path / "b.mp4").open("ab") as file:
        file.write(b"\x00\x00\x00\x08free")

    def stop_when_under_way(step: Step) -> None:
        if step.done > 20:
            raise Stopped

    with pytest.raises(Stopped):
        make_work_copies(tapes, FILM, RASTER, tmp_path / "cache", stop_when_under_way)
    assert not list((tmp_path / "cache").rglob("*.part*"))
    # A quick machine may have finished one of them before it was asked to stop, and that one stays.
    finished = sum(find_work_copy(fingerprint(tape.path), Fraction(24), RASTER, tmp_path / "cache") is not None for tape in tapes)
    assert finished < 2
    seen: list[Step] = []
    made = make_work_copies(tapes, FILM, RASTER, tmp_path / "cache", seen.append)
    assert len({copy.path for copy in made}) == 2
    assert [number_at(long[0], n, Fraction(24)) for n in range(240)] == _numbers(made[0])
    assert seen and seen[-1].total == 240 * (2 - finished)


def test_two_pieces_of_work_that_need_one_copy_make_it_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    clip = make_clip(tmp_path / "one.mp4", frames=30, rate=Fraction(24), options={"g": "6"})
    begun, waited, jobs = threading.Event(), threading.Event(), []
    run_jobs = workcopy.run_jobs

    def counted(work: Any, wanted: Any, total: int, doing: str, report: Any) -> Any:
        jobs.extend(wanted)
        begun.set()
        assert waited.wait(10)
        return run_jobs(work, wanted, total, doing, report)

    def report(step: Step) -> None:
        if step.doing.startswith("waiting"):
            waited.set()

    monkeypatch.setattr(workcopy, "run_jobs", counted)
    made: list[list[WorkCopy]] = []

    def make() -> None:
        made.append(make_work_copies([TapeToCopy(clip.path)], FILM, RASTER, tmp_path / "cache", report))

    first = threading.Thread(target=make)
    first.start()
    assert begun.wait(10)
    make()
    first.join()
    assert len(jobs) == 1 and made[0] == made[1]

    def stop(_step: Step) -> None:
        raise Stopped

    with workcopy._copying, pytest.raises(Stopped):
        make_work_copies([TapeToCopy(clip.path)], FILM, RASTER, tmp_path / "cache", stop)
