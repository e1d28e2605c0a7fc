"""The timestamp index against the frames that a full decode gives."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import pytest
from clips import Clip
from hypothesis import given
from hypothesis import strategies as st

from previs.media import FrameIndex, frame_index
from previs.media import index as index_module


def _brute_force(times: tuple[Fraction, ...], moment: Fraction) -> int:
    return max([n for n, time in enumerate(times) if time <= moment], default=0)


def test_it_holds_as_many_frames_as_a_full_decode_gives(clip: Clip) -> None:
    with av.open(str(clip.path)) as movie:
        decoded = sum(1 for _ in movie.decode(video=0))
    assert frame_index(clip.path).frames == decoded == clip.frames


def test_every_time_is_exact_where_the_rate_is_constant(clips: dict[str, Clip]) -> None:
    for name, clip in clips.items():
        index = frame_index(clip.path)
        if name.startswith("phone"):
            assert index.constant_rate is None, name
        else:
            assert index.constant_rate == clip.rate, name
            assert [index.time_of(n) for n in range(index.frames)] == list(clip.times), name


def test_times_of_a_phone_are_its_own_stamps(clips: dict[str, Clip]) -> None:
    clip = clips["phone_mp4"]
    index = frame_index(clip.path)
    assert [index.time_of(n) for n in range(index.frames)] == list(clip.times)


def test_a_phone_in_matroska_keeps_its_milliseconds(clips: dict[str, Clip]) -> None:
    clip = clips["phone_mkv"]
    index = frame_index(clip.path)
    assert all(abs(index.time_of(n) - time) <= Fraction(1, 1000) for n, time in enumerate(clip.times))


def test_the_frame_shown_is_the_last_that_has_begun(clips: dict[str, Clip]) -> None:
    for name in ("phone_mp4", "mkv_23976", "fifty", "hidden_start"):
        clip = clips[name]
        index = frame_index(clip.path)
        for grid_frame in range(-3, 70):
            moment = Fraction(grid_frame) / 24
            assert index.frame_at(moment) == _brute_force(clip.times, moment), (name, grid_frame)
            assert index.frame_shown(grid_frame, Fraction(24)) == index.frame_at(moment)


@given(st.fractions(min_value=-1, max_value=4, max_denominator=10**6))
def test_a_moment_a_hair_before_a_frame_shows_the_one_before(moment: Fraction) -> None:
    clip_times = tuple(Fraction(n * 1001, 30000) for n in range(90))
    index = index_module.constant_index(Fraction(30000, 1001), 90)
    assert index.frame_at(moment) == _brute_force(clip_times, moment)


def test_a_frame_outside_the_tape_is_refused(clips: dict[str, Clip]) -> None:
    index = frame_index(clips["silent"].path)
    with pytest.raises(IndexError):
        index.time_of(60)
    with pytest.raises(IndexError):
        index.time_of(-1)


def test_grid_frames_cover_the_tape_and_no_more(clips: dict[str, Clip]) -> None:
    index = frame_index(clips["fifty"].path)
    assert index.duration == Fraction(60, 50)
    assert index.grid_frames(Fraction(24)) == 29
    assert index.grid_frames(Fraction(50)) == 60
    assert index.grid_frames(Fraction(25)) == 30


def test_a_dropped_frame_is_not_taken_for_rounding_on_a_coarse_clock() -> None:
    """With ticks as long as frames, one frame left out is one tick off: that must not count as constant."""
    import numpy as np

    ticks = np.array([0, 1, 2, 4, 5, 6], dtype=np.int64)
    assert index_module._constant_rate(ticks, Fraction(1, 25), [Fraction(25)]) is None
    assert index_module._constant_rate(np.arange(6, dtype=np.int64), Fraction(1, 25), [Fraction(25)]) == 25


def _same(one: FrameIndex, other: FrameIndex) -> bool:
    return bool((one.ticks == other.ticks).all()) and all(
        getattr(one, name) == getattr(other, name)
        for name in ("time_base", "start_tick", "end_tick", "constant_rate", "counted", "promised_frames")
    )


def test_the_cached_index_is_the_same_and_is_used(clips: dict[str, Clip], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = clips["phone_mp4"].path
    first = frame_index(path, tmp_path)
    monkeypatch.setattr(index_module, "_read", lambda path: pytest.fail("the tape was read again"))
    assert _same(first, frame_index(path, tmp_path))


@pytest.mark.parametrize("junk", [b"", b"not an index", b"PK\x03\x04 half a file"])
def test_a_damaged_cache_is_made_anew(clips: dict[str, Clip], tmp_path: Path, junk: bytes) -> None:
    path = clips["phone_mp4"].path
    first = frame_index(path, tmp_path)
    (cached,) = (tmp_path / "index").iterdir()
    whole = cached.read_bytes()
    cached.write_bytes(junk or whole[: len(whole) // 2])
    assert _same(first, frame_index(path, tmp_path))
    assert cached.read_bytes() == whole
