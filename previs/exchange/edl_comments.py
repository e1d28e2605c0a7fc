"""What an edit list says about each event in comment lines: tape time code, framing, moves, treatments; no event lines.

A comment line begins with `* ` and a word of ours, and is at most 80 columns wide. A longer one goes on in lines that
begin with `* + `, so no part of a label, note or name can begin a line and be read as a statement of its own. A span in
a comment names its first and its last frame.
"""

from __future__ import annotations

import textwrap
from collections import defaultdict

from previs.clock import tape_frame_at
from previs.cut.placing import Placed, hits_seen, treatments_seen
from previs.cut.source_time import work_copy_start
from previs.cut.wording import counted
from previs.document.model import Card, Sequence
from previs.exchange.lists import framing_text, moves_text, record_label, tape_rate
from previs.exchange.plain import plain
from previs.exchange.reels import ListReel

WIDTH = 80


def comment(text: str) -> list[str]:
    """One remark as comment lines."""
    return textwrap.wrap(plain(text), WIDTH, initial_indent="* ", subsequent_indent="* + ")


def clip_name(which: str, name: str) -> list[str]:
    """The `FROM` or `TO` clip name that readers give to an event; what does not fit follows in full."""
    shown = plain(name) or "?"
    line = f"* {which} CLIP NAME: {shown}"
    if len(line) <= WIDTH:
        return [line]
    return [line[:WIDTH].rstrip(), *comment(f"NAME IN FULL: {shown}")]


def event_comments(sequence: Sequence, placed: tuple[Placed, ...]) -> dict[int, list[str]]:
    """For each shot number, its comment lines in a fixed order."""
    said: dict[int, list[str]] = defaultdict(list)
    for one in placed:
        said[one.number] += _backwards(sequence, one) + _tape_time_code(sequence, one) + _plays_on(one)
        said[one.number] += _framing(sequence, one) + _card(one) + _sound_lead(one)
    for hit in hits_seen(sequence, placed):
        said[hit.placed.number] += comment(f"MOVE {hit.move.number} LANDS {record_label(sequence, hit.record_frame)}: {hit.move.label}")
    for seen in treatments_seen(sequence, placed):
        span = f"{record_label(sequence, seen.record.start)} - {record_label(sequence, seen.record.end_exclusive - 1)}"
        under, leaves_by = seen.under_frames, seen.placed.leaves_by
        told = f", {counted(under, 'FRAME').upper()} UNDER THE {leaves_by.kind.value.upper()}" if under and leaves_by else ""
        note = f": {seen.treatment.note}" if seen.treatment.note else ""
        said[seen.placed.number] += comment(f"{seen.treatment.kind.value.upper()} {span} {seen.treatment.role}{told}{note}")
    return said


def reel_comments(reels: tuple[ListReel, ...]) -> list[str]:
    """The reel table as comments: the reel in the list, the tape, its rate and start, and its file."""
    lines: list[str] = []
    for reel in reels:
        starts = f"STARTS {reel.tape_start} AT {_counting(reel)}, HERE {reel.list_start}"
        lines += comment(f"REEL {reel.in_list} = TAPE {reel.tape.reel}, {starts}, FILE {reel.tape.path}")
    return lines


def _counting(reel: ListReel) -> str:
    return tape_rate(reel.tape)


def _tape_time_code(sequence: Sequence, one: Placed) -> list[str]:
    """The first and the last frame played, in the order played, where the tape counts otherwise than the list."""
    if one.source is None or one.source.tape.timebase == sequence.timebase:
        return []
    tape, counting = one.source.tape, one.source.tape.timebase
    labels = [
        counting.label(counting.wrap(tape.start_frame + tape_frame_at(frame / sequence.timebase.rate.fps, counting.rate)))
        for frame in (one.source.frame(0), one.source.frame(one.shot.frames - 1))
    ]
    return comment(f"TAPE TIME CODE {labels[0]} - {labels[1]} AT {tape_rate(tape)}")


def _backwards(sequence: Sequence, one: Placed) -> list[str]:
    """What an event with a negative speed plays, as the list counts: its source columns say it by a convention only."""
    source, timebase = one.source, sequence.timebase
    if source is None or source.speed >= 0:
        return []
    start = work_copy_start(source.tape, timebase)
    first, last = (timebase.label(timebase.wrap(start + source.frame(k))) for k in (0, one.shot.frames - 1))
    return comment(f"PLAYS BACKWARDS FROM {first} TO {last}")


def _plays_on(one: Placed) -> list[str]:
    """What is needed of a tape beyond the event's out."""
    if one.source is None or one.leaves_by is None:
        return []
    return comment(
        f"PLAYS ON FOR {counted(one.under_frames, 'FRAME').upper()} UNDER THE {one.leaves_by.kind.value.upper()} INTO THE NEXT EVENT"
    )


def _sound_lead(one: Placed) -> list[str]:
    """A split edit, in words: the classic list's own SPLIT lines are not written."""
    lead = one.shot.sound_lead_frames
    return comment(f"SOUND BEGINS {abs(lead)} FRAMES {'BEFORE' if lead > 0 else 'AFTER'} THE PICTURE") if lead else []


def _framing(sequence: Sequence, one: Placed) -> list[str]:
    """The framing on the shot's first frame, and each that a later frame brings, also under the transition into the next."""
    lines: list[str] = []
    for span, framing in one.framings(sequence.timebase.rate.fps):
        at = f" FROM {record_label(sequence, span.start)}" if lines else ""
        lines += comment(f"FRAMING{at}: {framing_text(framing)}")
    return lines


def _card(one: Placed) -> list[str]:
    picture = one.shot.picture
    if not isinstance(picture, Card):
        return []
    lines = comment(f"CARD: {picture.text}") + (comment(f"CARD PICTURE: {picture.image}") if picture.image else [])
    if picture.first_move is not None:
        last = picture.first_move if picture.last_move is None else picture.last_move
        lines += comment(f"CARD STANDS FOR MOVES {moves_text(tuple(range(picture.first_move, last + 1)))}")
    return lines
