"""Edit lists read back by two independent programs: OpenTimelineIO's CMX3600 adapter and pycmx.

What each is known not to carry (found by reading the installed versions, adapter 1.0.0 and pycmx 1.5.1):

- The adapter drops the outgoing line of a transition; refuses a transition at the head of any track, sound included;
  ignores an M2 where source and record are of equal length (OpenTimelineIO issue 948); reads no channel but as a track;
  keeps no label past midnight. It is not asked about these; pycmx is.
- pycmx keeps labels as text and counts nothing, and does not read M2; those lines are checked as text against the model.
"""

from __future__ import annotations

import io
from fractions import Fraction

import fights
import opentimelineio as otio
import pycmx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from previs.clock import Rate, Timebase
from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot, Transition, TransitionKind
from previs.exchange.cmx3600 import EditList, write_edl

TIMEBASES = [("23.976", False), ("24", False), ("25", False), ("29.97", True), ("59.94", True)]
MUTE_START, LOUD_START = "10:00:00:00", "00:59:50:10"


def sequence(rate: str, drop: bool) -> Sequence:
    """Two tapes that count as the sequence does, so that what is expected needs no work-copy rule; LOUD has sound."""
    timebase = Timebase(Rate.parse(rate), drop)
    tapes = tuple(
        fights.tape(reel, rate=rate, drop=drop, start_frame=timebase.frame(start), sound=reel == "LOUD")
        for reel, start in (("LOUD", LOUD_START), ("MUTE", MUTE_START))
    )
    return fights.sequence(
        rate_name=rate,
        drop=drop,
        start_frame=timebase.frame("00:59:58:00"),
        phrases=(fights.phrase(1, range(1, 4)),),
        tapes=tapes,
        takes=(fights.take("loud take", {1: 6, 2: 14}, reel="LOUD"), fights.take("mute take", {1: 6, 2: 14}, reel="MUTE")),
    )


SPEEDS = st.sampled_from([Fraction(1), Fraction(1), Fraction(1), Fraction(1, 2), Fraction(2), Fraction(-1), Fraction(-2, 3), Fraction(0)])
FOOTAGE = st.builds(Footage, st.sampled_from(["loud take", "mute take"]), st.integers(400, 600), SPEEDS)
PICTURES = st.one_of(FOOTAGE, FOOTAGE, FOOTAGE, st.builds(Card, st.text(max_size=120)), st.just(Black()))


@st.composite
def cuts(draw: st.DrawFn) -> Cut:
    """A cut that begins with a plain shot of the tape with sound, since the adapter refuses transitions at the head."""
    shots = [Shot("first", draw(st.integers(1, 40)), Footage("loud take", draw(st.integers(400, 600))))]
    for number in range(draw(st.integers(0, 12))):
        frames = draw(st.integers(1, 60))
        kind = draw(st.sampled_from([None, None, *TransitionKind]))
        change = None
        if kind is not None:
            change = Transition(kind, draw(st.integers(1, frames)), draw(st.integers(0, 999)) if kind is TransitionKind.WIPE else 0)
        shots.append(Shot(str(number), frames, draw(PICTURES), change))
    return Cut("v1", tuple(shots), 240)


def expected_source(value: Sequence, timebase: Timebase, shot: Shot) -> tuple[str, int, int]:
    """Reel, first source frame and source length, from the rules and not from the writer."""
    if not isinstance(shot.picture, Footage):
        return "AX" if isinstance(shot.picture, Card) else "BL", 0, shot.frames
    reel = shot.picture.take.split()[0].upper()
    start = timebase.frame(LOUD_START if reel == "LOUD" else MUTE_START)
    return reel, start + shot.picture.first_frame, int((shot.frames - 1) * abs(shot.picture.speed)) + 1


def one_list(value: Sequence, cut: Cut) -> EditList:
    (found,) = write_edl(value, cut)
    return found


def read_by_pycmx(text: str) -> pycmx.EditList:
    return pycmx.parse_cmx3600(io.StringIO(text))


@pytest.mark.parametrize(("rate", "drop"), TIMEBASES)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(cut=cuts())
def test_record_times_abut_and_fill_the_cut(rate: str, drop: bool, cut: Cut) -> None:
    value = sequence(rate, drop)
    timebase = value.timebase
    text = one_list(value, cut).text
    assert text.isascii()
    lines = text.removesuffix("\r\n").split("\r\n")
    events = [line for line in lines if line[:3].isdigit()]
    assert all(len(line) == 76 for line in events)
    assert all(len(line) <= 80 and line.isprintable() for line in lines)
    at = value.start_frame
    for line in events:
        start, end = timebase.frame(line[53:64]), timebase.frame(line[65:76])
        assert start == at
        at = end
    assert at == value.start_frame + cut.frames


@pytest.mark.parametrize(("rate", "drop"), TIMEBASES)
@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(cut=cuts())
def test_pycmx_reads_every_event(rate: str, drop: bool, cut: Cut) -> None:
    value = sequence(rate, drop)
    timebase = value.timebase
    read = read_by_pycmx(one_list(value, cut).text)
    assert read.title == "The Salt Stair v1"
    assert read.format == "3600"
    events = list(read.events)
    assert [event.number for event in events] == list(range(1, len(cut.shots) + 1))
    at = value.start_frame
    for event, shot in zip(events, cut.shots, strict=True):
        edit = event.edits[-1]
        reel, start, length = expected_source(value, timebase, shot)
        assert edit.source == reel
        assert [timebase.frame(label) for label in (edit.source_in, edit.source_out)] == [start, start + length]
        assert [timebase.frame(label) for label in (edit.record_in, edit.record_out)] == [at, at + shot.frames]
        assert edit.channels.video
        forwards = isinstance(shot.picture, Footage) and shot.picture.speed > 0
        assert (edit.channels.a1, edit.channels.a2) == ((reel == "LOUD" and forwards) or reel == "BL",) * 2
        at += shot.frames
        if shot.transition is None:
            assert (len(event.edits), edit.transition.kind) == (1, "C")
        else:
            outgoing = event.edits[0]
            assert len(event.edits) == 2
            assert outgoing.transition.kind == "C"
            assert outgoing.source_in == outgoing.source_out
            assert outgoing.record_in == outgoing.record_out == edit.record_in
            assert edit.transition.kind == ("D" if shot.transition.kind is TransitionKind.DISSOLVE else "W")
            assert edit.transition.effect_duration == shot.transition.frames
            if shot.transition.kind is TransitionKind.WIPE:
                assert edit.transition.wipe_number == shot.transition.wipe
        # pycmx hands on M2 lines as it found them.
        motion = [statement.content for statement in event.unrecognized_statements]
        assert all(line.startswith("M2   ") for line in motion)
        speed = shot.picture.speed if isinstance(shot.picture, Footage) else Fraction(1)
        if speed != 1:
            assert Fraction(motion[-1].split()[2]) == Fraction(round(speed * timebase.rate.fps * 10), 10)
            assert timebase.frame(motion[-1].split()[3]) == start


@pytest.mark.parametrize(("rate", "drop"), TIMEBASES)
@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(cut=cuts())
def test_opentimelineio_reads_every_event(rate: str, drop: bool, cut: Cut) -> None:
    value = sequence(rate, drop)
    timebase = value.timebase
    read = otio.adapters.read_from_string(one_list(value, cut).text, "cmx_3600", rate=float(timebase.rate.fps))
    assert read.name == "The Salt Stair v1"
    (video,) = (track for track in read.tracks if track.name == "V")
    clips = [item for item in video if isinstance(item, otio.schema.Clip)]
    transitions = [item for item in video if isinstance(item, otio.schema.Transition)]
    assert not [item for item in video if isinstance(item, otio.schema.Gap)]
    at = 0
    for clip, shot in zip(clips, cut.shots, strict=True):
        reel, start, length = expected_source(value, timebase, shot)
        assert clip.metadata.get("cmx_3600", {}).get("reel", "AX") == reel
        assert round(clip.source_range.start_time.value) == start
        assert round(clip.source_range.duration.value) == shot.frames
        assert round(video.range_of_child(clip).start_time.value) == at
        at += shot.frames
        speed = shot.picture.speed if isinstance(shot.picture, Footage) else Fraction(1)
        if length != shot.frames:
            (effect,) = clip.effects
            assert effect.time_scalar == pytest.approx(float(speed), abs=0.051 / float(timebase.rate.fps))
        else:
            assert not clip.effects
    assert [(round(item.out_offset.value), item.metadata["cmx_3600"]["transition"]) for item in transitions] == [
        (shot.transition.frames, "D" if shot.transition.kind is TransitionKind.DISSOLVE else f"W{shot.transition.wipe:03d}")
        for shot in cut.shots
        if shot.transition
    ]


def test_a_fade_in_at_the_head_is_read_by_pycmx_and_refused_by_the_adapter() -> None:
    """The specification's form, two lines of which the first is black; the adapter wants something ahead of it."""
    value = sequence("24", False)
    text = one_list(value, Cut("v1", (Shot("a", 48, Footage("loud take", 0), Transition(TransitionKind.DISSOLVE, 12)),), 240)).text
    (event,) = read_by_pycmx(text).events
    assert [(edit.source, edit.transition.kind) for edit in event.edits] == [("BL", "C"), ("LOUD", "D")]
    with pytest.raises(otio.exceptions.OTIOError, match="very beginning"):
        otio.adapters.read_from_string(text, "cmx_3600", rate=24)
    ahead = Cut("v1", (Shot("b", 12, Black()), Shot("a", 48, Footage("loud take", 0), Transition(TransitionKind.DISSOLVE, 12))), 240)
    read = otio.adapters.read_from_string(one_list(value, ahead).text, "cmx_3600", rate=24)
    assert [len(track) for track in read.tracks] == [3, 3, 3]


def test_names_and_remarks_arrive_with_their_event() -> None:
    value = sequence("24", False)
    shots = (
        Shot("a", 48, Footage("loud take", 120)),
        Shot("b", 24, Card("* LOC: 01:00:00:00 RED  M2   A1  FROM CLIP NAME: x"), Transition(TransitionKind.DISSOLVE, 12)),
    )
    text = one_list(value, Cut("v1", shots, 240)).text
    first, second = read_by_pycmx(text).events
    assert [edit.clip_name for edit in first.edits] == ["loud take"]
    assert [edit.clip_name for edit in second.edits] == ["loud take", "CARD"]
    read = otio.adapters.read_from_string(text, "cmx_3600", rate=24)
    clips = [item for item in read.tracks[0] if isinstance(item, otio.schema.Clip)]
    assert [clip.name for clip in clips] == ["loud take", "CARD"]
    assert not [marker for clip in clips for marker in clip.markers]
    assert "MOVE 1 LANDS 00:59:59:00: cut 1" in clips[0].metadata["cmx_3600"]["comments"]
