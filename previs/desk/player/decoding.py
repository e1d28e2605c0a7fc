"""The thread on which pictures are decoded: the newest order first, then ahead into a bounded store; it draws nothing."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass
from pathlib import Path

from PyQt6.QtCore import QObject, QThread, pyqtSignal
from PyQt6.QtGui import QImage

from previs.desk.player.strips import CutStrip, Strip
from previs.document.model import Sequence
from previs.faults import Fault
from previs.media.viewing import Viewing

KEPT_PICTURES = 48
"""How many decoded pictures are held: two seconds, some 75 MB at the usual size."""
AHEAD_PICTURES = 16
_LONGEST_GOODBYE_MS = 10_000


@dataclass(frozen=True, slots=True)
class View:
    """One picture: of which strip, which of its frames."""

    strip: Strip
    frame: int


@dataclass(frozen=True, slots=True)
class Order:
    """Pictures that are wanted together: the frame itself, one beside it, one laid over it; `ahead` when it plays on."""

    serial: int
    sequence: Sequence
    main: View
    beside: View | None = None
    over: View | None = None
    ahead: bool = False

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
        self._size = (960, 540)
        self._closing = False
        self._kept: OrderedDict[View, QImage] = OrderedDict()
        self._kept_of: tuple[Sequence | None, tuple[int, int]] = (None, (0, 0))

    def ask(self, order: Order) -> None:
        """Want these pictures now, in the place of whatever was wanted before."""
        with self._news:
            self._order = order
            self._news.notify()
        if not self.isRunning() and not self._closing:
            self.start()

    def resize(self, size_px: tuple[int, int]) -> None:
        """Scale pictures into this box from the next order on."""
        with self._news:
            self._size = size_px

    def close(self) -> None:
        """End the thread and wait for it."""
        with self._news:
            self._closing = True
            self._order = None
            self._news.notify()
        self.wait(_LONGEST_GOODBYE_MS)

    def run(self) -> None:
        """Carry out orders until closed."""
        with Viewing(*self._viewing_of, self._size) as viewing:
            while (order := self._next()) is not None:
                self._begin(order.sequence, viewing)
                done = [self._picture(viewing, order.sequence, view) if view else (None, "") for view in order.views]
                self.pictured.emit(Pictured(order, tuple(image for image, _ in done), tuple(fault for _, fault in done)))
                if order.ahead:
                    self._go_ahead(viewing, order)

    def _next(self) -> Order | None:
        """The newest order, as soon as there is one; None when closing."""
        with self._news:
            while self._order is None and not self._closing:
                self._news.wait()
            order, self._order = self._order, None
            return order

    def _begin(self, sequence: Sequence, viewing: Viewing) -> None:
        """Forget pictures of another document or size."""
        with self._news:
            size = self._size
        if self._kept_of[0] is not sequence or self._kept_of[1] != size:
            if self._kept_of[1] != size:
                viewing.resize(size)
            self._kept.clear()
            self._kept_of = (sequence, size)

    def _go_ahead(self, viewing: Viewing, order: Order) -> None:
        """Decode what will be asked for next, until something else is."""
        for step in range(1, AHEAD_PICTURES + 1):
            for view in order.views[:2]:
                with self._news:
                    if self._order is not None or self._closing:
                        return
                if view:
                    self._picture(viewing, order.sequence, View(view.strip, view.frame + step))

    def _picture(self, viewing: Viewing, sequence: Sequence, view: View) -> tuple[QImage | None, str]:
        if (known := self._kept.get(view)) is not None:
            self._kept.move_to_end(view)
            return known, ""
        try:
            image = _image(viewing, sequence, view)
        except IndexError:
            return None, ""
        except Fault as fault:
            return None, str(fault)
        self._kept[view] = image
        while len(self._kept) > KEPT_PICTURES:
            self._kept.popitem(last=False)
        return image, ""


def _image(viewing: Viewing, sequence: Sequence, view: View) -> QImage:
    if isinstance(view.strip, CutStrip):
        rgb = viewing.cut_picture(sequence, sequence.cut(view.strip.cut), view.frame)
    else:
        rgb = viewing.tape_picture(sequence, view.strip.reel, view.strip.first_frame + view.frame)
    height, width, _ = rgb.shape
    # The copy owns its memory, which the array does not share with another thread then.
    return QImage(rgb.tobytes(), width, height, 3 * width, QImage.Format.Format_RGB888).copy()
