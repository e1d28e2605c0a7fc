"""Small stills of tapes for lists, made on a thread of their own and kept; a list asks again when one has arrived."""

from __future__ import annotations

import threading
from collections import OrderedDict, deque

from PyQt6.QtCore import QThread, pyqtSignal
from PyQt6.QtGui import QImage, QPixmap

from previs.desk.open_file import OpenFile
from previs.desk.player.decoding import image_of, wait_for
from previs.document.model import Sequence
from previs.media.viewing import Viewing

KEPT_STILLS = 600
_MOST_WAITING = 200

_Key = tuple[str, str, int, int]
"""The tape's fingerprint and its reel, the frame of its grid, the width in pixels."""


class Stills(QThread):
    """Stills by reel, frame of the tape's grid and width in pixels. `arrived` says which reel and frame can be asked for now.

    A tape that is away has no still: `still` stays None and nothing arrives. Call `close_down` before it goes.
    """

    arrived = pyqtSignal(str, int)
    _done = pyqtSignal(object, object)

    def __init__(self, file: OpenFile) -> None:
        super().__init__()
        self._file = file
        self._kept: OrderedDict[_Key, QPixmap] = OrderedDict()
        self._asked: set[_Key] = set()
        self._waiting: deque[tuple[_Key, Sequence]] = deque()
        self._news = threading.Condition()
        self._closing = False
        self._done.connect(self._keep)

    def still(self, reel: str, grid_frame: int, width_px: int) -> QPixmap | None:
        """The still, or None while it is being made; the newest asked for is made first, and those long past not at all."""
        tape = next((tape for tape in self._file.sequence.tapes if tape.reel == reel), None)
        if tape is None:
            return None
        key = (tape.fingerprint, reel, grid_frame, width_px)
        if (known := self._kept.get(key)) is not None:
            self._kept.move_to_end(key)
            return known
        if key not in self._asked and not self._closing:
            self._asked.add(key)
            with self._news:
                self._waiting.append((key, self._file.sequence))
                while len(self._waiting) > _MOST_WAITING:
                    self._asked.discard(self._waiting.popleft()[0])
                self._news.notify()
            if not self.isRunning():
                self.start()
        return None

    def ask_again(self) -> None:
        """Let stills be asked for again that could not be made, such as those of tapes that were away and are back."""
        self._asked.clear()

    def close_down(self) -> None:
        """End the thread and wait for it."""
        with self._news:
            self._closing = True
            self._waiting.clear()
            self._news.notify()
        wait_for(self)

    def run(self) -> None:
        """Make stills until closed down."""
        with Viewing(self._file.path, self._file.cache, (64, 64)) as viewing:
            while True:
                with self._news:
                    while not self._waiting and not self._closing:
                        self._news.wait()
                    if self._closing:
                        return
                    key, sequence = self._waiting.pop()
                self._done.emit(key, _still(viewing, sequence, *key[1:]))

    def _keep(self, key: _Key, image: QImage | None) -> None:
        self._asked.discard(key)
        if image is None:
            return
        self._kept[key] = QPixmap.fromImage(image)
        while len(self._kept) > KEPT_STILLS:
            self._kept.popitem(last=False)
        self.arrived.emit(key[1], key[2])


def _still(viewing: Viewing, sequence: Sequence, reel: str, grid_frame: int, width_px: int) -> QImage | None:
    viewing.resize((max(64, width_px), 4 * max(64, width_px)))
    try:
        return image_of(viewing.tape_picture(sequence, reel, grid_frame))
    except Exception:  # a still is a help only, and Qt would end the program; the player says what is wrong with the tape
        return None
