"""Framing, faces and treatments at the frame shown: every choice with its key, the present one marked; it makes no edit itself."""

from __future__ import annotations

from functools import partial
from typing import Any

from PyQt6.QtWidgets import QComboBox, QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from previs.desk.log.fields import Words
from previs.desk.log.hand import Hand
from previs.desk.log.spans import Spans
from previs.desk.open_file import Tone
from previs.desk.plain import PlainLabel, tip
from previs.desk.words import tr
from previs.document.mark_edits import frame_as
from previs.document.model import Framing, Kind, Shows, Size

SIZE_KEYS = dict(zip(Size, "12345678", strict=True))
FACE_KEYS = ("F", "G")
TREATMENT_KEYS = {Kind.DIGITAL_DOUBLE: "D", Kind.FACE_REPLACEMENT: "R", Kind.RIG_REMOVAL: "W"}


class FramingPanel(QWidget):
    """Shows and changes what holds at the frame."""

    def __init__(self, hand: Hand, spans: Spans) -> None:
        super().__init__()
        self._hand, self._spans = hand, spans
        self._sizes = {size: QPushButton(tr("{key}  {size}", key=key, size=size.value)) for size, key in SIZE_KEYS.items()}
        for size, button in self._sizes.items():
            button.setCheckable(True)
            button.clicked.connect(partial(self._size, size))
        self._faces = [QPushButton() for _ in FACE_KEYS]
        for number, button in enumerate(self._faces):
            button.clicked.connect(lambda _=False, number=number: spans.face(number))
        self._kinds = {kind: QPushButton() for kind in TREATMENT_KEYS}
        for kind, button in self._kinds.items():
            button.setCheckable(True)
            button.clicked.connect(partial(self._treat, kind))
        self._role = QComboBox()
        self._role.setAccessibleName(tr("Whose treatment"))
        self._role.activated.connect(lambda _: spans.choose_role(self._role.currentText()))
        self._angle = Words(tr("Bearing of the camera in degrees"), self._set_angle)
        self._movement = Words(tr("Movement of the camera"), lambda text: self._set(tr("movement"), {"movement": text.strip()}))
        self._left = QComboBox()
        self._left.setAccessibleName(tr("Who is on the left of the frame"))
        self._left.activated.connect(lambda _: self._set(tr("left of frame"), {"screen_left": self._left.currentText()}))
        self._title = _heading("")
        self._lay_out()

    def put(self) -> None:
        """Show what holds at the frame now."""
        hand, take = self._hand, self._hand.take_here
        framing = take.framing_at(hand.moment) if take else None
        self._title.setText(tr("Framing here  (Alt: from this frame on)") if take else tr("Framing: no take lies at this frame"))
        for size, button in self._sizes.items():
            button.setEnabled(take is not None)
            button.setChecked(framing is not None and framing.size is size)
        roles = hand.sequence.roles
        for number, (button, key) in enumerate(zip(self._faces, FACE_KEYS, strict=True)):
            button.setVisible(number < len(roles))
            button.setEnabled(take is not None)
            if number < len(roles):
                button.setText(_face_said(key, roles[number], framing))
                button.setToolTip(tip(tr("How much of the face of {role} shows here: full, in part, hidden", role=roles[number])))
        self._put_details(framing, roles)
        self._put_treatments(roles)

    def _put_details(self, framing: Framing | None, roles: tuple[str, ...]) -> None:
        for field, text in (
            (self._angle, "" if framing is None or framing.angle is None else str(framing.angle)),
            (self._movement, framing.movement if framing else ""),
        ):
            field.setEnabled(framing is not None)
            field.put(text)
        _fill(self._left, ["", *roles])
        self._left.setEnabled(framing is not None)
        self._left.setCurrentIndex(max(self._left.findText(framing.screen_left if framing else ""), 0))

    def _put_treatments(self, roles: tuple[str, ...]) -> None:
        hand = self._hand
        _fill(self._role, list(roles))
        self._role.setCurrentIndex(self._role.findText(self._spans.role))
        here = {one.kind: one.role for one in hand.sequence.treatments if one.reel == hand.reel and one.span.holds(hand.moment)}
        for kind, button in self._kinds.items():
            begun = self._spans.begun.get(kind)
            button.setChecked(begun is not None and begun.reel == hand.reel)
            key, name = TREATMENT_KEYS[kind], kind.value
            if begun is not None and begun.reel == hand.reel:
                button.setText(tr("{key}  {kind} of {role}: ends here", key=key, kind=name, role=begun.role))
            elif kind in here:
                button.setText(tr("{key}  {kind}  (marked: {role})", key=key, kind=name, role=here[kind]))
            else:
                button.setText(tr("{key}  {kind}", key=key, kind=name))

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        self._title.setWordWrap(True)
        column.addWidget(self._title)
        grid = QGridLayout()
        grid.setSpacing(3)
        for number, button in enumerate(self._sizes.values()):
            grid.addWidget(button, number % 4, number // 4)
        column.addLayout(grid)
        details = QGridLayout()
        details.setHorizontalSpacing(6)
        details.setVerticalSpacing(3)
        places = ((tr("movement"), self._movement, 0, 0), (tr("bearing"), self._angle, 0, 2), (tr("left of frame"), self._left, 1, 0))
        for name, field, row, left in places:
            details.addWidget(PlainLabel(name), row, left)
            details.addWidget(field, row, left + 1, 1, 3 if row else 1)
        details.setColumnStretch(1, 2)
        details.setColumnStretch(3, 1)
        column.addLayout(details)
        faces = QHBoxLayout()
        faces.setSpacing(3)
        for button in self._faces:
            faces.addWidget(button, 1)
        column.addLayout(faces)
        treated = QHBoxLayout()
        treated.addWidget(_heading(tr("Treatment of")))
        treated.addWidget(self._role, 1)
        treated.addWidget(PlainLabel(tr("(A)")))
        column.addLayout(treated)
        for button in self._kinds.values():
            column.addWidget(button)

    def _size(self, size: Size, _checked: bool = False) -> None:
        self._spans.size(size)
        self.put()

    def _treat(self, kind: Kind, _checked: bool = False) -> None:
        self._spans.treatment(kind)
        self.put()

    def _set_angle(self, text: str) -> None:
        try:
            angle = int(text) if text.strip() else None
        except ValueError:
            self._hand.file.say(tr("'{text}' is no bearing; write whole degrees from -180 to 180, or nothing.", text=text), Tone.FAULT)
            self.put()
            return
        self._set(tr("bearing"), {"angle": angle})

    def _set(self, what: str, parts: dict[str, Any]) -> None:
        hand, take = self._hand, self._hand.take_here
        if take is None:
            hand.tell(tr("No take is here: T begins one."))
            return
        name, at = take.name, hand.moment
        hand.file.edit(lambda one: frame_as(one, name, at, **parts), tr("{what} of {take}", what=what, take=name))
        self.put()


def _face_said(key: str, role: str, framing: Framing | None) -> str:
    if framing is None or all(face.role != role for face in framing.faces):
        return tr("{key}  {role}: face?", key=key, role=role)
    return {
        Shows.FULL: tr("{key}  {role}: full", key=key, role=role),
        Shows.PART: tr("{key}  {role}: part", key=key, role=role),
        Shows.HIDDEN: tr("{key}  {role}: hidden", key=key, role=role),
    }[framing.face_of(role)]


def _heading(text: str) -> QLabel:
    label = PlainLabel(text)
    label.setProperty("kind", "heading")
    return label


def _fill(box: QComboBox, names: list[str]) -> None:
    if [box.itemText(place) for place in range(box.count())] != names:
        box.clear()
        box.addItems(names)
