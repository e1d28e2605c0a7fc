"""The player: the exact frame of a tape or of a cut, played, stepped, looped, beside another; it edits nothing.

A time code on screen belongs to the picture on screen: both change together, when the picture has been decoded.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from time import monotonic_ns

from PyQt6.QtCore import QSize, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import QAction, QKeySequence, QResizeEvent
from PyQt6.QtWidgets import QVBoxLayout, QWidget

from previs.clock import Span
from previs.desk.open_file import OpenFile
from previs.desk.player.clockwork import Lead, Run, coming, faster, shown_at, slower
from previs.desk.player.decoding import AHEAD_PICTURES, Decoder, Order, Pictured, View
from previs.desk.player.line import Line
from previs.desk.player.picture import Overlay, Picture
from previs.desk.player.sounding import Sounding
from previs.desk.player.strips import CutStrip, Strip, strip_frames, strip_label
from previs.desk.words import tr

_TICK_MS = 8
_QUIET_MS = 120
"""How long the pointer rests before sound begins again while something plays."""
NORMAL = Fraction(1)

Clock = Callable[[], Fraction]
"""Seconds since some moment, exactly."""


def machine_clock() -> Fraction:
    """The machine's own steady clock."""
    return Fraction(monotonic_ns(), 10**9)


class Player(QWidget):
    """Shows a strip frame by frame.

    `moved` comes with every frame that is wanted, `pictured` when its picture is on screen, `state_changed` when it begins
    or ceases to play, or plays at another speed.
    """

    moved = pyqtSignal(int)
    pictured = pyqtSignal(int)
    state_changed = pyqtSignal()

    def __init__(self, file: OpenFile, parent: QWidget | None = None, clock: Clock = machine_clock) -> None:
        super().__init__(parent)
        self.strip: Strip | None = None
        self.frame = 0
        self.speed = NORMAL
        self._file, self._clock = file, clock
        self._run: Run | None = None
        self._loop: Span | None = None
        self._beside: tuple[Strip, int] | None = None
        self._over: View | None = None
        self._serial = 0
        self._lead: Lead | None = None
        self._sounding = Sounding(file, self)
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_QUIET_MS)
        self._picture, self._line = Picture(), Line()
        self._decoder = Decoder(file.path, file.cache, self)
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(_TICK_MS)
        self._lay_out()
        self._actions = self._make_actions()
        self._timer.timeout.connect(self._tick)
        self._rest.timeout.connect(self._go_on)
        self._sounding.prepared.connect(self._go_on)
        self._decoder.pictured.connect(self._put)
        self._line.ruler.wanted.connect(self.seek)
        self._line.pressed.connect(self.toggle)
        file.changed.connect(self._file_changed)
        self._show_state()

    @property
    def frames(self) -> int:
        """How many frames the strip has."""
        return strip_frames(self._file.sequence, self.strip) if self.strip else 0

    @property
    def playing(self) -> bool:
        """Whether it plays."""
        return self._run is not None

    @property
    def overlay(self) -> Overlay | None:
        """What draws on the picture, given the painter, the picture's rectangle and its frame."""
        return self._picture.overlay

    @overlay.setter
    def overlay(self, overlay: Overlay | None) -> None:
        self._picture.overlay = overlay
        self._picture.update()

    def look_at(self, strip: Strip | None, frame: int = 0, otherwise: str = "") -> None:
        """Show a strip, from a frame of it; without a strip `otherwise` says why there is no picture."""
        if strip != self.strip:
            self.pause()
            self._loop = None
            self.strip = strip
        if strip is None:
            self._picture.clear(otherwise or tr("Nothing is chosen."))
            self._line.tell_time("")
            return
        self.seek(frame)

    def seek(self, frame: int) -> None:
        """Show a frame; a playing player plays on from there."""
        frame = min(max(frame, 0), max(self.frames - 1, 0))
        if self._run:
            # A sound for each place that the pointer passes would only stutter.
            self._start_run(frame, self._run.speed, sounding=False)
            self._rest.start()
        self._want(frame)

    def step(self, by: int) -> None:
        """Stop, and go so many frames on or back."""
        self.pause()
        self.seek(self.frame + by)

    def play(self, speed: Fraction | None = None) -> None:
        """Play on from the shown frame, from the beginning when it is the last one; in the loop when there is one."""
        if speed is not None:
            self.speed = speed
        if not self.frames:
            return
        first = self.frame if self.frame < self.frames - 1 else 0
        if self._loop and not self._loop.holds(first):
            first = self._loop.start
        self._start_run(first, self.speed)
        self._timer.start()
        self._want(first)
        self._show_state()

    def pause(self) -> None:
        """Stop on the frame that is wanted now."""
        if self._run:
            self._run = None
            self._timer.stop()
            self._rest.stop()
            self._sounding.stop()
            self._show_state()

    def toggle(self) -> None:
        """Play or stop."""
        self.pause() if self.playing else self.play()

    def loop(self, first: int, end_exclusive: int) -> None:
        """Play these frames again and again."""
        self._loop = Span(first, end_exclusive) if first < end_exclusive else None
        self._go_on()
        self._show_ruler()

    def unloop(self) -> None:
        """Play on to the end again."""
        self._loop = None
        self._go_on()
        self._show_ruler()

    @property
    def looping(self) -> Span | None:
        """What is played again and again, or None."""
        return self._loop

    def beside(self, strip: Strip | None, offset: int = 0) -> None:
        """Show a second picture in step, of its own frame `offset` later; None takes it away."""
        self._beside = (strip, offset) if strip else None
        self._order()

    @property
    def has_beside(self) -> bool:
        """Whether a second picture is shown."""
        return self._beside is not None

    def onion(self, frame_of: Strip | None, frame: int = 0) -> None:
        """Lay a picture half-transparent over the shown one; None takes it away."""
        self._over = View(frame_of, frame) if frame_of else None
        self._order()

    def actions(self) -> list[QAction]:
        """What keys do to it, to be added to a place."""
        return self._actions

    def close_down(self) -> None:
        """End its thread and wait for it."""
        self.pause()
        self._decoder.close()

    def resizeEvent(self, event: QResizeEvent | None) -> None:  # noqa: N802
        """Decode for the new size."""
        super().resizeEvent(event)
        QTimer.singleShot(0, self._order)  # when the picture in it has its new size too

    def _start_run(self, first: int, speed: Fraction, *, sounding: bool = True) -> None:
        self._sounding.stop()
        if sounding and speed == NORMAL and self.strip:
            self._sounding.begin(self.strip, first, self._loop)
        # Opening an output takes its time, which is not to be played over.
        self._run = Run(first, self._clock(), speed, self._file.sequence.timebase.rate.fps)
        self._lead = Lead(self._run)

    def _go_on(self) -> None:
        """Play on from the wanted frame, with what there is to hear now."""
        if self._run:
            self._start_run(self.frame, self._run.speed)

    def _tick(self) -> None:
        run, lead = self._run, self._lead
        if run is None or lead is None:
            return
        # Where sound is heard it leads, so that a hit is seen when it is heard.
        moment = lead.moment(self._clock(), self._sounding.heard)
        if lead.lost:
            self._sounding.stop()
        shown = shown_at(run, moment, self.frames, self._loop)
        if shown.frame != self.frame:
            self._want(shown.frame)
        if shown.ended:
            self.pause()

    def _want(self, frame: int) -> None:
        self.frame = frame
        self._show_ruler()
        self._order()
        self.moved.emit(frame)

    def _order(self) -> None:
        if self.strip is None:
            return
        if not self.frames:
            gone = tr("Cut {name} is not there any more.", name=self.strip.cut) if isinstance(self.strip, CutStrip) else ""
            self._picture.clear(gone or tr("Tape {reel} is not in the file any more.", reel=getattr(self.strip, "reel", "")))
            self._line.tell_time("")
            return
        self._serial += 1
        beside = View(self._beside[0], self.frame + self._beside[1]) if self._beside else None
        ahead = coming(self.frame, self.frames, self._loop, AHEAD_PICTURES) if self.playing else ()
        size = self._picture.box_px(shared=beside is not None)
        self._decoder.ask(Order(self._serial, self._file.sequence, View(self.strip, self.frame), beside, self._over, ahead, size))

    def _put(self, pictured: Pictured) -> None:
        order = pictured.order
        if order.main.strip != self.strip or order.sequence is not self._file.sequence:
            return  # of what was shown before
        self._picture.put(pictured)
        main = strip_label(order.sequence, order.main.strip, order.main.frame)
        beside = strip_label(order.sequence, order.beside.strip, order.beside.frame) if order.beside else ""
        self._line.tell_time(main, beside)
        self.pictured.emit(order.main.frame)

    def _file_changed(self, _before: object) -> None:
        if self.strip:
            self.frame = min(self.frame, max(self.frames - 1, 0))
            self._show_ruler()
            self._order()
            if self._run and not self._sounding.is_of(self.strip):
                self._go_on()

    def _show_ruler(self) -> None:
        self._line.ruler.put(self.frames, self.frame, self._loop)

    def _show_state(self) -> None:
        self._line.tell_state(self.speed, playing=self.playing)
        self.state_changed.emit()

    def _change_speed(self, to: Callable[[Fraction], Fraction]) -> None:
        self.speed = to(self.speed)
        if self.playing:
            self.play()
        self._show_state()

    def _toggle_loop(self) -> None:
        self.unloop() if self._loop else self.loop(self.frame, min(self.frame + 2 * self._file.sequence.timebase.rate.nominal, self.frames))

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addWidget(self._picture, 1)
        column.addWidget(self._line)

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Smaller than this it cannot be read."""
        return QSize(320, 150)

    def _make_actions(self) -> list[QAction]:
        table: list[tuple[str, str, Callable[[], None]]] = [
            (tr("Play or stop"), "Space", self.toggle),
            (tr("One frame back"), "Left", lambda: self.step(-1)),
            (tr("One frame on"), "Right", lambda: self.step(1)),
            (tr("Ten frames back"), "Shift+Left", lambda: self.step(-10)),
            (tr("Ten frames on"), "Shift+Right", lambda: self.step(10)),
            (tr("To the first frame"), "Home", lambda: self.seek(0)),
            (tr("To the last frame"), "End", lambda: self.seek(self.frames - 1)),
            (tr("Slower"), "[", lambda: self._change_speed(slower)),
            (tr("Faster"), "]", lambda: self._change_speed(faster)),
            (tr("Play the next two seconds again and again, or no more"), "Shift+Space", self._toggle_loop),
        ]
        made = []
        for text, keys, do in table:
            action = QAction(text, self)
            action.setShortcut(QKeySequence(keys))
            action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            action.triggered.connect(lambda _checked=False, do=do: do())
            made.append(action)
        return made
