"""The signs under the fight are all there, however wide the window was before, and however large the text is."""

from __future__ import annotations

from PyQt6.QtGui import QFont
from PyQt6.QtWidgets import QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from previs.desk.fight.legend import Legend
from previs.desk.fight.sheet import sheet_of
from previs.desk.open_file import OpenFile


def test_signs_that_no_longer_fit_go_on_another_line(file: OpenFile, qtbot: QtBot) -> None:
    around = QWidget()
    column, legend, above = QVBoxLayout(around), Legend(), QWidget()
    column.addWidget(above, 1)
    column.addWidget(legend)
    qtbot.addWidget(around)
    legend.show_sheet(sheet_of(file.sequence, file.cut))
    around.resize(1900, 300)
    around.show()
    one_line = legend.heightForWidth(1800)
    qtbot.waitUntil(lambda: legend.height() == one_line)
    around.resize(500, 300)
    qtbot.waitUntil(lambda: legend.height() == legend.heightForWidth(legend.width()) > one_line)
    around.hide()
    font = QFont(legend.font())
    font.setPointSizeF(font.pointSizeF() * 2)
    legend.setFont(font)
    around.show()
    qtbot.waitUntil(lambda: legend.height() == legend.heightForWidth(legend.width()))
