from __future__ import annotations

from fractions import Fraction

import pytest
from document.drawn import plain_sequence
from msgspec.structs import replace

from previs.document.floor import CameraPlace, Floor, Laid, LineKind, NamedPlace, PlanLine, Reach, Room, Route, RoutePoint
from previs.document.floor_edits import with_cameras, with_laid, with_plan, with_reaches, with_room, with_routes
from previs.document.invariants import faults_in

WALL = PlanLine(LineKind.WALL, ((0, 0), (5000, 0)))
ROOM = Room(12_000, 8000, (0, 0), (12_000, 0))
CAMERA = CameraPlace("A", (0, 0), (1000, 0), 1500, Fraction(35), Fraction(36))


def test_each_part_takes_the_place_of_the_one_before_and_leaves_the_others() -> None:
    sequence = with_routes(plain_sequence(), (Route("Odile", 2, (RoutePoint((1, 2)),)), Route("Odile", 1, (RoutePoint((3, 4), move=1),))))
    sequence = with_reaches(with_cameras(with_room(sequence, ROOM), (CAMERA,)), (Reach("staff", 1900),))
    sequence = with_laid(with_plan(sequence, (WALL,), (NamedPlace("stair", (1, 1)),), "stair.dxf", (70, 0)), (Laid(90_000),))
    floor = sequence.floor
    assert floor is not None and [route.phrase for route in floor.routes] == [1, 2] and floor.laid == (Laid(90_000),)
    assert (floor.lines, floor.room, floor.cameras, floor.origin) == ((WALL,), ROOM, (CAMERA,), (70, 0))
    assert faults_in(sequence) == ()


def test_another_plan_or_room_forgets_how_the_old_one_was_laid() -> None:
    laid = with_laid(with_room(with_plan(plain_sequence(), (WALL,), (), "", (0, 0)), ROOM), (Laid(),))
    for changed in (with_plan(laid, (), (), "", (0, 0)), with_room(laid, None)):
        assert changed.floor is not None and changed.floor.laid == ()


def test_a_floor_of_nothing_is_no_floor() -> None:
    assert with_room(with_room(plain_sequence(), ROOM), None).floor is None


@pytest.mark.parametrize(
    ("floor", "said"),
    [
        (Floor(lines=(replace(WALL, points=((0, 0),)),)), "$.floor.lines[0].points: a line has two points or more"),
        (Floor(lines=(replace(WALL, points=((0, 0), (10**7 + 1, 0))),)), "$.floor.lines[0]: a spot is further than 10 km from the origin"),
        (Floor(places=(NamedPlace("", (0, 0)),)), "$.floor.places[0].name: a place needs a name"),
        (Floor(room=replace(ROOM, width_mm=0)), "$.floor.room: a room of 12000 x 0 mm with a margin of 500 mm is no room"),
        (Floor(room=replace(ROOM, datum_b=(0, 0))), "$.floor.room.datum_b: the two points to measure from are one and the same"),
        (Floor(laid=(Laid(part=((0, 0), (1, 0))),)), "$.floor.laid[0].part: a part of the plan has three corners or more"),
        (Floor(routes=(Route("", 1, (RoutePoint((0, 0)),)),)), "$.floor.routes[0]: a route needs a role and at least one spot"),
        (Floor(cameras=(replace(CAMERA, aim=(0, 0)),)), "$.floor.cameras[0].aim: a camera points somewhere else than where it stands"),
        (Floor(cameras=(replace(CAMERA, lens_mm=Fraction(0)),)), "$.floor.cameras[0]: lens, picture width and height are lengths"),
        (Floor(reaches=(Reach("", 1),)), "$.floor.reaches[0]: a reach needs a weapon and is not less than nothing"),
    ],
)
def test_what_cannot_be_on_a_floor_is_said_with_its_place(floor: Floor, said: str) -> None:
    assert faults_in(replace(plain_sequence(), floor=floor)) == (said,)
