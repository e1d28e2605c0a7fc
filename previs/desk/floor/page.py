"""The page of the Floor place: the plan in step with the player, the lists beside it, and everything that changes or prints them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QAction
from PyQt6.QtWidgets import QSplitter, QStackedLayout, QVBoxLayout, QWidget

from previs.desk.floor.choices import Choices
from previs.desk.floor.drawing_bar import DrawingBar
from previs.desk.floor.errands import Errands
from previs.desk.floor.findings import Findings, Line, findings
from previs.desk.floor.first_steps import FirstSteps
from previs.desk.floor.hand import Hand
from previs.desk.floor.keys import ON_THE_PLAN
from previs.desk.floor.lists import FloorLists
from previs.desk.floor.sheet import FloorSheet
from previs.desk.floor.shown import shown_of
from previs.desk.floor.ways import Moment, moments, now, roles_at, ways
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot, Tone
from previs.desk.plain import PlainLabel
from previs.desk.player.strips import CutStrip
from previs.desk.player.view import Player
from previs.desk.review.card import button_of
from previs.desk.tapes.flow import Flow
from previs.desk.words import tr
from previs.desk.work import Work
from previs.document.floor import Floor
from previs.document.model import Cut, Sequence
from previs.floor.placing import turned
from previs.floor.route_edits import way_of
from previs.floor.tape_out import FOR_TAPING

_NUDGE_MM, _STEP_MM = 50, 500
_STEPS = {"left": (-1, 0), "right": (1, 0), "up": (0, 1), "down": (0, -1)}


class FloorPage(QWidget):
    """Everything in the place; `do` does what a key of it is named for."""

    def __init__(self, file: OpenFile, memory: Memory, keys: Mapping[str, QAction]) -> None:
        super().__init__()
        self.file, self._memory, self._keys = file, memory, keys
        # What is found after every edit waits for no long work, and is not worth a line in the foot.
        self.quiet = Work(self, at_once=1)
        self.quiet.failed.connect(lambda sentence, details: file.say(sentence, Tone.FAULT, details))
        self.player, self.sheet, self.lists, self.choices = Player(file), FloorSheet(), FloorLists(), Choices(file)
        self.hand = Hand(file, self._show_hand)
        self.errands = Errands(file, memory, self, self.lists.put_report)
        self._found = Findings()
        self._found_on: tuple[Sequence | None, Cut | None] = (None, None)
        self.told = PlainLabel()
        self._doing = self._table()
        for name in ON_THE_PLAN:
            keys[name].setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
            self.sheet.addAction(keys[name])
        keys["draw"].setCheckable(True)
        self._lay_out()
        self._connect()
        self._changed()

    def do(self, name: str) -> None:
        """What the key of this name does."""
        self._doing[name]()

    def go(self, spot: Spot) -> None:
        """Show a frame, or the moment of a move."""
        if spot.move is not None:
            self._go_to_move(spot.move)
        elif spot.frame is not None:
            self.player.seek(spot.frame)

    def came(self) -> None:
        """What was edited elsewhere is looked for now; the plan has the keys, or what there is to begin with."""
        self._look()
        (self.sheet if (self.file.sequence.floor or Floor()).lines else self._first).setFocus()

    def left(self) -> None:
        """Nothing plays on, and how the place is divided is remembered."""
        self.player.pause()
        for name, splitter in (("floor.across", self._across), ("floor.down", self._down)):
            self._memory.keep(name, splitter.saveState())

    def close_down(self) -> None:
        """End the threads."""
        self.quiet.close()
        self.player.close_down()

    # What is shown

    def _changed(self, *_: object) -> None:
        sequence, cut = self.file.sequence, self.file.cut
        self._pages.setCurrentIndex(1 if (sequence.floor or Floor()).lines else 0)
        self.choices.show_file()
        self.player.look_at(CutStrip(cut.name) if cut else None, self.player.frame, tr("There is no cut yet, so nobody moves."))
        self.hand.file_changed()
        self._moved(self.player.frame)
        self._show()
        if self.isVisible():
            self._look()

    def _look(self) -> None:
        """Find everything anew, where another sequence or cut is there; of many edits in a row only the newest is looked at."""
        file, sequence, cut = self.file, self.file.sequence, self.file.cut
        if not (sequence.floor or Floor()).lines or (self._found_on[0] is sequence and self._found_on[1] is cut):
            return

        def find(_report: object) -> Findings | None:
            return findings(sequence, cut) if sequence is file.sequence and cut is file.cut else None

        def then(found: Findings | None) -> None:
            if found is not None and sequence is file.sequence and cut is file.cut:
                self._found, self._found_on = found, (sequence, cut)
                self.lists.put(found)
                self._show()

        self.quiet.do(tr("Looking at the floor"), find, then, anew=True)

    def _show(self) -> None:
        choices, drawing = self.choices, self.hand.role
        shown = shown_of(self.file.sequence, choices.section, choices.phrase, choices.role, self._found.pinches, drawing)
        self.sheet.put(shown)
        self.lists.put_role(choices.role)
        self._keys["room"].setEnabled(self.sheet.has_room)
        self._tell()

    def _moved(self, frame: int) -> None:
        """Everything in step with the frame that the player shows."""
        sequence, cut = self.file.sequence, self.file.cut
        moment = self._moment(frame)
        there = roles_at(sequence, cut, frame) if cut else ()
        role = self.choices.role
        self.sheet.put_now(tuple(one for one in there if not role or one[0] == role), frozenset([moment.move] if moment else []))
        self.lists.put_frame(frame)
        self.choices.put_phrase_now(moment.phrase if moment else next((one.number for one in sequence.phrases), None))

    def _moment(self, frame: int) -> Moment | None:
        return now(moments(self.file.sequence, self.file.cut), frame)

    def _tell(self) -> None:
        floor, sequence = self.file.sequence.floor or Floor(), self.file.sequence
        told = []
        if floor.room is None:
            told.append(tr("No rehearsal room is given yet."))
        elif not floor.laid:
            told.append(tr("The plan is not fitted into the room yet."))
        if not sequence.moves:
            told.append(tr("There is no fight yet, so nobody goes anywhere."))
        elif self.choices.phrase is not None and not ways(sequence, self.choices.phrase):
            told.append(tr("Nobody goes anywhere in phrase {phrase} yet: draw a way, or read routes.", phrase=self.choices.phrase))
        self.told.setText(" ".join(told))
        self.told.setVisible(bool(told))

    def _show_hand(self) -> None:
        hand = self.hand
        self._keys["draw"].setChecked(hand.drawing)
        self._bar.setVisible(hand.drawing)
        if hand.drawing:
            self._bar.put(hand, self.file.sequence, way_of(self.file.sequence, hand.role, hand.phrase).guessed)
        self._show()
        self.sheet.choose(hand.chosen)

    # What is done

    def _line_chosen(self, line: Line) -> None:
        """Go to a line's moment and to its spot; what no cut times is shown on the plan alone."""
        if line.goes_to is not None:
            self.player.pause()
            self.player.seek(round(line.goes_to))
        elif line.moves:
            phrase = next((one.number for one in self.file.sequence.phrases if any(m.number == line.moves[0] for m in one.moves)), None)
            if phrase is not None and not self.choices.follows:
                self.choices.look_at(phrase)
        self.sheet.ring(line.at)

    def _mark_pressed(self, role: str, number: int) -> None:
        way = next((one for one in ways(self.file.sequence, self.choices.phrase) if one.role == role), None)
        move = way.moves[number] if way and number < len(way.moves) else None
        if move is not None:
            self._go_to_move(move)

    def _go_to_move(self, move: int) -> None:
        """The moment of a move, and its cue."""
        moment = next((one for one in moments(self.file.sequence, self.file.cut) if one.move == move), None)
        if moment is not None:
            self.player.pause()
            self.player.seek(moment.frame)
        elif self.file.cut is not None:
            self.file.say(tr("No shot of cut {cut} shows move {move}.", cut=self.file.cut.name, move=move))
        if not self.lists.show_move(move):
            self.lists.view.clearSelection()

    def _other_move(self, by: int) -> None:
        if self.hand.drawing:
            self.hand.choose_next(by)
            return
        shown = moments(self.file.sequence, self.file.cut)
        here = self._moment(self.player.frame)
        if here is not None:
            at = shown.index(here) + (by if self.player.frame >= here.frame or by < 0 else 0)
            self._go_to_move(shown[min(max(at, 0), len(shown) - 1)].move)

    def _draw(self) -> None:
        """Draw the way of the role and the phrase that are looked at, or draw no more."""
        sequence, phrase = self.file.sequence, self.choices.phrase
        if self.hand.drawing:
            self.hand.end()
        elif not sequence.roles or phrase is None:
            self._keys["draw"].setChecked(False)
            self.file.say(tr("There is no fight yet, so nobody goes anywhere; write it in the Fight place."), Tone.FAULT)
        else:
            self.player.pause()
            self.choices.look_at(phrase)
            self.hand.begin(self.choices.role or sequence.roles[0], phrase)
            self.sheet.setFocus()

    def _looked_elsewhere(self) -> None:
        """Another phrase, role or section is looked at; what is drawn goes along."""
        hand, role, phrase = self.hand, self.choices.role, self.choices.phrase
        self._moved(self.player.frame)
        if hand.drawing and phrase is not None and (phrase != hand.phrase or (role and role != hand.role)):
            hand.begin(role or hand.role, phrase)
        else:
            self._show()

    def _next_role(self) -> None:
        """While a way is drawn, that of the next role, else the next role to look at."""
        roles = self.file.sequence.roles
        if self.hand.drawing and self.hand.role in roles:
            self.hand.begin(roles[(roles.index(self.hand.role) + 1) % len(roles)], self.hand.phrase)
        else:
            self.choices.next_of(self.choices.roles)

    def _nudge(self, across: int, up: int, by_mm: int) -> None:
        """Push the chosen spot as the window shows it, however the plan is turned there."""
        cosine, sine = turned(self.sheet.sight.turn_millidegrees)
        self.hand.nudge(round((across * cosine + up * sine) * by_mm), round((up * cosine - across * sine) * by_mm))

    def _connect(self) -> None:
        file, sheet, hand = self.file, self.sheet, self.hand
        file.changed.connect(self._changed)
        file.cut_chosen.connect(self._changed)
        self.player.moved.connect(self._moved)
        self.choices.changed.connect(self._looked_elsewhere)
        self.lists.chosen.connect(self._line_chosen)
        sheet.pressed.connect(hand.put)
        sheet.mark_pressed.connect(self._mark_pressed)
        sheet.spot_held.connect(hand.choose)
        sheet.spot_moved.connect(hand.move)
        self._bar.put_wanted.connect(hand.let_put)

    def _table(self) -> dict[str, Callable[[], object]]:
        errands, sheet, hand, choices = self.errands, self.sheet, self.hand, self.choices
        table: dict[str, Callable[[], object]] = {
            "read plan": errands.read_plan,
            "read plan asking": partial(errands.read_plan, asking=True),
            "write room": errands.write_room,
            "read room": errands.read_room,
            "fit": errands.laying.fit,
            "fit largest": partial(errands.laying.fit, in_parts=False),
            "read ways": errands.read_ways,
            "sheets": errands.write_sheets,
            "cue sheet": lambda: errands.write_cues(choices.role),
            "nearer": sheet.zoom_in,
            "further": sheet.zoom_out,
            "whole": sheet.whole,
            "room": sheet.room,
            "spot before": partial(self._other_move, -1),
            "spot after": partial(self._other_move, 1),
            "phrase before": partial(choices.other_phrase, -1),
            "phrase after": partial(choices.other_phrase, 1),
            "follow": choices.follow,
            "next role": self._next_role,
            "next section": lambda: choices.next_of(choices.sections),
            "to plan": sheet.setFocus,
            "draw": self._draw,
            "stop drawing": hand.end,
            "next put": partial(hand.put_other, 1),
            "last put": partial(hand.put_other, -1),
            "bend": partial(hand.let_put, None),
            "put": lambda: hand.put_next_to_chosen(sheet.middle),
            "mark": hand.mark,
            "delete": hand.delete,
            "delete way": hand.delete_way,
        }
        for number, name in enumerate(("cues", "tight", "speeds", "plan")):
            table[name] = partial(self.lists.show_list, number)
        for way, (across, up) in _STEPS.items():
            table[f"push {way}"] = partial(sheet.push, across, -up)
            table[f"nudge {way}"] = partial(self._nudge, across, up, _NUDGE_MM)
            table[f"step {way}"] = partial(self._nudge, across, up, _STEP_MM)
        return table

    def _lay_out(self) -> None:
        keys = self._keys
        begin = tuple((keys[name], text) for name, text in (("read plan", tr("Read a plan ...")), ("write room", tr("The room ..."))))
        bar = (("mark", tr("Make it that")), ("delete", tr("Spot away")), ("delete way", tr("Way away")))
        self._bar = DrawingBar(tuple((keys[name], text) for name, text in bar))
        self._bar.hide()
        self.told.setWordWrap(True)
        left = QWidget()
        lines = QVBoxLayout(left)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.addWidget(self._bar)
        lines.addWidget(self.told)
        lines.addWidget(self.sheet, 1)
        care = PlainLabel(FOR_TAPING)
        care.setWordWrap(True)
        lines.addWidget(care)
        self._down = QSplitter(Qt.Orientation.Vertical)
        self._down.addWidget(self.player)
        self._down.addWidget(self.lists)
        self._down.setSizes([240, 360])
        self._across = QSplitter(Qt.Orientation.Horizontal)
        self._across.addWidget(left)
        self._across.addWidget(self._down)
        self._across.setSizes([740, 400])
        for name, splitter, first in (("floor.across", self._across, 3), ("floor.down", self._down, 2)):
            splitter.setChildrenCollapsible(False)
            splitter.setStretchFactor(0, first)
            splitter.setStretchFactor(1, 2)
            splitter.restoreState(self._memory.state(name))
        whole = QWidget()
        column = QVBoxLayout(whole)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(self._buttons())
        column.addWidget(self.choices)
        column.addWidget(self._across, 1)
        self._pages = QStackedLayout(self)
        self._first = FirstSteps(begin)
        self._pages.addWidget(self._first)
        self._pages.addWidget(whole)

    def _buttons(self) -> Flow:
        texts = (
            ("read plan", tr("Read a plan ...")), ("write room", tr("The room ...")), ("fit", tr("Fit into the room")),
            ("read ways", tr("Read routes ...")), ("sheets", tr("Tape-out sheets ...")), ("cue sheet", tr("Cue sheet ...")),
        )  # fmt: skip
        buttons = Flow()
        for name, text in texts:
            buttons.addWidget(button_of(self._keys[name], text))
        for name, text in (("whole", tr("Whole")), ("room", tr("Room")), ("draw", tr("Draw a way"))):
            self.choices.flow.addWidget(button_of(self._keys[name], text))
        return buttons
