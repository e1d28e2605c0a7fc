"""Assembling a cut from the desk: asked for in a form, made in the background, told in words; the assembly is `cut.assembly`."""

from __future__ import annotations

from collections.abc import Callable

from previs.cut.assembly import Assembly, assemble, with_cut
from previs.desk.cut.form import Form
from previs.desk.cut.questions import Answers
from previs.desk.cut.wish import Wish, questions, wish
from previs.desk.place import Place
from previs.desk.words import tr
from previs.exchange.lists import against_target, counted_shots
from previs.faults import UseFault
from previs.progress import Report, Step

Told = Callable[[tuple[str, ...]], None]


def ask_and_assemble(place: Place, told: Told) -> None:
    """Ask what is wanted and begin; `told` gets what there is to say of the cut when it is made."""
    file = place.file

    def begin(answers: Answers) -> str:
        try:
            wanted = wish(file.sequence, file.cut, answers)
        except UseFault as fault:
            return str(fault)
        assemble_in_background(place, wanted, told)
        return ""

    Form(place, tr("Assemble a timing cut"), questions(file.sequence, file.cut), begin, tr("Assemble")).exec()


def assemble_in_background(place: Place, wanted: Wish, told: Told) -> None:
    """Assemble from the document as it is now; the cut, and the limits it was made with, go into the document as it is then."""
    file, sequence = place.file, place.file.sequence
    doing = tr("Assembling cut {cut}", cut=wanted.name)

    def job(report: Report) -> Assembly:
        report(Step(0, 2, doing))
        made = assemble(wanted.limited(sequence), wanted.name, wanted.target_frames, wanted.around)
        report(Step(1, 2, doing))  # where it was to stop, nothing is put in
        return made

    def put(made: Assembly) -> None:
        if not file.edit(lambda now: with_cut(wanted.limited(now), made.cut), "assemble a cut"):
            return
        cut = file.sequence.cut(wanted.name)
        first = tr("Cut {cut}: {shots}, {against}.", cut=cut.name, shots=counted_shots(cut), against=against_target(file.sequence, cut))
        told((first, *made.remarks))

    file.do(doing, job, put)
