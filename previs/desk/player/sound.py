"""Sound of a strip at speed 1 where the machine has an output; where it has none, the silent clock leads. It decodes nothing."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PyQt6.QtCore import QIODevice, QLoggingCategory

from previs.media.sound import SAMPLE_RATE, Samples

if TYPE_CHECKING:
    from PyQt6.QtMultimedia import QAudioSink

BYTES_A_SAMPLE = 4
"""Two sides of 16 bits."""


class Feed(QIODevice):
    """The samples from one place on as the bytes that a sound output wants; silence after the end."""

    def __init__(self, samples: Samples, first_sample: int) -> None:
        super().__init__()
        self._samples = samples
        self._at = first_sample
        self.open(QIODevice.OpenModeFlag.ReadOnly)

    def readData(self, maxlen: int) -> bytes:  # noqa: N802
        """The next samples, as 16-bit numbers."""
        count = min(maxlen // BYTES_A_SAMPLE, SAMPLE_RATE)
        block = np.zeros((count, 2), np.float32)
        heard = self._samples[max(self._at, 0) : max(self._at, 0) + count]
        block[: len(heard)] = heard
        self._at += count
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

    def start(self, samples: Samples, first_sample: int) -> bool:
        """Sound from a sample on; False where there is no output."""
        self.stop()
        sink = _output()
        if sink is None or not len(samples):
            return False
        self._feed, self._sink = Feed(samples, first_sample), sink
        sink.start(self._feed)
        return True

    def heard_seconds(self) -> float | None:
        """Seconds that have sounded since `start`, or None while nothing sounds."""
        return self._sink.processedUSecs() / 1e6 if self._sink else None

    def stop(self) -> None:
        """Be silent."""
        if self._sink:
            self._sink.stop()
            self._sink.deleteLater()
        self._sink = self._feed = None


def _output() -> QAudioSink | None:
    """A sound output, or None. The library is not asked where the system has none: it would complain on standard error."""
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


def has_output() -> bool:
    """Whether the system may have a sound output at all."""
    if not Path("/proc").exists():
        return True
    cards = Path("/proc/asound/cards")
    served = os.environ.get("PULSE_SERVER") or (Path(os.environ.get("XDG_RUNTIME_DIR", "/nowhere")) / "pulse" / "native").exists()
    return bool(served) or (cards.exists() and "no soundcards" not in cards.read_text(errors="replace"))
