"""Where a note's frames are in a version of the cut, which may have moved on since the note was made; nothing is changed.

By what was on screen and by ident, never by position, in this order:

1. the tape's frame, where the note's shot shows it, then where any other shot does, also under a transition;
2. what is left of a range in the note's shot, when its first frame is cut away;
3. the hit of its move, whatever take shows it;
4. the note's shot, without those frames, or with another picture.

Which shot of this cut the note's shot is, is found as change lists find it (`cut/changes.py`), since a cut that was assembled
anew counts its idents from the beginning. Of several frames that show the same, such as those of a still, it is the one at
the note's place in its shot, when the cut that it was made on is still there as it was, else the nearest in running time.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from previs.clock import Span, span_played
from previs.cut.changes import same_shots
from previs.cut.placing import Placed, hits_seen, place
from previs.document.model import Cut, Sequence
from previs.document.notes import Note


class How(StrEnum):
    """How a note was found."""

    WHOLE = "the cut as a whole"
    SAME_FRAMES = "the same frames"
    OTHER_SHOT = "the same frames, in another shot"
    REST = "what is left of the frames"
    SAME_HIT = "the same hit, in another picture"
    WITHOUT = "the same shot, without those frames"
    SAME_SHOT = "the same shot, with another picture"


@dataclass(frozen=True, slots=True)
class Found:
    """The record frames that a note is about in a cut, the number of the shot, None for the whole, and how it was found."""

    record: Span
    shot: int | None
    how: How

    @property
    def same_picture(self) -> bool:
        """Whether the picture is the one that the note was given on: what was drawn on one picture says nothing on another."""
        return self.how in (How.SAME_FRAMES, How.OTHER_SHOT)


def find(sequence: Sequence, cut: Cut, note: Note) -> Found | None:
    """Where the note is in the cut, or None when it is homeless: neither its frames, its hit nor its shot are there."""
    return find_all(sequence, cut, (note,))[0]


def find_all(sequence: Sequence, cut: Cut, notes: Iterable[Note]) -> tuple[Found | None, ...]:
    """Where each of the notes is in the cut, in their order, as `find` says; the cut is looked through once."""
    search = _Search(sequence, cut)
    return tuple(search.found(note) for note in notes)


@dataclass(frozen=True, slots=True)
class _Home:
    """The shot of this cut that is the note's own, None when there is none, and the own frame it was made on, None if unknown."""

    shot: Placed | None = None
    frame: int | None = None


class _Search:
    """One cut to look for notes in."""

    def __init__(self, sequence: Sequence, cut: Cut) -> None:
        self._sequence, self._cut = sequence, cut
        self._placed = place(sequence, cut)
        self._hits = hits_seen(sequence, self._placed)
        self._cuts = {one.name: one for one in sequence.cuts}
        self._earlier: dict[str, tuple[dict[str, Placed], dict[int, int]]] = {}

    def found(self, note: Note) -> Found | None:
        """Where the note is, by the rules of this module."""
        if not note.shot:
            return Found(Span(0, self._cut.frames), None, How.WHOLE) if self._cut.frames else None
        home = self._home(note)
        return self._frames(note, home) or self._rest(note, home) or self._hit(note, home) or self._shot(note, home)

    def _home(self, note: Note) -> _Home:
        made_on = self._cuts.get(note.cut)
        if made_on is None:
            # Nothing tells which shot it was but its ident, and only one of the same tape can be believed.
            own = next((one for one in self._placed if one.shot.ident == note.shot and _reel(one) == note.reel), None)
            return _Home(own)
        if note.cut not in self._earlier:
            was = {one.shot.ident: one for one in place(self._sequence, made_on)}
            is_same = made_on is self._cut or made_on == self._cut
            now = {one.number: one.number for one in self._placed} if is_same else same_shots(self._sequence, made_on, self._cut)
            numbers = {then: number for number, then in now.items()}
            self._earlier[note.cut] = was, numbers
        was, numbers = self._earlier[note.cut]
        old = was.get(note.shot)
        if old is None:
            return _Home()
        number = numbers.get(old.number)
        return _Home(self._placed[number - 1] if number else None, own_frame(old, note))

    def _frames(self, note: Note, home: _Home) -> Found | None:
        if note.tape_frame is None:
            return None
        best: tuple[tuple[bool, bool, int, int], Placed, int] | None = None
        for one in self._placed:
            shown, is_exact = _showing(one, note.reel, note.tape_frame)
            if shown is None:
                continue
            is_own = home.shot is one
            wanted = one.record.start + home.frame if is_own and home.frame is not None else note.first_frame
            at = min(max(wanted, shown.start), shown.end_exclusive - 1)
            key = (not is_own, not is_exact, abs(at - wanted), one.number)
            if best is None or key < best[0]:
                best = key, one, at
        if best is None:
            return None
        _, one, at = best
        return Found(self._as_long(at, note), one.number, How.SAME_FRAMES if one is home.shot else How.OTHER_SHOT)

    def _rest(self, note: Note, home: _Home) -> Found | None:
        one = home.shot
        if note.tape_frame is None or one is None or one.source is None or _reel(one) != note.reel:
            return None
        # The tape frames of the range, were it played as its shot is played now.
        shown = one.showing(span_played(note.tape_frame, one.source.speed, note.frames))
        return Found(shown, one.number, How.REST) if shown else None

    def _hit(self, note: Note, home: _Home) -> Found | None:
        seen = [hit for hit in self._hits if hit.move.number == note.move]
        if not seen:
            return None
        best = min(seen, key=lambda hit: (hit.placed is not home.shot, abs(hit.record_frame - note.first_frame)))
        return Found(self._as_long(best.record_frame, note), best.placed.number, How.SAME_HIT)

    def _shot(self, note: Note, home: _Home) -> Found | None:
        one = home.shot
        if one is None:
            return None
        if note.tape_frame is not None and _reel(one) == note.reel:
            return Found(one.record, one.number, How.WITHOUT)
        if note.tape_frame is not None or one.source is not None:
            return Found(one.record, one.number, How.SAME_SHOT)
        # A card has no frames of a tape to find: the note's place in it is known, or the whole card is meant.
        if home.frame is None or home.frame >= one.on_screen.length:
            return Found(one.record, one.number, How.SAME_FRAMES)
        return Found(self._as_long(one.record.start + home.frame, note), one.number, How.SAME_FRAMES)

    def _as_long(self, start: int, note: Note) -> Span:
        return Span(start, min(start + note.frames, self._cut.frames))


def _reel(one: Placed) -> str:
    return one.source.tape.reel if one.source else ""


def _showing(one: Placed, reel: str, tape_frame: int) -> tuple[Span | None, bool]:
    """The record frames at which a shot shows a tape frame, and whether just that one: one that is stepped over counts as hits do."""
    if one.source is None or one.source.tape.reel != reel:
        return None, False
    if exact := one.showing(Span(tape_frame, tape_frame + 1)):
        return exact, True
    stepped = abs(one.source.speed).__ceil__()
    return (one.showing(Span(tape_frame, tape_frame + stepped)) if stepped > 1 else None), False


def own_frame(old: Placed, note: Note) -> int | None:
    """The note's place in its shot, from 0, where the shot still shows there what the note saw."""
    own = note.first_frame - old.record.start
    if not old.on_screen.holds(note.first_frame):
        return None
    if old.source is None:
        return own if note.tape_frame is None else None
    return own if _reel(old) == note.reel and old.source.frame(own) == note.tape_frame else None
