"""The Fight place at work: every edit is on disk at once and can be undone, what cannot be is said, and nothing is lost."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pandas as pd
import pytest
from PyQt6.QtCore import QPoint, QPointF, Qt
from PyQt6.QtGui import QGuiApplication
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QFileDialog, QLineEdit, QMessageBox, QPushButton
from pytestqt.qtbot import QtBot
from small_fight import FIGHT

from previs.desk.fight.place import FightPlace
from previs.desk.fight.written import COLUMNS
from previs.desk.lists import keys_page
from previs.desk.memory import Memory
from previs.desk.open_file import Spot, Tone
from previs.desk.window import Window, dress
from previs.document.fight_edits import remove_moves
from previs.document.model import Role, Sequence
from previs.document.store import create, open_document
from previs.exchange.fight_cells import fight_cells, text_of
from previs.fight.coverage import Hole

Key, Held = Qt.Key, Qt.KeyboardModifier


@pytest.fixture
def place(window: Window) -> Iterator[FightPlace]:
    window.show_place(2)
    place = window.places[2]
    assert isinstance(place, FightPlace)
    place.table.setFocus()
    yield place


def now(place: FightPlace) -> Sequence:
    """What is on disk, which is what the place has."""
    there = open_document(place.file.path).sequence
    assert there == place.file.sequence
    return there


def choose(place: FightPlace, row: int, column: str) -> None:
    place.table.choose(row, COLUMNS.index(column))


def clip(text: str) -> None:
    clipboard = QGuiApplication.clipboard()
    assert clipboard
    clipboard.setText(text)


def field(place: FightPlace) -> QLineEdit:
    found = [one for one in place.table.findChildren(QLineEdit) if one.isVisible()]
    assert len(found) == 1
    return found[0]


def answer(monkeypatch: pytest.MonkeyPatch, text: str) -> list[str]:
    """Answer the next question with the button of this text; gives what was asked."""
    asked: list[str] = []

    def run(box: QMessageBox) -> int:
        asked.append(f"{box.text()} {box.informativeText()}")
        next(button for button in box.buttons() if button.text() == text).click()
        return 0

    monkeypatch.setattr(QMessageBox, "exec", run)
    return asked


def test_a_cell_is_written_in_place_saved_at_once_and_undone(place: FightPlace, qtbot: QtBot) -> None:
    before = now(place)
    choose(place, 1, "label")
    QTest.keyClick(place.table, Key.Key_Return)
    editor = field(place)
    editor.selectAll()
    QTest.keyClicks(editor, "hold the pass")
    QTest.keyClick(editor, Key.Key_Return)
    qtbot.waitUntil(lambda: place.file.sequence.moves[1].label == "hold the pass")
    assert now(place).moves[1].label == "hold the pass"
    assert not any(one.isVisible() for one in place.table.findChildren(QLineEdit))
    assert place.file.steps[0] == "change label of move 2"
    place.file.undo()
    assert now(place) == before


def test_letters_typed_in_a_cell_are_letters_and_not_keys_of_the_place(place: FightPlace, qtbot: QtBot) -> None:
    choose(place, 0, "label")
    QTest.keyClick(place.table, Key.Key_Return)
    for letter in (Key.Key_H, Key.Key_P):
        QTest.keyClick(field(place), letter)
    QTest.keyClick(field(place), Key.Key_P, Held.ShiftModifier)
    assert (place.table.row == 0 and field(place).text().lower().endswith("hpp")) or field(place).text().lower() == "hpp"
    QTest.keyClick(field(place), Key.Key_Escape)
    assert len(now(place).phrases) == 2 and now(place).moves[0].label == "high cut"


@pytest.mark.parametrize(
    ("row", "column", "text", "found"),
    [
        (1, "upper_hand", "REEVE", lambda one: one.moves[1].upper_hand == "Reeve"),
        (2, "breath", "1.5s", lambda one: one.phrases[0].breath_frames == 36),
        (4, "move", "9", lambda one: one.moves[4].number == 9 and one.take("A1").hits[-1].move == 9),
        (3, "phrase", "1", lambda one: [len(phrase.moves) for phrase in one.phrases] == [4, 1]),
        (3, "note", "mind the step", lambda one: one.moves[3].note == "mind the step"),
    ],
)
def test_every_kind_of_cell_is_written(place: FightPlace, row: int, column: str, text: str, found: Callable[[Sequence], bool]) -> None:
    index = place.model.index(row, COLUMNS.index(column))
    assert place.model.setData(index, text)
    assert found(now(place))


@pytest.mark.parametrize(
    ("column", "text", "told"),
    [
        ("label", "", "needs a label"),
        ("attacker", "level", "cannot be the name of a role"),
        ("upper_hand", "Nobody", "there is no role 'Nobody'"),
        ("move", "1", "moves must rise"),
        ("phrase", "x", "is not a whole number"),
    ],
)
def test_what_cannot_stand_in_a_cell_is_said_and_changes_nothing(place: FightPlace, column: str, text: str, told: str) -> None:
    before = now(place)
    assert not place.model.setData(place.model.index(1, COLUMNS.index(column)), text)
    assert now(place) is not None and now(place) == before
    assert place.file.log[-1].tone is Tone.FAULT and told in place.file.log[-1].sentence and "\n" not in place.file.log[-1].sentence


def test_a_move_is_made_optional_with_the_space_bar_and_with_return(place: FightPlace) -> None:
    choose(place, 0, "optional")
    QTest.keyClick(place.table, Key.Key_Space)
    assert now(place).moves[0].optional
    QTest.keyClick(place.table, Key.Key_Return)
    assert not now(place).moves[0].optional


# The clipboard


def test_a_block_is_pasted_from_the_chosen_cell_on_and_undone(place: FightPlace) -> None:
    before = now(place)
    choose(place, 1, "line")
    clip("left hip\tsalt cart\nribs\trope\n")
    QTest.keyClick(place.table, Key.Key_V, Held.ControlModifier)
    assert [(move.line, move.weapon) for move in now(place).moves[1:3]] == [("left hip", "salt cart"), ("ribs", "rope")]
    assert place.file.steps[0] == "paste cells into the fight"
    place.file.undo()
    assert now(place) == before


def test_a_single_cell_fills_the_chosen_ones(place: FightPlace) -> None:
    choose(place, 0, "place")
    for row in (1, 2):
        place.table.selectionModel().select(
            place.model.index(row, COLUMNS.index("place")), place.table.selectionModel().SelectionFlag.Select
        )
    clip("quay")
    place.paste()
    assert [move.place for move in now(place).moves] == ["quay", "quay", "quay", "stair", "stair"]


def test_a_whole_fight_with_its_header_is_asked_for_and_hits_stay_with_their_moves(
    place: FightPlace, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = now(place)
    lines = FIGHT.replace(",", "\t").splitlines()
    lines.insert(2, "1\t2\tnew one\tReeve\tOdile\tchest\tstaff\tlevel\t\t\tcorridor\t")
    for at in range(3, len(lines)):
        cells = lines[at].split("\t")
        lines[at] = "\t".join([cells[0], str(at), *cells[2:]])
    clip("\n".join(lines))
    asked = answer(monkeypatch, "Leave it as it is")
    choose(place, 3, "label")
    place.paste()
    assert now(place) == before
    assert asked == ["Replace the whole fight, 5 moves, by the 6 moves of the clipboard? 10 hits stay with their moves."]
    answer(monkeypatch, "Replace the fight")
    place.paste()
    after = now(place)
    assert [move.label for move in after.moves] == ["high cut", "new one", "low sweep", "thrust", "backhand", "leap"]
    assert [hit.move for hit in after.take("A1").hits] == [1, 3, 4, 5, 6]
    assert place.model.rowCount() == 6 and "6 moves" in place._figures.text()


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("abc", "pasted cells row 1, column move: 'abc' is not a whole number"),
        ("abc\ndef\nghi", "There are 2 faults more; F2 shows them all."),
        ("", "The clipboard holds no text"),
        ("1\t2\t3\t4\t5\t6\t7\t8\t9\t10\t11\t12\t13", "choose a cell further left"),
        ("phrase\tmove\tlabel\n1\t1\tx", "is missing"),
    ],
)
def test_nonsense_is_said_in_a_sentence_and_changes_nothing(place: FightPlace, text: str, told: str) -> None:
    before, steps = now(place), place.file.steps
    choose(place, 0, "move")
    clip(text)
    place.paste()
    assert now(place) == before and place.file.steps == steps
    said = place.file.log[-1]
    assert said.tone is Tone.FAULT and told in said.sentence and "\n" not in said.sentence


def test_chosen_cells_and_the_whole_fight_are_copied_as_a_spreadsheet_takes_them(place: FightPlace) -> None:
    clipboard = QGuiApplication.clipboard()
    assert clipboard
    choose(place, 2, "breath")
    QTest.keyClick(place.table, Key.Key_C, Held.ControlModifier)
    assert clipboard.text() == "f12\n"
    place.copy_all()
    assert clipboard.text() == text_of((COLUMNS, *fight_cells(now(place))))


def test_chosen_cells_are_made_blank_where_they_may_be(place: FightPlace) -> None:
    choose(place, 0, "weapon")
    QTest.keyClick(place.table, Key.Key_Delete)
    assert now(place).moves[0].weapon == ""
    before = now(place)
    choose(place, 0, "label")
    QTest.keyClick(place.table, Key.Key_Delete)
    assert now(place) == before and "column label: is blank" in place.file.log[-1].sentence


# Keys


def press(place: FightPlace, key: Key, held: Held = Held.NoModifier) -> None:
    QTest.keyClick(place.table, key, held)


def test_a_move_is_put_in_and_its_label_is_written_at_once(place: FightPlace, qtbot: QtBot) -> None:
    choose(place, 1, "place")
    press(place, Key.Key_Return, Held.ControlModifier)
    assert [move.label for move in now(place).moves][2] == "new move" and place.table.row == 2
    editor = field(place)
    editor.selectAll()
    QTest.keyClicks(editor, "parry")
    QTest.keyClick(editor, Key.Key_Return)
    qtbot.waitUntil(lambda: place.file.sequence.moves[2].label == "parry")
    after = now(place)
    assert [move.label for move in after.moves][1:4] == ["low sweep", "parry", "thrust"]
    assert [hit.move for hit in after.take("A1").hits] == [1, 2, 4, 5, 6]


def test_moves_are_taken_out_with_their_hits_and_undo_brings_them_back(place: FightPlace) -> None:
    before = now(place)
    choose(place, 1, "label")
    press(place, Key.Key_Delete, Held.ControlModifier)
    assert [move.number for move in now(place).moves] == [1, 3, 4, 5]
    assert place.file.log[-1].sentence == "Move 2 is gone, and 2 logged hits with it; undo brings them back."
    assert place.model.rows[place.table.row or 0].move.number == 3
    place.file.undo()
    assert now(place) == before and place.model.rowCount() == 5


def test_a_move_goes_earlier_and_later_and_stays_chosen(place: FightPlace) -> None:
    choose(place, 2, "label")
    press(place, Key.Key_Up, Held.AltModifier)
    assert [move.label for move in now(place).moves][:3] == ["high cut", "thrust", "low sweep"] and place.table.row == 1
    assert place.file.log[-1].sentence == "On A1, B1 move 2 lands in another order than it is written now."
    press(place, Key.Key_Down, Held.AltModifier)
    press(place, Key.Key_Down, Held.AltModifier)
    assert [len(phrase.moves) for phrase in now(place).phrases] == [2, 3] and place.table.row == 2


def test_phrases_are_split_joined_and_numbered_anew(place: FightPlace) -> None:
    choose(place, 1, "label")
    press(place, Key.Key_P)
    assert [len(phrase.moves) for phrase in now(place).phrases] == [1, 2, 2]
    press(place, Key.Key_P, Held.ShiftModifier)
    assert [len(phrase.moves) for phrase in now(place).phrases] == [3, 2]
    choose(place, 0, "label")
    press(place, Key.Key_Delete, Held.ControlModifier)
    next(action for action in place.actions() if action.text() == "Number moves and phrases anew").trigger()
    assert [move.number for move in now(place).moves] == [1, 2, 3, 4] and place.table.row == 0


def test_h_goes_from_hole_to_hole_and_round(place: FightPlace) -> None:
    choose(place, 0, "label")
    press(place, Key.Key_H)
    assert place.file.log[-1].sentence.startswith("Every move is held")
    place.file.edit(without_hits(1, 4), "take hits away")
    assert place.sheet and place.sheet.holes == (1, 4)
    rows = []
    for held in (Held.NoModifier, Held.NoModifier, Held.NoModifier, Held.ShiftModifier):
        press(place, Key.Key_H, held)
        rows.append(place.table.row)
    assert rows == [1, 4, 1, 4]


def without_hits(*rows: int) -> Callable[[Sequence], Sequence]:
    from msgspec.structs import replace

    def change(one: Sequence) -> Sequence:
        numbers = {one.moves[row].number for row in rows}
        takes = tuple(replace(take, hits=tuple(hit for hit in take.hits if hit.move not in numbers)) for take in one.takes)
        return replace(one, takes=takes)

    return change


def test_the_list_of_keys_tells_those_of_this_place(window: Window, place: FightPlace) -> None:
    page = keys_page([], [place])
    for text in ("Alt+Up", "Ctrl+Del", "Shift+H", "Ctrl+V", "Insert a move below"):
        assert text in page


# Coverage


def test_holes_are_shown_in_red_with_words(place: FightPlace) -> None:
    assert place._holes.text() == ""
    place.file.edit(without_hits(4), "take hits away")
    assert place._holes.text() == "1 move without a hit"
    assert place.sheet and place.sheet.covered[4].hole is Hole.NO_HIT
    place.table.choose(4)
    assert place.panel._missing.isVisible() and place.panel._missing.text().startswith(
        "No hit of move 5 is logged; its phrase is played on A1, C1."
    )
    red = place.model.index(4, COLUMNS.index("move")).data(Qt.ItemDataRole.ForegroundRole)
    assert red is not None and place.model.index(3, COLUMNS.index("move")).data(Qt.ItemDataRole.ForegroundRole) is None


def test_the_drawing_stands_row_by_row_beside_the_table_and_tells_what_is_pointed_at(place: FightPlace, qtbot: QtBot) -> None:
    sheet = place.sheet
    assert sheet
    for row in range(len(sheet.rows)):
        rect = place.beside._row_rect(row)
        cell = place.table.visualRect(place.model.index(row, 0))
        top = place.beside.mapFromGlobal(place.table.viewport().mapToGlobal(cell.topLeft()))
        assert abs(rect.top() - top.y()) <= 1 and rect.height() == place.table.rowHeight(row)
    lanes = place.beside.lanes()
    for strip in sheet.strips.strips:
        left, right = lanes.of(strip)
        for row, mark in enumerate(strip.marks, start=strip.first_row):
            at = QPointF((left + right) / 2, place.beside._row_rect(row).center().y())
            assert place.beside.held_at(at) == mark
            assert place.beside._told(at).startswith(f"Take {strip.take}: ")
    QTest.mouseClick(place.beside, Qt.MouseButton.LeftButton, pos=QPoint(5, int(place.beside._row_rect(3).center().y())))
    assert place.table.row == 3


def test_the_takes_of_the_chosen_move_are_shown_widest_first_and_lead_to_the_log(place: FightPlace, window: Window, qtbot: QtBot) -> None:
    choose(place, 0, "label")
    assert [held.take.name for held in place.panel.held.held] == ["A1", "B1"]
    spots: list[Spot] = []
    place.file.went.connect(spots.append)
    place.panel.held.setFocus()
    QTest.keyClick(place.panel.held, Key.Key_Right)
    QTest.keyClick(place.panel.held, Key.Key_Return)
    b1 = place.file.sequence.take("B1")
    assert spots == [Spot("log", take="B1", reel=b1.reel, move=1, frame=place.panel.held.held[1].grid_frame)]
    assert window.memory.text("place") == "log"


def test_stills_arrive(place: FightPlace, qtbot: QtBot) -> None:
    choose(place, 0, "label")
    held = place.panel.held.held[0]
    place.panel.held.viewport().repaint()
    qtbot.waitUntil(lambda: place.stills.still(held.take.reel, held.grid_frame, 160) is not None, timeout=10_000)


def test_a_spot_chooses_its_move_or_the_first_of_a_take(place: FightPlace) -> None:
    place.file.go(Spot("fight", move=4))
    assert place.table.row == 3
    place.file.go(Spot("fight", take="C1"))
    assert place.table.row == 3
    place.file.go(Spot("fight", move=99))
    assert place.table.row == 3


# The cast


def test_the_cast_is_written_in_place(place: FightPlace) -> None:
    model = place.panel.cast.model()
    assert model and [model.index(row, 0).data() for row in range(model.rowCount())] == ["Odile", "Reeve"]
    assert model.setData(model.index(0, 1), "Juno Vale") and model.setData(model.index(0, 2), "Pim Oster, ")
    assert now(place).cast == (Role("Odile", "Juno Vale", ("Pim Oster",)),)
    assert place.file.steps[0] == "cast Odile"
    assert model.setData(model.index(1, 0), "Officer")
    assert now(place).roles == ("Odile", "Officer") and place.model.rows[0].move.defender == "Officer"
    assert not model.setData(model.index(0, 1), "") and place.file.log[-1].tone is Tone.FAULT
    assert not model.setData(model.index(0, 1), "Pim Oster")


def test_keys_of_the_table_do_not_reach_the_fight_from_the_cast(place: FightPlace) -> None:
    before = now(place)
    clip("x")
    place.panel.cast.setFocus()
    QTest.keyClick(place.panel.cast, Key.Key_V, Held.ControlModifier)
    QTest.keyClick(place.panel.cast, Key.Key_Delete)
    assert now(place) == before


# Tables


def test_a_table_is_read_as_the_command_line_does(place: FightPlace, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, qtbot: QtBot) -> None:
    table = tmp_path / "other.xlsx"
    frame = pd.DataFrame([line.split(",") for line in FIGHT.replace("high cut", "first cut").splitlines()[1:]], columns=list(COLUMNS))
    frame.to_excel(table, index=False)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(table), ""))
    place.read_table()
    qtbot.waitUntil(lambda: now(place).moves[0].label == "first cut")
    assert place.file.steps[0] == "read other.xlsx"
    place.file.undo()
    table.write_text("nonsense")
    place.read_table()
    qtbot.waitUntil(lambda: place.file.log[-1].tone is Tone.FAULT)
    assert now(place).moves[0].label == "high cut"


# Nothing yet


@pytest.fixture
def empty(qtbot: QtBot, memory: Memory, tmp_path: Path) -> Iterator[FightPlace]:
    document = tmp_path / "empty.previs"
    create(document, Sequence(title="The Salt Stair", rate_name="24", start_frame=86400, target_frames=1152))
    dress(memory)
    window = Window(memory)
    qtbot.addWidget(window)
    assert window.open(document)
    window.show()
    window.show_place(2)
    place = window.places[2]
    assert isinstance(place, FightPlace)
    yield place
    window.close()


def test_an_empty_document_says_how_to_begin_and_no_key_does_harm(empty: FightPlace) -> None:
    assert empty._figures.text() == "No fight is written yet." and empty._pages.currentIndex() == 1
    for action in empty.actions():
        if action.text() != "Paste":
            action.trigger()
    assert now(empty).phrases == ()


def test_the_first_move_is_written_in_fields(empty: FightPlace) -> None:
    first = empty._first_move
    first._label.setText("high cut")
    first.write()
    assert now(empty).phrases == () and "needs an attacker" in empty.file.log[-1].sentence
    first._attacker.setCurrentText("Reeve")
    first._defender.setCurrentText("Odile")
    QTest.keyClick(first._label, Key.Key_Return)
    assert now(empty).moves[0].label == "high cut" and empty._pages.currentIndex() == 0 and empty.table.row == 0


def test_a_fight_is_pasted_into_an_empty_document_with_and_without_a_header(empty: FightPlace) -> None:
    text = FIGHT.replace(",", "\t")
    clip(text)
    next(button for button in empty._first_move.findChildren(QPushButton) if button.text() == "Paste the fight").click()
    assert len(now(empty).moves) == 5 and empty.model.rowCount() == 5
    empty.file.undo()
    assert empty._pages.currentIndex() == 1
    clip(text.split("\n", 1)[1])
    empty.paste()
    assert len(now(empty).moves) == 5
    empty.file.undo()
    clip("what is this")
    empty.paste()
    assert now(empty).phrases == () and "a fight without a header needs 8 to 12" in empty.file.log[-1].sentence


def test_what_changes_while_another_place_is_shown_is_shown_on_coming_back(place: FightPlace, window: Window) -> None:
    window.show_place(0)
    place.file.edit(without_hits(4), "take hits away")
    window.show_place(2)
    assert place._holes.text() == "1 move without a hit"


def test_larger_words_and_other_looks_are_taken_at_once(place: FightPlace, window: Window) -> None:
    height = place.table.rowHeight(0)
    window._larger(4)
    assert place.table.rowHeight(0) > height and place.beside._row_rect(1).height() == place.table.rowHeight(1)
    window._larger(-4)
    window._other_looks()
    window._other_looks()
    assert place.table.rowHeight(0) == height


def test_the_legend_tells_only_of_signs_that_are_there(place: FightPlace) -> None:
    place.file.choose_cut("v1")
    assert "camera A" in place.legend.accessibleName() and "a turn that it does not show so" not in place.legend.accessibleName()
    place.file.edit(without_hits(1, 2, 3), "take hits away")
    assert "a turn that it does not show so" in place.legend.accessibleName()
    assert place.sheet and {place.sheet.covered[row].move.number for row in place.sheet.holes} == {2, 3, 4}


def test_a_chosen_move_that_went_while_another_place_was_shown_is_chosen_no_more(place: FightPlace, window: Window) -> None:
    choose(place, 4, "label")
    window.show_place(0)
    assert place.file.edit(lambda one: remove_moves(one, [5]), "remove move 5")
    place.edits.insert("another")
    assert now(place).moves[-1].label == "another" and now(place).moves[-1].number == 5
