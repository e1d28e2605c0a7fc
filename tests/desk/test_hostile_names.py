"""Names with markup in them stand on the desk as they were written: no label and no tip takes them for what it is to show."""

from __future__ import annotations

from pathlib import Path

import pytest
from fuzz.hostile import put_down
from PyQt6.QtCore import QAbstractItemModel, QAbstractListModel, Qt
from PyQt6.QtWidgets import QLabel, QWidget
from pytestqt.qtbot import QtBot

from previs.desk.memory import Memory
from previs.desk.window import Window, dress

MARKUP = ("<img", "<script", "</script")
"""What a name is taken for where it is shown as markup; escaped it has no such sign."""


def tips(model: QAbstractItemModel) -> list[str]:
    found: list[str] = []
    columns = 1 if isinstance(model, QAbstractListModel) else model.columnCount()
    places = [model.index(row, column) for row in range(model.rowCount()) for column in range(columns)]
    for place in places:
        found.append(str(model.data(place, Qt.ItemDataRole.ToolTipRole) or ""))
    return found


def shown_as_markup(window: QWidget) -> list[str]:
    """Where a label or a tip would show a name as markup."""
    wrong = []
    for widget in window.findChildren(QWidget):
        texts = [widget.toolTip()]
        if isinstance(widget, QLabel) and widget.textFormat() != Qt.TextFormat.PlainText:
            texts.append(widget.text())
        wrong += [
            f"{type(widget).__name__} in {type(widget.parent()).__name__}: {text[:200]}"
            for text in texts
            if any(sign in text for sign in MARKUP)
        ]
    for model in window.findChildren(QAbstractItemModel):
        wrong += [f"{type(model).__name__}: {text[:200]}" for text in tips(model) if any(sign in text for sign in MARKUP)]
    return wrong


def test_no_name_is_shown_as_markup(tmp_path: Path, memory: Memory, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    dress(memory)
    window = Window(memory)
    qtbot.addWidget(window)
    assert window.open(put_down(tmp_path, ("<img src=x>", "</script>", "<b>v3</b>")))
    window.show()
    seen: set[str] = set()
    for number in range(len(window.places)):
        window.show_place(number)
        qtbot.wait(150)
        seen |= set(shown_as_markup(window))
    assert not seen, "\n".join(sorted(seen))
    window.close()
