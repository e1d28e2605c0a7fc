"""A cut as an OpenTimelineIO timeline and back, as the text of an .otio file; it opens no file and renders nothing.

Only frame counts are exchanged: the library's time code functions count in floats and are not used.

Rules.
1. One picture track, and one of its sound (`previs.exchange.otio_sound`). A shot of a take is a Clip whose source range
   counts as the edit list does, from the work copy's start at the sequence rate (`previs.cut.source_time`), and lasts as
   long as the shot is on screen. Its media reference is the tape's file, with all that can be used of it as available
   range.
2. Speed is a LinearTimeWarp, a freeze a FreezeFrame. Played backwards, the source range *ends* with the frame seen first,
   so that at -1 it is what is played. The exact fraction stands in the metadata, and counts as long as the effect agrees.
3. A transition begins on the incoming's first frame: in offset 0, out offset its length. One from elsewhere that begins
   earlier is read by letting the incoming begin that much earlier. One into the first shot comes from black: a Gap of no
   length, which is also what the library itself puts there (`NeighborGapPolicy.around_transitions`).
4. Black is a Gap. A card is a Clip with a MissingReference. Moves that land and treatments are Markers on their clip, at
   the source frames that show them, whatever the shot's speed; where they are in the cut stands in the metadata, as frames
   from its first and as time code, beside the tape's own time code. Under a transition they lie past the source range.
5. What the library has no place for is metadata under `previs`. Its texts end at a NUL, so one is written as U+FFFD.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import PurePath
from typing import Any
from urllib.parse import quote, unquote

import opentimelineio as otio  # type: ignore[import-untyped]
from msgspec.structs import replace

from previs.clock import RATES, Span, frame_played, span_played
from previs.cut.placing import Placed, hits_seen, place, treatments_seen
from previs.cut.source_time import work_copy_start
from previs.cut.wording import counted
from previs.document.invariants import LARGEST_COUNT, usable_grid_frames
from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot, Tape, Transition, TransitionKind
from previs.exchange.cmx3600_statements import Form, statement
from previs.exchange.importing import Imported, take_for, with_leads
from previs.exchange.lists import record_label, tape_label
from previs.exchange.otio_sound import OURS, Heard, heard, leads_heard, sound_track
from previs.exchange.reels import reel_table
from previs.faults import UseFault

MOST_BYTES = 64 * 1024 * 1024
_WIPE = "SMPTE_Wipe"
_LINES_LOOKED_AT = 50
_DEEPEST = 200
# A text that does not end goes to the end of all, so that no quotation mark is looked at twice.
_TEXTS = re.compile(r'"[^"\\]*+(?:\\.[^"\\]*+)*+(?:"|\Z)', re.DOTALL)
_NO_BRACKETS = re.compile(r"[^\[\]{}]+")


def write_timeline(sequence: Sequence, cut: Cut) -> str:
    """The cut as the text of an .otio file; equal input gives equal text. Raises `UseFault` for a cut without shots."""
    if not cut.shots:
        raise UseFault(f"Cut {cut.name} has no shots, so there is no timeline to write; assemble it first.")
    text: str = _Writer(sequence, cut).timeline().to_json_string(indent=2)
    return text + "\n"


class _Writer:
    """One cut as a timeline."""

    def __init__(self, sequence: Sequence, cut: Cut) -> None:
        self._sequence = sequence
        self._cut = cut
        self._placed = place(sequence, cut)
        self._rate = float(sequence.timebase.rate.fps)
        self._reels = {row.tape.reel: row.in_list for row in reel_table(sequence)}

    def timeline(self) -> Any:
        timeline = otio.schema.Timeline(
            name=_storable(f"{self._sequence.title} {self._cut.name}"), global_start_time=self._at(self._sequence.start_frame)
        )
        timeline.metadata[OURS] = _storable(
            {
                "cut": self._cut.name,
                "note": self._cut.note,
                "target_frames": self._cut.target_frames,
                "rate": self._sequence.rate_name,
                "drop": self._sequence.drop,
            }
        )
        track = otio.schema.Track(name="picture", kind=otio.schema.TrackKind.Video)
        items = {one.number: self._item(one) for one in self._placed}
        self._mark(items)
        for one in self._placed:
            if one.shot.transition is not None:
                if not len(track):
                    track.append(otio.schema.Gap(source_range=self._range(0, 0)))
                track.append(self._transition(one.shot.transition))
            track.append(items[one.number])
        timeline.tracks.append(track)
        sound = sound_track(self._placed, items, lambda frames: self._transition(Transition(TransitionKind.DISSOLVE, frames)))
        if sound is not None:
            timeline.tracks.append(sound)
        return timeline

    def _at(self, frame: int) -> Any:
        return otio.opentime.RationalTime(frame, self._rate)

    def _range(self, start: int, frames: int) -> Any:
        return otio.opentime.TimeRange(self._at(start), self._at(frames))

    def _item(self, one: Placed) -> Any:
        shot, picture = one.shot, one.shot.picture
        told: dict[str, Any] = {"shot": shot.ident}
        if shot.locked:
            told["locked"] = True
        if shot.reasons:
            told["reasons"] = list(shot.reasons)
        if shot.sound_lead_frames:
            told["sound_lead_frames"] = shot.sound_lead_frames
        if one.source is None or not isinstance(picture, Footage):
            if not isinstance(picture, Card):
                return otio.schema.Gap(source_range=self._range(0, shot.frames), metadata={OURS: _storable(told)})
            told["card"] = {"text": picture.text, "first_move": picture.first_move, "last_move": picture.last_move, "image": picture.image}
            return otio.schema.Clip(
                name="CARD",
                media_reference=otio.schema.MissingReference(),
                source_range=self._range(0, shot.frames),
                metadata={OURS: _storable(told)},
            )
        tape, starts = one.source.tape, work_copy_start(one.source.tape, self._sequence.timebase)
        told |= {"take": one.source.take.name, "tape": tape.reel, "reel": self._reels[tape.reel], "speed": str(picture.speed)}
        clip = otio.schema.Clip(
            name=_storable(one.source.take.name),
            media_reference=otio.schema.ExternalReference(
                target_url=_url(tape.path),
                available_range=self._range(starts, usable_grid_frames(tape, self._sequence.timebase.rate.fps)),
            ),
            source_range=self._range(starts + _range_start(picture.first_frame, picture.speed, shot.frames), shot.frames),
            metadata={OURS: _storable(told)},
        )
        if picture.speed == 0:
            clip.effects.append(otio.schema.FreezeFrame())
        elif picture.speed != 1:
            clip.effects.append(otio.schema.LinearTimeWarp(time_scalar=float(picture.speed)))
        return clip

    def _transition(self, transition: Transition) -> Any:
        wipe = transition.kind is TransitionKind.WIPE
        return otio.schema.Transition(
            name=transition.kind.value,
            transition_type=_WIPE if wipe else otio.schema.TransitionTypes.SMPTE_Dissolve,
            in_offset=self._at(0),
            out_offset=self._at(transition.frames),
            metadata={OURS: {"wipe": transition.wipe}} if wipe else {},
        )

    def _mark(self, items: Mapping[int, Any]) -> None:
        def add(one: Placed, record: Span, tape_frames: Span, name: str, colour: str, told: dict[str, Any]) -> None:
            assert one.source is not None
            tape = one.source.tape
            start = work_copy_start(tape, self._sequence.timebase) + tape_frames.start
            told |= {
                "record_frame": record.start,
                "record_frames": record.length,
                "record": record_label(self._sequence, record.start),
                "tape_time_code": tape_label(tape, tape_frames.start / self._sequence.timebase.rate.fps),
            }
            items[one.number].markers.append(
                otio.schema.Marker(
                    name=_storable(name),
                    marked_range=self._range(start, tape_frames.length),
                    color=colour,
                    metadata={OURS: _storable(told)},
                )
            )

        for hit in hits_seen(self._sequence, self._placed):
            move, source, at = hit.move, hit.placed.source, hit.record_frame
            assert source is not None
            shown = source.frame(at - hit.placed.record.start)
            told = {"move": move.number, "attacker": move.attacker, "defender": move.defender, "upper_hand": move.upper_hand}
            name = f"{move.number} {move.label}"
            add(hit.placed, Span(at, at + 1), Span(shown, shown + 1), name, otio.schema.MarkerColor.GREEN, told)
        for seen in treatments_seen(self._sequence, self._placed):
            treatment = seen.treatment
            told = {"treatment": treatment.kind.value, "role": treatment.role, "note": treatment.note}
            if seen.under_frames:
                told["frames_under_transition"] = seen.under_frames
            add(seen.placed, seen.record, seen.tape, f"{treatment.kind}: {treatment.role}", otio.schema.MarkerColor.RED, told)


def read_timeline(sequence: Sequence, text: str, name: str | None = None, *, cards_for_unknown: bool = False) -> Imported:
    """The cut in an .otio file's text, called `name`, or else what it was called when it was written here.

    Raises `UseFault` for a text that is no timeline, for what a cut cannot hold (several picture tracks, nesting, times
    between frames), and naming every clip whose tape or span is unknown, unless `cards_for_unknown`.
    """
    if len(text) > MOST_BYTES:
        raise UseFault(f"The timeline is larger than {MOST_BYTES // 1024**2} MB, which no cut is; pick another file.")
    try:
        _refuse_nested_deep(text)
        # The library's own parser ends the whole program on some texts that are not JSON.
        json.loads(text)
        timeline = otio.adapters.read_from_string(text, "otio_json")
    except UseFault:
        raise
    except Exception as error:  # The library's reader raises many kinds for damaged text.
        if any(isinstance(statement(line), Form) for line in text.splitlines()[:_LINES_LOOKED_AT]):
            raise UseFault("The file is a CMX3600 edit list, not a timeline; bring it in with 'previs import-edl'.") from error
        raise UseFault(f"The file is not an OpenTimelineIO timeline that can be read ({type(error).__name__}); export it again.") from error
    if not isinstance(timeline, otio.schema.Timeline):
        raise UseFault(f"The file holds a {type(timeline).__name__}, not a timeline; export the whole timeline.")
    told = _ours(timeline)
    tracks = [
        track
        for track in timeline.tracks or ()
        if isinstance(track, otio.schema.Track) and track.kind == otio.schema.TrackKind.Video and len(track)
    ]
    if len(tracks) != 1 or tracks[0].source_range is not None:
        raise UseFault(f"The timeline has {len(tracks)} picture tracks or a trimmed one; a cut is one whole track, so flatten it first.")
    named = name or _text(told.get("cut"))
    if not named:
        raise UseFault("The timeline does not say what cut it is; give a name with --name.")
    reader = _Reader(sequence, cards_for_unknown)
    shots = reader.shots(tracks[0])
    target = told.get("target_frames")
    cut = Cut(
        named, shots, target if type(target) is int and 0 < target <= LARGEST_COUNT else sequence.target_frames, _text(told.get("note"))
    )
    sounds = [track for track in timeline.tracks if isinstance(track, otio.schema.Track) and track.kind == otio.schema.TrackKind.Audio]
    leads = leads_heard(place(sequence, cut), reader.heard(sounds), ours=bool(told))
    led, left_out = with_leads(sequence, list(shots), list(leads.frames))
    return Imported(replace(cut, shots=tuple(led)), (*reader.remarks, *leads.remarks, *left_out))


def _refuse_nested_deep(text: str) -> None:
    """Raises `UseFault` for records in records without end, which the library follows until its stack ends the whole program."""
    brackets = _NO_BRACKETS.sub("", _TEXTS.sub("", text))
    for _ in range(_DEEPEST):
        inner = brackets.replace("[]", "").replace("{}", "")
        if inner == brackets:
            break
        brackets = inner
    # What is left over of a text that is cut off is for the library to refuse, as long as it is not deep itself.
    if len(brackets) > _DEEPEST:
        raise UseFault(f"The timeline is nested more than {_DEEPEST} deep, which no cut is; export it again.")


@dataclass(frozen=True, slots=True)
class _Clip:
    """One item of the track, its times as whole frames of the sequence."""

    item: Any
    number: int
    start: int
    frames: int


class _Reader:
    """The track of one timeline as shots."""

    def __init__(self, sequence: Sequence, cards_for_unknown: bool) -> None:
        self._sequence = sequence
        self._cards = cards_for_unknown
        self._fps = sequence.timebase.rate.fps
        self._idents: set[str] = set()
        self.remarks: list[str] = []

    def shots(self, track: Any) -> tuple[Shot, ...]:
        """The items in order; transitions go to the shot they lead into."""
        found: list[Shot] = []
        unknown: list[str] = []
        coming: tuple[Transition, int] | None = None
        for number, item in enumerate(track, start=1):
            if isinstance(item, otio.schema.Transition):
                coming = self._transition(item, number)
                continue
            clip = self._clip(item, number)
            if clip is None:
                continue
            picture = self._picture(clip)
            if isinstance(picture, str):
                unknown.append(f"Item {number} ({item.name or 'no name'}): {picture}.")
                picture = Card(f"{item.name or 'Item'}: {picture}")
            shot = self._shot(clip, picture)
            if coming is not None:
                shot = self._with_transition(found, shot, *coming)
            found.append(shot)
            coming = None
        if unknown and not self._cards:
            are = "1 clip is" if len(unknown) == 1 else f"{len(unknown)} clips are"
            raise UseFault(
                f"{are} of what this sequence does not have; ingest and mark it, or take cards in their place with "
                "--cards-for-unknown.\n" + "\n".join(unknown)
            )
        self.remarks += unknown
        if coming is not None:
            raise UseFault("The timeline ends with a transition into nothing; put black behind it.")
        if not found:
            raise UseFault("The timeline's picture track holds no clip; export the whole timeline.")
        return tuple(found)

    def _with_transition(self, found: list[Shot], shot: Shot, transition: Transition, ahead: int) -> Shot:
        """The incoming shot, begun `ahead` frames earlier at the cost of the one before."""
        frames = shot.frames + ahead
        # A fade in drawn over all of the black at the head: the black is what it comes from, and no shot of its own.
        only_black = len(found) == 1 and found[0].frames == ahead and isinstance(found[0].picture, Black)
        if ahead and not only_black and (not found or found[-1].frames <= ahead):
            raise UseFault(f"The transition into {shot.ident} begins before the shot ahead of it does; shorten it.")
        if ahead:
            before = found.pop()
            if not only_black:
                found.append(replace(before, frames=before.frames - ahead))
            if isinstance(shot.picture, Footage):
                picture = shot.picture
                shot = replace(shot, picture=Footage(picture.take, frame_played(picture.first_frame, picture.speed, -ahead), picture.speed))
        if not 1 <= transition.frames <= frames:
            lasts = counted(transition.frames, "frame")
            raise UseFault(f"The transition into {shot.ident} lasts {lasts}, not between 1 and its {frames}; make it shorter or longer.")
        return replace(shot, frames=frames, transition=transition)

    def _whole(self, time: Any, number: int) -> int:
        """A time of the library as a whole frame of the sequence; its rates are floats, so the nearest rate is meant."""
        try:
            rate = next((rate.fps for rate in RATES if abs(float(rate.fps) - time.rate) < _RATE_SLACK), Fraction(time.rate))
            frames = Fraction(time.value) * self._fps / rate
        except (ValueError, OverflowError, ZeroDivisionError) as error:
            raise UseFault(f"Item {number} has a time that is no number, or no rate; export the timeline again.") from error
        if frames.denominator != 1:
            raise UseFault(
                f"Item {number} has a time of {time.value:g} at {time.rate:g} a second, which is no whole frame at "
                f"{self._sequence.timebase.rate}; export the timeline at that rate."
            )
        return int(frames)

    def _clip(self, item: Any, number: int) -> _Clip | None:
        """The item's times; None for a gap of no length, which only gives a transition something to come from."""
        if not isinstance(item, otio.schema.Clip | otio.schema.Gap):
            raise UseFault(f"Item {number} is a {type(item).__name__}, which a cut cannot hold; flatten the timeline first.")
        try:
            range_ = item.trimmed_range()
        except otio.exceptions.OTIOError as error:
            raise UseFault(f"Item {number} has neither a source range nor media that gives it one; export the timeline again.") from error
        frames = self._whole(range_.duration, number)
        if frames == 0 and isinstance(item, otio.schema.Gap):
            return None
        if not 1 <= frames <= self._sequence.timebase.frames_per_day:
            raise UseFault(f"Item {number} lasts {counted(frames, 'frame')}, which no shot can; take it out.")
        return _Clip(item, number, self._whole(range_.start_time, number), frames)

    def _shot(self, clip: _Clip, picture: Footage | Card | Black) -> Shot:
        told = _ours(clip.item)
        ident = _text(told.get("shot"))
        if not ident or ident in self._idents:
            ident = next(free for free in _free(clip.number) if free not in self._idents)
        self._idents.add(ident)
        reasons = told.get("reasons", ())
        lead = told.get("sound_lead_frames", 0)
        return Shot(
            ident,
            clip.frames,
            picture,
            locked=told.get("locked") is True,
            reasons=tuple(str(reason) for reason in reasons) if hasattr(reasons, "__iter__") and not isinstance(reasons, str) else (),
            sound_lead_frames=lead if type(lead) is int else 0,
        )

    def _picture(self, clip: _Clip) -> Footage | Card | Black | str:
        """What the item shows, or why it cannot be known."""
        if not clip.item.enabled:
            self.remarks.append(f"Item {clip.number} is switched off and became black.")
        if isinstance(clip.item, otio.schema.Gap) or not clip.item.enabled:
            return Black()
        told = _ours(clip.item)
        if card := told.get("card"):
            return _card(card, self._sequence) if hasattr(card, "get") else "its card is damaged"
        reference = clip.item.media_reference
        if isinstance(reference, otio.schema.GeneratorReference) and reference.generator_kind == "black":
            return Black()
        tape = self._tape(told, reference)
        if tape is None:
            return "its media is no tape of this sequence"
        speed = self._speed(clip, told)
        starts = work_copy_start(tape, self._sequence.timebase)
        if reference is not None and reference.available_range is not None:
            starts = self._whole(reference.available_range.start_time, clip.number)
        first = clip.start - starts - _range_start(0, speed, clip.frames)
        played = span_played(first, speed, clip.frames)
        if played.start < 0 or played.end_exclusive > usable_grid_frames(tape, self._fps):
            return f"it plays outside tape {tape.reel}"
        take = next((one for one in self._sequence.takes if one.name == told.get("take") and one.reel == tape.reel), None)
        take = take or take_for(self._sequence, tape, played, clip.item.name)
        return Footage(take.name, first, speed) if take else f"its span of tape {tape.reel} is in none of its takes"

    def heard(self, tracks: list[Any]) -> list[Heard]:
        """What is on the sound tracks."""

        def tape_of(clip: Any) -> tuple[str, int] | None:
            tape = self._tape(_ours(clip), clip.media_reference)
            return (tape.reel, work_copy_start(tape, self._sequence.timebase)) if tape else None

        return heard(tracks, self._fps, tape_of)

    def _tape(self, told: Mapping[str, Any], reference: Any) -> Tape | None:
        tapes = {tape.reel: tape for tape in self._sequence.tapes}
        if told.get("tape") in tapes:
            return tapes[told["tape"]]
        url = unquote(getattr(reference, "target_url", None) or "").removeprefix("file://")
        if not url:
            return None
        for tape in self._sequence.tapes:
            if tape.path == url:
                return tape
        same = [tape for tape in self._sequence.tapes if PurePath(tape.path).name == PurePath(url).name]
        return same[0] if len(same) == 1 else None

    def _speed(self, clip: _Clip, told: Mapping[str, Any]) -> Fraction:
        speed = Fraction(1)
        for effect in clip.item.effects:
            if isinstance(effect, otio.schema.LinearTimeWarp):
                try:
                    speed *= Fraction(effect.time_scalar).limit_denominator(_FINEST_SPEED)
                except (ValueError, OverflowError) as error:
                    raise UseFault(f"Item {clip.number} has a speed that is no number; export the timeline again.") from error
            else:
                self.remarks.append(f"Item {clip.number} has an effect ({type(effect).__name__}) that was left out.")
        try:
            exact = Fraction(_text(told.get("speed")) or "x")
        except (ValueError, ZeroDivisionError):
            return speed
        return exact if abs(float(exact) - float(speed)) < _SPEED_SLACK else speed

    def _transition(self, item: Any, number: int) -> tuple[Transition, int]:
        ahead, after = (self._whole(offset, number) for offset in (item.in_offset, item.out_offset))
        if ahead < 0 or after < 0:
            raise UseFault(f"Item {number} is a transition with a negative offset; make it again.")
        if item.transition_type != _WIPE:
            return Transition(TransitionKind.DISSOLVE, ahead + after), ahead
        wipe = _ours(item).get("wipe", 0)
        return Transition(TransitionKind.WIPE, ahead + after, wipe if type(wipe) is int and 0 <= wipe <= 999 else 0), ahead


_RATE_SLACK = 0.001
"""Frames a second: 23.976 and 24000/1001 are one rate, 23.976 and 24 are two."""
_FINEST_SPEED = 10_000
_SPEED_SLACK = 1 / _FINEST_SPEED


def _range_start(first_frame: int, speed: Fraction, frames: int) -> int:
    """Rule 2: the start of a source range of `frames` frames, from the frame seen first."""
    return first_frame if speed >= 0 else first_frame + 1 - frames


def _url(path: str) -> str:
    """A tape's path as a URL: relative as it is, absolute with its scheme."""
    return f"file://{'' if path.startswith('/') else '/'}{quote(path, safe='/:')}" if PurePath(path).is_absolute() else quote(path)


def _storable(value: Any) -> Any:
    """Texts, and those in lists and mappings, without the NUL at which the library would end them."""
    if isinstance(value, str):
        return value.replace("\0", "\N{REPLACEMENT CHARACTER}")
    if isinstance(value, dict):
        return {name: _storable(one) for name, one in value.items()}
    return [_storable(one) for one in value] if isinstance(value, list) else value


def _ours(item: Any) -> Mapping[str, Any]:
    """Our metadata of an item; empty when it is not there or no mapping."""
    found = item.metadata.get(OURS)
    return found if hasattr(found, "get") else {}


def _text(value: Any) -> str:
    return value if isinstance(value, str) else ""


def _free(number: int) -> Iterator[str]:
    yield f"s{number}"
    again = 2
    while True:
        yield f"s{number}_{again}"
        again += 1


def _card(told: Any, sequence: Sequence) -> Card:
    numbers = {move.number for move in sequence.moves}
    first, last = told.get("first_move"), told.get("last_move")
    if first not in numbers or (last is not None and last not in numbers):
        first = last = None
    return Card(_text(told.get("text")), first, last, _text(told.get("image")))
