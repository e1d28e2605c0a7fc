"""What is heard of what a player shows: of a tape its sound, of a cut its soundtrack once it is laid; it shows nothing."""

from __future__ import annotations

from fractions import Fraction
from functools import partial

import numpy as np
from PyQt6.QtCore import QObject, pyqtSignal

from previs.clock import Span
from previs.desk.open_file import OpenFile
from previs.desk.player.outputs import has_output
from previs.desk.player.sound import Sound
from previs.desk.player.strips import CutStrip, Strip, TapeStrip
from previs.desk.words import tr
from previs.document.model import Sequence
from previs.document.paths import locate
from previs.faults import Fault
from previs.media.events import TapePicture
from previs.media.from_cut import events_of
from previs.media.sound import Samples, StoredSound, sample_at, stored, tape_sound
from previs.media.soundtrack import lay_sound
from previs.progress import Report

_KEPT_SOUNDS = 3


class Sounding(QObject):
    """The sound of one player at full speed, where the machine has an output.

    A tape whose sound cannot be had is silent. `prepared` comes when a sound that was wanted too early can begin.
    """

    prepared = pyqtSignal()

    def __init__(self, file: OpenFile, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._file = file
        self._sound = Sound()
        self._kept: list[tuple[object, Samples | StoredSound]] = []
        self._preparing: object = None
        self._begun_of: object = None
        file.work.stopped.connect(self._forget)
        file.work.failed.connect(self._forget)

    @property
    def heard(self) -> Fraction | None:
        """Seconds that have sounded since `begin`, or None while nothing sounds."""
        return self._sound.heard_seconds()

    def begin(self, strip: Strip, frame: int, loop: Span | None) -> None:
        """Sound from a frame of a strip on, round a loop of its frames when there is one; or as soon as it is prepared."""
        self.stop()
        if not has_output():
            return
        self._begun_of = _content(self._file.sequence, strip)
        samples = self._samples(strip)
        if samples is not None:
            rate, first = self._file.sequence.timebase.rate.fps, 0 if isinstance(strip, CutStrip) else strip.first_frame
            span = Span(sample_at(first + loop.start, rate), sample_at(first + loop.end_exclusive, rate)) if loop else None
            self._sound.start(samples, sample_at(first + frame, rate), span)

    def is_of(self, strip: Strip) -> bool:
        """Whether what sounds is still what the strip sounds like, after an edit."""
        return self._begun_of is None or self._begun_of == _content(self._file.sequence, strip)

    def stop(self) -> None:
        """Be silent."""
        self._sound.stop()
        self._begun_of = None

    def _samples(self, strip: Strip) -> Samples | StoredSound | None:
        """The sound, or None while it is being prepared."""
        sequence, content = self._file.sequence, _content(self._file.sequence, strip)
        if isinstance(strip, TapeStrip) and sequence.tape(strip.reel).sound is None:
            return None
        if (known := next((samples for of, samples in self._kept if of == content), None)) is not None:
            return known
        if self._preparing != content:
            self._preparing = content
            job = partial(_prepared, self._file, sequence, strip)
            self._file.do(tr("Preparing the sound"), job, partial(self._keep, content))
        return None

    def _keep(self, content: object, samples: Samples | StoredSound) -> None:
        if self._preparing == content:
            self._preparing = None
        if not len(samples):  # the tape is away, and may come back
            return
        self._kept = [(content, samples), *self._kept][:_KEPT_SOUNDS]
        if self._begun_of == content:
            self.prepared.emit()

    def _forget(self, *_: object) -> None:
        self._preparing = None


def _content(sequence: Sequence, strip: Strip) -> object:
    """What a strip's sound follows from; equal while it stays the same."""
    if isinstance(strip, CutStrip):
        cut = next((cut for cut in sequence.cuts if cut.name == strip.cut), None)
        return cut.shots if cut else None, sequence.takes, sequence.tapes
    return next(((tape.fingerprint, tape.path) for tape in sequence.tapes if tape.reel == strip.reel), None)


def _prepared(file: OpenFile, sequence: Sequence, strip: Strip, _report: Report) -> Samples | StoredSound:
    if isinstance(strip, CutStrip):
        events = events_of(sequence, sequence.cut(strip.cut), file.path)
        return stored(lay_sound(events, sequence.timebase.rate.fps, lambda tape: _tape_sound(file, tape)), file.cache)
    tape = sequence.tape(strip.reel)
    return _tape_sound(file, TapePicture(locate(file.path, tape), tape.fingerprint, tape.reel, 0))


def _tape_sound(file: OpenFile, tape: TapePicture) -> Samples | StoredSound:
    """The tape's sound; none where it cannot be had, which the picture says already."""
    try:
        return tape_sound(tape.path, file.cache, tape.fingerprint)
    except Fault:
        return np.zeros((0, 2), np.float32)
