"""Where two independent libraries agree with this clock, and what each of them does wrong, measured and named.

They are oracles only where the first tests hold. The others are there so that nobody takes a fault of theirs for ours,
and fail when a newer release mends one.
"""

from __future__ import annotations

import warnings

import opentimelineio.opentime as otio
import pytest
from timecode import Timecode

from previs.clock import RATES, ClockFault, Rate, Timebase

EVERY_COUNTING = [Timebase(rate, drop) for rate in RATES for drop in (False, True) if rate.may_drop or not drop]
NAMED = {"ids": lambda timebase: f"{timebase.rate}{' drop' if timebase.drop else ''}"}

EARLY_MIDNIGHT = {
    "29.97": ("23:58:33:17", 2589408),
    "47.952": ("23:58:33:23", 4143048),
    "59.94": ("23:58:33:35", 5178816),
}
"""OpenTimelineIO 0.18.1, counting without drop: its last label before it begins again at zero, and the frame where it does."""


def otio_label(timebase: Timebase, frame: int) -> str:
    rate = float(timebase.rate.fps)
    return str(otio.to_timecode(otio.RationalTime(frame, rate), rate, timebase.drop))


def otio_frame(timebase: Timebase, label: str) -> int:
    return int(otio.from_timecode(label, float(timebase.rate.fps)).value)


def their_timecode(timebase: Timebase, label: str | None = None, frame: int | None = None) -> Timecode:
    plain = timebase.rate.may_drop and not timebase.drop
    # The library counts frames from 1 in `frames`, from 0 in `frame_number`.
    frames = None if frame is None else frame + 1
    return Timecode(timebase.rate.name, label, frames=frames, force_non_drop_frame=plain)


def sampled(timebase: Timebase) -> list[int]:
    """A stride over the day that meets every frame number of a second, and both sides of every tenth minute's border."""
    borders = [timebase.frame(f"{hour:02d}:{minute:02d}:59:00") + timebase.rate.nominal for hour in range(24) for minute in (0, 9, 58)]
    around = [border + step for border in borders for step in (-1, 0, 1)]
    return [*range(0, timebase.frames_per_day, 1999), *around, timebase.frames_per_day - 1]


@pytest.mark.parametrize("timebase", EVERY_COUNTING, **NAMED)
def test_opentimelineio_agrees_up_to_its_early_midnight(timebase: Timebase) -> None:
    ends = EARLY_MIDNIGHT.get(timebase.rate.name, ("", timebase.frames_per_day))[1] if not timebase.drop else timebase.frames_per_day
    for frame in sampled(timebase):
        label = timebase.label(frame)
        assert otio_frame(timebase, label) == frame
        if frame < ends:
            assert otio_label(timebase, frame) == label


@pytest.mark.parametrize("timebase", EVERY_COUNTING, **NAMED)
def test_timecode_agrees_on_every_label_that_exists(timebase: Timebase) -> None:
    for frame in sampled(timebase):
        label = timebase.label(frame)
        assert their_timecode(timebase, label).frame_number == frame
        assert str(their_timecode(timebase, frame=frame)) == label


@pytest.mark.parametrize("name", EARLY_MIDNIGHT)
def test_fault_of_opentimelineio_midnight_comes_86_seconds_early_without_drop(name: str) -> None:
    timebase, (last, begins_again) = Timebase(Rate.parse(name)), EARLY_MIDNIGHT[name]
    assert otio_label(timebase, begins_again - 1) == timebase.label(begins_again - 1) == last
    assert otio_label(timebase, begins_again) == "00:00:00:00" != timebase.label(begins_again)


def test_fault_of_opentimelineio_a_label_read_back_as_another() -> None:
    timebase = Timebase(Rate.parse("29.97"))
    frame = otio_frame(timebase, "23:59:59:29")
    assert frame == timebase.frame("23:59:59:29") == 2591999
    assert otio_label(timebase, frame) == "00:01:26:11"
    assert timebase.label(frame) == "23:59:59:29"


@pytest.mark.parametrize(
    ("name", "dropped", "taken_for"), [("29.97", "00:01:00;00", "00:00:59;28"), ("59.94", "00:01:00;00", "00:00:59;56")]
)
def test_fault_of_both_dropped_labels_are_taken_for_earlier_ones(name: str, dropped: str, taken_for: str) -> None:
    """Neither refuses a label that does not exist: both move it back before the minute, past a frame already counted."""
    timebase, dropped = Timebase(Rate.parse(name), drop=True), "00:01:00;00"
    assert otio_frame(timebase, dropped) == their_timecode(timebase, dropped).frame_number == timebase.frame(taken_for)
    with pytest.raises(ClockFault, match="does not exist"):
        timebase.frame(dropped)


@pytest.mark.parametrize(("label", "otio_reads"), [("25:00:00:00", 2160000), ("00:61:00:00", 87840)])
def test_fault_of_both_labels_past_the_clock_are_read(label: str, otio_reads: int) -> None:
    timebase = Timebase(Rate.parse("24"))
    assert otio_frame(timebase, label) == otio_reads
    assert their_timecode(timebase, label).frame_number == otio_reads
    with pytest.raises(ClockFault, match="past the clock"):
        timebase.frame(label)


def test_fault_of_timecode_frames_past_the_second_roll_over() -> None:
    timebase = Timebase(Rate.parse("24"))
    assert str(their_timecode(timebase, "00:00:18:24")) == "00:00:19:00"
    with pytest.raises(ValueError, match="frames beyond 23"):
        otio_frame(timebase, "00:00:18:24")
    with pytest.raises(ClockFault, match="has frame 24"):
        timebase.frame("00:00:18:24")


def test_fault_of_timecode_a_drop_frame_mark_at_24_is_ignored() -> None:
    timebase = Timebase(Rate.parse("24"))
    assert str(their_timecode(timebase, "01:00:13;23")) == "01:00:13:23"
    with pytest.raises(ValueError, match="not a valid drop frame rate"):
        otio_frame(timebase, "01:00:13;23")
    with pytest.raises(ClockFault, match="semicolon"):
        timebase.frame("01:00:13;23")


def test_fault_of_timecode_a_colon_at_29_97_is_taken_for_drop_frame() -> None:
    """Without being told otherwise it counts 29.97 with drop, whatever the label's mark says."""
    assert Timecode("29.97", "23:59:59:29").frame_number == Timebase(Rate.parse("29.97"), drop=True).frame("23:59:59;29") == 2589407
    assert Timebase(Rate.parse("29.97")).frame("23:59:59:29") == 2591999


@pytest.mark.parametrize("name", ["29.97", "59.94"])
def test_both_say_nothing_when_a_count_runs_past_midnight(name: str) -> None:
    timebase = Timebase(Rate.parse(name), drop=True)
    past = timebase.frames_per_day
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        assert otio_label(timebase, past) == str(their_timecode(timebase, frame=past)) == "00:00:00;00"
    assert said == []
    with pytest.raises(ClockFault, match="has no time code"):
        timebase.label(past)
