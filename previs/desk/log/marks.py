"""Takes, framings, faces and treatments of the tape that is looked at; each change is one edit of the file."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from previs.desk.log.framing_row import after
from previs.desk.log.tape_data import proposals, tape_data
from previs.desk.words import tr
from previs.document import mark_edits
from previs.document.model import Kind, Size, Take

if TYPE_CHECKING:
    from previs.desk.log.place import LogPlace

KIND_KEYS = {Kind.DIGITAL_DOUBLE: "D", Kind.FACE_REPLACEMENT: "R", Kind.RIG_REMOVAL: "W"}


class Marks:
    """Marks takes, framings and treatments at the place where the person is."""

    def __init__(self, at: LogPlace) -> None:
        self._at, self._file = at, at.file
        self._treating: dict[Kind, int] = {}
        self._role = 0

    def forget_begun(self) -> None:
        """Another tape is looked at: what was begun on this one is given up."""
        self._at.sheet.begun = None
        self._treating.clear()

    @property
    def said(self) -> str:
        """What is being marked, or of which role treatments are."""
        roles = self._file.sequence.roles
        role = roles[self._role % len(roles)] if roles else ""
        for kind in self._treating:
            return tr("marking {kind} of {role}", kind=kind.value, role=role)
        return tr("Treatments are marked for {role} (E changes).", role=role) if role else ""

    def mark_take(self) -> None:
        """A take begins here; pressed again, it ends here."""
        if not self._at.reel:
            self._file.say(tr("Choose a tape first."))
            return
        if self._at.sheet.begun is None:
            self._at.sheet.begun = self._at.player.frame
            self._file.say(tr("A take begins here; T again ends it."))
            self._at.sheet.update()
            return
        first, end = sorted((self._at.sheet.begun, self._at.player.frame))
        self._at.sheet.begun = None
        self._put_take(first / self._at.fps, end / self._at.fps)

    def take_over(self) -> None:
        """Make a take of the one that is proposed at this frame."""
        signals = self._at.signals()
        tape = self._file.sequence.tape(self._at.reel) if self._at.reel else None
        found = [one for one in proposals(tape, signals) if one.begin <= float(self._at.moment) < one.end] if tape and signals else []
        if not found or tape is None:
            self._file.say(tr("No take is proposed at this frame."))
            return
        begin, end = (Fraction(round(at * 1000), 1000) for at in (found[0].begin, found[0].end))
        self._put_take(begin, min(end, tape.duration))

    def _put_take(self, begin: Fraction, end: Fraction) -> None:
        sequence = self._file.sequence
        if not sequence.phrases:
            self._file.say(tr("Write the fight first: a take plays its phrases."))
            return
        name, first = mark_edits.new_take_name(sequence, self._at.reel), sequence.phrases[0].number
        camera = sequence.tape(self._at.reel).camera
        take = mark_edits.plain_take(name, self._at.reel, begin, end, (first, sequence.phrases[-1].number), camera)
        if self._file.edit(lambda one: mark_edits.put_take(one, take), f"take {name}"):
            self._file.say(tr("Take {name}: say on its card which phrases it plays.", name=name))
            self._at.choose(self._at.reel, name)

    def move_edge(self, name: str, is_end: bool, frame: int) -> None:
        """A take begins or ends on another frame."""
        part = {"end_exclusive" if is_end else "start": frame / self._at.fps}
        self._file.edit(lambda one: mark_edits.change_take(one, name, **part), f"{'end' if is_end else 'beginning'} of take {name}")

    def remove_take(self) -> None:
        """The chosen take is none."""
        if take := self._at.take:
            self._file.edit(lambda one: mark_edits.remove_take(one, take.name), f"no take {take.name}")

    def frame_as(self, size: Size, begins: bool = False) -> None:
        """The framing that holds here has this size, or a new one that begins here."""
        if (take := self._playing()) is not None:
            words = f"take {take.name} {size.value}{' from here' if begins else ''}"
            self._file.edit(lambda one: mark_edits.frame_as(one, take.name, self._at.moment, begins=begins, size=size), words)

    def turn_face(self, role: str) -> None:
        """A role's face shows otherwise in the framing that holds here."""
        if role and (take := self._playing()) is not None:
            shows = after(take.framing_at(self._at.moment).face_of(role))
            words = f"face of {role} {shows.value} on take {take.name}"
            self._file.edit(lambda one: mark_edits.show_face(one, take.name, self._at.moment, role, shows), words)

    def face_of_role(self, number: int) -> None:
        """The same, of the first role (0) or the second."""
        roles = self._file.sequence.roles
        self.turn_face(roles[number] if number < len(roles) else "")

    def _playing(self) -> Take | None:
        """The chosen take if it plays at this frame, else the one that does."""
        if self._at.take and self._at.take.span.holds(self._at.moment):
            return self._at.take
        found = tape_data(self._file.sequence, self._at.reel).take_at(self._at.player.frame) if self._at.reel else None
        if found is None:
            self._file.say(tr("No take plays at this frame."))
            return None
        self._at.take_name = found.name
        return found

    def treat(self, kind: Kind) -> None:
        """A treatment begins here; called again, it ends here."""
        roles = self._file.sequence.roles
        if not self._at.reel or not roles:
            self._file.say(tr("Write the fight first: a treatment is of one of its roles."))
            return
        role = roles[self._role % len(roles)]
        if kind not in self._treating:
            self._treating[kind] = self._at.player.frame
            self._file.say(tr("{kind} of {role} begins here; {key} again ends it.", kind=kind.value, role=role, key=KIND_KEYS[kind]))
            self._at.show_framing()
            return
        first, last = sorted((self._treating.pop(kind), self._at.player.frame))
        start, end = first / self._at.fps, min((last + 1) / self._at.fps, self._file.sequence.tape(self._at.reel).duration)
        words = f"{kind.value} of {role} on tape {self._at.reel}"
        self._file.edit(lambda one: mark_edits.put_treatment(one, self._at.reel, start, end, kind, role), words)
        self._at.show_framing()

    def remove_treatment(self) -> None:
        """The treatment that is marked at this frame was none."""
        here = [one for one in self._file.sequence.treatments if one.reel == self._at.reel and one.span.holds(self._at.moment)]
        if here:
            self._file.edit(lambda one: mark_edits.remove_treatment(one, here[0]), f"no {here[0].kind.value} of {here[0].role} there")
        else:
            self._file.say(tr("No treatment is marked at this frame."))

    def other_role(self) -> None:
        """The next treatments are of another role."""
        self._role += 1
        self._at.show_framing()
