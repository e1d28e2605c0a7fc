"""Sound of a strip at speed 1 where the machine has an output; where it has none, the silent clock leads. It decodes nothing."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
from PyQt6.QtCore import QIODevice, QLoggingCategory

from previs.clock import Span
from previs.desk.player.outputs import has_output
from previs.faults import Fault
from previs.media.sound import SAMPLE_RATE, Samples, StoredSound

if TYPE_CHECKING:
    from PyQt6.QtMultimedia import QAudioSink

BYTES_A_SAMPLE = 4
"""Two sides of 16 bits."""


class Feed(QIODevice):
    """The samples from one place on as the bytes that a sound output wants; silence after the end.

    With `loop`, a span of samples, it goes from the loop's end to its beginning without a gap, unless it begins behind it.
    """

    def __init__(self, samples: Samples | StoredSound, first_sample: int, loop: Span | None = None) -> None:
        super().__init__()
        self._samples = samples
        self._at = max(first_sample, 0)
        self._loop = loop if loop and loop.length and first_sample < loop.end_exclusive else None
        self.open(QIODevice.OpenModeFlag.ReadOnly)

    def readData(self, maxlen: int) -> bytes:  # noqa: N802
        """The next samples, as 16-bit numbers."""
        left = min(maxlen // BYTES_A_SAMPLE, SAMPLE_RATE)
        parts = []
        while left:
            count = min(left, self._loop.end_exclusive - self._at) if self._loop else left
            parts.append(self._taken(count))
            left -= count
            self._at += count
            if self._loop and self._at == self._loop.end_exclusive:
                self._at = self._loop.start
        return b"".join(parts)

    def _taken(self, count: int) -> bytes:
        block = np.zeros((count, 2), np.float32)
        # The cache may fail while it is played from: silence then, since nobody asked for anything that could be refused.
        with suppress(Fault):
            heard = self._samples[self._at : self._at + count]
            block[: len(heard)] = heard
        return (np.clip(block, -1, 1) * 32767).astype("<i2").tobytes()

    def bytesAvailable(self) -> int:  # noqa: N802
        """It never ends: a player stops it."""
        return SAMPLE_RATE * BYTES_A_SAMPLE

    def isSequential(self) -> bool:  # noqa: N802
        """It is read in one go."""
        return True


class Sound:
    """One sound output, opened when it is first wanted; `start` says whether anything is heard."""

    def __init__(self) -> None:
        self._sink: QAudioSink | None = None
        self._feed: Feed | None = None

    def start(self, samples: Samples | StoredSound, first_sample: int, loop: Span | None = None) -> bool:
        """Sound from a sample on, round a loop of samples when there is one; False where there is no output."""
        self.stop()
        if not len(samples) or (sink := _output()) is None:
            return False
        self._feed, self._sink = Feed(samples, first_sample, loop), sink
        sink.start(self._feed)
        return True

    def heard_seconds(self) -> Fraction | None:
        """Seconds that have sounded since `start`, or None while nothing sounds or once the output has failed."""
        if self._sink is None:
            return None
        if self._sink.state().name == "StoppedState":  # it was unplugged
            self.stop()
            return None
        return Fraction(self._sink.processedUSecs(), 10**6)

    def stop(self) -> None:
        """Be silent."""
        if self._sink:
            self._sink.stop()
            self._sink.deleteLater()
        self._sink = self._feed = None


def _output() -> QAudioSink | None:
    """A sound output, or None. The library is not asked where the system has none."""
    if not has_output():
        return None
    QLoggingCategory.setFilterRules("qt.multimedia*=false")
    try:
        from PyQt6.QtMultimedia import QAudioFormat, QAudioSink, QMediaDevices
    except ImportError:
        return None
    device = QMediaDevices.defaultAudioOutput()
    if device.isNull():
        return None
    form = QAudioFormat()
    form.setSampleRate(SAMPLE_RATE)
    form.setChannelCount(2)
    form.setSampleFormat(QAudioFormat.SampleFormat.Int16)
    return QAudioSink(device, form)
