"""What the tapes let hear and see, asked for in the background and kept while the file is open; it judges nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from PyQt6.QtCore import QObject, pyqtSignal

from previs.analysis.motion import camera_breaks, still_spans
from previs.analysis.takes import REST_SECONDS, ProposedTake, proposed_takes
from previs.desk.open_file import OpenFile
from previs.desk.words import tr
from previs.document.model import Sequence, Tape
from previs.media.from_cut import raster_of, tapes_to_copy
from previs.media.signals import Signals, signals_of
from previs.progress import Report


class Hearing(QObject):
    """Signals of the file's tapes. `arrived` has the reel of a tape whose signals can be had now."""

    arrived = pyqtSignal(str)

    def __init__(self, file: OpenFile, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._file = file
        self._known: dict[str, Signals] = {}
        self._asked: set[str] = set()
        # What was stopped or failed may be asked for again.
        file.work.stopped.connect(lambda *_: self._asked.clear())
        file.work.failed.connect(lambda *_: self._asked.clear())

    def of(self, reel: str) -> Signals | None:
        """The tape's signals, or None while they are not there."""
        tape = self._tape(reel)
        return self._known.get(tape.fingerprint) if tape else None

    def is_asked(self, reel: str) -> bool:
        """Whether somebody waits for them."""
        tape = self._tape(reel)
        return tape is not None and tape.fingerprint in self._asked

    def want(self, reel: str) -> None:
        """Ask for a tape's signals, unless they are there or on their way."""
        tape = self._tape(reel)
        if tape is None or tape.fingerprint in self._known or tape.fingerprint in self._asked:
            return
        self._asked.add(tape.fingerprint)
        sequence, path, cache = self._file.sequence, self._file.path, self._file.cache
        self._file.do(
            tr("Listening to and looking at {reel}", reel=reel),
            lambda report: _looked_at(sequence, [tape], path, cache, report)[tape.reel],
            lambda found: self._keep(tape, found),
        )

    def with_all(
        self, what: str, job: Callable[[Sequence, Mapping[str, Signals]], object], then: Callable[[Sequence, object], None]
    ) -> None:
        """Do `job` with the sequence as it is now and the signals of all its tapes, in the background; `then` has both again."""
        sequence, path, cache = self._file.sequence, self._file.path, self._file.cache

        def work(report: Report) -> tuple[object, dict[str, Signals]]:
            found = _looked_at(sequence, list(sequence.tapes), path, cache, report)
            return job(sequence, found), found

        def done(result: tuple[object, dict[str, Signals]]) -> None:
            for reel, one in result[1].items():
                self._keep(sequence.tape(reel), one)
            then(sequence, result[0])

        self._file.do(what, work, done)

    def _keep(self, tape: Tape, found: Signals) -> None:
        self._asked.discard(tape.fingerprint)
        self._known[tape.fingerprint] = found
        self.arrived.emit(tape.reel)

    def _tape(self, reel: str) -> Tape | None:
        return next((tape for tape in self._file.sequence.tapes if tape.reel == reel), None)


def proposals_on(tape: Tape, signals: Signals) -> tuple[ProposedTake, ...]:
    """The takes that may lie on a tape, as `previs detect` proposes them."""
    breaks, rests = camera_breaks(signals.motion), still_spans(signals.motion, REST_SECONDS)
    return proposed_takes(float(tape.duration), signals.slates, signals.hits, breaks, rests)


def _looked_at(sequence: Sequence, tapes: list[Tape], path: Path, cache: Path, report: Report) -> dict[str, Signals]:
    copies = tapes_to_copy(sequence, tapes, path)
    found = signals_of(copies, sequence.timebase, raster_of(sequence), cache, report)
    return {tape.reel: one for tape, one in zip(tapes, found, strict=True)}
