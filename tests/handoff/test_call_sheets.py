"""Call sheets from cut x marks: each department's rows on a fight with a wire, a vault, a throw, a double and a card."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from fights import sequence, take, tape, treatment
from msgspec.structs import replace

from previs.document.model import (
    Card,
    Casting,
    Cut,
    Face,
    Flight,
    Footage,
    Framing,
    Kind,
    Move,
    Phrase,
    Role,
    Sequence,
    Shot,
    Shows,
    Size,
    Take,
)  # fmt: skip
from previs.handoff.call_sheets import Department, call_sheet
from previs.handoff.cautions import DEFER
from previs.handoff.sheets import DERIVED, Sheet, Table

MADE_ON = date(2026, 11, 25)
JUNO, PIM, ABEL = "Juno Vale", "Pim Oster", "Abel Quist"


def move(number: int, label: str, by: str, to: str, weapon: str, place: str, note: str = "") -> Move:
    return Move(number, label, by, to, "level", weapon=weapon, place=place, note=note)


MOVES = (
    move(1, "high cut", "Odile", "Reeve", "staff", "corridor"),
    move(2, "vault over the cart", "Odile", "Reeve", "cart", "corridor"),
    move(3, "low cut", "Reeve", "Odile", "staff", "stair"),
    move(4, "leap up", "Odile", "Reeve", "Wire", "stair"),
    move(5, "thrown over the rail", "Reeve", "Odile", "", "stair", "on a wire on the day"),
)


def filmed(name: str, odile: str, face: Shows, hits: dict[int, float], reel: str = "A1", tempo: Fraction = Fraction(1)) -> Take:
    return replace(
        take(name, hits, reel=reel, phrases=(1, 2), tempo=tempo),
        framings=(Framing(Fraction(0), Size.WIDE, faces=(Face("Odile", face), Face("Reeve", Shows.HIDDEN))),),
        performers=(Casting("Odile", odile), Casting("Reeve", ABEL)),
    )


def day(**more: object) -> tuple[Sequence, Cut]:
    cut = Cut(
        "v1",
        (
            Shot("a", 48, Footage("J", 12), code="010"),  # tape frames 12-59: moves 1 and 2
            Shot("b", 24, Footage("P", 60), code="020"),  # 60-83: move 3
            Shot("c", 24, Footage("P", 84), code="030"),  # 84-107: move 4
            Shot("d", 12, Card("the throw", 5)),
        ),
        108,
    )
    parts: dict[str, object] = {
        "phrases": (Phrase(1, MOVES[:2], 24), Phrase(2, MOVES[2:])),
        "tapes": (tape(), tape("B1")),
        "takes": (
            filmed("J", JUNO, Shows.FULL, {1: 1, 2: 2}),
            filmed("P", PIM, Shows.HIDDEN, {3: 3, 4: 4, 5: 5}, "B1", Fraction(94, 100)),
        ),
        "treatments": (treatment(3.75, 4.25, reel="B1", kind=Kind.RIG_REMOVAL),),
        "cast": (Role("Odile", JUNO, (PIM,)), Role("Reeve", ABEL)),
        "cuts": (cut,),
    }
    return sequence(**(parts | more)), cut


def sheet(department: Department, **more: object) -> Sheet:
    made, cut = day(**more)
    return call_sheet(made, cut, department, MADE_ON)


def rows(table: Table, *columns: str) -> list[tuple[object, ...]]:
    return [tuple(row[table.columns.index(column)] for column in columns) for row in table.rows]


def test_riggers_learn_where_a_wire_is_and_who_hangs_on_it() -> None:
    wires, places, unseen = sheet(Department.RIGGING).tables
    told = rows(wires, "shot", "place", "phrase", "move", "what", "role", "performer", "record in", "record out", "take")
    assert told == [
        # The mark holds tape frames 90 to 101 of shot c, which begins on 84 and on record frame 72; move 4 lands on 96.
        ("030 / 3", "stair", "2", "4", "leap up, rig removal", "Odile", PIM, "01:00:03:06", "01:00:03:18", "P"),
        ("4", "stair", "2", "5", "thrown over the rail", "Odile", "not shot yet", "01:00:04:00", "01:00:04:12", "card"),
    ]
    assert rows(places, "order", "place", "shots", "moves", "roles", "performers") == [
        (1, "stair", "030 / 3, 4", "4-5", "Odile", f"{PIM}, not shot yet")
    ]
    assert unseen.rows == ()


def test_a_trim_takes_a_wire_from_the_sheet_and_names_its_move_as_not_shown() -> None:
    made, cut = day()
    shorter = replace(cut, shots=(*cut.shots[:2], replace(cut.shots[2], frames=6)))
    wires, places, unseen = call_sheet(made, shorter, Department.RIGGING, MADE_ON).tables
    assert (wires.rows, places.rows) == ((), ())
    assert rows(unseen, "move") == [(4,), (5,)]


def test_props_count_what_is_in_hands_and_leave_spares_to_the_department() -> None:
    props, hands = sheet(Department.PROPS).tables
    assert rows(props, "prop", "in hands", "used by", "moves", "which moves", "moves in the cut", "spares") == [
        ("staff", 2, "Odile, Reeve", 2, "1, 3", 2, "props department decides"),
        ("cart", 1, "Odile", 1, "2", 1, "props department decides"),
    ]
    assert rows(hands, "prop", "role", "performers", "place", "moves", "shots") == [
        ("staff", "Odile", JUNO, "corridor", "1", "010 / 1"),
        ("staff", "Reeve", ABEL, "stair", "3", "020 / 2"),
        ("cart", "Odile", JUNO, "corridor", "2", "010 / 1"),
    ]


def test_wardrobe_learns_who_is_doubled_and_who_is_dressed_alike() -> None:
    doubled, costumes = sheet(Department.WARDROBE).tables
    assert rows(doubled, "role", "actor", "in the costume", "face", "shots", "frames", "marked for") == [
        ("Odile", JUNO, PIM, "not shown", "020 / 2", 24, ""),
        ("Odile", JUNO, PIM, "not shown", "030 / 3", 24, "rig removal"),
    ]
    assert rows(costumes, "role", "dressed alike", "people") == [("Odile", f"{JUNO}, {PIM}", 2), ("Reeve", ABEL, 1)]


def test_a_wire_alone_makes_nobody_a_double() -> None:
    doubled, _ = sheet(Department.WARDROBE, treatments=(treatment(1, 2, kind=Kind.RIG_REMOVAL),)).tables
    assert {row[2] for row in doubled.rows} == {PIM}
    doubled, _ = sheet(Department.WARDROBE, treatments=(treatment(1, 2),)).tables
    assert ("Odile", JUNO, JUNO, "shown", "010 / 1", "corridor", 48, "digital double") in doubled.rows


def test_mats_name_where_a_body_may_come_down_by_words_and_by_flights() -> None:
    landings, flights = sheet(Department.MATS).tables
    assert rows(landings, "move", "found by", "role", "performers in the cut", "shots", "first at") == [
        (2, "vault", "Odile", JUNO, "010 / 1", "01:00:01:12"),
        (4, "leap", "Odile", PIM, "030 / 3", "01:00:03:12"),
        (5, "throw", "Odile", "not shot yet", "4", "01:00:04:00"),
    ]
    assert flights.rows == ()
    marked = (Flight("A1", "Reeve", Fraction(1, 2), Fraction(1)), Flight("B1", "Odile", Fraction(20), Fraction(21)))
    landings, flights = sheet(Department.MATS, flights=marked).tables
    assert rows(landings, "move", "found by", "role")[0] == (1, "flight", "Reeve")
    assert rows(flights, "tape", "role", "take-off", "shots", "first at") == [
        ("A1", "Reeve", "00:00:00:12", "010 / 1", "01:00:00:00"),
        ("B1", "Odile", "00:00:20:00", "not in this cut", ""),
    ]


def test_fight_load_counts_and_judges_nothing() -> None:
    (load,) = sheet(Department.LOAD).tables
    assert load.rows == (
        # takes, at full speed, phrases at full speed; falls and wires on tape; moves, falls and wires in the cut
        (JUNO, "Odile", 1, 1, 2, 1, 0, 2, 1, 0),
        (ABEL, "Reeve", 2, 1, 2, 0, 0, 4, 0, 0),
        # 94 % is no full-speed pass; the throw is on tape but stands on a card in the cut.
        (PIM, "Odile", 1, 0, 0, 2, 2, 2, 1, 1),
    )


@pytest.mark.parametrize("department", Department)
def test_every_sheet_says_what_it_is_of_and_who_decides(department: Department) -> None:
    one = sheet(department)
    assert dict(one.head) == {
        "Sequence": "The Salt Stair", "Cut": "v1", "Date": "2026-11-25", "Length": "00:00:04:12 at 24 frames a second",
        "Start time code": "01:00:00:00", "Note": DERIVED,
    }  # fmt: skip
    said = " ".join(one.cautions)
    for named in ("HSE Entertainment Information Sheet No 17", "No. 4, 5 and 25", "#4 (Stunts), #18 (air bags) and #30"):
        assert named in said
    assert one.cautions[-1] == DEFER
    words = said + " ".join(f"{table.title} {table.remark} {table.empty} {table.columns} {table.rows}" for table in one.tables)
    # The guidelines' own title holds the word that no sheet may say of a move.
    assert "safe " not in words.lower() and "safe." not in words.lower() and " kg" not in words and "newton" not in words.lower()


@pytest.mark.parametrize("department", Department)
def test_a_fight_without_anything_still_gives_a_sheet(department: Department) -> None:
    bare = sequence(cuts=(cut := Cut("v1", (Shot("a", 24, Card("to come")),), 24),))
    for table in call_sheet(bare, cut, department, MADE_ON).tables:
        assert table.rows == () and table.empty
