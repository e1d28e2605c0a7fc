"""A whole sheet laid again from its rounded numbers alone, as two people with two tapes do; and what is missing, in one sentence."""

from __future__ import annotations

from datetime import date
from math import dist

import pytest
from floor.salt_plan import ROOM, salt_floor
from floor.test_measuring_units import read_back
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from previs.document.floor import Floor, Laid, LineKind, NamedPlace, PlanLine, Room
from previs.faults import UseFault
from previs.floor.measuring import where
from previs.floor.measuring_units import Units
from previs.floor.placing import Spot
from previs.floor.sheet_tables import point_rows
from previs.floor.tape_out import NO_FALL, TapeOut, tape_outs

DAY = date(2026, 11, 25)
LAID = Laid(0, 1300, 2500)


def sheet_of(floor: Floor, units: Units = Units.METRIC) -> TapeOut:
    return tape_outs(floor, "The Salt Stair", "salt.previs", DAY, units)[0]


def salt_sheet(units: Units = Units.METRIC) -> TapeOut:
    return sheet_of(replace(salt_floor(), laid=(LAID,)), units)


def laid_again(sheet: TapeOut) -> dict[str, Spot]:
    """Where each point comes to lie when it is laid from what stands in the table: each from points that were laid so before."""
    spots: dict[str, Spot] = {"A": sheet.room.datum_a, "B": sheet.room.datum_b}
    for row in point_rows(sheet):
        if row.first:
            tapes = (float(read_back(row.first_read)), float(read_back(row.second_read)))
            spots[row.label] = where(spots[row.first], spots[row.second], *tapes, left=row.side == "left")
    return spots


@st.composite
def floors(draw: st.DrawFn) -> Floor:
    """A few lines anywhere in a room of 16 x 9 m, turned in it, with a pillar now and then and A and B in several places."""
    corner = st.tuples(st.integers(0, 110).map(lambda n: n * 100), st.integers(0, 600).map(lambda n: n * 10))
    lines = tuple(
        PlanLine(draw(st.sampled_from(LineKind)), tuple(draw(st.lists(corner, min_size=2, max_size=5, unique=True))), draw(st.booleans()))
        for _ in range(draw(st.integers(1, 5)))
    )
    datums = draw(st.sampled_from((((0, 0), (16_000, 0)), ((8000, 0), (8000, 9000)), ((0, 4000), (5000, 0)), ((200, 200), (15_800, 200)))))
    pillar = PlanLine(LineKind.COLUMN, ((7000, 7000), (7500, 7000), (7500, 7500), (7000, 7500)), closed=True)
    room = Room(16_000, 9000, *datums, (pillar,) if draw(st.booleans()) else ())
    return Floor(lines, room=room, laid=(Laid(draw(st.integers(-20_000, 20_000)), 2500, 2000),))


@settings(max_examples=120, deadline=None)
@given(floors(), st.sampled_from(Units))
def test_every_point_laid_from_the_rounded_numbers_comes_within_the_stated_error(floor: Floor, units: Units) -> None:
    sheet = sheet_of(floor, units)
    # Points that no pair measures well are said to be so, and promise nothing.
    assert bool(sheet.remarks) >= any(point.doubtful for point in sheet.points)
    spots = laid_again(sheet)
    for point, row in zip(sheet.points, point_rows(sheet), strict=True):
        off = dist(spots[point.label], point.at)
        assert off <= (point.error_mm if point.how else 5) or point.doubtful
        if row.third and not point.doubtful:
            # The check tells nothing wrong when all is laid as it is read.
            assert abs(dist(spots[row.label], spots[row.third]) - float(read_back(row.third_read))) <= 2 * max(
                one.error_mm for one in sheet.points
            )


def test_a_wall_anywhere_along_the_room_has_no_doubtful_point() -> None:
    sheets = [sheet_of(Floor((PlanLine(LineKind.WALL, ((0, y), (9000, y))),), room=ROOM, laid=(LAID,))) for y in range(-2500, 6000, 250)]
    assert sum(point.doubtful for sheet in sheets for point in sheet.points) == 0


@pytest.mark.parametrize("units", Units)
def test_the_sample_is_laid_to_the_stated_error(units: Units) -> None:
    sheet = salt_sheet(units)
    spots = laid_again(sheet)
    assert max(dist(spots[point.label], point.at) for point in sheet.points) < 10
    assert all(dist(spots[point.label], point.at) <= point.error_mm for point in sheet.points)
    assert max(point.error_mm for point in sheet.points) < 18
    assert sheet.remarks == ()
    # Two diagonals of a rectangle are alike: the corridor's far corners and the landing's.
    lengths = [sheet.length_mm(*pair) for pair in sheet.diagonals]
    assert lengths[0] == pytest.approx(lengths[1]) and len(lengths) == 6


def test_the_sample_tells_tape_by_colour() -> None:
    needs = {need.kind: need for need in salt_sheet().needs}
    assert needs[LineKind.STEP].net_mm == 7 * 3000 and needs[LineKind.STEP].taken_mm == pytest.approx(23_100)
    assert needs[LineKind.DROP].net_mm == 3800 and needs[LineKind.DOOR].net_mm == 1700
    assert {need.colour for need in needs.values()} == {"white", "blue", "yellow", "red", "green"}


def test_cautions_name_the_drop_and_defer() -> None:
    sheet = salt_sheet()
    said = " ".join(sheet.cautions)
    assert NO_FALL in said.lower() and "not for building or rigging" in said and "qualified riggers and local codes" in said
    assert " safe" not in said.lower()
    plain = sheet_of(Floor((PlanLine(LineKind.WALL, ((0, 0), (4000, 0))),), room=ROOM, laid=(LAID,)))
    assert NO_FALL not in " ".join(plain.cautions).lower()


def test_a_plan_laid_in_parts_gives_a_sheet_for_each() -> None:
    parts = (
        Laid(0, 1300, 2500, ((-100, -100), (6000, -100), (6000, 3000), (-100, 3000)), "corridor"),
        Laid(0, -4000, 2500, ((5500, -500), (14_000, -500), (14_000, 3000), (5500, 3000)), "stair"),
    )
    sheets = tape_outs(replace(salt_floor(), laid=parts), "The Salt Stair", "salt.previs", DAY, Units.METRIC)
    assert [(one.section, one.sheet, one.sheets) for one in sheets] == [("corridor", 1, 2), ("stair", 2, 2)]
    assert LineKind.DROP not in {one.kind for one in sheets[0].joined}
    assert any(NO_FALL in one.lower() for one in sheets[1].cautions)
    assert [place.name for place in sheets[0].places] == ["corridor", "first door"]


def test_points_outside_the_room_are_told() -> None:
    sheet = sheet_of(replace(salt_floor(), laid=(Laid(0, 5000, 2500),)))
    told = [one for one in sheet.remarks if one.startswith("Outside the room, and not to be laid: ")]
    outside = [point.label for point in sheet.points if point.at[0] > 16_000]
    named = f"{', '.join(outside[:12])} and {len(outside) - 12} more"
    assert len(outside) > 12 and told == [f"Outside the room, and not to be laid: {named}; fit the plan again with 'previs fit'."]


@pytest.mark.parametrize(
    ("floor", "said"),
    [
        (None, "There is no plan of the set yet; read one with 'previs plan salt.previs DRAWING'."),
        (Floor(places=(NamedPlace("stair", (0, 0)),)), "There is no plan of the set yet; read one with 'previs plan salt.previs DRAWING'."),
        (replace(salt_floor(), room=None), "There is no rehearsal room yet; give one with 'previs room salt.previs'."),
        (salt_floor(), "The plan is not fitted into the room yet; say 'previs fit salt.previs'."),
    ],
)
def test_what_is_missing_is_said_in_one_sentence(floor: Floor | None, said: str) -> None:
    with pytest.raises(UseFault) as fault:
        tape_outs(floor, "The Salt Stair", "salt.previs", DAY, Units.METRIC)
    assert str(fault.value) == said
