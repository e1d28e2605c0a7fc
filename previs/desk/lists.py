"""Two lists that the window opens: the keys of every place, and what happened."""

from __future__ import annotations

from html import escape

from PyQt6.QtGui import QAction, QKeySequence
from PyQt6.QtWidgets import QDialog, QDialogButtonBox, QTextBrowser, QVBoxLayout, QWidget

from previs.desk.open_file import Said, Tone
from previs.desk.place import Place
from previs.desk.words import tr


def keys_page(everywhere: list[QAction], places: list[Place], here: Place | None = None) -> str:
    """All keys as a page: those of the place where the person is, those that work everywhere, then each other place's.

    They are read from the actions themselves, so that none is forgotten.
    """
    parts = {place.ident: _section(place.title, [*_rows(place.actions()), *place.others]) for place in places}
    first = parts.pop(here.ident) if here else ""
    return "".join([first, _section(tr("Everywhere"), _rows(everywhere)), *parts.values()])


def happened_page(log: list[Said]) -> str:
    """What happened as a page, newest first."""
    lines = []
    for line in reversed(log):
        sentence = tr("Not done: {sentence}", sentence=line.sentence) if line.tone is Tone.FAULT else line.sentence
        details = f"<pre>{escape(line.details)}</pre>" if line.details else ""
        lines.append(f"<p><code>{line.at:%H:%M:%S}</code>&nbsp; {escape(sentence)}</p>{details}")
    return "".join(lines) or f"<p>{escape(tr('Nothing has happened yet.'))}</p>"


class Page(QDialog):
    """A page to read, closed with Escape."""

    def __init__(self, title: str, page: str, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.resize(720, 560)
        text = QTextBrowser()
        text.setHtml(page)
        text.setOpenLinks(False)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(text)
        column.addWidget(buttons)


def _rows(actions: list[QAction]) -> list[tuple[str, str]]:
    shown = QKeySequence.SequenceFormat.NativeText
    rows = [(", ".join(key.toString(shown) for key in action.shortcuts()), action.text().replace("&", "")) for action in actions]
    return [(keys, what) for keys, what in rows if keys]


def _section(title: str, rows: list[tuple[str, str]]) -> str:
    if not rows:
        return ""
    lines = "".join(f"<tr><td><b>{escape(key)}</b>&nbsp;&nbsp;&nbsp;</td><td>{escape(what)}</td></tr>" for key, what in rows)
    return f"<h3>{escape(title)}</h3><table cellpadding='3'>{lines}</table>"
