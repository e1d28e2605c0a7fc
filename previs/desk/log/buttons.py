"""The buttons under the list of takes: what is done with whole takes, each with its key; they do nothing themselves."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from previs.desk.words import tr

Do = Callable[[], None]


class Buttons(QWidget):
    """Calls `take` to begin or end one, `propose`, `carry`, `tempi` and `doubt`."""

    def __init__(self, take: Do, propose: Do, carry: Do, tempi: Do, doubt: Do) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        rows = (
            ("", tr("Mark a take by hand: once on its first frame, once on its last"), take),
            (tr("Propose takes  (P)"), tr("Open marks where slates and rests say that takes lie; Enter takes them over"), propose),
            (
                tr("Carry hits  (C)"),
                tr("Find the moves of the logged takes on every take that is not logged; Shift+C from this take alone"),
                carry,
            ),
            (
                tr("Tempo from hits  (Shift+H)"),
                tr("Note for every take the tempo that its hits show, against the performance take of the same phrase"),
                tempi,
            ),
            (tr("Next in doubt  (N)"), tr("Loop around the next hit that the carrying was not sure of"), doubt),
        )
        made = []
        for text, tip, do in rows:
            button = QPushButton(text)
            button.setToolTip(tip)
            button.clicked.connect(lambda _=False, do=do: do())
            column.addWidget(button)
            made.append(button)
        self._take = made[0]
        self.put(begun=False)

    def put(self, *, begun: bool) -> None:
        """Show whether a take was begun and waits for its end."""
        self._take.setText(tr("The take ends here  (T)") if begun else tr("A take begins here  (T)"))
