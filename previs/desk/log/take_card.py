"""The card of one take: its facts as a form, each field one edit; how the frame is framed is shown by `framing_row`."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from functools import partial

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QFormLayout, QLabel, QLineEdit, QWidget

from previs.desk.open_file import OpenFile, Tone
from previs.desk.words import tr
from previs.document.mark_edits import change_take, perform
from previs.document.model import Sequence, Take
from previs.exchange.written import share
from previs.faults import UseFault

Change = Callable[[Sequence], Sequence]


class TakeCard(QWidget):
    """Shows a take, and makes an edit of every field that is left with another text in it."""

    def __init__(self, file: OpenFile) -> None:
        super().__init__()
        self._file = file
        self._take = ""
        self._form = QFormLayout(self)
        self._form.setContentsMargins(0, 0, 0, 0)
        self._form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.DontWrapRows)
        self._roles: tuple[str, ...] | None = None
        self._fields: dict[str, QLineEdit] = {}

    def put(self, take: Take | None) -> None:
        """Show a take, or none."""
        self._take = take.name if take else ""
        if self._roles != self._file.sequence.roles:
            self._build()
        self.setEnabled(take is not None)
        for name, text in (_texts(take) if take else dict.fromkeys(self._fields, "")).items():
            field = self._fields.get(name)
            if field is not None and not (field.hasFocus() and field.isModified()):
                field.setText(text)
                field.setModified(False)
        for role in self._roles or ():
            self._fields[f"role {role}"].setText(take.performer_of(role) if take else "")

    def _build(self) -> None:
        while self._form.rowCount():
            self._form.removeRow(0)
        self._roles = self._file.sequence.roles
        self._fields = {}
        rows = [
            ("name", tr("name"), lambda one, text: change_take(one, self._take, name=text.strip())),
            ("slate", tr("slate"), lambda one, text: change_take(one, self._take, slate=text.strip())),
            ("rating", tr("rating, 0 to 5"), lambda one, text: change_take(one, self._take, rating=_rating(text))),
            ("tempo", tr("tempo"), lambda one, text: change_take(one, self._take, tempo=_tempo(text))),
            ("phrases", tr("phrases"), self._with_phrases),
            ("camera", tr("camera"), lambda one, text: change_take(one, self._take, camera=text.strip())),
            ("note", tr("note"), lambda one, text: change_take(one, self._take, note=text)),
        ]
        for name, label, change in rows:
            self._row(name, label, change)
        for role in self._roles:
            self._row(f"role {role}", role, partial(self._with_performer, role))

    def _row(self, name: str, label: str, change: Callable[[Sequence, str], Sequence]) -> None:
        field = QLineEdit()
        field.setAccessibleName(label)
        field.editingFinished.connect(lambda: self._left(name, field, change))
        shown = QLabel(label)
        shown.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        shown.setProperty("kind", "soft")
        self._form.addRow(shown, field)
        self._fields[name] = field

    def _left(self, name: str, field: QLineEdit, change: Callable[[Sequence, str], Sequence]) -> None:
        if not field.isModified() or not self._take:
            return
        field.setModified(False)
        text = field.text()
        # A new name is what the card shows from now on, before the file says that it changed.
        before, self._take = self._take, text.strip() if name == "name" else self._take
        try:
            changed = change_take(self._file.sequence, before, name=text.strip()) if name == "name" else change(self._file.sequence, text)
        except UseFault as fault:
            self._take = before
            self._file.say(str(fault), Tone.FAULT)
        else:
            self._file.edit(lambda _: changed, f"{name} of take {before}")
        if any(take.name == self._take for take in self._file.sequence.takes):
            self.put(self._file.sequence.take(self._take))

    def _with_performer(self, role: str, sequence: Sequence, text: str) -> Sequence:
        return perform(sequence, self._take, role, text)

    def _with_phrases(self, sequence: Sequence, text: str) -> Sequence:
        match = re.fullmatch(r"(\d{1,6})(?:\s*-\s*(\d{1,6}))?", text.strip(), re.ASCII)
        if match is None:
            raise UseFault(tr("'{text}' names no phrases; write one such as 3, or the first and last such as 1-2.", text=text))
        return change_take(sequence, self._take, first_phrase=int(match[1]), last_phrase=int(match[2] or match[1]))


def _texts(take: Take) -> dict[str, str]:
    both = take.first_phrase != take.last_phrase
    return {
        "name": take.name,
        "slate": take.slate,
        "rating": str(take.rating or ""),
        "tempo": f"{float(take.tempo):.0%}",
        "phrases": f"{take.first_phrase}-{take.last_phrase}" if both else str(take.first_phrase),
        "camera": take.camera,
        "note": take.note,
    }


def _rating(text: str) -> int:
    if text.strip() not in ("", "0", "1", "2", "3", "4", "5"):
        raise UseFault(tr("'{text}' is no rating; write 0 to 5.", text=text))
    return int(text.strip() or 0)


def _tempo(text: str) -> Fraction:
    tempo = share(text if "%" in text or "/" in text or "." in text else f"{text}%", "70%")
    if not Fraction(1, 10) <= tempo <= 4:
        raise UseFault(tr("A tempo of {text} cannot be; write a share of performance speed such as 70%.", text=text))
    return tempo
