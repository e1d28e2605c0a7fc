"""Set-ups: shots that one camera position could do are one, and every frame on screen is in exactly one of them."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from fights import phrase, sequence, take, tape
from msgspec.structs import replace

from previs.cut.pace import pace
from previs.document.model import Black, Card, Cut, Footage, Framing, Move, Phrase, Sequence, Shot, Size
from previs.handoff.set_ups import set_ups, set_ups_sheet
from previs.handoff.sheets import Still


def framed(name: str, size: Size, angle: int | None, left: str = "Odile", reel: str = "A1", hits: dict[int, float] | None = None):
    framing = Framing(Fraction(0), size, angle=angle, movement="locked", screen_left=left)
    return replace(take(name, hits or {}, reel=reel), framings=(framing,))


def placed(number: int, where: str) -> Move:
    return Move(number, "cut", "Odile", "Reeve", "level", place=where)


def day(*shots: Shot) -> tuple[Sequence, Cut]:
    cut = Cut("v1", shots, sum(shot.frames for shot in shots))
    takes = (
        framed("W", Size.WIDE, 14, hits={1: 1, 2: 2}),
        framed("X", Size.WIDE, -15, reel="B1", hits={1: 1, 2: 2}),
        framed("Y", Size.WIDE, 15, reel="B1", hits={1: 1}),
        framed("Z", Size.CLOSE, None, hits={2: 2}),
        framed("R", Size.WIDE, 0, left="Reeve", hits={1: 1}),
    )
    phrases = (Phrase(1, (placed(1, "corridor"), placed(2, "stair"))),)
    return sequence(phrases=phrases, tapes=(tape(), tape("B1")), takes=takes, cuts=(cut,)), cut


def shot(take_name: str, first: int, frames: int, speed: Fraction = Fraction(1)) -> Shot:
    return Shot(f"{take_name}{first}", frames, Footage(take_name, first, speed))


def test_one_size_sector_side_and_place_make_one_set_up() -> None:
    made, cut = day(
        shot("W", 12, 24), shot("Y", 12, 24), shot("X", 20, 10), shot("Z", 40, 20), shot("R", 12, 24), shot("W", 40, 30), shot("X", 4, 30)
    )
    found = [
        (one.place, one.screen_left, one.bearing, one.size, [two.number for two in one.shots], one.frames) for one in set_ups(made, cut)
    ]
    # 14 and -15 degrees are one sector and 15 is the next; the last two are at the stair and in the corridor.
    assert found == [
        ("corridor", "Odile", 0, "wide", [1, 3, 7], 64),
        ("corridor", "Odile", 30, "wide", [2], 24),
        ("corridor", "Reeve", 0, "wide", [5], 24),
        ("stair", "Odile", None, "close", [4], 20),
        ("stair", "Odile", 0, "wide", [6], 30),
    ]


def test_the_still_is_the_middle_of_the_longest_shot_as_it_is_played() -> None:
    made, cut = day(shot("W", 12, 20), shot("X", 10, 30, Fraction(2)), Shot("c", 9, Card("to come")), Shot("b", 9, Black()))
    first, card = set_ups(made, cut)
    assert first.still == Still("B1", 10 + 2 * 15)
    assert (card.size, card.still, card.frames) == ("card", None, 9)


def test_set_ups_agree_with_those_of_the_pace() -> None:
    made, cut = day(shot("W", 12, 24), shot("Y", 12, 24), shot("Z", 40, 20), Shot("c", 9, Card("to come", 2)), shot("W", 40, 30))
    ours = {(one.place, one.screen_left, one.bearing, one.size): (len(one.shots), one.frames / 24) for one in set_ups(made, cut)}
    table = pace(made, cut).set_ups
    theirs = {
        (row.place, row.screen_left, None if row.isna().bearing else int(row.bearing), row.size_): (row.shots, row.screen_seconds)
        for _, row in table.rename(columns={"size": "size_"}).iterrows()
    }
    assert {key: (shots, pytest.approx(seconds)) for key, (shots, seconds) in ours.items()} == theirs


def test_every_frame_that_shows_something_is_in_one_set_up() -> None:
    made, cut = day(shot("W", 12, 24), Shot("b", 11, Black()), shot("Z", 40, 20), Shot("c", 9, Card("to come")))
    found = set_ups(made, cut)
    assert sum(one.frames for one in found) == cut.frames - 11
    assert sorted(two.number for one in found for two in one.shots) == [1, 3, 4]


def test_the_sheet_says_how_many_and_how_often() -> None:
    made, cut = day(shot("W", 12, 24), shot("X", 20, 12), shot("Z", 40, 20))
    (table,) = set_ups_sheet(made, cut, date(2026, 11, 25)).tables
    assert table.title == "Kinds of shot: 2 set-ups for 3 shots"
    told = dict(zip(table.columns, table.rows[0], strict=True))
    assert told == {
        "place": "corridor", "on the left": "Odile", "bearing": 0, "size": "wide", "camera move": "locked", "times": 2,
        "frames": 36, "seconds": 1.5, "shots": "1, 2", "moves": "1",
    }  # fmt: skip
    assert len(table.stills) == len(table.rows)


def test_a_cut_of_black_needs_no_set_up() -> None:
    made, _ = day(Shot("b", 9, Black()))
    assert set_ups(replace(made, phrases=(phrase(1, range(1, 2)),)), made.cuts[0]) == ()
