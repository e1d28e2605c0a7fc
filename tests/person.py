"""Somebody at the desk who does anything at random: every action, every key, clicks and drags everywhere, and answers every dialog."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from PyQt6.QtCore import QEvent, QPoint, QPointF, Qt, QTimer
from PyQt6.QtGui import QMouseEvent
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QAbstractButton, QApplication, QDialog, QFileDialog, QInputDialog, QLineEdit, QMenu, QMessageBox, QWidget

from previs.desk.window import Window

_KEYS = (
    *(getattr(Qt.Key, f"Key_{letter}") for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"),
    *(getattr(Qt.Key, f"Key_{name}") for name in ("Space", "Left", "Right", "Up", "Down", "Home", "End", "Return", "Escape")),
    *(getattr(Qt.Key, f"Key_{name}") for name in ("Tab", "Backspace", "Delete", "PageUp", "PageDown", "BracketLeft", "BracketRight")),
)
_HELD = (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.AltModifier)
_WORDS = ("", "7", "12f", "v9", "Odile", "00:00:05:00", "1.5s", "ä ☃ <b>", "=1+1", "-3", "x" * 300)
# Leaving the program and opening another file are done by the test itself.
_NOT_THESE = ("Ctrl+Q", "Ctrl+O", "Ctrl+W")


class Person:
    """Does one thing at a time at a window, by the dice; answers what it is asked."""

    def __init__(self, window: Window, dice: random.Random, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.window = window
        self.done: list[str] = []
        self._dice = dice
        self._folder = folder
        self._answer_dialogs(monkeypatch)

    def do_something(self) -> None:
        """One thing, noted in `done`."""
        self._dice.choice((self._trigger, self._trigger, self._press, self._press, self._click, self._drag, self._type, self._go))()
        QApplication.processEvents()

    def _note(self, what: str) -> None:
        self.done.append(what)

    def _go(self) -> None:
        number = self._dice.randrange(len(self.window.places))
        self._note(f"go to place {number}")
        self.window.show_place(number)

    def _trigger(self) -> None:
        owners: list[QWidget] = [self.window, *[place for place in self.window.places if place.isVisible()]]
        actions = [action for owner in owners for action in owner.findChildren(type(self.window._undo)) if action.isEnabled()]
        actions = [action for action in actions if not any(key.toString() in _NOT_THESE for key in action.shortcuts())]
        action = self._dice.choice(actions)
        self._note(f"action {action.text()}")
        action.trigger()

    def _press(self) -> None:
        target = QApplication.focusWidget() or self.window
        key, held = self._dice.choice(_KEYS), self._dice.choice(_HELD)
        self._note(f"key {key!r} {held!r} at {type(target).__name__}")
        QTest.keyClick(target, key, held)

    def _click(self) -> None:
        target, at = self._somewhere()
        if target is None or (isinstance(target, QAbstractButton) and not target.isEnabled()):
            return
        twice = self._dice.random() < 0.2
        self._note(f"click {type(target).__name__} {_words_on(target)!r} at {at}")
        (QTest.mouseDClick if twice else QTest.mouseClick)(target, Qt.MouseButton.LeftButton, pos=at)

    def _drag(self) -> None:
        target, at = self._somewhere()
        if target is None:
            return
        held = self._dice.choice(_HELD)
        self._note(f"drag {type(target).__name__} from {at}")
        QTest.mousePress(target, Qt.MouseButton.LeftButton, held, at)
        for _ in range(self._dice.randrange(1, 6)):
            at = at + QPoint(self._dice.randrange(-60, 60), self._dice.randrange(-20, 20))
            # QTest.mouseMove holds no button.
            here, there = QPointF(at), QPointF(target.mapToGlobal(at))
            moved = QMouseEvent(QEvent.Type.MouseMove, here, there, Qt.MouseButton.NoButton, Qt.MouseButton.LeftButton, held)
            QApplication.sendEvent(target, moved)
            QApplication.processEvents()
        QTest.mouseRelease(target, Qt.MouseButton.LeftButton, held, at)

    def _type(self) -> None:
        fields = [one for one in self.window.findChildren(QLineEdit) if one.isVisible() and one.isEnabled()]
        if fields:
            field, words = self._dice.choice(fields), self._dice.choice(_WORDS)
            self._note(f"type {words[:20]!r} into {field.accessibleName() or field.objectName()}")
            field.setFocus()
            field.selectAll()
            # The library's own typist ends the program at a letter that no key of its has.
            QTest.keyClicks(field, words) if words.isascii() else field.insert(words)
            QTest.keyClick(field, Qt.Key.Key_Return)

    def _somewhere(self) -> tuple[QWidget | None, QPoint]:
        seen = [
            one for one in self.window.findChildren(QWidget) if one.isVisible() and one.isEnabled() and one.width() > 4 and one.height() > 4
        ]
        seen = [one for one in seen if not isinstance(one, QMenu)]
        if not seen:
            return None, QPoint()
        target = self._dice.choice(seen)
        return target, QPoint(self._dice.randrange(target.width()), self._dice.randrange(target.height()))

    def _answer_dialogs(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """Dialogs are opened, filled in by the dice, and accepted or not, without waiting for a person; menus close."""

        def file_name(*_args: object, **_kept: object) -> tuple[str, str]:
            return self._dice.choice(("", str(self._folder / "written"), str(self._folder / "out.edl"), "/nowhere/at/all.mp4")), ""

        def box(*_args: object, **_kept: object) -> QMessageBox.StandardButton:
            return self._dice.choice((QMessageBox.StandardButton.Yes, QMessageBox.StandardButton.No, QMessageBox.StandardButton.Cancel))

        def run(dialog: QDialog) -> int:
            QTimer.singleShot(0, lambda: self._fill(dialog))
            return original(dialog)

        original = QDialog.exec
        monkeypatch.setattr(QDialog, "exec", run)
        monkeypatch.setattr(QMenu, "exec", lambda *_args: None)
        for name in ("getOpenFileName", "getSaveFileName"):
            monkeypatch.setattr(QFileDialog, name, file_name)
        monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *a, **k: ([name] if (name := file_name()[0]) else [], ""))
        monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *a, **k: self._dice.choice(("", str(self._folder))))
        for name in ("question", "warning", "information", "critical", "about"):
            monkeypatch.setattr(QMessageBox, name, box)
        monkeypatch.setattr(QInputDialog, "getText", lambda *a, **k: (self._dice.choice(_WORDS), self._dice.random() < 0.7))
        monkeypatch.setattr(QInputDialog, "getInt", lambda *a, **k: (self._dice.randrange(-50, 200), self._dice.random() < 0.7))
        monkeypatch.setattr(QInputDialog, "getItem", lambda *a, **k: ((list(a[3]) or [""])[0], self._dice.random() < 0.7))

    def _fill(self, dialog: QDialog) -> None:
        for field in dialog.findChildren(QLineEdit):
            if self._dice.random() < 0.5:
                field.setText(self._dice.choice(_WORDS))
        accepted = self._dice.random() < 0.6
        self._note(f"{'accept' if accepted else 'reject'} {dialog.windowTitle()}")
        (dialog.accept if accepted else dialog.reject)()
        if dialog.isVisible():  # what was filled in cannot be: a person would give up
            dialog.reject()


def _words_on(widget: QWidget) -> str:
    """What a widget says, where it says something."""
    words = getattr(widget, "text", None)
    return str(words()) if callable(words) else ""
