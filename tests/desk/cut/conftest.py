"""The Cut place by itself on the small fight, with a second cut that has a card, a dissolve and a locked shot."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PyQt6.QtWidgets import QComboBox, QDialog
from pytestqt.qtbot import QtBot
from two_cuts import Fill, with_v2

from previs.desk.cut.form import Form
from previs.desk.cut.place import CutPlace
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile
from previs.desk.window import dress


@pytest.fixture
def place(qtbot: QtBot, file: OpenFile, memory: Memory) -> Iterator[CutPlace]:
    dress(memory)
    assert file.edit(with_v2, "a second cut")
    made = CutPlace(file, memory)
    qtbot.addWidget(made)
    made.resize(1100, 640)
    made.show()
    yield made
    made.left()
    made.close_down()


@pytest.fixture
def fill(monkeypatch: pytest.MonkeyPatch) -> Fill:
    """Answers the next forms: gives the faults that they told. What cannot be is let be, as a person would."""

    def answer(answers: dict[str, str]) -> list[str]:
        faults: list[str] = []

        def run(form: Form) -> int:
            for name, text in answers.items():
                field = form.field(name)
                if isinstance(field, QComboBox):
                    field.setCurrentIndex(field.findData(text))
                    assert field.currentData() == text
                else:
                    field.setText(text)
            form.accept()
            if form.fault:
                faults.append(form.fault)
                form.reject()
            return form.result()

        monkeypatch.setattr(QDialog, "exec", run)
        return faults

    return answer
