"""The picture and the step chart, in step: what moves in one moves in the other; it edits nothing itself."""

from __future__ import annotations

from fractions import Fraction

from PyQt6.QtCore import QRect, Qt
from PyQt6.QtGui import QPainter
from PyQt6.QtWidgets import QSplitter

from previs.cut.stand_ins import StandIn
from previs.desk.chart.view import StepChart
from previs.desk.cut.chosen import Chosen
from previs.desk.cut.shown import laid_over, shot_at, shot_span, tried
from previs.desk.open_file import OpenFile
from previs.desk.player.picture import paint_caption
from previs.desk.player.strips import CutStrip, TapeStrip
from previs.desk.player.view import Player
from previs.desk.words import tr
from previs.document.model import Sequence


class Stage(QSplitter):
    """The player above the chart. While an edge is dragged it shows the frame at that edge; `try_on` plays another take."""

    def __init__(self, file: OpenFile) -> None:
        super().__init__(Qt.Orientation.Vertical)
        self.player, self.chart = Player(file), StepChart(file)
        self._file = file
        self._ident = ""
        self._onion_wanted, self._onion_at = False, -1
        self._loops_shot = False
        self._home: tuple[int, Fraction] | None = None
        self._caption = ""
        self.addWidget(self.player)
        self.addWidget(self.chart)
        self.setSizes([270, 370])
        self.setStretchFactor(0, 2)
        self.setStretchFactor(1, 3)
        self.setChildrenCollapsible(False)
        self.player.overlay = self._paint_caption
        self.chart.frame_wanted.connect(self.show_frame)
        self.chart.shot_chosen.connect(self._shot_chosen)
        self.chart.previewed.connect(self._previewed)
        self.chart.edge_pointed.connect(self._edge_pointed)
        self.player.moved.connect(self._moved)
        self.player.state_changed.connect(self._lay_over)
        file.changed.connect(self._show_cut)
        file.cut_chosen.connect(self._show_cut)
        self._show_cut()

    @property
    def chosen(self) -> Chosen | None:
        """The chosen shot, or else the one that is shown, with the frame that is shown; None while there is no cut."""
        cut = self._file.cut
        if cut is None or not cut.shots:
            return None
        frame = self._frame
        number = self.chart.chosen or shot_at(cut, frame) or len(cut.shots)
        return Chosen(self._file.sequence, cut.name, number, frame, self._file.path)

    def show_frame(self, frame: int) -> None:
        """Show a record frame of the cut."""
        if cut := self._file.cut:
            self._come_home()
            self.player.look_at(CutStrip(cut.name), frame)

    def choose(self, number: int) -> None:
        """Choose a shot and show its first frame, unless one of its frames is shown already."""
        self.chart.choose(number)

    def try_on(self, one: StandIn | None) -> None:
        """Play another take in the place of the chosen shot, until None is tried on."""
        cut, number = self._file.cut, self.chart.chosen
        if one is None or cut is None or not number:
            self._come_home()
            return
        shown = tried(one, self._file.sequence, cut, number)
        self._leave_home(tr("instead: take {take}", take=one.take.name))
        self.player.look_at(shown.strip)
        self.player.loop(0, self.player.frames)
        if shown.speed > 0:
            self.player.play(shown.speed)

    def toggle_onion(self) -> None:
        """On a shot's last frame lay the next one's first frame over it, or no more."""
        self._onion_wanted = not self._onion_wanted
        self._file.say(tr("The next shot lies over a shot's last frame.") if self._onion_wanted else tr("Nothing lies over the picture."))
        self._lay_over()

    def toggle_loop(self) -> None:
        """Play the chosen shot again and again, or no more."""
        self._loops_shot = not (self._loops_shot and self.player.looping)
        if self._loops_shot and self._loop_chosen():
            self.player.play()
        else:
            self._loops_shot = False
            self.player.unloop()

    @property
    def _frame(self) -> int:
        """The record frame that is shown, or was before something else was tried on."""
        return self._home[0] if self._home else self.player.frame

    def _show_cut(self, *_: object) -> None:
        cut = self._file.cut
        self._come_home()
        self._take_off()
        if cut is None:
            self.player.look_at(None)
            return
        self.player.look_at(CutStrip(cut.name), min(self._frame, max(cut.frames - 1, 0)))
        self._follow_shot()
        if self._loops_shot and self.player.looping:
            self._loop_chosen()

    def _follow_shot(self) -> None:
        """A shot that an edit moved stays the chosen one."""
        cut, number = self._file.cut, self.chart.chosen
        if cut and number:
            there = [at for at, shot in enumerate(cut.shots, start=1) if shot.ident == self._ident]
            self.chart.choose(there[0] if there else number)
            self._remember_shot()

    def _shot_chosen(self, number: int) -> None:
        cut = self._file.cut
        self._remember_shot()
        span = shot_span(cut, number) if cut else None
        if span is None:
            return
        if not span.holds(self._frame):
            self.show_frame(span.start)
        if self._loops_shot and self.player.looping:
            self._loop_chosen()

    def _remember_shot(self) -> None:
        cut, number = self._file.cut, self.chart.chosen
        self._ident = cut.shots[number - 1].ident if cut and number and number <= len(cut.shots) else ""

    def _loop_chosen(self) -> bool:
        chosen = self.chosen
        span = shot_span(chosen.sequence.cut(chosen.cut), chosen.shot) if chosen else None
        if span is None:
            return False
        self.player.loop(span.start, span.end_exclusive)
        if not span.holds(self.player.frame):
            self.player.seek(span.start)
        return True

    def _moved(self, frame: int) -> None:
        if isinstance(self.player.strip, CutStrip):
            self.chart.set_frame(frame)
            self._lay_over()

    def _lay_over(self) -> None:
        """Order the picture that lies over this one, where there is to be one and it is not there yet."""
        cut = self._file.cut
        still = self._onion_wanted and cut and not self.player.playing and isinstance(self.player.strip, CutStrip)
        over = laid_over(cut, self.player.frame) if still and cut else None
        if (over if over is not None else -1) != self._onion_at:
            self._onion_at = over if over is not None else -1
            self.player.onion(CutStrip(cut.name) if cut and over is not None else None, over or 0)

    def _take_off(self) -> None:
        """Nothing lies over the picture any more, until it is asked again."""
        if self._onion_at >= 0:
            self._onion_at = -1
            self.player.onion(None)

    def _previewed(self, sequence: Sequence | None) -> None:
        if sequence is None:
            self._come_home()

    def _edge_pointed(self, reel: str, frame: int) -> None:
        self._leave_home(tr("at the edge"))
        self.player.look_at(TapeStrip(reel), frame)

    def _leave_home(self, caption: str) -> None:
        if self._home is None:
            self._home = self.player.frame, self.player.speed
        self._caption = caption
        self._take_off()

    def _come_home(self) -> None:
        """Show the cut again, where it was shown before."""
        cut = self._file.cut
        if self._home is None:
            return
        (frame, speed), self._home = self._home, None
        self._caption = ""
        self.player.speed = speed
        self.player.look_at(CutStrip(cut.name) if cut else None, frame)
        self._lay_over()

    def _paint_caption(self, painter: QPainter, place: QRect, _frame: int) -> None:
        """Say on the picture that it is not the cut."""
        if self._caption:
            paint_caption(painter, place, self._caption)
