"""Short questions whose answers are read as on the command line; a wrong answer is told and asked for again."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PyQt6.QtWidgets import QInputDialog, QLineEdit, QWidget

from previs.faults import UseFault

Answer = TypeVar("Answer")
_MOST_TRIES = 20


def ask(parent: QWidget, title: str, question: str, read: Callable[[str], Answer], given: str = "") -> Answer | None:
    """What `read` makes of the person's answer, or None when they let it be; a `UseFault` of `read` is shown with the question."""
    fault = ""
    for _ in range(_MOST_TRIES):
        asked = f"{fault}\n\n{question}" if fault else question
        given, answered = QInputDialog.getText(parent, title, asked, QLineEdit.EchoMode.Normal, given)
        if not answered:
            return None
        try:
            return read(given)
        except UseFault as wrong:
            fault = str(wrong)
    return None
