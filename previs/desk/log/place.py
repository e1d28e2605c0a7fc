"""The Log place: takes, hits, framings and treatments of one tape, tapped while it plays; the rules are in the rooms."""

from __future__ import annotations

from PyQt6.QtCore import QRect, Qt
from PyQt6.QtGui import QColor, QFont, QPainter
from PyQt6.QtWidgets import QHBoxLayout, QSplitter, QVBoxLayout, QWidget

from previs.clock import Span, first_grid_frame, grid_span
from previs.desk.column import Column
from previs.desk.log.buttons import Buttons
from previs.desk.log.card import Card
from previs.desk.log.doubts import Doubts
from previs.desk.log.fields import OwnKeys, keep_own_keys
from previs.desk.log.framing_panel import FramingPanel
from previs.desk.log.hand import Hand
from previs.desk.log.hearing import Hearing
from previs.desk.log.keys import log_keys
from previs.desk.log.next_move import NextMove
from previs.desk.log.offers import Offers
from previs.desk.log.paint import Shown
from previs.desk.log.rows import tape_rows
from previs.desk.log.sheet import Hatched, sheet_data
from previs.desk.log.spans import Spans
from previs.desk.log.take_run import TakeRun
from previs.desk.log.tape_list import TapeList
from previs.desk.log.tape_sheet import TapeSheet
from previs.desk.log.taps import Taps
from previs.desk.looks import looks
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot
from previs.desk.place import Place
from previs.desk.player.view import Player
from previs.desk.words import tr
from previs.document.model import Sequence

_AROUND_SECONDS = 3


class LogPlace(Place):
    """The Log place."""

    ident = "log"

    def __init__(self, file: OpenFile, memory: Memory) -> None:
        super().__init__(file, memory)
        self.player = Player(file)
        self.hearing = Hearing(file, self)
        self.hand = Hand(file, self.player, self.hearing, self)
        self.taps = Taps(self.hand)
        self.doubts = Doubts(self.hand, self.taps, self._show_around)
        self.spans = Spans(self.hand, self.taps)
        self.offers = Offers(self.hand, self.taps)
        self.run = TakeRun(self.hand, self)
        self.list, self.sheet = TapeList(), TapeSheet(file)
        self.buttons = Buttons(self.spans.take, self.offers.propose, self.offers.carry, self.offers.note_tempi, self.doubts.next)
        self.next_move = NextMove(self.beat, self.hand.toggle_snap)
        self.card = Card(self.hand, self.taps.clear, self.spans.remove_take)
        self.framing = FramingPanel(self.hand, self.spans)
        self._own_keys = OwnKeys(self)
        self._came = False
        self._lay_out()
        self._wire()
        self._make_actions()
        keep_own_keys(self, self._own_keys)

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Log")

    def go(self, spot: Spot) -> None:
        """Show a take, a tape and a frame of it, or a move's hit."""
        if spot.take:
            self.choose(spot.take)
        if spot.reel:
            self.look_at(spot.reel, spot.frame or 0)
        if spot.move is not None and (take := self.hand.take):
            hit = next((one for one in take.hits if one.move == spot.move), None)
            if hit:
                self.hand.look_at(take.reel, first_grid_frame(hit.at, self.hand.fps))
            self.hand.want_move(take.name, spot.move)

    def came(self) -> None:
        """Show the tape of last time, or the first, and put the keys on the sheet."""
        if not self.hand.reel:
            reels = [tape.reel for tape in self.file.sequence.tapes]
            last = self.memory.text("log reel")
            if reels:
                self.look_at(last if last in reels else reels[0])
        self._came = True
        self.sheet.setFocus()
        self._show()

    def left(self) -> None:
        """Let nothing play on."""
        self.doubts.end()
        self.player.pause()
        self._keep()

    def close_down(self) -> None:
        """Stop the player's thread."""
        self._keep()
        self.player.close_down()

    def _keep(self) -> None:
        self.memory.keep("log reel", self.hand.reel)
        self.memory.keep("log across", self._across.saveState())
        self.memory.keep("log down", self._down.saveState())

    # What keys and buttons do

    def beat(self) -> None:
        """The next move lands on the frame shown."""
        self.doubts.end()
        self.taps.beat()

    def choose(self, name: str) -> None:
        """Choose a take, go to its beginning and show all of it on the sheet."""
        self.doubts.end()
        self.hand.choose(name)
        self.zoom_to_take()

    def look_at(self, reel: str, frame: int = 0) -> None:
        """Show a tape from a frame of its grid."""
        self.doubts.end()
        self.hand.look_at(reel, frame)

    def play_at_half_speed(self) -> None:
        """The chosen take at half speed, from its beginning to its last frame."""
        self.doubts.end()
        self.run.begin()

    def choose_beside(self, by: int) -> None:
        """Choose the take before (-1) or the next one (1) of all takes."""
        takes = [take.name for take in self.file.sequence.takes]
        take = self.hand.take
        if takes:
            here = takes.index(take.name) if take else -1
            self.choose(takes[min(max(here + by, 0), len(takes) - 1)])

    def go_to_mark(self, by: int) -> None:
        """Stop at the mark before (-1) or the next one (1) on the tape."""
        frame = self.sheet.mark_beside(by)
        if frame is not None:
            self.player.pause()
            self.player.seek(frame)

    def let_go(self) -> None:
        """Forget what was begun, stop, and look at no more doubts."""
        self.doubts.end()
        self.player.pause()
        self.spans.forget()

    def zoom_to_take(self) -> None:
        """Show all of the chosen take on the sheet."""
        take = self.hand.take
        if take and take.reel == self.hand.reel:
            self.sheet.show_span(grid_span(take.span, self.hand.fps))

    # What is shown

    def _show(self) -> None:
        """All of it, as things are now."""
        hand, sequence = self.hand, self.file.sequence
        take = hand.take
        self.list.put(tape_rows(sequence), hand.reel, take.name if take else "")
        self.sheet.put(sheet_data(sequence, hand.reel, self.hearing.of(hand.reel), self.offers.on_tape()), self.hearing.of(hand.reel))
        self.next_move.put(sequence, take, hand.next_move, hand.told, snap=hand.snap)
        self.card.put()
        # The picture has the next move on it.
        self.player.overlay = self._draw_move
        self._show_frame()

    def _show_frame(self, *_: object) -> None:
        """What changes with the frame."""
        hand = self.hand
        begun = [one for one in self.spans.begun.values() if one.reel == hand.reel]
        opened = [(one, sorted((one.frame, hand.frame))) for one in begun]
        hatched = tuple(
            Hatched(_frames(first, last), one.kind, one.role, open=True) for one, (first, last) in opened if one.kind is not None
        )
        take, move = hand.take, hand.next_move
        at = self.doubts.at
        shown = Shown(
            frame=hand.frame,
            take=take.name if take else "",
            move=at[1] if at else (move.number if move else None),
            begun=hatched,
            begun_take=next((one.frame for one in begun if one.kind is None), None),
            focused=False,
            listening=self.hearing.is_asked(hand.reel),
        )
        self.sheet.mark(shown)
        self.buttons.put(begun=shown.begun_take is not None)
        self.framing.put()

    def _draw_move(self, painter: QPainter, place: QRect, _frame: int) -> None:
        """The next move in the corner of the picture, where the eyes are while hits are tapped."""
        move = self.hand.next_move
        if move is None or self.hand.take_here is None:
            return
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 1.5)
        font.setBold(True)
        painter.setFont(font)
        words = tr("{move}  {label}", move=move.number, label=move.label)
        words = painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, place.width() - 24)
        box = painter.fontMetrics().boundingRect(words).adjusted(-8, -4, 8, 4)
        box.moveTopLeft(place.topLeft())
        painter.fillRect(box, QColor(looks().ground))
        painter.setPen(QColor(looks().ink))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), words)

    def _show_around(self, frame: int) -> None:
        """Show some seconds around a frame on the sheet."""
        around = _AROUND_SECONDS * self.file.sequence.timebase.rate.nominal
        self.sheet.show_span(Span(max(0, frame - around), frame + around))

    def _arrived(self, reel: str) -> None:
        if reel == self.hand.reel:
            if self.offers.shown:
                self.offers.tell()
            self._show()

    def _file_changed(self, _before: Sequence) -> None:
        if self._came and not self.hand.reel and self.file.sequence.tapes:
            self.look_at(self.file.sequence.tapes[0].reel)
        elif not self.hand.reel:
            self.player.look_at(None)

    # How it is put together

    def _wire(self) -> None:
        self.hand.changed.connect(self._show)
        self.player.overlay = self._draw_move
        self.player.moved.connect(self._show_frame)
        self.hearing.arrived.connect(self._arrived)
        self.file.changed.connect(self._file_changed)
        self.list.tape_chosen.connect(self.look_at)
        self.list.take_chosen.connect(self.choose)
        self.sheet.frame_wanted.connect(self.player.seek)
        self.sheet.take_chosen.connect(lambda name: self.hand.choose(name, seek=False))
        self.sheet.hit_dragged.connect(lambda take, move, frame: self.taps.put_at(take, move, frame, snapping=self.hand.snap))
        self.sheet.edge_dragged.connect(lambda take, begin, frame: self.spans.edge(take, begin=begin, frame=frame))

    def _make_actions(self) -> None:
        for action in self.player.actions():
            self.addAction(action)
        for text, keys, do in log_keys(self):
            # A key held down is one tap.
            self.act(text, keys, do).setAutoRepeat(False)
        self.others += [(tr("Wheel"), tr("Along the tape")), (tr("Ctrl+Wheel"), tr("Closer or wider"))]

    def _lay_out(self) -> None:
        left = QWidget()
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.list, 1)
        column.addWidget(self.buttons)
        middle = self._down = QSplitter(Qt.Orientation.Vertical)
        middle.setChildrenCollapsible(False)
        below = QWidget()
        under = QVBoxLayout(below)
        under.setContentsMargins(0, 4, 0, 0)
        under.addWidget(self.next_move)
        under.addWidget(self.sheet, 1)
        middle.addWidget(self.player)
        middle.addWidget(below)
        middle.setSizes([390, 280])
        card = QWidget()
        right = QVBoxLayout(card)
        right.setContentsMargins(4, 0, 6, 0)
        right.addWidget(self.card)
        right.addWidget(self.framing)
        right.addStretch(1)
        page = Column(card)
        across = self._across = QSplitter()
        across.setChildrenCollapsible(False)
        for number, (widget, stretch) in enumerate(((left, 0), (middle, 1), (page, 0))):
            across.addWidget(widget)
            across.setStretchFactor(number, stretch)
        across.setSizes([200, 640, 290])
        across.restoreState(self.memory.state("log across"))
        middle.restoreState(self.memory.state("log down"))
        row = QHBoxLayout(self)
        row.setContentsMargins(10, 4, 6, 4)
        row.addWidget(across)


def _frames(first: int, last: int) -> Span:
    return Span(first, last + 1)
