"""Timelines through the library itself: what is on the track, what comes back, and what is refused."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import fights
import opentimelineio as otio
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from random_cuts import TIMEBASES, cuts, with_leads
from random_cuts import sequence as random_sequence

from previs.clock import frame_played, span_played
from previs.cut.placing import hits_seen, place, treatments_seen
from previs.cut.source_time import work_copy_start
from previs.document.model import Black, Card, Cut, Footage, Kind, Sequence, Shot, Transition, TransitionKind
from previs.exchange.importing import Imported
from previs.exchange.otio import read_timeline, write_timeline
from previs.faults import UseFault

DISSOLVE = TransitionKind.DISSOLVE


def sequence() -> Sequence:
    return fights.sequence(
        phrases=(fights.phrase(1, range(1, 4)),),
        tapes=(fights.tape("A1", start_frame=24 * 3600), fights.tape("B1", rate="29.97", start_frame=15)),
        takes=(fights.take("1A", {1: 1, 2: 2}), fights.take("1B", {1: 1}, reel="B1")),
        treatments=(fights.treatment(1, 2, kind=Kind.RIG_REMOVAL),),
    )


VALUE = sequence()
CUT = Cut(
    "v1",
    (
        Shot("a", 48, Footage("1A", 12), Transition(DISSOLVE, 12), locked=True, reasons=("cheapest",)),
        Shot("b", 24, Footage("1B", 100, Fraction(-2, 7)), Transition(TransitionKind.WIPE, 8, 19)),
        Shot("c", 12, Footage("1A", 99, Fraction(0))),
        Shot("d", 24, Card("Sprung über\nden Karren", 2, 3, "stills/größe.png")),
        Shot("e", 24, Black(), Transition(DISSOLVE, 24)),
    ),
    240,
    "for the director",
)


def without_nul(cut: Cut) -> Cut:
    """The cut with card texts as the library can hold them: it ends a text at a NUL."""
    pictures = [shot.picture for shot in cut.shots]
    told = [replace(one, text=one.text.replace("\0", "\ufffd")) if isinstance(one, Card) else one for one in pictures]
    return replace(cut, shots=tuple(replace(shot, picture=picture) for shot, picture in zip(cut.shots, told, strict=True)))


def test_a_nul_in_a_text_does_not_end_it() -> None:
    cut = Cut("v1", (Shot("a", 24, Card("before\0after"), reasons=("\0x",)),), 240)
    (shot,) = read_timeline(VALUE, write_timeline(VALUE, cut)).cut.shots
    assert (shot.picture, shot.reasons) == (Card("before\ufffdafter"), ("\ufffdx",))


def track_of(text: str) -> tuple[Any, Any]:
    timeline = otio.adapters.read_from_string(text, "otio_json")
    assert [track.kind for track in timeline.tracks] in (["Video"], ["Video", "Audio"])
    return timeline, timeline.tracks[0]


@pytest.mark.parametrize(("rate", "drop"), TIMEBASES)
@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_a_cut_comes_back_equal_and_stands_on_the_track_as_in_the_cut(rate: str, drop: bool, data: st.DataObject) -> None:
    value = random_sequence(rate, drop)
    cut = data.draw(with_leads(value, cuts(value)))
    text = write_timeline(value, cut)
    assert read_timeline(value, text) == Imported(without_nul(cut), ())
    assert write_timeline(value, cut) == text
    assert write_timeline(value, read_timeline(value, text).cut) == text
    timeline, track = track_of(text)
    fps = float(value.timebase.rate.fps)
    assert (timeline.global_start_time.value, timeline.global_start_time.rate) == (value.start_frame, fps)
    assert track.duration() == otio.opentime.RationalTime(cut.frames, fps)
    items = [item for item in track if not isinstance(item, otio.schema.Transition) and item.duration().value]
    placed = place(value, cut)
    for one, item in zip(placed, items, strict=True):
        there = item.range_in_parent()
        assert (there.start_time.value, there.duration.value) == (one.record.start, one.shot.frames)
        assert all(time.value == int(time.value) and time.rate == fps for time in (there.start_time, item.source_range.start_time))
    sounding = [one for one in placed if one.source and one.source.tape.sound and one.source.speed > 0]
    assert len(timeline.tracks) == (2 if sounding else 1)
    for sound in timeline.tracks[1:]:
        assert sound.duration() == track.duration()
        clips = list(sound.find_clips())
        starts = [clip.range_in_parent().start_time.value for clip in clips]
        assert starts == [one.record.start - one.shot.sound_lead_frames for one in sounding]
        # No transition stands at the head, where the library finds nothing to come from.
        assert not any(isinstance(each[0], otio.schema.Transition) for each in timeline.tracks)
        otio.algorithms.track_with_expanded_transitions(sound)
    # Where the library itself puts the markers on the track is where the marks are seen in the cut.
    # Where the library itself puts a marker on the track is where the mark is seen in the cut, for clips at single speed; for
    # all, its source frames are those that show it there.
    marked = [(one, item, marker) for one, item in zip(placed, items, strict=True) for marker in item.markers]
    for one, item, marker in marked:
        told, range_ = marker.metadata["previs"], marker.marked_range
        assert one.source is not None and isinstance(one.shot.picture, Footage)
        if one.source.speed == 1:
            there = item.transformed_time_range(range_, track)
            assert (there.start_time.value, there.duration.value) == (told["record_frame"], told["record_frames"])
        own = told["record_frame"] - one.record.start
        starts = work_copy_start(one.source.tape, value.timebase)
        shown = {starts + frame_played(one.source.first_frame, one.source.speed, k) for k in (own, own + told["record_frames"] - 1)}
        assert shown <= set(range(round(range_.start_time.value), round(range_.end_time_exclusive().value)))
        assert value.timebase.label(value.start_frame + told["record_frame"]) == told["record"]
    seen = sorted(
        (marker.metadata["previs"]["record_frame"], marker.metadata["previs"]["record_frames"], marker.name) for *_, marker in marked
    )
    hits = [(hit.record_frame, 1, f"{hit.move.number} {hit.move.label}") for hit in hits_seen(value, placed)]
    treated = [
        (one.record.start, one.record.length, f"{one.treatment.kind}: {one.treatment.role}") for one in treatments_seen(value, placed)
    ]
    assert seen == sorted(hits + treated)


def test_a_marker_in_a_retimed_clip_names_the_source_frame_that_is_seen_and_its_time_code() -> None:
    # Move 1 lands at tape frame 24 of A1, whose first frame is 01:00:00:00; from frame 0 at double speed that is the shot's 12th.
    cut = Cut("v1", (Shot("a", 24, Footage("1A", 0, Fraction(2))), Shot("b", 12, Footage("1A", 30, Fraction(-1)))), 240)
    _, track = track_of(write_timeline(VALUE, cut))
    hit, treated = track[0].markers[0], track[0].markers[1]
    assert hit.marked_range.start_time.value == 24 * 3600 + 24
    assert (
        dict(hit.metadata["previs"]) | {"record_frame": 12, "record": "01:00:00:12", "tape_time_code": "01:00:01:00"}
        == hit.metadata["previs"]
    )
    assert (treated.marked_range.start_time.value, treated.marked_range.duration.value) == (24 * 3600 + 24, 23)
    assert [marker.marked_range.start_time.value for marker in track[1].markers] == [24 * 3600 + 24, 24 * 3600 + 24]


def test_clips_say_what_is_played_in_the_librarys_own_terms() -> None:
    timeline, track = track_of(write_timeline(VALUE, CUT))
    assert timeline.name == "The Salt Stair v1"
    head, fade, first, wipe, backwards, frozen, card, out, black = track
    assert (head.source_range.duration.value, len(otio.algorithms.track_with_expanded_transitions(track)[1])) == (0, 3)
    assert [type(item).__name__ for item in track] == [
        "Gap",
        "Transition",
        "Clip",
        "Transition",
        "Clip",
        "Clip",
        "Clip",
        "Transition",
        "Gap",
    ]
    assert [(item.in_offset.value, item.out_offset.value) for item in (fade, wipe, out)] == [(0, 12), (0, 8), (0, 24)]
    assert (fade.transition_type, wipe.transition_type, wipe.metadata["previs"]["wipe"]) == ("SMPTE_Dissolve", "SMPTE_Wipe", 19)
    # The tape starts at 01:00:00:00, which is frame 86400 at 24; the shot begins on its frame 12.
    assert (first.source_range.start_time.value, first.source_range.duration.value) == (86412, 48)
    assert (first.available_range().start_time.value, first.available_range().duration.value) == (86400, 1440)
    assert (first.media_reference.target_url, first.effects[:]) == ("tapes/A1.mp4", [])
    # Frame 15 at 29.97 is frame 12 of the same second at 24. The range ends with the frame seen first.
    assert backwards.source_range.end_time_exclusive().value == 12 + 100 + 1
    assert [type(effect) for effect in (*backwards.effects, *frozen.effects)] == [otio.schema.LinearTimeWarp, otio.schema.FreezeFrame]
    assert backwards.effects[0].time_scalar == pytest.approx(-2 / 7)
    assert isinstance(card.media_reference, otio.schema.MissingReference)
    assert card.metadata["previs"]["card"]["text"] == "Sprung über\nden Karren"
    assert (black.source_range.duration.value, backwards.metadata["previs"]["speed"]) == (24, "-2/7")
    assert {marker.name for marker in first.markers} == {"1 cut 1", "2 cut 2", "rig removal: Odile"}


def test_backwards_at_normal_speed_the_source_range_is_what_is_played() -> None:
    _, track = track_of(write_timeline(VALUE, Cut("v1", (Shot("a", 10, Footage("1A", 99, Fraction(-1))),), 240)))
    played = span_played(99, Fraction(-1), 10)
    start = track[0].source_range.start_time.value - 86400
    assert (start, start + track[0].source_range.duration.value) == (played.start, played.end_exclusive)


def foreign(*items: Any, metadata: dict[str, Any] | None = None) -> str:
    timeline = otio.schema.Timeline(name="from elsewhere", metadata=metadata or {})
    timeline.tracks.append(otio.schema.Track(name="V1", kind=otio.schema.TrackKind.Video, children=list(items)))
    timeline.tracks.append(otio.schema.Track(name="A1", kind=otio.schema.TrackKind.Audio))
    return str(timeline.to_json_string())


def clip(start: float, frames: float, url: str | None = "file:///jobs/tapes/A1.mp4", rate: float = 24, **more: Any) -> Any:
    reference = otio.schema.ExternalReference(target_url=url) if url else otio.schema.MissingReference()
    span = otio.opentime.TimeRange(otio.opentime.RationalTime(start, rate), otio.opentime.RationalTime(frames, rate))
    return otio.schema.Clip(name=more.pop("name", "clip"), media_reference=reference, source_range=span, **more)


def transition(ahead: int, after: int) -> Any:
    return otio.schema.Transition(
        transition_type="SMPTE_Dissolve", in_offset=otio.opentime.RationalTime(ahead, 24), out_offset=otio.opentime.RationalTime(after, 24)
    )


def test_a_foreign_timeline_by_its_media() -> None:
    text = foreign(
        clip(86412, 24), transition(4, 6), clip(86500, 24, name="1A"), otio.schema.Gap(duration=otio.opentime.RationalTime(10, 24))
    )
    cut = read_timeline(VALUE, text, "v7").cut
    # The dissolve begins four frames ahead of the cut: there the incoming begins, four frames of tape earlier.
    assert cut == Cut(
        "v7",
        (Shot("s1", 20, Footage("1A", 12)), Shot("s3", 28, Footage("1A", 96), Transition(DISSOLVE, 10)), Shot("s4", 10, Black())),
        240,
    )


def test_times_at_another_rate_are_read_where_they_fall_on_frames() -> None:
    (shot,) = read_timeline(VALUE, foreign(clip(3600 * 48 + 20, 48, rate=48)), "v7").cut.shots
    assert (shot.frames, shot.picture) == (24, Footage("1A", 10))
    with pytest.raises(UseFault, match="no whole frame at 24"):
        read_timeline(VALUE, foreign(clip(3600 * 30, 31, rate=30)), "v7")


SPLIT = Cut(
    "v1",
    (
        Shot("a", 48, Footage("1A", 12)),
        Shot("b", 24, Footage("1B", 100), sound_lead_frames=6),
        Shot("c", 24, Footage("1A", 300, Fraction(1, 2)), Transition(DISSOLVE, 8), sound_lead_frames=-4),
        Shot("d", 24, Footage("1A", 600, Fraction(-1))),
    ),
    240,
)


def test_the_sound_stands_on_a_track_of_its_own_cut_where_it_begins() -> None:
    timeline, _ = track_of(write_timeline(VALUE, SPLIT))
    first, second, crossing, third, silent = timeline.tracks[1]
    assert [item.range_in_parent().start_time.value for item in (first, second, third, silent)] == [0, 42, 76, 96]
    assert [type(item).__name__ for item in (crossing, silent)] == ["Transition", "Gap"]
    # Six frames before frame 100 of a tape that counts from 12; at half speed four frames later is two of tape.
    assert (second.source_range.start_time.value, second.media_reference.target_url) == (12 + 100 - 6, "tapes/B1.mp4")
    assert (third.source_range.start_time.value - 86400, third.effects[0].time_scalar) == (302, 0.5)


def test_a_sound_cut_moved_elsewhere_is_its_lead_and_sound_taken_out_is_said() -> None:
    timeline, _ = track_of(write_timeline(VALUE, SPLIT))
    sound = timeline.tracks[1]
    longer = otio.opentime.RationalTime(3, 24)
    sound[0].source_range = otio.opentime.TimeRange(sound[0].source_range.start_time, sound[0].source_range.duration + longer)
    late = sound[1].source_range
    sound[1].source_range = otio.opentime.TimeRange(late.start_time + longer, late.duration - longer)
    found = read_timeline(VALUE, timeline.to_json_string())
    assert ([shot.sound_lead_frames for shot in found.cut.shots], found.remarks) == ([0, 3, -4, 0], ())
    sound[1] = otio.schema.Gap(source_range=sound[1].source_range)
    found = read_timeline(VALUE, timeline.to_json_string())
    assert [shot.sound_lead_frames for shot in found.cut.shots] == [0, 0, -4, 0]
    assert found.remarks == ("The timeline drops the sound of 1 shot (2); the cut sounds as its tapes do.",)
    del timeline.tracks[1]
    found = read_timeline(VALUE, timeline.to_json_string())
    assert [shot.sound_lead_frames for shot in found.cut.shots] == [0, 6, -4, 0]
    assert found.remarks == ("The timeline lays no sound at all; the cut sounds as its tapes do.",)


def test_a_split_edit_from_elsewhere_is_read_by_what_runs_in_sync() -> None:
    timeline = otio.adapters.read_from_string(foreign(clip(86412, 24), clip(86500, 24)), "otio_json")
    for rate, track in ((24, timeline.tracks[1]), (48000, otio.schema.Track(name="A2", kind=otio.schema.TrackKind.Audio))):
        of = rate // 24
        track.extend([clip(86412 * of, 18 * of, rate=rate), clip(86494 * of, 30 * of, rate=rate), clip(86900 * of, 9 * of, rate=rate)])
        if rate != 24:
            timeline.tracks[1] = track
        found = read_timeline(VALUE, timeline.to_json_string(), "v7")
        assert ([shot.sound_lead_frames for shot in found.cut.shots], found.remarks) == ([0, 6], ())


def test_a_fade_from_elsewhere_over_all_of_the_black_at_the_head_is_a_fade_in() -> None:
    black = otio.schema.Gap(source_range=otio.opentime.TimeRange(otio.opentime.RationalTime(0, 24), otio.opentime.RationalTime(12, 24)))
    cut = read_timeline(VALUE, foreign(black, transition(12, 0), clip(86424, 36)), "v7").cut
    assert [(shot.frames, shot.picture, shot.transition) for shot in cut.shots] == [(48, Footage("1A", 12), Transition(DISSOLVE, 12))]


def test_media_on_another_root_have_a_url_with_its_scheme() -> None:
    away = replace(VALUE, tapes=tuple(replace(tape, path=f"/Volumes/a b/{tape.reel}.mp4") for tape in VALUE.tapes))
    text = write_timeline(away, SPLIT)
    _, track = track_of(text)
    assert track[0].media_reference.target_url == "file:///Volumes/a%20b/A1.mp4"
    assert read_timeline(VALUE, text).cut == SPLIT


def test_a_speed_changed_elsewhere_counts_more_than_our_note_of_it() -> None:
    text = write_timeline(VALUE, Cut("v1", (Shot("a", 10, Footage("1A", 99, Fraction(2, 7))),), 240))
    raw = json.loads(text)
    raw["tracks"]["children"][0]["children"][0]["effects"][0]["time_scalar"] = 0.5
    (shot,) = read_timeline(VALUE, json.dumps(raw)).cut.shots
    assert shot.picture == Footage("1A", 99, Fraction(1, 2))


def test_a_clip_that_is_switched_off_is_black_and_an_effect_of_another_kind_is_said() -> None:
    switched_off = clip(86400, 24)
    switched_off.enabled = False
    found = read_timeline(VALUE, foreign(switched_off, clip(86400, 24, effects=[otio.schema.Effect(name="blur")])), "v7")
    assert [type(shot.picture) for shot in found.cut.shots] == [Black, Footage]
    assert found.remarks == ("Item 1 is switched off and became black.", "Item 2 has an effect (Effect) that was left out.")


def test_what_is_unknown_is_refused_all_at_once_or_becomes_cards() -> None:
    text = foreign(clip(0, 24, "other.mov", name="quay"), clip(86400, 24), clip(0, 24), clip(0, 24, None))
    with pytest.raises(UseFault) as raised:
        read_timeline(VALUE, text, "v7")
    assert str(raised.value).splitlines()[1:] == [
        "Item 1 (quay): its media is no tape of this sequence.",
        "Item 3 (clip): it plays outside tape A1.",
        "Item 4 (clip): its media is no tape of this sequence.",
    ]
    found = read_timeline(VALUE, text, "v7", cards_for_unknown=True)
    assert [type(shot.picture) for shot in found.cut.shots] == [Card, Footage, Card, Card]
    assert found.cut.shots[0].picture == Card("quay: its media is no tape of this sequence")
    assert len(found.remarks) == 3


NESTED = otio.schema.Stack(children=[otio.schema.Track(children=[otio.schema.Gap(duration=otio.opentime.RationalTime(10, 24))])])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "not an OpenTimelineIO timeline"),
        ("{}", "not an OpenTimelineIO timeline|not a timeline"),
        ("[" * 5000, "nested more than 200 deep"),
        (clip(0, 1).to_json_string(), "holds a Clip, not a timeline"),
        (foreign(), "0 picture tracks"),
        (foreign(NESTED), "is a Stack"),
        (foreign(transition(0, 4)), "ends with a transition"),
        (foreign(clip(86400, 24), transition(0, 30), clip(86500, 24)), "lasts 30 frames"),
        (foreign(clip(86400, 24), transition(24, 0), clip(86500, 24)), "begins before the shot ahead"),
        (foreign(clip(86400, 24), transition(-1, 4), clip(86500, 24)), "negative offset"),
        (foreign(clip(86400, 0)), "lasts 0 frames"),
        (foreign(clip(86400, 1e9)), "which no shot can"),
        (foreign(clip(86400.5, 24)), "no whole frame"),
        (foreign(clip(86400, 24, rate=0)), "no rate"),
        (foreign(clip(86400, 24, effects=[otio.schema.LinearTimeWarp(time_scalar=float("inf"))])), "speed that is no number"),
    ],
)
def test_what_a_cut_cannot_be_made_of_is_refused(text: str, said: str) -> None:
    with pytest.raises(UseFault, match=said):
        read_timeline(VALUE, text, "v7")


def test_a_foreign_timeline_needs_a_name_and_damaged_notes_do_no_harm() -> None:
    with pytest.raises(UseFault, match="give a name"):
        read_timeline(VALUE, foreign(clip(86400, 24)))
    notes = {"previs": {"shot": 7, "tape": ["A1"], "take": 3, "speed": "1/0", "reasons": 5, "locked": "yes", "sound_lead_frames": "x"}}
    text = foreign(clip(86400, 24, metadata=notes), clip(86424, 24, metadata={"previs": "x"}), metadata={"previs": [1]})
    assert [shot.picture for shot in read_timeline(VALUE, text, "v7").cut.shots] == [Footage("1A", 0), Footage("1A", 24)]


def test_the_file_is_one_that_the_library_opens(tmp_path: Path) -> None:
    path = tmp_path / "cut.otio"
    path.write_text(write_timeline(VALUE, CUT), encoding="utf-8")
    assert otio.adapters.read_from_file(str(path)).duration().value == CUT.frames
