"""Beginning and ending takes and treatments at the frame shown, and changing the framing from it on; each is one edit."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from previs.clock import first_grid_frame
from previs.desk.log.hand import Hand
from previs.desk.log.taps import Taps
from previs.desk.words import tr
from previs.document.mark_edits import (
    change_take,
    frame_as,
    put_take,
    put_treatment,
    remove_framing,
    remove_take,
    remove_treatment,
    show_face,
    take_like_the_last,
)
from previs.document.model import Kind, Sequence, Shows, Size, Take, Tape
from previs.exchange.lists import tape_label

_AFTER = {Shows.FULL: Shows.PART, Shows.PART: Shows.HIDDEN, Shows.HIDDEN: Shows.FULL}


@dataclass(frozen=True, slots=True)
class Begun:
    """Something that was begun on a tape and not ended yet: a take (`kind` None) or a treatment of a role."""

    reel: str
    frame: int
    kind: Kind | None = None
    role: str = ""


class Spans:
    """`begun` has what waits for its end, by kind; `role` is whose face or wire a treatment is about."""

    def __init__(self, hand: Hand, taps: Taps) -> None:
        self.begun: dict[Kind | None, Begun] = {}
        self._hand, self._taps = hand, taps
        self._role = 0

    @property
    def role(self) -> str:
        """The role that the next treatment is marked for; empty before there is a fight."""
        roles = self._hand.sequence.roles
        return roles[self._role % len(roles)] if roles else ""

    def choose_role(self, role: str) -> None:
        """Mark treatments for this role from now on."""
        roles = self._hand.sequence.roles
        if role in roles:
            self._role = roles.index(role)
            self._hand.changed.emit()

    def other_role(self) -> None:
        """Mark treatments for the next role from now on."""
        self._role += 1
        self._hand.tell(tr("Treatments are marked for {role}.", role=self.role) if self.role else tr("There is no fight yet."))

    def take(self) -> None:
        """Begin a take at the frame, or end the one that was begun with the frame as its last."""
        hand, tape = self._hand, self._hand.tape
        if tape is None:
            hand.tell(tr("Choose a tape first."))
            return
        begun = self._ended(None)
        if begun is None:
            self.begun[None] = Begun(hand.reel, hand.frame)
            hand.tell(tr("A take begins at {at}. T ends it, Escape forgets it.", at=self._label(tape)))
            return
        made: list[Take] = []

        def put(sequence: Sequence) -> Sequence:
            made.append(take_like_the_last(sequence, tape.reel, *self._stretch(begun, tape)))
            return put_take(sequence, made[-1])

        if hand.file.edit(put, tr("a take on {reel}", reel=tape.reel)):
            hand.choose(made[-1].name, seek=False)
            hand.tell(tr("Take {take} is marked; its phrases and framing are on the right.", take=made[-1].name))

    def treatment(self, kind: Kind) -> None:
        """Begin a treatment at the frame, or end the one that was begun with the frame as its last."""
        hand, tape = self._hand, self._hand.tape
        if tape is None or not self.role:
            hand.tell(tr("Treatments need a tape, and a fight with roles."))
            return
        begun = self._ended(kind)
        if begun is None:
            self.begun[kind] = Begun(hand.reel, hand.frame, kind, self.role)
            told = tr(
                "The {kind} of {role} begins at {at}. The same key ends it, Escape forgets it.",
                kind=kind.value,
                role=self.role,
                at=self._label(tape),
            )
            hand.tell(told)
            return
        start, end = self._stretch(begun, tape)
        if hand.file.edit(
            lambda one: put_treatment(one, tape.reel, start, end, kind, begun.role),
            tr("{kind} of {role} on {reel}", kind=kind.value, role=begun.role, reel=tape.reel),
        ):
            hand.tell(tr("The {kind} of {role} ends at {at}.", kind=kind.value, role=begun.role, at=self._label(tape)))

    def forget(self) -> None:
        """Forget what was begun."""
        if self.begun:
            self.begun.clear()
            self._hand.tell(tr("What was begun is forgotten."))

    def size(self, size: Size, *, begins: bool = False) -> None:
        """The framing that holds at the frame is this large; with `begins` a new one from the frame on."""
        name, at = self._where()
        what = tr("{size} on {take}", size=size.value, take=name)
        if name and self._hand.file.edit(lambda one: frame_as(one, name, at, begins=begins, size=size), what):
            told = tr("From this frame on take {take} is {size}.", take=name, size=size.value)
            self._hand.tell(told if begins else tr("Here take {take} is {size}.", take=name, size=size.value))

    def face(self, number: int, *, begins: bool = False) -> None:
        """The next choice of how much of this role's face shows, in the framing that holds at the frame; roles count from 0."""
        name, at = self._where()
        roles = self._hand.sequence.roles
        if not name or number >= len(roles):
            return
        role = roles[number]
        framing = self._hand.sequence.take(name).framing_at(at)
        noted = any(face.role == role for face in framing.faces)
        shows = _AFTER[framing.face_of(role)] if noted else Shows.FULL
        what = tr("face of {role} on {take}", role=role, take=name)
        if self._hand.file.edit(lambda one: show_face(one, name, at, role, shows, begins=begins), what):
            told = {
                Shows.FULL: tr("Here the face of {role} shows in full.", role=role),
                Shows.PART: tr("Here the face of {role} shows in part.", role=role),
                Shows.HIDDEN: tr("Here the face of {role} is hidden.", role=role),
            }
            self._hand.tell(told[shows])

    def edge(self, name: str, *, begin: bool, frame: int) -> None:
        """A take begins at this frame of the grid, or ends with it."""
        sequence = self._hand.sequence
        take = next((one for one in sequence.takes if one.name == name), None)
        if take is None:
            return
        tape = sequence.tape(take.reel)
        start = max(Fraction(0), frame / self._hand.fps) if begin else take.start
        end = take.end_exclusive if begin else min((frame + 1) / self._hand.fps, tape.duration)
        self._hand.file.edit(lambda one: change_take(one, name, start=start, end_exclusive=end), tr("edge of take {take}", take=name))

    def edge_here(self, *, begin: bool) -> None:
        """The chosen take begins at the frame shown, or ends with it."""
        take = self._hand.take
        if take is None or take.reel != self._hand.reel:
            self._hand.tell(tr("Choose a take first."))
            return
        self.edge(take.name, begin=begin, frame=self._hand.frame)

    def remove_here(self) -> None:
        """Remove what is marked at the frame: a hit, else a change of framing, else a treatment."""
        hand, take = self._hand, self._hand.take_here
        if take:
            hit = next((one for one in take.hits if first_grid_frame(one.at, hand.fps) == hand.frame), None)
            if hit:
                self._taps.remove(take.name, hit.move)
                return
            flag = next((one for one in take.framings[1:] if first_grid_frame(one.at, hand.fps) == hand.frame), None)
            if flag:
                name, at = take.name, flag.at
                hand.file.edit(lambda one: remove_framing(one, name, at), tr("remove a change of framing on {take}", take=name))
                return
        mark = next((one for one in hand.sequence.treatments if one.reel == hand.reel and one.span.holds(hand.moment)), None)
        if mark is None:
            hand.tell(tr("Nothing is marked at this frame."))
            return
        hand.file.edit(lambda one: remove_treatment(one, mark), tr("remove {kind} of {role}", kind=mark.kind.value, role=mark.role))

    def remove_take(self) -> None:
        """Take the chosen take out of the log."""
        take = self._hand.take
        if take is None:
            self._hand.tell(tr("Choose a take first."))
            return
        name = take.name
        if self._hand.file.edit(lambda one: remove_take(one, name), tr("take out {take}", take=name)):
            self._hand.tell(tr("Take {take} is out of the log; undo brings it back.", take=name))

    def _ended(self, kind: Kind | None) -> Begun | None:
        begun = self.begun.pop(kind, None)
        return begun if begun and begun.reel == self._hand.reel else None

    def _stretch(self, begun: Begun, tape: Tape) -> tuple[Fraction, Fraction]:
        """From the earlier of the two frames up to the end of the later."""
        first, last = sorted((begun.frame, self._hand.frame))
        return first / self._hand.fps, min((last + 1) / self._hand.fps, tape.duration)

    def _where(self) -> tuple[str, Fraction]:
        take = self._hand.take_here
        if take is None:
            self._hand.tell(tr("No take is here: T begins one."))
            return "", Fraction(0)
        return take.name, self._hand.moment

    def _label(self, tape: Tape) -> str:
        return tape_label(tape, self._hand.moment)
