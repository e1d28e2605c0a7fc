"""The Log place of a window, with the take A1 at hand."""

from __future__ import annotations

import pytest
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from previs.desk.log.place import LogPlace
from previs.desk.window import Window


@pytest.fixture
def place(window: Window, qtbot: QtBot) -> LogPlace:
    found = next(place for place in window.places if isinstance(place, LogPlace))
    window.show_place(window.places.index(found))
    window.activateWindow()
    qtbot.waitUntil(lambda: QApplication.focusWidget() is found.sheet)
    qtbot.waitUntil(lambda: found.hearing.of("FILM") is not None, timeout=20_000)
    found.hand.choose("A1")
    return found
