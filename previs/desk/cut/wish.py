"""What an assembly is asked for: the questions, and their answers read; no Qt."""

from __future__ import annotations

from dataclasses import dataclass

from previs.cut.assembly import next_name
from previs.desk.cut.questions import Answers, Question
from previs.desk.words import tr
from previs.document.model import Cut, Sequence
from previs.document.settings import Wanted, set_to, share_text
from previs.exchange.written import LENGTH, length_in_frames, share
from previs.faults import UseFault

_YES, _NO = "yes", "no"


@dataclass(frozen=True, slots=True)
class Wish:
    """A cut that is wanted: its name and target, the cut whose locked shots stay, and the limits, None for those of now."""

    name: str
    target_frames: int
    around: Cut | None
    limits: Wanted

    def limited(self, sequence: Sequence) -> Sequence:
        """The sequence with the limits that are wanted; the same one where none is changed. Raises `UseFault` for nonsense."""
        return sequence if self.limits == Wanted() else set_to(sequence, self.limits)


def questions(sequence: Sequence, cut: Cut | None) -> tuple[Question, ...]:
    """What is asked before a cut is assembled; `cut` is the one that is worked on."""
    settings = sequence.settings
    locked = sum(shot.locked for shot in cut.shots) if cut else 0
    keep = Question(
        "keep",
        tr("Locked shots"),
        _YES,
        choices=(
            (_YES, tr("stay as they are in cut {cut}", cut=cut.name if cut else "")),
            (_NO, tr("may become other shots")),
        ),
    )
    return (
        Question("target", tr("How long it may last"), sequence.timebase.label(sequence.target_frames), LENGTH),
        Question("name", tr("Its name"), next_name(sequence)),
        *((keep,) if locked else ()),
        Question("retiming", tr("A shot may be stretched or squeezed by"), share_text(settings.most_retiming)),
        Question("breath", tr("Of a breath there must stay"), share_text(settings.least_breath)),
        Question("lead", tr("The cut comes before a hit by"), str(settings.lead_frames), tr("Frames, or seconds such as 0.2s.")),
    )


def wish(sequence: Sequence, cut: Cut | None, answers: Answers) -> Wish:
    """What the answers ask for; raises `UseFault` for those that cannot be read, or a name that is taken."""
    name = answers["name"].strip()
    if not name:
        raise UseFault(tr("A cut needs a name, such as {name}.", name=next_name(sequence)))
    if any(one.name == name for one in sequence.cuts):
        raise UseFault(tr("There is a cut named '{name}' already; give another name.", name=name))
    proposed = {question.name: question.given for question in questions(sequence, cut)}

    def changed(what: str) -> str | None:
        # What is shown is rounded, so what was left as it was proposed is no change.
        return answers[what] if answers[what] != proposed[what] else None

    retiming, breath, lead = changed("retiming"), changed("breath"), changed("lead")
    limits = Wanted(
        most_retiming=None if retiming is None else share(retiming, "10%"),
        least_breath=None if breath is None else share(breath, "33%"),
        lead_frames=None if lead is None else length_in_frames(lead, sequence.timebase),
    )
    wanted = Wish(
        name,
        length_in_frames(answers["target"], sequence.timebase),
        cut if answers.get("keep") == _YES else None,
        limits,
    )
    wanted.limited(sequence)
    return wanted
