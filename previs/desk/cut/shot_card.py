"""What is known of the chosen shot, and why it is what it is, as a card to read; it works nothing out."""

from __future__ import annotations

from html import escape

from PyQt6.QtCore import QEvent, QTimer
from PyQt6.QtWidgets import QTextBrowser

from previs.desk.cut.about_shot import about_shot, reasons_of
from previs.desk.looks import looks
from previs.desk.words import tr
from previs.document.model import Cut, Sequence


class ShotCard(QTextBrowser):
    """One shot, in lines and sentences that can be selected."""

    def __init__(self) -> None:
        super().__init__()
        self._shown: tuple[Sequence, Cut, int] | None = None
        self._dressed = QTimer(self)
        self._dressed.setSingleShot(True)
        self._dressed.timeout.connect(self._write_again)
        self.setOpenLinks(False)
        self.setAccessibleName(tr("This shot"))
        self.put(None)

    def put(self, shown: tuple[Sequence, Cut, int] | None) -> None:
        """Show a shot of a cut by its number, or none."""
        another = shown is None or self._shown is None or shown[1:] != self._shown[1:]
        self._shown = shown
        bar = self.verticalScrollBar()
        at = bar.value() if bar and not another else 0
        self.setHtml(_page(*shown) if shown else _page_of_none())
        if bar:
            bar.setValue(at)

    def changeEvent(self, event: QEvent | None) -> None:  # noqa: N802
        """Other looks have other colours; the page is written anew once every widget has been dressed."""
        super().changeEvent(event)
        if event and event.type() == QEvent.Type.PaletteChange:
            self._dressed.start()

    def _write_again(self) -> None:
        if self._shown:
            self.put(self._shown)


def _page_of_none() -> str:
    told = (
        tr("Choose a shot on the chart: click it, or press Down."),
        tr("Drag an edge of a shot to make it longer or shorter; with Shift the cut moves, and all others stay."),
        tr("Drag a shot with Ctrl for other frames of its take in the same place."),
        tr("Ctrl+Z takes everything back."),
    )
    return "".join(f"<p style='margin:0 0 6px 0'>{escape(one)}</p>" for one in told)


def _page(sequence: Sequence, cut: Cut, number: int) -> str:
    soft = looks().soft
    rows = "".join(
        f"<p style='margin:0 0 1px 0'><span style='color:{soft}'>{escape(what)}</span>&nbsp; {escape(value)}</p>"
        for what, value in about_shot(sequence, cut, number)
    )
    because = "".join(f"<p style='margin:2px 0 4px 0'>{escape(reason)}</p>" for reason in reasons_of(cut, number))
    title, why = tr("Shot {number} of {last}", number=number, last=len(cut.shots)), tr("Why")
    return f"<p style='margin:0 0 2px 0'><b>{escape(title)}</b></p>{rows}<p style='margin:6px 0 0 0'><b>{escape(why)}</b></p>{because}"
