"""What is heard and seen on the tapes, worked out in the background and kept; nothing is marked."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QObject, pyqtSignal

from previs.desk.open_file import OpenFile
from previs.desk.words import tr
from previs.document.model import Tape
from previs.document.paths import locate
from previs.media.from_cut import raster_of, tapes_to_copy
from previs.media.signals import Signals, signals_of
from previs.progress import Report


class EvidenceOfTapes(QObject):
    """`arrived` says that the signals of a reel can be had."""

    arrived = pyqtSignal(str)

    def __init__(self, file: OpenFile) -> None:
        super().__init__()
        self._file = file
        self._known: dict[str, Signals] = {}
        self._asked: set[str] = set()

    def of(self, tape: Tape) -> Signals | None:
        """The signals of a tape, or None while they are being worked out or when it is away."""
        found = self._known.get(tape.fingerprint)
        if found is None and tape.fingerprint not in self._asked and locate(self._file.path, tape).exists():
            self._asked.add(tape.fingerprint)
            self._file.do(
                tr("Listening to and looking at tape {reel}", reel=tape.reel),
                lambda report: self._work_out([tape], report),
                lambda found: self._keep([tape], found),
            )
        return found

    def of_all(self, then: Callable[[dict[str, Signals]], None]) -> None:
        """The signals of every tape that is there, by reel, once they are all known."""
        tapes = [tape for tape in self._file.sequence.tapes if locate(self._file.path, tape).exists()]

        def keep(found: list[Signals]) -> None:
            self._keep(tapes, found)
            then({tape.reel: one for tape, one in zip(tapes, found, strict=True)})

        self._file.do(tr("Listening to and looking at all tapes"), lambda report: self._work_out(tapes, report), keep)

    def _work_out(self, tapes: list[Tape], report: Report) -> list[Signals]:
        sequence = self._file.sequence
        copies = tapes_to_copy(sequence, tapes, self._file.path)
        return signals_of(copies, sequence.timebase, raster_of(sequence), self._file.cache, report)

    def _keep(self, tapes: list[Tape], found: list[Signals]) -> None:
        for tape, one in zip(tapes, found, strict=True):
            self._known[tape.fingerprint] = one
            self.arrived.emit(tape.reel)
