"""Time code against published values, against a plain walk of the day's labels, and labels that must be refused."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from previs.clock import RATES, ClockFault, Rate, Timebase
from previs.faults import UseFault

FILM, PAL = Timebase(Rate.parse("24")), Timebase(Rate.parse("25"))
NDF, DF = Timebase(Rate.parse("29.97")), Timebase(Rate.parse("29.97"), drop=True)
NDF_60, DF_60 = Timebase(Rate.parse("59.94")), Timebase(Rate.parse("59.94"), drop=True)
EVERY_COUNTING = (*(Timebase(rate) for rate in RATES), DF, DF_60)

OTIO = "OpenTimelineIO tests/test_opentime.py at bc5fe2d, which cites SMPTE ST 12-1:2014"
NPM = "npm page of a time code library"
DROPFRAME_ORG = "dropframetimecode.org"
FACTBOOK = "digitalfactbook.tv"
HEIDELBERGER = "D. Heidelberger, Drop Frame Timecode, 10 June 2010"
COMPUTED = "computed from the rule of SMPTE ST 12-1 and re-checked"

PUBLISHED = [
    (DF, 1799, "00:00:59;29", OTIO),
    (DF, 1800, "00:01:00;02", OTIO),
    (DF, 10789, "00:05:59;29", OTIO),
    (NDF, 10789, "00:05:59:19", OTIO),
    (DF, 10790, "00:06:00;02", OTIO),
    (NDF, 10790, "00:05:59:20", COMPUTED),
    (DF, 17981, "00:09:59;29", OTIO),
    (NDF, 17981, "00:09:59:11", OTIO),
    (DF, 17982, "00:10:00;00", OTIO),
    (NDF, 17982, "00:09:59:12", OTIO),
    (DF, 107957, "01:00:02;05", OTIO),
    (NDF, 107957, "00:59:58:17", OTIO),
    (DF, 215784, "02:00:00;00", OTIO),
    (DF, 1078920, "10:00:00;00", OTIO),
    (DF, 1084319, "10:03:00;05", OTIO),
    (NDF, 1084319, "10:02:23:29", OTIO),
    (DF_60, 1084319, "05:01:30;03", OTIO),
    (DF, 1881, "00:01:02;23", NPM),
    (FILM, 1511, "00:01:02:23", NPM),
    (FILM, 1511 + 3, "00:01:03:02", NPM),
    (DF, 2589407, "23:59:59;29", COMPUTED),
    (DF_60, 3599, "00:00:59;59", COMPUTED),
    (DF_60, 3600, "00:01:00;04", COMPUTED),
    (DF_60, 35964, "00:10:00;00", COMPUTED),
    (DF_60, 5178815, "23:59:59;59", COMPUTED),
]


@pytest.mark.parametrize(("timebase", "frame", "label", "source"), PUBLISHED)
def test_published_pairs_of_frame_and_label(timebase: Timebase, frame: int, label: str, source: str) -> None:
    assert timebase.label(frame) == label, source
    assert timebase.frame(label) == frame, source


@pytest.mark.parametrize(
    ("timebase", "label", "following", "source"),
    [
        (DF, "01:04:59;29", "01:05:00;02", DROPFRAME_ORG),
        (DF, "10:35:59;29", "10:36:00;02", FACTBOOK),
        (DF, "12:38:59;29", "12:39:00;02", HEIDELBERGER),
        (DF, "00:09:59;29", "00:10:00;00", OTIO),
        (DF_60, "00:00:59;59", "00:01:00;04", HEIDELBERGER),
    ],
)
def test_published_labels_that_follow_each_other(timebase: Timebase, label: str, following: str, source: str) -> None:
    assert timebase.label(timebase.frame(label) + 1) == following, source


# 29.97: docs.rs oximedia-timecode and FFmpeg libavutil/timecode.c (fps / 30 * 17982); 59.94: twice that, by FFmpeg's formula.
@pytest.mark.parametrize(
    ("timebase", "minute", "ten", "hour", "day"), [(DF, 1798, 17982, 107892, 2589408), (DF_60, 3596, 35964, 215784, 5178816)]
)
def test_published_totals(timebase: Timebase, minute: int, ten: int, hour: int, day: int) -> None:
    first = timebase.rate.nominal // 15
    assert timebase.frame(f"00:02:00;{first:02d}") - timebase.frame(f"00:01:00;{first:02d}") == minute
    assert timebase.frame("00:10:00;00") == ten
    assert timebase.frame("01:00:00;00") == hour
    assert timebase.frames_per_day == day


def test_published_share_of_dropped_labels() -> None:
    # dropframetimecode.org: 2 x 60 - 2 x 6 = 108 labels an hour; encyclopaedia text: 18 of 18,000 in ten minutes.
    assert NDF.frame("01:00:00:00") - DF.frame("01:00:00;00") == 108
    assert NDF.frame("00:10:00:00") - DF.frame("00:10:00;00") == 18


def test_published_drift_against_the_clock_on_the_wall() -> None:
    # Heidelberger: about 3.6 s an hour off without drop-frame; encyclopaedia text: 2.6 frames, 86.4 ms, a day with it.
    assert NDF.frame("01:00:00:00") * DF.rate.frame_seconds - 3600 == Fraction(36, 10)
    true_frames = 86400 * DF.rate.fps
    assert round(float(true_frames), 3) == 2589410.589
    residual = true_frames - DF.frames_per_day
    assert round(float(residual), 3) == 2.589
    assert round(float(residual * DF.rate.frame_seconds) * 1000, 1) == 86.4


@given(st.integers(0, 23), st.integers(0, 59), st.integers(0, 59), st.integers(2, 29))
def test_the_published_formula(hours: int, minutes: int, seconds: int, frames: int) -> None:
    total = 60 * hours + minutes
    formula = 108000 * hours + 1800 * minutes + 30 * seconds + frames - 2 * (total - total // 10)
    assert DF.frame(f"{hours:02d}:{minutes:02d}:{seconds:02d};{frames:02d}") == formula


def walked_seconds(timebase: Timebase) -> Iterator[tuple[int, list[str]]]:
    """Every second of a day with its first frame and its labels, by walking the clock and stepping over what is left out."""
    mark, nominal = (";" if timebase.drop else ":"), timebase.rate.nominal
    left_out = {30: 2, 60: 4}[nominal] if timebase.drop else 0
    tails = [f"{mark}{frame:02d}" for frame in range(nominal)]
    frame = 0
    for hour in range(24):
        for minute in range(60):
            for second in range(60):
                skipped = left_out if second == 0 and minute not in (0, 10, 20, 30, 40, 50) else 0
                head = f"{hour:02d}:{minute:02d}:{second:02d}"
                yield frame, [head + tail for tail in tails[skipped:]]
                frame += nominal - skipped


def test_every_label_of_a_drop_frame_day() -> None:
    frame = 0
    for first, labels in walked_seconds(DF):
        for frame, label in enumerate(labels, first):
            # Every label is compared; reading it back is tried on a stride that meets every frame number.
            if DF.label(frame) != label or (frame % 11 == 0 and DF.frame(label) != frame):
                pytest.fail(f"frame {frame} is {label}, not {DF.label(frame)}, which reads as {DF.frame(label)}")
    assert frame + 1 == 2589408


@pytest.mark.parametrize("timebase", EVERY_COUNTING, ids=lambda timebase: f"{timebase.rate}{' drop' if timebase.drop else ''}")
def test_a_day_at_every_rate_and_counting(timebase: Timebase) -> None:
    """All labels on both sides of every minute's border and of every 97th second: the walk counts, the clock is asked."""
    last, asked = 0, 0
    for second, (first, labels) in enumerate(walked_seconds(timebase)):
        last = first + len(labels) - 1
        pairs = list(enumerate(labels, first))
        chosen = pairs if second % 97 == 0 else pairs[:6] if second % 60 == 0 else pairs[-2:] if second % 60 == 59 else []
        for frame, label in chosen:
            asked += 1
            if timebase.label(frame) != label or timebase.frame(label) != frame:
                pytest.fail(f"frame {frame} is {label}, not {timebase.label(frame)}, which reads as {timebase.frame(label)}")
    assert last + 1 == timebase.frames_per_day
    assert asked > 30_000


@given(st.sampled_from(EVERY_COUNTING), st.data())
def test_there_and_back(timebase: Timebase, data: st.DataObject) -> None:
    frame = data.draw(st.integers(0, timebase.frames_per_day - 1))
    assert timebase.frame(timebase.label(frame)) == frame


REFUSED = [
    # must fail in the OpenTimelineIO test file
    (FILM, "01:00:13;23", "it has a semicolon"),
    (Timebase(Rate.parse("23.976")), "01:00:13;23", "it has a semicolon"),
    # valid at 25, not at 24
    (FILM, "00:00:18:24", "has frame 24; at 24 frames a second they run from 00 to 23"),
    (PAL, "00:00:18:25", "run from 00 to 24"),
    (NDF, "00:01:00;02", "it has a semicolon"),
    # labels that drop-frame counting leaves out: refused, never moved to a neighbour
    (DF, "00:01:00;00", "does not exist: drop-frame time code at 29.97 leaves it out; the minute begins at 00:01:00;02"),
    (DF, "01:05:00;01", "the minute begins at 01:05:00;02"),
    (DF, "01:05:00:00", "the minute begins at 01:05:00;02"),
    (DF_60, "00:01:00;00", "the minute begins at 00:01:00;04"),
    (DF_60, "23:59:00;03", "the minute begins at 23:59:00;04"),
    (FILM, "24:00:00:00", "past the clock"),
    (FILM, "25:00:00:00", "past the clock"),
    (FILM, "00:60:00:00", "past the clock"),
    (FILM, "00:00:60:00", "past the clock"),
    (FILM, "1:00:00:00", "is not time code"),
    (FILM, "01:00:00", "is not time code"),
    (FILM, "01:00:00:00:00", "is not time code"),
    (FILM, "-01:00:00:00", "is not time code"),
    (FILM, "01.00.00.00", "is not time code"),
    (FILM, "01:00:00:0a", "is not time code"),
    (FILM, "٠١:00:00:00", "is not time code"),
    (FILM, "", "is not time code"),
]


@pytest.mark.parametrize(("timebase", "label", "said"), REFUSED)
def test_labels_that_do_not_exist_are_refused(timebase: Timebase, label: str, said: str) -> None:
    with pytest.raises(ClockFault) as caught:
        timebase.frame(label)
    assert said in str(caught.value) and isinstance(caught.value, UseFault)


def test_labels_beside_the_dropped_ones_exist() -> None:
    assert [DF.frame(label) for label in ("00:01:00;02", "00:01:01;00", "00:10:00;00", "00:10:00;01")] == [1800, 1828, 17982, 17983]
    assert PAL.frame("00:00:18:24") == 474
    assert DF.frame("00:01:00:02") == DF.frame(" 00:01:00;02 ") == 1800


@pytest.mark.parametrize("timebase", EVERY_COUNTING)
def test_frames_outside_the_day_have_no_label(timebase: Timebase) -> None:
    for frame in (-1, timebase.frames_per_day):
        with pytest.raises(ClockFault, match="has no time code"):
            timebase.label(frame)
    assert timebase.wrap(timebase.frames_per_day) == 0
    assert timebase.wrap(-1) == timebase.frames_per_day - 1


@pytest.mark.parametrize("rate", [rate for rate in RATES if rate.name not in ("29.97", "59.94")], ids=str)
def test_drop_frame_exists_at_two_rates_only(rate: Rate) -> None:
    with pytest.raises(ClockFault, match=r"exists at 29\.97 and 59\.94 only"):
        Timebase(rate, drop=True)


def test_a_length_may_be_negative() -> None:
    assert FILM.duration(36) == "00:00:01:12"
    assert FILM.duration(-36) == "-00:00:01:12"
    assert DF.duration(-1800) == "-00:01:00;02"
    assert FILM.duration(0) == "00:00:00:00"
