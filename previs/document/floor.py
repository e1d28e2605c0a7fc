"""The set's plan, the rehearsal room and who goes where on it, as values of the document; what follows from them is `floor`'s business.

Every length is in whole millimetres. Axes are right-handed: x to the right, y up the page. The plan is for taping a floor to
rehearse on, never for building or rigging.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from fractions import Fraction

from previs.document.value import Value

PointMm = tuple[int, int]
"""x and y in whole millimetres."""


class LineKind(StrEnum):
    """What a line of the plan is."""

    WALL = "wall"
    DOOR = "door"
    STEP = "step"
    DROP = "drop"
    COLUMN = "column"
    OTHER = "other"


class PlanLine(Value, frozen=True):
    """One line of the plan through two or more points; `closed` when its end meets its beginning.

    A door's line is its opening from the hinge, the first point, to the latch; `opens_left` says to which side of that line the
    leaf swings, None when unknown. `height_mm` is how far a drop goes down or a step up, None when unknown. `name` is empty where
    the drawing has none.
    """

    kind: LineKind
    points: tuple[PointMm, ...]
    closed: bool = False
    name: str = ""
    height_mm: int | None = None
    opens_left: bool | None = None

    @property
    def edges(self) -> Iterator[tuple[PointMm, PointMm]]:
        """The straight pieces of it, the closing one among them."""
        yield from zip(self.points, self.points[1:], strict=False)
        if self.closed and len(self.points) > 2:
            yield self.points[-1], self.points[0]


class NamedPlace(Value, frozen=True):
    """A spot of the plan with the name that the moves' `place` uses."""

    name: str
    at: PointMm


class Room(Value, frozen=True):
    """The rehearsal room: x from 0 to `length_mm`, y from 0 to `width_mm`, its columns, and the two points that tapes are held to.

    Nothing is laid nearer than `margin_mm` to its walls and columns.
    """

    length_mm: int
    width_mm: int
    datum_a: PointMm
    datum_b: PointMm
    columns: tuple[PlanLine, ...] = ()
    margin_mm: int = 500


class Laid(Value, frozen=True):
    """How the plan lies in the room: turned about the plan's origin, counter-clockwise, and then shifted.

    `part` is a polygon of the plan, in the plan's own coordinates, when only what is inside it is laid; empty for all of it.
    """

    turn_millidegrees: int = 0
    shift_x_mm: int = 0
    shift_y_mm: int = 0
    part: tuple[PointMm, ...] = ()
    name: str = ""


class RoutePoint(Value, frozen=True):
    """A spot that a role passes through, on the plan; with `move`, where it stands when that move lands."""

    at: PointMm
    move: int | None = None


class Route(Value, frozen=True):
    """The way of one role over the plan during one phrase, in order."""

    role: str
    phrase: int
    points: tuple[RoutePoint, ...]


class CameraPlace(Value, frozen=True):
    """Where a camera stands on the plan, and where it points.

    `name` is the camera's letter as on tapes and takes. `height_mm` is its lens above the floor; lens and picture width are in
    millimetres.
    """

    name: str
    at: PointMm
    aim: PointMm
    height_mm: int
    lens_mm: Fraction
    sensor_width_mm: Fraction
    phrases: tuple[int, ...] = ()


class Reach(Value, frozen=True):
    """How far a weapon's tip comes from the middle of the body that holds it."""

    weapon: str
    reach_mm: int


class Floor(Value, frozen=True):
    """The plan of the set and everything that is planned on it.

    `drawn_in` is the file that the plan was read from. `origin` is the spot of that drawing, in millimetres, where the plan's own
    origin lies: plans far from their drawing's origin are brought near.
    """

    lines: tuple[PlanLine, ...] = ()
    places: tuple[NamedPlace, ...] = ()
    room: Room | None = None
    laid: tuple[Laid, ...] = ()
    routes: tuple[Route, ...] = ()
    cameras: tuple[CameraPlace, ...] = ()
    reaches: tuple[Reach, ...] = ()
    drawn_in: str = ""
    origin: PointMm = (0, 0)
