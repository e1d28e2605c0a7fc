"""The dialog that assembles a cut, and what is said of it afterwards; the assembly itself is `cut.assembly`."""

from __future__ import annotations

from PyQt6.QtWidgets import QCheckBox, QDialog, QDialogButtonBox, QFormLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from previs.cut.assembly import Assembly, assemble, next_name, with_cut
from previs.desk.open_file import OpenFile
from previs.desk.words import tr
from previs.exchange.lists import against_target
from previs.exchange.written import length_in_frames
from previs.faults import UseFault


class AssembleDialog(QDialog):
    """Asks for a target, a name, and whether the locked shots of the present cut stay."""

    def __init__(self, file: OpenFile, parent: QWidget) -> None:
        super().__init__(parent)
        self._file = file
        sequence = file.sequence
        self.setWindowTitle(tr("Assemble a timing cut"))
        self.target = QLineEdit(sequence.timebase.label(sequence.target_frames))
        self.name = QLineEdit(next_name(sequence))
        locked = bool(file.cut and any(shot.locked for shot in file.cut.shots))
        self.keep = QCheckBox(tr("Keep the locked shots of cut {cut}", cut=file.cut.name) if file.cut else tr("Keep locked shots"))
        self.keep.setChecked(locked)
        self.keep.setEnabled(locked)
        self._fault = QLabel()
        self._fault.setProperty("kind", "red")
        self._fault.setWordWrap(True)
        form = QFormLayout()
        form.addRow(tr("Target: time code, seconds (48s) or frames"), self.target)
        form.addRow(tr("Name of the cut"), self.name)
        form.addRow("", self.keep)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        if ok := buttons.button(QDialogButtonBox.StandardButton.Ok):
            ok.setText(tr("Assemble"))
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(QLabel(tr("Every move on screen once and in order, for exactly the target.")))
        column.addLayout(form)
        column.addWidget(self._fault)
        column.addWidget(buttons)

    @property
    def target_frames(self) -> int:
        """The target; raises `UseFault` for what is no length."""
        return length_in_frames(self.target.text(), self._file.sequence.timebase)

    def accept(self) -> None:
        """Close with what was filled in, or say what is wrong with it."""
        try:
            if self.target_frames > self._file.sequence.timebase.frames_per_day:
                raise UseFault(tr("A sequence lasts a day at most; give a shorter target."))
        except UseFault as fault:
            self._fault.setText(str(fault))
            return
        super().accept()


def assemble_in_background(file: OpenFile, name: str, target_frames: int, keep_locked: bool) -> None:
    """Assemble a cut from the document as it is now, and put it into the document as it is then."""
    sequence = file.sequence
    around = file.cut if keep_locked else None

    def put(made: Assembly) -> None:
        if not file.edit(lambda now: with_cut(now, made.cut), "assemble a cut"):
            return
        cut = made.cut
        shots = len(cut.shots)
        file.say(tr("Cut {cut}: {shots} shots, {against}.", cut=cut.name, shots=shots, against=against_target(file.sequence, cut)))
        for remark in made.remarks:
            file.say(remark)

    file.do(tr("Assembling cut {cut}", cut=name), lambda _: assemble(sequence, name, target_frames, around), put)
