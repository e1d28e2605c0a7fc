"""The Log place: one tape with its takes; hits are tapped while it plays, framings, faces and treatments marked by a key each."""

from __future__ import annotations

from fractions import Fraction
from functools import partial

from PyQt6.QtCore import QRect, Qt
from PyQt6.QtGui import QColor, QFont, QPainter
from PyQt6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QScrollArea, QSplitter, QVBoxLayout, QWidget

from previs.clock import first_grid_frame
from previs.desk.log.evidence import EvidenceOfTapes
from previs.desk.log.framing_row import FramingRow
from previs.desk.log.hits import Hits
from previs.desk.log.marks import KIND_KEYS, Marks
from previs.desk.log.sheet import TapeSheet
from previs.desk.log.take_card import TakeCard
from previs.desk.log.tape_data import tape_data
from previs.desk.log.tape_list import TapeList
from previs.desk.looks import looks
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot
from previs.desk.place import Place
from previs.desk.player.strips import TapeStrip
from previs.desk.player.view import Player
from previs.desk.words import tr
from previs.document.model import Size, Take
from previs.media.signals import Signals


class LogPlace(Place):
    """Where a tape becomes takes with moves that land on frames."""

    ident = "log"

    def __init__(self, file: OpenFile, memory: Memory) -> None:
        super().__init__(file, memory)
        self.reel, self.take_name = "", ""
        self.player, self.sheet, self.list = Player(file), TapeSheet(), TapeList()
        self.card, self.row = TakeCard(file), FramingRow()
        self.evidence = EvidenceOfTapes(file)
        self.hits, self.marks = Hits(self), Marks(self)
        self._move, self._role_label = QLabel(), QLabel()
        self._lay_out()
        self._make_actions()
        self.player.moved.connect(self._moved)
        self.player.overlay = self._draw_move
        self.sheet.frame_wanted.connect(self.player.seek)
        self.sheet.take_wanted.connect(lambda name: self.choose(self.reel, name))
        self.sheet.hit_moved.connect(self.hits.move_hit)
        self.sheet.edge_moved.connect(self.marks.move_edge)
        self.list.chosen.connect(self.choose)
        self.row.size_wanted.connect(self.marks.frame_as)
        self.row.face_wanted.connect(self.marks.turn_face)
        self.evidence.arrived.connect(lambda _reel: self.show_file())
        file.changed.connect(self.show_file)
        if file.sequence.tapes:
            self.choose(file.sequence.tapes[0].reel, "")
        self.show_file()

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Log")

    def go(self, spot: Spot) -> None:
        """Show a take, a move of it, or a frame of a tape."""
        take = next((one for one in self.file.sequence.takes if one.name == spot.take), None)
        reel = take.reel if take else spot.reel
        if reel:
            self.choose(reel, take.name if take else "")
        hit = next((hit for hit in take.hits if hit.move == spot.move), None) if take else None
        if hit:
            self.player.seek(first_grid_frame(hit.at, self.fps))
        elif spot.frame is not None:
            self.player.seek(spot.frame)

    def came(self) -> None:
        """The tape sheet has the keys; its sound and movement are worked out now that somebody looks."""
        self.sheet.setFocus()
        self.show_file()

    def left(self) -> None:
        """Nothing plays on elsewhere."""
        self.player.pause()
        self.memory.keep("log.split", self._split.saveState())

    def close_down(self) -> None:
        """End the thread."""
        self.player.close_down()

    # What is chosen

    @property
    def fps(self) -> Fraction:
        """Frames a second of the sequence, and so of the tape's grid."""
        return self.file.sequence.timebase.rate.fps

    @property
    def moment(self) -> Fraction:
        """Seconds of the tape at which the shown frame begins."""
        return self.player.frame / self.fps

    @property
    def take(self) -> Take | None:
        """The chosen take."""
        return next((take for take in self.file.sequence.takes if take.name == self.take_name), None)

    def choose(self, reel: str, name: str) -> None:
        """Look at a tape, and at a take of it when `name` is not empty."""
        take = next((one for one in self.file.sequence.takes if one.name == name), None)
        if reel != self.reel:
            self.reel = reel
            self.marks.forget_begun()
            self.player.look_at(TapeStrip(reel))
        if take and name != self.take_name:
            self.player.seek(first_grid_frame(take.start, self.fps))
            self.hits.forget_next()
        self.take_name = name
        self.show_file()
        if take:
            self.sheet.reveal(take)

    def show_file(self, *_: object) -> None:
        """Show the file as it is now."""
        sequence = self.file.sequence
        if self.reel and all(tape.reel != self.reel for tape in sequence.tapes):
            self.reel, self.take_name = "", ""
        if not self.reel and sequence.tapes:
            self.reel = sequence.tapes[0].reel
        self.player.look_at(TapeStrip(self.reel) if self.reel else None, self.player.frame)
        data = tape_data(sequence, self.reel) if self.reel else None
        self.sheet.put(data, self.signals(), self.take_name)
        self.list.put(sequence, self.reel, self.take_name)
        self.card.put(self.take)
        self.show_framing()
        self.show_next()

    def signals(self) -> Signals | None:
        """What is heard and seen on the tape, None while nobody knows or looks."""
        return self.evidence.of(self.file.sequence.tape(self.reel)) if self.reel and self.isVisible() else None

    def _moved(self, frame: int) -> None:
        self.sheet.set_frame(frame)
        self.show_framing()

    def show_framing(self) -> None:
        """Show the framing and the treatments at the frame that is shown."""
        take, roles = self.take, self.file.sequence.roles
        framing = take.framing_at(max(take.start, self.moment)) if take else None
        self.row.put(framing, roles)
        self._role_label.setText(self.marks.said)

    def show_next(self) -> None:
        """Show which move the next tap takes."""
        self._move.setText(self.hits.wanted_said)
        self.player.overlay = self._draw_move

    def _draw_move(self, painter: QPainter, place: QRect, _frame: int) -> None:
        """The number of the next move, large, in the corner of the picture."""
        move = self.hits.wanted
        if move is None:
            return
        one = looks()
        font = QFont(painter.font())
        font.setPointSizeF(font.pointSizeF() * 1.8)
        font.setBold(True)
        painter.setFont(font)
        words = tr("{n} {label}", n=move.number, label=move.label)
        box = painter.fontMetrics().boundingRect(words).adjusted(-8, -4, 8, 4)
        box.moveTopLeft(place.topLeft())
        painter.fillRect(box, QColor(one.ground))
        painter.setPen(QColor(one.ink))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), words)

    # Keys and layout

    def _make_actions(self) -> None:
        self.act(tr("Tap: the next move lands here"), "B", self.hits.tap)
        self.act(tr("Take the last tap back"), "Backspace", self.hits.untap)
        self.act(tr("The move before takes the next tap"), "PageUp", partial(self.hits.step_next, -1))
        self.act(tr("The move after takes the next tap"), "PageDown", partial(self.hits.step_next, 1))
        self.act(tr("Taps go to what is heard and seen, or not"), "S", self.hits.toggle_snap)
        self.act(tr("Remove the hit on this frame"), "Delete", self.hits.remove_here)
        self.act(tr("A take begins here, or ends here"), "T", self.marks.mark_take)
        self.act(tr("Make a take of what is proposed here"), "Shift+T", self.marks.take_over)
        self.act(tr("Remove the chosen take"), "Shift+Delete", self.marks.remove_take)
        for number, size in enumerate(Size, start=1):
            self.act(tr("Framed {size}", size=size.value), str(number), partial(self.marks.frame_as, size))
            self.act(tr("Framed {size} from this frame on", size=size.value), f"Alt+{number}", partial(self.marks.frame_as, size, True))
        self.act(tr("Face of the first role: shows, in part, hidden"), "F", partial(self.marks.face_of_role, 0))
        self.act(tr("Face of the second role: shows, in part, hidden"), "G", partial(self.marks.face_of_role, 1))
        for kind, key in KIND_KEYS.items():
            self.act(tr("{kind} begins here, or ends here", kind=kind.value), key, partial(self.marks.treat, kind))
        self.act(tr("Another role for treatments"), "E", self.marks.other_role)
        self.act(tr("Remove the treatment at this frame"), "Shift+D", self.marks.remove_treatment)
        self.act(tr("Carry the hits to the other takes"), "C", self.hits.carry)
        self.act(tr("The next doubtful hit"), "N", self.hits.next_doubtful)
        self.act(tr("The doubtful hit is right"), "Y", self.hits.confirm)
        self.act(tr("The doubtful hit lands on this frame"), "M", self.hits.move_here)
        self.act(tr("Closer"), "+", lambda: self.sheet.zoom(True))
        self.act(tr("Wider"), "-", lambda: self.sheet.zoom(False))
        self.act(tr("The whole tape"), "0", self.sheet.whole)
        self.addActions(self.player.actions())
        self.others += [(tr("drag"), tr("a hit to another frame, or the edge of a take")), (tr("wheel"), tr("shifts; with Ctrl it zooms"))]

    def _lay_out(self) -> None:
        self._move.setProperty("kind", "heading")
        self._move.setWordWrap(True)
        self._role_label.setProperty("kind", "soft")
        self._role_label.setWordWrap(True)
        middle = QSplitter(Qt.Orientation.Vertical)
        middle.addWidget(self.player)
        middle.addWidget(self.sheet)
        middle.setSizes([400, 240])
        column = QVBoxLayout()
        column.setContentsMargins(2, 0, 8, 0)
        column.addWidget(self._move)
        buttons = QHBoxLayout()
        for text, do in (
            (tr("Tap (B)"), self.hits.tap),
            (tr("Carry (C)"), self.hits.carry),
            (tr("Next doubtful (N)"), self.hits.next_doubtful),
        ):
            button = QPushButton(text)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.clicked.connect(lambda _checked=False, do=do: do())
            buttons.addWidget(button)
        column.addLayout(buttons)
        for widget in (self.card, self.row, self._role_label):
            column.addWidget(widget)
        column.addStretch(1)
        inside = QWidget()
        inside.setLayout(column)
        right = QScrollArea()
        right.setWidgetResizable(True)
        right.setFrameShape(QFrame.Shape.NoFrame)
        right.setWidget(inside)
        self._split = QSplitter(Qt.Orientation.Horizontal)
        for part in (self.list, middle, right):
            self._split.addWidget(part)
        self._split.setStretchFactor(1, 1)
        self._split.setSizes([180, 640, 330])
        self._split.restoreState(self.memory.state("log.split"))
        whole = QVBoxLayout(self)
        whole.setContentsMargins(10, 4, 4, 4)
        whole.addWidget(self._split, 1)
