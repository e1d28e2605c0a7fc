"""The foot of the window: the last thing said, how far background work is, and the way to stop it."""

from __future__ import annotations

from PyQt6.QtCore import Qt, QTimer, pyqtSignal
from PyQt6.QtWidgets import QHBoxLayout, QProgressBar, QPushButton, QSizePolicy, QWidget

from previs.desk.open_file import Said, Tone
from previs.desk.plain import PlainLabel
from previs.desk.words import tr
from previs.desk.work import Running

_PATIENCE_MS = 400


class Foot(QWidget):
    """`asked_to_stop` when the person wants background work to stop; `asked_for_log` for all that was said."""

    asked_to_stop = pyqtSignal()
    asked_for_log = pyqtSignal()

    def __init__(self) -> None:
        super().__init__()
        self._sentence = PlainLabel()
        self._sentence.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._sentence.setWordWrap(True)
        # What is said may quote a file that others wrote.
        self._sentence.setTextFormat(Qt.TextFormat.PlainText)
        self._sentence.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._sentence.setAccessibleName(tr("The last thing said"))
        self._bar = QProgressBar()
        self._bar.setMaximumWidth(260)
        self._doing = PlainLabel()
        self._doing.setProperty("kind", "soft")
        self._stop = QPushButton(tr("Stop"))
        self._stop.clicked.connect(self.asked_to_stop)
        self._log = QPushButton(tr("What happened"))
        self._log.clicked.connect(self.asked_for_log)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 4, 8, 4)
        row.addWidget(self._sentence, 1)
        for widget in (self._doing, self._bar, self._stop, self._log):
            row.addWidget(widget)
        self._running: tuple[Running, ...] = ()
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.setInterval(_PATIENCE_MS)
        self._patience.timeout.connect(self._show)
        self._show()

    def show_said(self, line: Said) -> None:
        """Show the newest line; a fault in red with a word before it."""
        fault = line.tone is Tone.FAULT
        self._put(tr("Not done: {sentence}", sentence=line.sentence) if fault else line.sentence, fault=fault)

    def show_made(self, what: str) -> None:
        """Show an edit that was made, so that what was said before it does not stand there as if it still held."""
        self._put(tr("Done: {what}.", what=what), fault=False)

    def _put(self, sentence: str, *, fault: bool) -> None:
        self._sentence.setText(sentence)
        self._sentence.setProperty("kind", "red" if fault else "")
        # A property of its own counts for the style sheet only when the widget is dressed again.
        if style := self._sentence.style():
            style.polish(self._sentence)

    def show_running(self, running: tuple[Running, ...]) -> None:
        """Show what is under way; what is over in a moment is not worth a flicker."""
        self._running = running
        if not running or self._stop.isVisible():
            self._patience.stop()
            self._show()
        elif not self._patience.isActive():
            self._patience.start()

    def _show(self) -> None:
        running = self._running
        for widget in (self._bar, self._doing, self._stop):
            widget.setVisible(bool(running))
        if not running:
            return
        first = running[0]
        more = len(running) - 1
        doing = first.step.doing if first.step else first.what
        self._doing.setText(tr("{doing} (and {more} more)", doing=doing, more=more) if more else doing)
        self._bar.setRange(0, first.step.total if first.step else 0)
        self._bar.setValue(first.step.done if first.step else 0)
