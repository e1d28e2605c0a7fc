"""A dialog that shows what is wrong beneath its fields, and a field for a file or folder; what is asked is decided by others."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

from PyQt6.QtGui import QIcon, QShowEvent
from PyQt6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from previs.desk.plain import PlainLabel
from previs.desk.words import tr
from previs.faults import Fault, UseFault, refused

_WIDE_PX = 560


def home_folder() -> Path:
    """The person's home folder, or the root of the disk for somebody who has none."""
    try:
        return Path.home()
    except RuntimeError:
        return Path(Path.cwd().anchor)


def went_through(dialog: QDialog) -> bool:
    """Show a dialog and let it go; True when the person went through with it. Its fields can still be read by the caller.

    A dialog that is not let go stays, hidden and with all its fields, for as long as the window that it belongs to.
    """
    went = bool(dialog.exec())
    dialog.deleteLater()
    return went


class Asking(QDialog):
    """A dialog that shows beneath its fields what is wrong with them, and stays until nothing is."""

    def __init__(self, title: str, told: str, do: str, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.setMinimumWidth(_WIDE_PX)
        self.form = QFormLayout()
        self.form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self._fault = PlainLabel()
        self._fault.setProperty("kind", "red")
        self._fault.setWordWrap(True)
        self._fault.hide()
        self._buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        for button in self._buttons.buttons():
            button.setIcon(QIcon())
        if ok := self._buttons.button(QDialogButtonBox.StandardButton.Ok):
            ok.setText(do)
        self._buttons.accepted.connect(self.accept)
        self._buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setSpacing(10)
        if told:
            head = PlainLabel(told)
            head.setWordWrap(True)
            column.addWidget(head)
        column.addLayout(self.form)
        column.addWidget(self._fault)
        column.addWidget(self._buttons)

    def showEvent(self, event: QShowEvent | None) -> None:  # noqa: N802
        """The first field has the keys, and Tab goes down the fields to the buttons."""
        super().showEvent(event)
        items = [self.form.itemAt(row, QFormLayout.ItemRole.FieldRole) for row in range(self.form.rowCount())]
        fields = [item.widget() for item in items if item]
        order = [one for one in (*fields, *self._buttons.buttons()) if one]
        for before, after in pairwise(order):
            self.setTabOrder(before, after)
        if order:
            order[0].setFocus()

    def do(self) -> None:
        """What the dialog is for; raises `Fault` where it cannot be done."""

    @property
    def fault(self) -> str:
        """What is wrong with what stands in the fields, empty while nobody looked or nothing is."""
        return self._fault.text()

    def accept(self) -> None:
        """Do it, and close when that went well."""
        try:
            self.do()
        except Fault as fault:
            self._tell(str(fault))
            return
        except OSError as error:
            self._tell(refused(error))
            return
        super().accept()

    def _tell(self, fault: str) -> None:
        self._fault.setText(fault)
        self._fault.show()
        # A label that wraps asks for no room by itself.
        if layout := self.layout():
            layout.activate()
            self.resize(self.width(), max(self.height(), layout.totalHeightForWidth(self.width())))


class PlaceField(QWidget):
    """A field for a file or folder, with a button that asks the system's own dialog."""

    def __init__(self, path: Path, title: str, *, folder: bool, kinds: str = "") -> None:
        super().__init__()
        self._title, self._folder, self._kinds, self._given = title, folder, kinds, path
        self.line = QLineEdit(str(path))
        self.line.setAccessibleName(title)
        choose = QPushButton(tr("Choose ..."))
        choose.clicked.connect(self._choose)
        self.setFocusProxy(self.line)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.line, 1)
        row.addWidget(choose)

    @property
    def path(self) -> Path:
        """What stands in the field: `~` is the home folder, a mere name stands where the proposed one would.

        Raises:
            UseFault: when nothing stands there.
        """
        if not (text := self.line.text().strip()):
            raise UseFault(tr("No place is named; write one, such as {given}.", given=self._given))
        try:
            written = Path(text).expanduser()
        except RuntimeError:  # of somebody who is not known here
            written = Path(text)
        # Not beside wherever the program was started.
        return self._given.parent / written

    def _choose(self) -> None:
        if chosen := self.ask():
            self.line.setText(chosen)

    def ask(self) -> str:
        """The person's choice, empty for none."""
        begin = self.line.text().strip() or str(self._given)
        if self._folder:
            return QFileDialog.getExistingDirectory(self, self._title, begin)
        return QFileDialog.getSaveFileName(self, self._title, begin, self._kinds)[0]
