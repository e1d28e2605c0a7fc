"""The thread on which pictures are decoded: the newest order first, then ahead into a bounded store; it draws nothing."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PyQt6.QtCore import QObject, QThread, pyqtSignal
from PyQt6.QtGui import QImage

from previs.desk.player.strips import CutStrip, Strip, strip_frames
from previs.desk.words import tr
from previs.document.model import Sequence
from previs.faults import Fault
from previs.media.viewing import Viewing

KEPT_BYTES = 80 << 20
"""How much of decoded pictures is held: two seconds at the usual size, fewer pictures of a larger one."""
AHEAD_PICTURES = 16
_LONGEST_GOODBYE_MS = 10_000


@dataclass(frozen=True, slots=True)
class View:
    """One picture: of which strip, which of its frames."""

    strip: Strip
    frame: int


@dataclass(frozen=True, slots=True)
class Order:
    """Pictures that are wanted together: the frame itself, one beside it, one laid over it, each in a box of `size_px`.

    `coming` are the frames of the strip that will be wanted next while it plays.
    """

    serial: int
    sequence: Sequence
    main: View
    beside: View | None = None
    over: View | None = None
    coming: tuple[int, ...] = ()
    size_px: tuple[int, int] = (960, 540)

    @property
    def views(self) -> tuple[View | None, ...]:
        """All three places, in this order."""
        return self.main, self.beside, self.over


@dataclass(frozen=True, slots=True)
class Pictured:
    """An order carried out: a picture for each of its views, or None with the sentence why there is none."""

    order: Order
    images: tuple[QImage | None, ...]
    faults: tuple[str, ...]


class Decoder(QThread):
    """Decodes for one player. Orders not begun yet give way to newer ones; `pictured` hands each finished one over.

    The readers are opened and closed on this thread. `close` may be called at any time and waits for its end.
    """

    pictured = pyqtSignal(object)

    def __init__(self, document: Path, cache: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._viewing_of = (document, cache)
        self._news = threading.Condition()
        self._order: Order | None = None
        self._closing = False
        self._kept: OrderedDict[View, QImage] = OrderedDict()
        self._kept_bytes = 0
        self._kept_of: tuple[Sequence | None, tuple[int, int]] = (None, (0, 0))

    def ask(self, order: Order) -> None:
        """Want these pictures now, in the place of whatever was wanted before."""
        with self._news:
            self._order = order
            self._news.notify()
        if not self.isRunning() and not self._closing:
            self.start()

    def close(self) -> None:
        """End the thread and wait for it."""
        with self._news:
            self._closing = True
            self._order = None
            self._news.notify()
        wait_for(self)

    def run(self) -> None:
        """Carry out orders until closed."""
        with Viewing(*self._viewing_of, (64, 64)) as viewing:
            while (order := self._next()) is not None:
                self._begin(order, viewing)
                done = [self._picture(viewing, order.sequence, view) if view else (None, "") for view in order.views]
                self.pictured.emit(Pictured(order, tuple(image for image, _ in done), tuple(fault for _, fault in done)))
                if done[0][0] is not None:
                    self._go_ahead(viewing, order)

    def _next(self) -> Order | None:
        """The newest order, as soon as there is one; None when closing."""
        with self._news:
            while self._order is None and not self._closing:
                self._news.wait()
            order, self._order = self._order, None
            return order

    def _begin(self, order: Order, viewing: Viewing) -> None:
        """Forget pictures of another document or size."""
        if self._kept_of[0] is not order.sequence or self._kept_of[1] != order.size_px:
            viewing.resize(order.size_px)
            self._kept.clear()
            self._kept_bytes = 0
            self._kept_of = (order.sequence, order.size_px)

    def _go_ahead(self, viewing: Viewing, order: Order) -> None:
        """Decode what will be asked for next, until something else is."""
        for frame in order.coming[:AHEAD_PICTURES]:
            for view in order.views[:2]:
                with self._news:
                    if self._order is not None or self._closing:
                        return
                if view:
                    self._picture(viewing, order.sequence, View(view.strip, view.frame + frame - order.main.frame))

    def _picture(self, viewing: Viewing, sequence: Sequence, view: View) -> tuple[QImage | None, str]:
        if (known := self._kept.get(view)) is not None:
            self._kept.move_to_end(view)
            return known, ""
        if not 0 <= view.frame < strip_frames(sequence, view.strip):
            name = view.strip.cut if isinstance(view.strip, CutStrip) else view.strip.reel
            return None, tr("Nothing of {name} is on here: it has not begun, or has ended.", name=name)
        try:
            image = _image(viewing, sequence, view)
        except Fault as fault:
            return None, str(fault)
        except Exception as error:  # Qt would end the whole program; the person must be able to go on with another picture
            told = "previs met a fault of its own with this picture ({kind}: {error}); please report it."
            return None, tr(told, kind=type(error).__name__, error=error)
        self._kept[view] = image
        self._kept_bytes += image.sizeInBytes()
        while self._kept_bytes > KEPT_BYTES and len(self._kept) > 1:
            self._kept_bytes -= self._kept.popitem(last=False)[1].sizeInBytes()
        return image, ""


def wait_for(thread: QThread) -> None:
    """Wait for a thread that has been told to end; one that cannot yet is let go its way, apart from its owner."""
    if not thread.wait(_LONGEST_GOODBYE_MS):
        # A long tape on a slow drive is being read through. Qt would end the program with a thread that goes before its end.
        thread.setParent(None)
        _still_leaving.append(thread)


_still_leaving: list[QThread] = []


def _image(viewing: Viewing, sequence: Sequence, view: View) -> QImage:
    if isinstance(view.strip, CutStrip):
        rgb = viewing.cut_picture(sequence, sequence.cut(view.strip.cut), view.frame)
    else:
        rgb = viewing.tape_picture(sequence, view.strip.reel, view.strip.first_frame + view.frame)
    return image_of(rgb)


def image_of(rgb: NDArray[np.uint8]) -> QImage:
    """An RGB picture (height, width, 3) as an image that owns its memory, so that it may go to another thread."""
    height, width, _ = rgb.shape
    return QImage(rgb.tobytes(), width, height, 3 * width, QImage.Format.Format_RGB888).copy()
