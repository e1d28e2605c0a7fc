"""The card of the chosen take: what its slate says, who plays it, how it is rated; each change is one edit."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from PyQt6.QtWidgets import QComboBox, QFormLayout, QHBoxLayout, QPushButton, QWidget

from previs.desk.log.fields import OwnKeys, Words
from previs.desk.log.hand import Hand
from previs.desk.open_file import Tone
from previs.desk.plain import PlainLabel
from previs.desk.words import tr
from previs.document.mark_edits import change_take, perform
from previs.document.model import Sequence, Take
from previs.document.settings import share_text
from previs.exchange.lists import tape_label, tape_out_label
from previs.exchange.written import speed
from previs.faults import UseFault

MOST_RATING = 5


class Card(QWidget):
    """Shows the chosen take and edits it; `clear` and `remove` are called by its buttons."""

    def __init__(self, hand: Hand, clear: Callable[[], None], remove: Callable[[], None]) -> None:
        super().__init__()
        self._hand = hand
        self._of = ""
        self._own_keys = OwnKeys(self)
        self._name = Words(tr("Name of the take"), self._rename)
        self._slate = Words(tr("Slate"), lambda text: self._edit(lambda one, name: change_take(one, name, slate=text.strip()), tr("slate")))
        self._note = Words(tr("Note"), lambda text: self._edit(lambda one, name: change_take(one, name, note=text.strip()), tr("note")))
        self._tempo = Words(tr("Tempo as a share of performance speed"), self._set_tempo)
        self._camera = Words(
            tr("Camera"), lambda text: self._edit(lambda one, name: change_take(one, name, camera=text.strip()), tr("camera"))
        )
        self._camera.setMaximumWidth(self._camera.fontMetrics().averageCharWidth() * 8)
        self._rating, self._first, self._last = QComboBox(), QComboBox(), QComboBox()
        self._stretch = PlainLabel()
        self._stretch.setProperty("kind", "figures")
        for box, name in ((self._rating, tr("Rating")), (self._first, tr("First phrase")), (self._last, tr("Last phrase"))):
            box.setAccessibleName(name)
        self._rating.addItems([str(number) for number in range(MOST_RATING + 1)])
        self._rating.activated.connect(lambda number: self._edit(lambda one, name: change_take(one, name, rating=number), tr("rating")))
        for box in (self._first, self._last):
            box.activated.connect(lambda _: self._set_phrases())
        self._players: dict[str, QComboBox] = {}
        self._form = QFormLayout(self)
        self._form.setContentsMargins(0, 0, 0, 0)
        self._form.setVerticalSpacing(4)
        self._lay_out(clear, remove)

    def put(self) -> None:
        """Show the take as it is now; what was being written for another one is kept for that one first."""
        take, sequence = self._hand.take, self._hand.sequence
        if (take.name if take else "") != self._of:
            self._finish()
            self._of = take.name if take else ""
        self._show_players(sequence, take)
        self.setEnabled(take is not None)
        for field, text in (
            (self._name, take.name if take else ""),
            (self._slate, take.slate if take else ""),
            (self._note, take.note if take else ""),
            (self._camera, take.camera if take else ""),
            (self._tempo, share_text(take.tempo) if take else ""),
        ):
            field.put(text)
        numbers = [str(phrase.number) for phrase in sequence.phrases]
        for box, number in ((self._first, take.first_phrase if take else 0), (self._last, take.last_phrase if take else 0)):
            if [box.itemText(place) for place in range(box.count())] != numbers:
                box.clear()
                box.addItems(numbers)
            box.setCurrentIndex(box.findText(str(number)))
        self._rating.setCurrentIndex(min(take.rating, MOST_RATING) if take else -1)
        tape = next((one for one in sequence.tapes if take and one.reel == take.reel), None)
        told = ""
        if take and tape:
            told = tr("{first} to {out}", first=tape_label(tape, take.start), out=tape_out_label(tape, take.end_exclusive))
        self._stretch.setText(told)

    def _finish(self) -> None:
        for field in (self._name, self._slate, self._note, self._tempo, self._camera):
            field.finish()
        for role, box in self._players.items():
            line = box.lineEdit()
            if line and line.hasFocus():
                self._cast(role, box.currentText())
                line.clearFocus()

    @property
    def _shown(self) -> Take | None:
        """The take that the card shows, which is not the chosen one for as long as it takes to show another."""
        return next((take for take in self._hand.sequence.takes if take.name == self._of), None)

    def _lay_out(self, clear: Callable[[], None], remove: Callable[[], None]) -> None:
        self._form.addRow(self._stretch)
        self._form.addRow(tr("take"), self._name)
        self._form.addRow(tr("slate"), self._pair(self._slate, tr("rating"), self._rating))
        self._form.addRow(tr("phrases"), self._pair(self._first, tr("to"), self._last))
        self._form.addRow(tr("tempo"), self._pair(self._tempo, tr("camera"), self._camera))
        self._form.addRow(tr("note"), self._note)
        empty, out = QPushButton(tr("Clear its hits")), QPushButton(tr("Take it out"))
        empty.setToolTip(tr("Remove every hit of this take (Shift+Delete)"))
        out.setToolTip(tr("Take this take out of the log (Ctrl+Delete); a take that a cut uses stays"))
        empty.clicked.connect(lambda: clear())
        out.clicked.connect(lambda: remove())
        row = QHBoxLayout()
        row.addWidget(empty)
        row.addWidget(out)
        self._form.addRow(row)

    @staticmethod
    def _pair(left: QWidget, between: str, right: QWidget) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(6)
        row.addWidget(left, 1)
        row.addWidget(PlainLabel(between))
        row.addWidget(right)
        return row

    def _show_players(self, sequence: Sequence, take: Take | None) -> None:
        """A line for each role, with the actor and the doubles to choose from; other names may be written."""
        if list(self._players) != list(sequence.roles):
            for box in self._players.values():
                self._form.removeRow(box)
            self._players = {role: self._player(role) for role in sequence.roles}
            for place, (role, box) in enumerate(self._players.items()):
                self._form.insertRow(5 + place, PlainLabel(role), box)
        for role, box in self._players.items():
            cast = next((one for one in sequence.cast if one.role == role), None)
            names = ["", *((cast.actor, *cast.doubles) if cast else ())]
            if [box.itemText(place) for place in range(box.count())] != names:
                box.clear()
                box.addItems(names)
            line = box.lineEdit()
            if line and not line.hasFocus():
                box.setEditText(take.performer_of(role) if take else "")
                line.setCursorPosition(0)

    def _player(self, role: str) -> QComboBox:
        box = QComboBox()
        box.setEditable(True)
        box.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        box.setMinimumContentsLength(8)
        box.setAccessibleName(tr("Who plays {role} on this take", role=role))
        line = box.lineEdit()
        assert line is not None
        line.setAccessibleName(tr("Who plays {role} on this take", role=role))
        for one in (box, line):
            one.installEventFilter(self._own_keys)
        line.editingFinished.connect(lambda: self._cast(role, box.currentText()))
        box.activated.connect(lambda _: self._cast(role, box.currentText()))
        return box

    def _cast(self, role: str, performer: str) -> None:
        take = self._shown
        if take is not None and take.performer_of(role) != performer.strip():
            self._edit(lambda one, name: perform(one, name, role, performer), tr("who plays {role}", role=role))

    def _rename(self, text: str) -> None:
        take = self._shown
        if take is None:
            return
        name = take.name
        self._of = text.strip()
        if self._hand.file.edit(lambda one: change_take(one, name, name=text.strip()), tr("rename take {take}", take=name)):
            self._hand.choose(text.strip(), seek=False)
        else:
            self._of = name
        self.put()

    def _set_tempo(self, text: str) -> None:
        try:
            tempo = speed(text)
        except UseFault as fault:
            self._hand.file.say(str(fault), Tone.FAULT)
        else:
            if Fraction(1, 10) <= tempo <= 4:
                self._edit(lambda one, name: change_take(one, name, tempo=tempo), tr("tempo"))
            else:
                self._hand.file.say(
                    tr("A tempo of {text} cannot be; write a share of performance speed, such as 70%.", text=text), Tone.FAULT
                )
        self.put()

    def _set_phrases(self) -> None:
        take = self._shown
        if take is None or not self._first.currentText() or not self._last.currentText():
            return
        first, last = int(self._first.currentText()), int(self._last.currentText())
        if first != take.first_phrase:
            last = max(first, last)
        elif last != take.last_phrase:
            first = min(first, last)
        self._edit(lambda one, name: change_take(one, name, first_phrase=first, last_phrase=last), tr("phrases"))
        self.put()

    def _edit(self, change: Callable[[Sequence, str], Sequence], what: str) -> None:
        take = self._shown
        if take is not None:
            name = take.name
            self._hand.file.edit(lambda one: change(one, name), tr("{what} of {take}", what=what, take=name))
