"""What must hold of a floor in every sequence; used by `invariants` alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from previs.document.floor import CameraPlace, Floor, PlanLine, PointMm, Room, Route

FARTHEST_MM = 10**7
"""No point of a plan, a room or a route lies further than 10 km from the origin; a limit of ours."""


def floor_faults(floor: Floor, place: str) -> Iterator[str]:
    """Everything that is wrong with a floor, each as `path: sentence`.

    A route, a camera or a reach may speak of a role, a phrase or a move that is gone since; it is then left out, not wrong.
    """
    for number, line in enumerate(floor.lines):
        yield from _line_faults(line, f"{place}.lines[{number}]")
    for number, named in enumerate(floor.places):
        if not named.name:
            yield f"{place}.places[{number}].name: a place needs a name"
        yield from _too_far([named.at], f"{place}.places[{number}]")
    if floor.room is not None:
        yield from _room_faults(floor.room, f"{place}.room")
    for number, laid in enumerate(floor.laid):
        if laid.part and len(laid.part) < 3:
            yield f"{place}.laid[{number}].part: a part of the plan has three corners or more"
        yield from _too_far([*laid.part, (laid.shift_x_mm, laid.shift_y_mm)], f"{place}.laid[{number}]")
    for number, route in enumerate(floor.routes):
        yield from _route_faults(route, f"{place}.routes[{number}]")
    for number, camera in enumerate(floor.cameras):
        yield from _camera_faults(camera, f"{place}.cameras[{number}]")
    for number, reach in enumerate(floor.reaches):
        if not reach.weapon or reach.reach_mm < 0:
            yield f"{place}.reaches[{number}]: a reach needs a weapon and is not less than nothing"


def _line_faults(line: PlanLine, place: str) -> Iterator[str]:
    if len(line.points) < 2:
        yield f"{place}.points: a line has two points or more"
    yield from _too_far(line.points, place)


def _room_faults(room: Room, place: str) -> Iterator[str]:
    if min(room.length_mm, room.width_mm) < 1 or room.margin_mm < 0:
        yield f"{place}: a room of {room.length_mm} x {room.width_mm} mm with a margin of {room.margin_mm} mm is no room"
    if room.datum_a == room.datum_b:
        yield f"{place}.datum_b: the two points to measure from are one and the same"
    for number, column in enumerate(room.columns):
        yield from _line_faults(column, f"{place}.columns[{number}]")
    yield from _too_far([room.datum_a, room.datum_b, (room.length_mm, room.width_mm)], place)


def _route_faults(route: Route, place: str) -> Iterator[str]:
    if not route.role or not route.points:
        yield f"{place}: a route needs a role and at least one spot"
    yield from _too_far((point.at for point in route.points), place)


def _camera_faults(camera: CameraPlace, place: str) -> Iterator[str]:
    if not camera.name:
        yield f"{place}.name: a camera needs a name"
    if camera.lens_mm <= 0 or camera.sensor_width_mm <= 0 or camera.height_mm < 0:
        yield f"{place}: lens, picture width and height are lengths"
    if camera.at == camera.aim:
        yield f"{place}.aim: a camera points somewhere else than where it stands"
    yield from _too_far([camera.at, camera.aim], place)


def _too_far(points: Iterable[PointMm], place: str) -> Iterator[str]:
    if any(max(abs(x), abs(y)) > FARTHEST_MM for x, y in points):
        yield f"{place}: a spot is further than {FARTHEST_MM // 1_000_000} km from the origin"
