from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from PyQt6.QtCore import QEvent, QPointF, Qt
from PyQt6.QtGui import QMouseEvent
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from previs.desk.chart.view import StepChart
from previs.desk.open_file import OpenFile

Mouse = Callable[..., None]


@pytest.fixture
def chart(file: OpenFile, qtbot: QtBot) -> Iterator[StepChart]:
    made = StepChart(file)
    qtbot.addWidget(made)
    made.resize(900, 320)
    made.show()
    yield made


@pytest.fixture
def mouse(chart: StepChart) -> Mouse:
    """Sends the chart a press, a move with the button held, or a release at a pixel, in the middle of the steps."""

    def send(kind: QEvent.Type, x: float, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier, y: float = 180) -> None:
        at = QPointF(x, y)
        pressed = Qt.MouseButton.NoButton if kind is QEvent.Type.MouseMove else Qt.MouseButton.LeftButton
        QApplication.sendEvent(chart, QMouseEvent(kind, at, chart.mapToGlobal(at), pressed, Qt.MouseButton.LeftButton, held))

    return send
