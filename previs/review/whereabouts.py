"""Where a note's frames are in a version of the cut, which may have moved on since the note was made; nothing is changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from previs.clock import Span
from previs.cut.placing import Placed, hits_seen, place
from previs.document.model import Cut, Sequence
from previs.document.notes import Note

_NEAR_FRAMES = 2
"""At speeds above 1 a shot leaves tape frames out; the one beside shows the same to the eye."""


class How(StrEnum):
    """How a note was found."""

    WHOLE = "the cut as a whole"
    SAME_FRAMES = "the same frames"
    OTHER_SHOT = "the same frames, in another shot"
    OTHER_TAKE = "the same hit, on another take"
    SAME_SHOT = "the same shot, with another picture"


@dataclass(frozen=True, slots=True)
class Found:
    """The record frames that a note is about in a cut, the number of the shot, None for the whole, and how it was found."""

    record: Span
    shot: int | None
    how: How


def find(sequence: Sequence, cut: Cut, note: Note) -> Found | None:
    """Where the note is in the cut, or None when it is homeless: neither its frames, its hit nor its shot are there.

    By what was on screen and by ident, never by position: first the tape's frame in the same shot, then in any other, then
    the hit of its move, wherever it is seen, then the shot's ident.
    """
    placed = place(sequence, cut)
    if not note.shot:
        return Found(Span(0, cut.frames), None, How.WHOLE) if cut.frames else None
    own = [one for one in placed if one.shot.ident == note.shot]
    if note.tape_frame is not None:
        for among, how in ((own, How.SAME_FRAMES), (placed, How.OTHER_SHOT)):
            if found := _showing(among, note, note.tape_frame):
                return Found(_as_long(found[1], note, cut), found[0].number, how)
    if note.move is not None:
        for seen in hits_seen(sequence, placed):
            if seen.move.number == note.move:
                return Found(_as_long(seen.record_frame, note, cut), seen.placed.number, How.OTHER_TAKE)
    if own:
        # A card has no frames of its own to find; and of a shot whose take was replaced the whole is meant.
        same = note.tape_frame is None and own[0].source is None
        return Found(own[0].record, own[0].number, How.SAME_FRAMES if same else How.SAME_SHOT)
    return None


def _showing(among: Iterable[Placed], note: Note, tape_frame: int) -> tuple[Placed, int] | None:
    """The shot that shows the note's tape frame, and the record frame at which it does; the exact frame before a near one."""
    for near in (0, _NEAR_FRAMES):
        for one in among:
            if one.source is None or one.source.tape.reel != note.reel:
                continue
            shown = one.showing(Span(tape_frame - near, tape_frame + near + 1))
            seen = shown.meet(one.record) if shown else None
            if seen:
                return one, seen.start
    return None


def _as_long(start: int, note: Note, cut: Cut) -> Span:
    return Span(start, min(start + note.frames, cut.frames))
