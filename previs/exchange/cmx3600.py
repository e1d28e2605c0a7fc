"""A cut as CMX3600 edit lists: pure text out; it opens no file and reads no list.

Sources. ST 258M-2004 was read as title and scope only. The layout is that of two public readers and their tests:
pycmx (`parse_cmx_statements.py`, columns) and OpenTimelineIO's CMX3600 adapter (`test_cmx_dissolve_examples.py`, the
specification's own transitions); M2 lines as in the samples of the public Ruby library `edl` (TIMEWARP.EDL,
FCP_REVERSE.EDL). From memory, with no source to cite: 999 events, and a title of 70 characters.

Rules.
1. Columns: event 3, two spaces, reel 8, one space, channels 4, two spaces, transition 4, one space, duration 3, one
   space, then four time codes of 11 with one space between: 76 characters. Lines end with CR LF; all is ASCII.
2. Record times begin at the sequence's start. An out is the frame after the last. Drop-frame labels have a semicolon,
   except at the end of an M2 line, where both readers take colons only; a drop-frame list with M2 lines says so once.
3. Source times count at the sequence's timebase from the work copy's start (`previs.cut.source_time`), wrapping at
   midnight. Cards are reel AX and black is BL; each counts from 00:00:00:00 at its own first frame.
4. Channels are V, and AA/V for a tape with sound that plays forwards. Black is laid as black and silence on all the
   channels that the cut uses, so that a fade takes the sound with it.
5. A dissolve (D) or wipe (Wnnn) is two lines of one event: the outgoing at its out point, a cut of no length; then the
   incoming, whose record in is where the transition starts. The outgoing plays on under it for the duration given, which
   appears in no other line. A transition on the first shot comes from black.
6. Speed other than 1 is an M2 line: frames a second, one decimal, sign for the direction, the reel and the source in.
   The source span is what is played: 1 frame for a freeze (000.0). Backwards, the source in is the frame seen first, the
   last one on the tape, and the out lies as far *after* it as the shot's length of tape: what the published reverse
   samples do. Where the M2 line does not tell the speed (`previs.exchange.m2_speed`) a comment gives the fraction.
   Under a transition the outgoing's M2 comes first; the incoming then has one too if it is on the same reel.
7. A list holds 999 events at most; the next begins again at 001 and its record times go on.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from previs.clock import first_grid_frame, frame_played, span_played
from previs.cut.placing import Placed, place
from previs.cut.source_time import work_copy_start
from previs.cut.wording import counted
from previs.document.model import Black, Card, Cut, Sequence, Transition, TransitionKind
from previs.exchange.edl_comments import clip_name, comment, event_comments, reel_comments
from previs.exchange.list_sound import lays_sound
from previs.exchange.lists import record_label
from previs.exchange.m2_speed import speed_told, tenths
from previs.exchange.plain import plain
from previs.exchange.reels import BLACK_REEL, CARD_REEL, ListReel, reel_table
from previs.faults import UseFault

MOST_EVENTS = 999
LONGEST_TRANSITION = 255
"""Frames: the specification's own longest case (adapter test `test_cmx_dissolve_case_5`); a 1990s controller manual
(Videonics AB-1, CMX export) prints the same limit."""
_LONGEST_TITLE = 70
_FASTEST = 9999
"""Tenths of a frame a second: what `ddd.d` can hold."""


@dataclass(frozen=True, slots=True)
class EditList:
    """One list: a name fit for a file, its TITLE, its whole text, and the cut's events (= shots, from 1) that it holds."""

    name: str
    title: str
    text: str
    first_event: int
    last_event: int


def write_edl(sequence: Sequence, cut: Cut, alone: Mapping[int, str] | None = None) -> tuple[EditList, ...]:
    """The cut as one list, or as several where it has more than 999 events; equal input gives equal bytes.

    `alone` gives clip names to shots by number: then only these are listed, at their place in the cut, as straight cuts.
    Raises `UseFault` for what a list cannot say: no shots, a record time past midnight, a transition that is too long or
    has no tape left to play, a speed beyond the M2 line's digits.
    """
    if not cut.shots:
        raise UseFault(f"Cut {cut.name} has no shots, so there is no list to write; assemble it first.")
    day = sequence.timebase.frames_per_day
    if sequence.start_frame + cut.frames >= day:
        raise UseFault(
            f"Cut {cut.name} starts at {sequence.timebase.label(sequence.start_frame)} and would run past midnight, which an edit "
            "list cannot say; start the sequence earlier."
        )
    placed = place(sequence, cut)
    writer = _Writer(sequence, placed, alone)
    listed = [one for one in placed if alone is None or one.number in alone]
    events = [writer.event(one.number - 1) for one in listed]
    starts = range(0, len(events), MOST_EVENTS)
    return tuple(
        _one_list(sequence, cut, events, writer.reels_used(listed[first : first + MOST_EVENTS]), first, number, len(starts))
        for number, first in enumerate(starts, start=1)
    )


def _one_list(
    sequence: Sequence, cut: Cut, events: list[_Event], reels: tuple[ListReel, ...], first: int, number: int, lists: int
) -> EditList:
    here = events[first : first + MOST_EVENTS]
    part = f" LIST {number} OF {lists}" if lists > 1 else ""
    title = plain(f"{sequence.title} {cut.name}")[: _LONGEST_TITLE - len(part)].rstrip() + part
    lines = [f"TITLE: {title}", f"FCM: {'DROP FRAME' if sequence.drop else 'NON-DROP FRAME'}"]
    for event_number, event in enumerate(here, start=1):
        lines += [f"{event_number:03d}  {line}" for line in event.lines] + event.notes
    if sequence.drop and any(line.startswith("M2 ") for line in lines):
        # The word M2 in a comment would itself be read as a speed (the adapter's SPEED_EFFECT_RE).
        lines += comment("SPEED LINES DROP FRAMES TOO: THEIR COLONS ARE ALL THAT SOME READERS TAKE")
    lines += comment("REELS: A SPAN IN A COMMENT NAMES ITS FIRST AND ITS LAST FRAME") + reel_comments(reels)
    name = re.sub(r"[^A-Z0-9]+", "_", title.upper()).strip("_") or "LIST"
    return EditList(name, title, "\r\n".join(lines) + "\r\n", first + 1, first + len(here))


@dataclass(frozen=True, slots=True)
class _Event:
    """One event without its number: one line or two, and the statements and comments that follow."""

    lines: list[str]
    notes: list[str]


@dataclass(frozen=True, slots=True)
class _Source:
    """One side of an event: reel, source frames of the day as counted in the list, clip name, and speed."""

    reel: str
    start: int
    length: int
    name: str
    speed: Fraction = Fraction(1)


class _Writer:
    """The events of one cut; it holds what every event needs."""

    def __init__(self, sequence: Sequence, placed: tuple[Placed, ...], alone: Mapping[int, str] | None) -> None:
        self._sequence = sequence
        self._placed = placed
        self._alone = alone
        self._timebase = sequence.timebase
        self._reels = {reel.tape.reel: reel for reel in reel_table(sequence)}
        self._comments = event_comments(sequence, placed)
        self._sound = any(lays_sound(one) for one in placed)

    def reels_used(self, placed: list[Placed]) -> tuple[ListReel, ...]:
        """The reels of these shots, in order of first use."""
        return tuple(self._reels[reel] for reel in dict.fromkeys(one.source.tape.reel for one in placed if one.source))

    def event(self, index: int) -> _Event:
        """The event of one shot, its transition checked."""
        one = self._placed[index]
        transition = one.shot.transition if self._alone is None else None
        incoming = self._source(one)
        self._check_tape(one, one.shot.frames, "plays past the end of")
        if transition is None:
            lines, motion = [self._line(one, incoming, "C", "")], self._motion(incoming)
            names = clip_name("FROM", incoming.name)
        else:
            outgoing = self._outgoing(index, transition)
            self._check_length(one, transition)
            wipe = transition.kind is TransitionKind.WIPE
            lines = [
                self._line(one, outgoing, "C", "", no_length=True),
                self._line(one, incoming, f"W{transition.wipe:03d}" if wipe else "D", f"{transition.frames:03d}"),
            ]
            told = outgoing.speed != 1 and outgoing.reel == incoming.reel
            motion = self._motion(outgoing) + self._motion(incoming, always=told)
            names = clip_name("FROM", outgoing.name) + clip_name("TO", incoming.name)
        return _Event(lines, motion + names + self._exact_speed(incoming) + self._comments.get(one.number, []))

    def _line(self, one: Placed, source: _Source, kind: str, duration: str, *, no_length: bool = False) -> str:
        channels = "AA/V" if lays_sound(one) or (self._sound and isinstance(one.shot.picture, Black)) else "V"
        label, wrap = self._timebase.label, self._timebase.wrap
        source_out = source.start if no_length else source.start + source.length
        record_out = one.record.start if no_length else one.record.end_exclusive
        times = [label(wrap(frame)) for frame in (source.start, source_out)]
        times += [record_label(self._sequence, frame) for frame in (one.record.start, record_out)]
        return f"{source.reel:8} {channels:4}  {kind:4} {duration:3} {' '.join(times)}"

    def _source(self, one: Placed, skip: int = 0) -> _Source:
        """What a shot plays from its frame `skip` on."""
        picture = one.shot.picture
        if one.source is None:
            reel, name = (CARD_REEL, "CARD") if isinstance(picture, Card) else (BLACK_REEL, "BLACK")
            return _Source(reel, skip, one.shot.frames - skip, name)
        source = one.source
        first = frame_played(source.first_frame, source.speed, skip)
        return _Source(
            reel=self._reels[source.tape.reel].in_list,
            start=work_copy_start(source.tape, self._timebase) + first,
            length=source.played.length,
            name=source.take.name if self._alone is None else self._alone[one.number],
            speed=source.speed,
        )

    def _outgoing(self, index: int, transition: Transition) -> _Source:
        """The shot before, at its out point; black before the first."""
        if index == 0:
            return _Source(BLACK_REEL, 0, 0, "BLACK")
        before = self._placed[index - 1]
        self._check_tape(before, before.shot.frames + transition.frames, f"has to play on under the {transition.kind} into the next past")
        return self._source(before, skip=before.shot.frames)

    def _check_length(self, one: Placed, transition: Transition) -> None:
        if transition.frames > LONGEST_TRANSITION:
            raise UseFault(
                f"The {transition.kind} into shot {one.number} lasts {counted(transition.frames, 'frame')}; an edit list goes to "
                f"{LONGEST_TRANSITION}. Make it shorter."
            )
        if not 1 <= transition.frames <= one.shot.frames:
            raise UseFault(
                f"The {transition.kind} into shot {one.number} lasts {counted(transition.frames, 'frame')}; make it last "
                f"between 1 frame and the shot's {one.shot.frames}."
            )

    def _check_tape(self, one: Placed, frames: int, does: str) -> None:
        """Refuse a shot whose first `frames` frames, counting a transition it plays under, are not all on its tape."""
        if one.source is None:
            return
        tape = one.source.tape
        needed = span_played(one.source.first_frame, one.source.speed, frames)
        there = first_grid_frame(tape.duration, self._timebase.rate.fps)
        if needed.start < 0 or needed.end_exclusive > there:
            missing = max(-needed.start, needed.end_exclusive - there)
            raise UseFault(
                f"Shot {one.number} (take {one.source.take.name}) {does} the tape {tape.reel}, which is "
                f"{counted(missing, 'frame')} too short; trim the shot or shorten the transition."
            )

    def _motion(self, source: _Source, *, always: bool = False) -> list[str]:
        if source.speed == 1 and not always:
            return []
        told = self._tenths(source)
        trigger = self._timebase.label(self._timebase.wrap(source.start)).replace(";", ":")
        number = f"{'-' if told < 0 else ''}{abs(told) // 10:03d}.{abs(told) % 10}"
        return [f"M2   {source.reel:8}      {number:>6}{'':16}{trigger}"]

    def _tenths(self, source: _Source) -> int:
        told = tenths(source.speed, self._timebase.rate)
        if abs(told) > _FASTEST or (told == 0 and source.speed != 0):
            raise UseFault(
                f"Take {source.name} plays at {float(source.speed):g} times its speed, which the edit list's ddd.d frames a second "
                "cannot say; choose a speed between 0.05 and 999.9 frames a second, or a freeze."
            )
        return told

    def _exact_speed(self, source: _Source) -> list[str]:
        if source.speed == 1 or speed_told(Fraction(self._tenths(source), 10), self._timebase.rate) == source.speed:
            return []
        return comment(f"SPEED IS EXACTLY {source.speed} OF NORMAL")
