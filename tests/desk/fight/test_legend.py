"""The signs under the fight are all there, however large the text is."""

from __future__ import annotations

from PyQt6.QtGui import QFont
from PyQt6.QtWidgets import QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from previs.desk.fight.legend import Legend
from previs.desk.fight.sheet import sheet_of
from previs.desk.open_file import OpenFile


def test_larger_text_gives_the_signs_another_line(file: OpenFile, qtbot: QtBot) -> None:
    around = QWidget()
    column, legend = QVBoxLayout(around), Legend()
    column.addWidget(legend)
    column.addStretch(1)
    qtbot.addWidget(around)
    legend.show_sheet(sheet_of(file.sequence, file.cut))
    around.resize(900, 300)
    around.show()
    before = legend.height()
    font = QFont(legend.font())
    font.setPointSizeF(font.pointSizeF() * 2)
    legend.setFont(font)
    qtbot.waitUntil(lambda: legend.height() == legend.heightForWidth(legend.width()))
    assert legend.height() > before
