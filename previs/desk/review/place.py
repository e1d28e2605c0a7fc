"""The Review place: what goes to the director, the notes that come back, and what became of each."""

from __future__ import annotations

from pathlib import Path

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QAction, QDragEnterEvent, QDropEvent
from PyQt6.QtWidgets import QComboBox, QFileDialog, QHBoxLayout, QMessageBox, QSplitter, QVBoxLayout

from previs.desk.asking import went_through
from previs.desk.column import Column
from previs.desk.dropping import files_in
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot, Tone
from previs.desk.place import Place
from previs.desk.plain import PlainLabel
from previs.desk.review.answers import Answers
from previs.desk.review.card import NoteCard, button_of
from previs.desk.review.note_list import NoteList
from previs.desk.review.outgoing import Outgoing
from previs.desk.review.picture import NotePicture
from previs.desk.review.rows import NoteRow, how_worried, note_rows, told
from previs.desk.review.taking_in import TakingIn
from previs.desk.tapes.flow import Flow
from previs.desk.words import tr
from previs.desk.work import Work
from previs.document.model import Cut, Sequence
from previs.review.note_lists import SAFETY, Standing, safety_first, standing


class ReviewPlace(Place):
    """Where a cut is shown to the director, and the notes on it are answered."""

    ident = "review"

    def __init__(self, file: OpenFile, memory: Memory) -> None:
        super().__init__(file, memory)
        # Where the notes are is looked for after every edit: it waits for no long work, and is not worth a line in the foot.
        self._quiet = Work(self, at_once=1)
        self._quiet.failed.connect(lambda sentence, details: file.say(sentence, Tone.FAULT, details))
        self.list, self.picture, self.card = NoteList(), NotePicture(file), NoteCard()
        self.every: tuple[Standing, ...] = ()
        self.outgoing = Outgoing(self, lambda: self.list.listed, self._show_ways)
        self.taking_in = TakingIn(file, self.ask_anyway, self._look_at_first)
        self.answers = Answers(file, self.card, lambda: self.list.current)
        self.cuts, self.told, self.care = QComboBox(), PlainLabel(), PlainLabel()
        self._wanted_shot: int | None = None
        self.setAcceptDrops(True)
        self._make_actions()
        self._lay_out()
        self.cuts.activated.connect(lambda _: file.choose_cut(self.cuts.currentText()))
        self.list.chosen.connect(self._show_note)
        self.list.filtered.connect(self._tell)
        self.list.activated.connect(self.answers.go)
        # In the field undo would take back what was typed, and leave the answer given.
        self.card.answer_given.connect(self.list.view.setFocus)
        file.changed.connect(self._changed)
        file.cut_chosen.connect(self._changed)
        self._show_cuts()
        self._put(file.sequence, file.cut, ())

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Review")

    def go(self, spot: Spot) -> None:
        """Choose the first note that is in a shot now."""
        self._wanted_shot = spot.shot
        self._choose_wanted()

    def came(self) -> None:
        """The notes as they stand now; the list has the keys."""
        self.list.view.setFocus()
        self._show_ways()
        self._look()

    def left(self) -> None:
        """Nothing plays on, and how the place is divided is remembered."""
        self.picture.player.pause()
        for name, splitter in (("review.across", self._across), ("review.down", self._down)):
            self.memory.keep(name, splitter.saveState())

    def close_down(self) -> None:
        """End the threads."""
        self._quiet.close()
        self.picture.player.close_down()

    def take_in(self) -> None:
        """Ask for reviewers' files, and take them in."""
        if paths := self.ask_files():
            self.take_in_these(paths)

    def take_in_these(self, paths: tuple[Path, ...]) -> None:
        """Take in these files."""
        self.memory.keep("review.folder", str(paths[0].parent))
        self.taking_in.take_in(paths)

    def ask_files(self) -> tuple[Path, ...]:
        """The person's choice of reviewers' files."""
        kinds = tr("Notes (*.json);;All files (*)")
        chosen, _ = QFileDialog.getOpenFileNames(self, tr("Take in notes"), self.memory.text("review.folder"), kinds)
        return tuple(Path(one) for one in chosen)

    def ask_anyway(self, why: str) -> bool:
        """Whether notes that belong elsewhere, by all that can be told, are to be taken in all the same."""
        asking = QMessageBox(QMessageBox.Icon.Question, tr("Notes on something else"), why, parent=self)
        # It quotes a file that others wrote.
        asking.setTextFormat(Qt.TextFormat.PlainText)
        take = asking.addButton(tr("Take them in anyway"), QMessageBox.ButtonRole.AcceptRole)
        asking.setDefaultButton(asking.addButton(tr("Leave them"), QMessageBox.ButtonRole.RejectRole))
        self.show_question(asking)
        return asking.clickedButton() is take

    def show_question(self, asking: QMessageBox) -> None:
        """Show a question until a button is pressed."""
        went_through(asking)

    def dragEnterEvent(self, event: QDragEnterEvent | None) -> None:  # noqa: N802
        """Files may be dropped here."""
        if event and files_in(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent | None) -> None:  # noqa: N802
        """Take in what was dropped."""
        if event and (paths := files_in(event)):
            event.acceptProposedAction()
            self.take_in_these(paths)

    def _changed(self, *_: object) -> None:
        self._show_cuts()
        if self.isVisible():
            self._look()

    def _look(self) -> None:
        """Find the notes in the cut; of many edits in a row only the newest is looked at."""
        file, sequence, cut = self.file, self.file.sequence, self.file.cut
        if not sequence.notes:
            self._put(sequence, cut, ())
            return

        def find(_report: object) -> tuple[NoteRow, ...] | None:
            if sequence is not file.sequence or cut is not file.cut:
                return None
            return note_rows(sequence, cut, safety_first(standing(sequence, cut)))

        self._quiet.do(tr("Finding the notes in the cut"), find, lambda rows: self._put(sequence, cut, rows), anew=True)

    def _put(self, sequence: Sequence, cut: Cut | None, rows: tuple[NoteRow, ...] | None) -> None:
        if rows is None or sequence is not self.file.sequence or cut is not self.file.cut:
            return  # of a document that is gone already; the notes are being looked for anew
        self.every = tuple(row.standing for row in rows)
        self.list.put(cut, rows)
        self._choose_wanted()
        self._wanted_shot = None

    def _show_note(self) -> None:
        one = self.list.current
        self.picture.put(one)
        self.card.put(self.file.sequence, self.file.cut, one)
        note = one.note if one else None
        self._go_to_shot.setEnabled(one is not None and one.found is not None)
        self._go_to_move.setEnabled(note is not None and note.move is not None)
        self._go_to_tape.setEnabled(note is not None and note.tape_frame is not None)
        # Of a homeless note there is no other picture to go back to.
        self._given.setEnabled(one is not None and one.found is not None)
        self._show_given()
        for action in self._answers:
            action.setEnabled(one is not None)

    def _toggle_given(self) -> None:
        self.picture.toggle_given()
        self._show_given()

    def _show_given(self) -> None:
        self._given.setChecked(self.picture.shown is not None and self.picture.shown.given)

    def _look_at_first(self, ident: str) -> None:
        """Of notes that just came, look at this one as soon as it stands in the list."""
        self.list.want(ident)

    def _choose_wanted(self) -> None:
        if self._wanted_shot is None:
            return
        found = next((one for one in self.list.listed if one.found and one.found.shot == self._wanted_shot), None)
        if found and self.list.choose(found.note.ident):
            self._wanted_shot = None

    def _tell(self) -> None:
        self.told.setText(told(self.every, len(self.list.listed), self.file.cut))
        worried = how_worried(self.every)
        self.care.setText(tr("\u26a0 Open safety worries: {number}. {caution}", number=worried, caution=SAFETY))
        self.care.setVisible(worried > 0)
        self._write_notes.setEnabled(bool(self.every) and self.file.cut is not None)

    def _show_cuts(self) -> None:
        cut, names = self.file.cut, [one.name for one in self.file.sequence.cuts]
        if names != [self.cuts.itemText(number) for number in range(self.cuts.count())]:
            self.cuts.clear()
            self.cuts.addItems(names)
        self.cuts.setCurrentText(cut.name if cut else "")
        self.cuts.setEnabled(bool(names))
        for action in (self._write_review, self._write_report):
            action.setEnabled(cut is not None)

    def _show_ways(self) -> None:
        page = self.outgoing.page
        for action in (self._open_page, self._open_folder):
            action.setEnabled(page is not None and page.exists())

    def _make_actions(self) -> None:
        out, answers = self.outgoing, self.answers
        self._write_review = self.act(tr("Write the review folder ..."), "Ctrl+E", out.write_review)
        self._open_page = self.act(tr("Open the review's page in the browser"), "Ctrl+Shift+O", out.open_page)
        self._open_folder = self.act(tr("Open the review's folder"), "Ctrl+Shift+F", out.open_folder)
        self._write_report = self.act(tr("Write the report, two pages ..."), "Ctrl+P", out.write_report)
        self._take_in = self.act(tr("Take in reviewers' notes ..."), "Ctrl+N", self.take_in)
        self._write_notes = self.act(tr("Write the notes that are listed ..."), "Ctrl+S", out.write_notes)
        self._go_to_shot = self.act(tr("Go to the note's shot in the cut"), "G", answers.go_to_shot)
        self._go_to_move = self.act(tr("Go to the move that the note is about"), "M", answers.go_to_move)
        self._go_to_tape = self.act(tr("Go to the tape that the note was given on"), "T", answers.go_to_tape)
        self._given = self.act(tr("The picture as it was given, or as it is now"), "V", self._toggle_given)
        self._given.setCheckable(True)
        self._answers = [
            self.act(tr("The note is done"), "D, Ctrl+Return, Ctrl+Enter", answers.done),
            self.act(tr("The note is declined, with a written answer"), "X, Ctrl+Shift+Return, Ctrl+Shift+Enter", answers.decline),
            self.act(tr("The note is open again"), "R", answers.open_again),
        ]
        self.act(tr("Write the answer"), "A", self.card.ask_why)
        self.act(tr("To the list of notes"), "Escape", self.list.view.setFocus)
        self.act(tr("List every note again"), "Ctrl+R", self.list.show_all)
        self.addActions(self.picture.player.actions())
        self.others += [
            (tr("Enter, double click"), tr("goes to the move of a note about a hit, else to the note's shot")),
            (tr("drop files"), tr("takes in reviewers' notes")),
        ]

    def _lay_out(self) -> None:
        self.cuts.setAccessibleName(tr("The cut in which the notes are looked for"))
        self.cuts.setMinimumContentsLength(6)
        self.told.setWordWrap(True)
        self.care.setWordWrap(True)
        for label in (self.told, self.care):
            label.setTextFormat(Qt.TextFormat.PlainText)
        head = QHBoxLayout()
        head.addWidget(self.cuts)
        head.addWidget(self.told, 1)
        for action, text in (
            (self._go_to_shot, tr("Go to the shot")),
            (self._go_to_move, tr("Go to the move")),
            (self._go_to_tape, tr("Go to the tape")),
            (self._given, tr("As it was given")),
        ):
            self.card.add_follow(action, text)
        for action, text in zip(self._answers, (tr("Done"), tr("Declined"), tr("Open again")), strict=True):
            self.card.add_answer(action, text)
        self._down = QSplitter(Qt.Orientation.Vertical)
        self._down.setContentsMargins(6, 0, 0, 0)
        self._down.addWidget(self.picture)
        column = Column(self.card)
        self.card.answer_wanted.connect(lambda: column.ensureWidgetVisible(self.card.answer))
        self._down.addWidget(column)
        self._down.setSizes([280, 360])
        self._across = QSplitter(Qt.Orientation.Horizontal)
        self._across.addWidget(self.list)
        self._across.addWidget(self._down)
        # Of a larger window the picture gets the most.
        for splitter, shares in ((self._across, (2, 3)), (self._down, (3, 1))):
            for number, share in enumerate(shares):
                splitter.setStretchFactor(number, share)
        self._across.setSizes([720, 430])
        for name, splitter in (("review.across", self._across), ("review.down", self._down)):
            splitter.setChildrenCollapsible(False)
            splitter.restoreState(self.memory.state(name))
        whole = QVBoxLayout(self)
        whole.setContentsMargins(10, 4, 10, 4)
        whole.addLayout(self._buttons())
        whole.addLayout(head)
        whole.addWidget(self.care)
        whole.addWidget(self._across, 1)

    def _buttons(self) -> Flow:
        buttons = Flow()
        ways: tuple[tuple[QAction, str], ...] = (
            (self._write_review, tr("Write the review ...")),
            (self._open_page, tr("Open the page")),
            (self._open_folder, tr("Open the folder")),
            (self._write_report, tr("Report ...")),
            (self._take_in, tr("Take in notes ...")),
            (self._write_notes, tr("List of notes ...")),
        )
        for action, text in ways:
            buttons.addWidget(button_of(action, text))
        return buttons
