"""Python's rubbish is taken out on the Qt thread, whichever thread made it, and dialogs that were answered go."""

from __future__ import annotations

import gc
import threading

from PyQt6.QtCore import QTimer
from PyQt6.QtWidgets import QDialog, QWidget
from pytestqt.qtbot import QtBot

from previs.desk.asking import went_through
from previs.desk.rubbish import Rubbish


class Ring:
    """Something that only the collector can let go; it notes on which thread that happens."""

    gone_on: set[threading.Thread] = set()  # noqa: RUF012

    def __init__(self) -> None:
        self.itself = self

    def __del__(self) -> None:
        Ring.gone_on.add(threading.current_thread())


def test_what_another_thread_leaves_goes_on_the_qt_thread(qtbot: QtBot) -> None:
    def make() -> None:
        for _ in range(5000):
            Ring()

    gc.collect()
    Ring.gone_on.clear()
    rubbish = Rubbish()
    try:
        other = threading.Thread(target=make)
        other.start()
        other.join()
        assert Ring.gone_on == set()
        qtbot.waitUntil(lambda: bool(Ring.gone_on))
    finally:
        rubbish.stop()
    assert Ring.gone_on == {threading.main_thread()}
    assert gc.isenabled()


def test_a_dialog_goes_when_it_was_answered(qtbot: QtBot) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    for answer in (True, False):
        dialog = QDialog(window)
        QTimer.singleShot(0, dialog.accept if answer else dialog.reject)
        assert went_through(dialog) == answer
        # Its fields can still be read here.
        assert dialog.windowTitle() == ""
    qtbot.waitUntil(lambda: not window.findChildren(QDialog))
