"""Cues against the sample's truth, against shapely, and against the same way gone backwards; faults of a route by place."""

from __future__ import annotations

import json
from itertools import pairwise
from math import cos, pi, radians, sin
from pathlib import Path

import pytest
import shapely
from floor.salt_fight import salt_fight
from floor.salt_plan import salt_floor
from hypothesis import assume, given
from hypothesis import strategies as some
from msgspec.structs import replace

from previs.document.floor import Floor, LineKind, PlanLine, Route, RoutePoint
from previs.document.model import Cut, Sequence
from previs.floor.cues import Cue, CueKind, cues
from previs.floor.cues_words import call_lines, calls, cue_rows, cue_said, fault_said, summed
from previs.floor.routes_table import read_ways

DOOR = PlanLine(LineKind.DOOR, ((0, -500), (0, 500)), name="narrow door", opens_left=True)
WALL = PlanLine(LineKind.WALL, ((0, 500), (0, 4000)))
CART = PlanLine(LineKind.COLUMN, ((2000, -300), (3000, -300), (3000, 300), (2000, 300)), closed=True, name="salt cart")
QUAY = PlanLine(LineKind.DROP, ((-9000, -2000), (9000, -2000)), name="quay", height_mm=2400)
STEPS = tuple(PlanLine(LineKind.STEP, ((x, -1000), (x, 1000)), height_mm=170) for x in (5000, 5300, 5600))
spots = some.tuples(some.integers(-7000, 7000), some.integers(-7000, 7000))


@pytest.fixture(scope="module")
def salt(sample_media: Path) -> tuple[Sequence, Cut]:
    sequence, cut = salt_fight(sample_media, salt_floor())
    folder = sample_media / "floor"
    return read_ways([folder / "routes.csv", folder / "reaches.csv"], sequence).sequence, cut


@pytest.fixture(scope="module")
def fight(sample_media: Path) -> tuple[Sequence, Cut]:
    return salt_fight(sample_media, Floor())


def found(fight: tuple[Sequence, Cut], lines: tuple[PlanLine, ...], points: list[tuple[int, ...]], phrase: int = 1) -> list[Cue]:
    """The cues of a way of Odile's; a spot is x, y and maybe its move."""
    route = Route("Odile", phrase, tuple(RoutePoint((x, y), *move) for x, y, *move in points))
    return list(cues(replace(fight[0], floor=Floor(lines=lines, routes=(route,))), fight[1]))


def way(cue: Cue) -> str:
    if cue.kind is CueKind.TURN:
        return "back" if abs(cue.degrees) > 150 else "left" if cue.degrees > 0 else "right"
    return "" if cue.to_left is None else "left" if cue.to_left else "right"


def test_the_samples_cues_are_those_of_the_truth(salt: tuple[Sequence, Cut], sample_media: Path) -> None:
    truth = json.loads((sample_media / "truth" / "floor.json").read_text(encoding="utf-8"))["cues"]
    ours = [
        {"role": cue.role, "after": cue.after, "kind": cue.kind.value, "name": cue.name, "way": way(cue)}
        | dict(zip("xy", (pytest.approx(each / 1000, abs=0.001) for each in cue.at), strict=True))
        for cue in cues(*salt)
    ]
    for role in ("Odile", "Reeve"):
        assert [cue for cue in ours if cue["role"] == role] == [cue for cue in truth if cue["role"] == role]


def test_the_samples_list_reads_like_a_performers(salt: tuple[Sequence, Cut]) -> None:
    lines = call_lines(cues(*salt))
    assert "  on move 11 (phrase 2, count 5): back, then through the first door, which opens towards you (0.7 s after the hit)" in lines
    assert "  on move 14 (phrase 3, count 3): right, then over the salt cart (0.2 s after the hit)" in lines
    assert any("drop of 2.40 m at the quay, nearest 0.50 m (taped drop: no fall here)" in line for line in lines)
    assert any("steps ahead: 3 of 7 gone over" in line for line in lines)
    assert summed(cues(*salt)) == "9 turns, 4 doors passed, 4 other cues"
    assert not any(cue.faulty or cue.guessed for cue in cues(*salt))


def test_a_door_is_passed_exactly_when_the_way_crosses_it(fight: tuple[Sequence, Cut]) -> None:
    """Moves 1 and 3 land 1 s and 3 s into the cut; the door lies at 0.3 of the way, so 0.6 s after the first hit."""
    (cue,) = found(fight, (DOOR,), [(-600, 0, 1), (1400, 200, 3)])
    assert (cue.after, cue.before, cue.count, cue.on) == (1, 3, 1, False)
    assert cue.at == pytest.approx((0, 60)) and cue.seconds_after == pytest.approx(0.6) and cue.record_frame == pytest.approx(38.4)
    # From the hinge up, left of the line is where x is less than 0.
    assert cue.to_left is False and cue_said(cue) == "through the narrow door, which opens towards you"
    (row,) = cue_rows(fight[0], [cue])
    assert (row["when"], row["record"], row["seconds after"], row["x"], row["y"]) == ("after move 1", "01:00:01:14", 0.6, 0.0, 0.06)


@pytest.mark.parametrize(
    ("points", "passes"),
    [
        ([(-1000, 0), (1000, 0)], 1),
        ([(-1000, 0), (0, 0), (1000, 0)], 1),
        ([(-1000, 0), (0, 0), (0, 300), (1000, 300)], 1),
        ([(-1000, 0), (0, 0), (-1000, 0)], 0),
        ([(-1000, 0), (0, 300), (0, -300), (-1000, 0)], 0),
        ([(0, 0), (1000, 0)], 0),
        ([(-1000, 0), (0, 0)], 0),
        ([(-1000, 600), (1000, 600)], 0),
        ([(-1000, 0), (1000, 0), (-1000, 0), (1000, 0)], 3),
    ],
)
def test_standing_in_a_door_or_passing_beside_it_is_no_passing(
    fight: tuple[Sequence, Cut], points: list[tuple[int, int]], passes: int
) -> None:
    assert sum(cue.kind is CueKind.DOOR for cue in found(fight, (DOOR,), points)) == passes


def test_a_door_that_one_stands_in_is_passed_from_phrase_to_phrase(fight: tuple[Sequence, Cut]) -> None:
    routes = (Route("Odile", 1, (RoutePoint((-1000, 0), 5), RoutePoint((0, 0), 6))), Route("Odile", 2, (RoutePoint((1000, 0), 7),)))
    (cue,) = cues(replace(fight[0], floor=Floor(lines=(DOOR,), routes=routes)), fight[1])
    assert (cue.kind, cue.after, cue.on, cue.phrase, cue.count) == (CueKind.DOOR, 6, True, 1, 6)


@given(some.lists(spots, min_size=2, max_size=8))
def test_the_same_way_backwards_has_the_same_cues_the_other_way_round(fight: tuple[Sequence, Cut], points: list[tuple[int, int]]) -> None:
    line = shapely.LineString(points)
    assume(all(shapely.Point(one).distance(shapely.Point(two)) > 650 for one, two in pairwise(points)))
    lines = (DOOR, *STEPS, QUAY)
    forth, back = found(fight, lines, points), found(fight, lines, points[::-1])

    def told(those: list[Cue], kind: CueKind) -> list[tuple[int, ...]]:
        return sorted((round(cue.along_mm), round(cue.degrees), bool(cue.to_left)) for cue in those if cue.kind is kind)

    def turned(those: list[tuple[int, ...]], *, doors: bool) -> list[tuple[int, float, bool]]:
        return sorted((round(line.length - along), -degrees, (not left) if doors else left) for along, degrees, left in those)

    for kind in (CueKind.DOOR, CueKind.TURN):
        ours, theirs = told(forth, kind), turned(told(back, kind), doors=kind is CueKind.DOOR)
        assert len(ours) == len(theirs)
        for one, other in zip(ours, theirs, strict=True):
            assert one[0] == pytest.approx(other[0], abs=2) and one[2] == other[2]
            assert one[1] == pytest.approx(other[1], abs=2) or abs(one[1]) == abs(other[1]) == 180
    for kind in (CueKind.STEPS, CueKind.DROP):
        ours_near, theirs_near = (sorted(round(cue.nearest_mm) for cue in those if cue.kind is kind) for those in (forth, back))
        assert ours_near == theirs_near


@given(some.lists(spots, min_size=2, max_size=8))
def test_a_way_passes_a_door_as_often_as_it_crosses_its_line(fight: tuple[Sequence, Cut], points: list[tuple[int, int]]) -> None:
    assume(all(x != 0 for x, _ in points))
    way_there = [shapely.LineString(leg) for leg in pairwise(points) if leg[0] != leg[1]]
    crossings = sum(leg.crosses(shapely.LineString(DOOR.points)) for leg in way_there)
    assume(all(leg.distance(shapely.Point(end)) > 1e-6 for leg in way_there for end in DOOR.points))
    assert sum(cue.kind is CueKind.DOOR for cue in found(fight, (DOOR,), points)) == crossings


@pytest.mark.parametrize(
    ("points", "turns"),
    [
        ([(0, 0), (1000, 0), (1000, 1000)], ["left 90"]),
        ([(0, 0), (1000, 0), (1000, -1000)], ["right 90"]),
        ([(0, 0), (1000, 0), (2000, 700)], []),  # 34.99 degrees
        ([(0, 0), (1000, 0), (2000, 701)], ["left 35"]),
        ([(0, 0), (1000, 0), (200, 0)], ["back 180"]),
        ([(0, 0), (1000, 0), (700, 0), (2000, 0)], []),  # a step back in place
        ([(0, 0), (1000, 100), (2000, -100), (3000, 0)], []),  # shuffling
        ([(0, 0), (1000, 0), (1000, 1000), (2000, 1000)], ["left 90", "right 90"]),
    ],
)
def test_turns_are_wide_bends_and_nothing_else(fight: tuple[Sequence, Cut], points: list[tuple[int, int]], turns: list[str]) -> None:
    assert [f"{way(cue)} {abs(cue.degrees):.0f}" for cue in found(fight, (), points)] == turns


@pytest.mark.parametrize("radius", [300, 600])
@pytest.mark.parametrize("turn", [1, -1])
def test_a_drawn_curve_is_one_turn(fight: tuple[Sequence, Cut], radius: int, turn: int) -> None:
    """A quarter of a circle in 18 bends of 5 degrees, none of which would be a turn by itself."""
    curve = [(round(2000 + radius * sin(radians(at))), turn * round(radius - radius * cos(radians(at)))) for at in range(0, 91, 5)]
    (cue,) = found(fight, (), [(0, 0), *curve, (2000 + radius, turn * 3000)])
    assert cue.degrees * turn == pytest.approx(90, abs=8)
    assert 2000 < cue.along_mm < 2000 + radius * pi / 2


def test_steps_and_drops_are_told_a_metre_before(fight: tuple[Sequence, Cut]) -> None:
    steps, drop = found(fight, (*STEPS, QUAY), [(3000, 0, 1), (5400, 0, 2), (5400, -1500, 3)])[:3:2]
    assert (steps.kind, steps.at, steps.lines, steps.crossed, steps.nearest_mm) == (CueKind.STEPS, pytest.approx((4000, 0)), 3, 2, 0)
    assert (drop.kind, drop.at, drop.nearest_mm, drop.height_mm) == (CueKind.DROP, pytest.approx((5400, -1000)), pytest.approx(500), 2400)
    over = found(fight, (QUAY,), [(0, -1500, 1), (0, -2500, 2)])[0]
    assert cue_said(over) == "drop of 2.40 m at the quay, over its edge (taped drop: no fall here)"


def test_whoever_stands_still_by_a_drop_is_told_too(fight: tuple[Sequence, Cut]) -> None:
    (cue,) = found(fight, (QUAY,), [(0, -1800, 1)])
    assert (cue.nearest_mm, cue.on, cue.after) == (pytest.approx(200), True, 1)


def test_through_a_wall_is_a_fault_with_its_place(fight: tuple[Sequence, Cut]) -> None:
    (cue,) = found(fight, (WALL, DOOR), [(-1000, 1000, 1), (1000, 1000, 2)])
    assert cue.faulty and not calls([cue])
    assert fault_said(cue) == "Odile's way goes through a wall at x 0.00 m, y 1.00 m, after move 1; move a spot or add a bend."


def test_a_wall_drawn_through_a_doors_opening_is_none_there(fight: tuple[Sequence, Cut]) -> None:
    through = PlanLine(LineKind.WALL, ((0, -4000), (0, 4000)))
    assert [cue.kind for cue in found(fight, (through, DOOR), [(-1000, 0, 1), (1000, 0, 2)])] == [CueKind.DOOR]
    assert [cue.kind for cue in found(fight, (through, DOOR), [(-1000, 600, 1), (1000, 600, 2)])] == [CueKind.WALL]


def test_a_column_is_gone_over_only_where_the_move_says_so(fight: tuple[Sequence, Cut]) -> None:
    over = found(fight, (CART,), [(1000, 0, 14), (4000, 0, 15)], phrase=3)
    assert [(cue.kind, cue.along_mm) for cue in over] == [(CueKind.OVER, pytest.approx(1000))]
    (through,) = found(fight, (CART,), [(1000, 0, 12), (4000, 0, 13)], phrase=3)
    assert through.kind is CueKind.COLUMN and "add a bend around it" in fault_said(through)


def test_what_comes_before_any_move_says_before_which(fight: tuple[Sequence, Cut]) -> None:
    (cue,) = found(fight, (DOOR,), [(-1000, 0), (1000, 0, 2)])
    assert (cue.after, cue.before, cue.count, cue.record_frame) == (None, 2, 0, None)
    assert call_lines([cue]) == ["Odile:", "  before move 2: through the narrow door, which opens towards you"]


def test_a_jump_passes_no_door(fight: tuple[Sequence, Cut]) -> None:
    routes = (Route("Odile", 1, (RoutePoint((-2000, 0), 6),)), Route("Odile", 2, (RoutePoint((2000, 0), 7),)))
    assert cues(replace(fight[0], floor=Floor(lines=(DOOR, WALL), routes=routes)), fight[1]) == ()


def test_without_a_cut_there_are_cues_without_times(salt: tuple[Sequence, Cut]) -> None:
    untimed = cues(salt[0], None)
    assert [(cue.role, cue.after, cue.kind) for cue in untimed] == [(cue.role, cue.after, cue.kind) for cue in cues(*salt)]
    assert all(cue.record_frame is None and cue.seconds_after is None for cue in untimed)
