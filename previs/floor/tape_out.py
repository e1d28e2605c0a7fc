"""The values of a tape-out sheet: every point with its distances, the lines of tape, checks, doors, how much tape; it draws nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from math import dist

from previs.document.floor import Floor, Laid, LineKind, NamedPlace, PlanLine, Room
from previs.faults import UseFault
from previs.floor.laying import LaidPoint, lay, straight_tapes
from previs.floor.laying_checks import RightAngle, diagonals, right_angles
from previs.floor.laying_lines import Joined, outline, tape_mm
from previs.floor.measuring import MOST_ERROR_MM
from previs.floor.measuring_units import Units, error_said, read_off
from previs.floor.placing import Spot, laid_lines, laid_places

TAPE_COLOUR = {
    LineKind.WALL: "white",
    LineKind.DOOR: "blue",
    LineKind.STEP: "yellow",
    LineKind.DROP: "red",
    LineKind.COLUMN: "green",
    LineKind.OTHER: "black",
}
"""Which colour of tape each kind of line gets; a choice of ours, any colours do that are kept apart."""
SPARE = 0.1
"""How much more tape is taken along; common practice, no source."""

NO_FALL = "taped drop: no fall here"
FOR_TAPING = "For taping a rehearsal floor only: not for building or rigging."
_DROP = (
    "A taped drop is a line on a level floor, and no fall is rehearsed at it. What is done at the real edge is planned with the stunt "
    'coordinator first; read Ontario, "Safety Guidelines for the Film and Television Industry in Ontario", No. 4, 5 and 25.'
)
_STEPS = "Steps are taped flat: their heights stand on the sheet, not on the floor. Footing is rehearsed anew on the real stair."
_TRIPPING = "Press every tape flat; a loose end trips. Take help crosses up again."
_DEFER = "Defer to the stunt coordinator, qualified riggers and local codes; this sheet sizes nothing."


@dataclass(frozen=True, slots=True)
class TapeNeed:
    """How much tape of one colour: the lines of one kind as they lie, in millimetres, and with the spare."""

    kind: LineKind
    net_mm: float

    @property
    def colour(self) -> str:
        """The colour of the tape in a word."""
        return TAPE_COLOUR[self.kind]

    @property
    def taken_mm(self) -> float:
        """With the spare."""
        return self.net_mm * (1 + SPARE)


@dataclass(frozen=True, slots=True)
class TapeOut:
    """One sheet: the plan as it lies in the room, and how it gets there.

    `joined`, `diagonals` and `squares` speak of points by their index in `points`. `sheet` of `sheets` says which of several sections
    this is, and `section` its name. Lines, columns and places are in room millimetres.
    """

    title: str
    section: str
    sheet: int
    sheets: int
    made: date
    units: Units
    room: Room
    lines: tuple[PlanLine, ...]
    places: tuple[NamedPlace, ...]
    points: tuple[LaidPoint, ...]
    words: tuple[str, ...]
    joined: tuple[Joined, ...]
    diagonals: tuple[tuple[int, int], ...]
    squares: tuple[RightAngle, ...]
    needs: tuple[TapeNeed, ...]
    walked_mm: float
    cautions: tuple[str, ...]
    remarks: tuple[str, ...]

    def label(self, point: int) -> str:
        """The number of a point."""
        return self.points[point].label

    def length_mm(self, first: int, second: int) -> float:
        """How far two points are from each other."""
        return dist(self.points[first].at, self.points[second].at)

    @property
    def baseline_mm(self) -> float:
        """How far A and B are from each other."""
        return dist(self.room.datum_a, self.room.datum_b)

    @property
    def chains(self) -> tuple[tuple[Joined, str], ...]:
        """Each line of tape with the numbers that it joins: `1-8-6`."""
        return tuple((one, "-".join(self.label(point) for point in one.points)) for one in self.joined)


def tape_outs(floor: Floor | None, title: str, file: str, made: date, units: Units) -> tuple[TapeOut, ...]:
    """The sheets of a floor, one for each section that is laid; `file` is the sequence file, named in what to do about a fault.

    Raises `UseFault` when there is no plan, no room, or the plan is not fitted into the room yet.
    """
    plan = floor or Floor()
    if not plan.lines:
        raise UseFault(f"There is no plan of the set yet; read one with 'previs plan {file} DRAWING'.")
    if plan.room is None:
        raise UseFault(f"There is no rehearsal room yet; give one with 'previs room {file}'.")
    if not plan.laid:
        raise UseFault(f"The plan is not fitted into the room yet; say 'previs fit {file}'.")
    return tuple(
        _tape_out(plan, plan.room, laid, (number, len(plan.laid)), title, made, units) for number, laid in enumerate(plan.laid, start=1)
    )


def _tape_out(plan: Floor, room: Room, laid: Laid, which: tuple[int, int], title: str, made: date, units: Units) -> TapeOut:
    lines = laid_lines(plan, laid)
    shape = outline(lines)
    if not shape.spots:
        raise UseFault(f"Nothing of the plan lies in section {which[0]}; fit the plan again with 'previs fit'.")
    laying = lay(shape.spots, room)
    words = ["help cross"] * len(laying.points)
    for spot, point in enumerate(laying.of):
        words[point] = shape.words[spot]
    joined = tuple(
        Joined(one.kind, one.name, tuple(laying.of[spot] for spot in one.points), one.height_mm, one.opens_left) for one in shape.joined
    )
    squares = tuple(
        RightAngle(laying.of[one.corner], laying.of[one.along_three], laying.of[one.along_four], one.part_mm)
        for one in right_angles(shape, units)
    )
    across = diagonals([one.at for one in laying.points], straight_tapes(room.columns))
    needs = tuple(TapeNeed(kind, length) for kind in LineKind if (length := tape_mm(shape.joined, shape.spots, kind)))
    return TapeOut(
        title, laid.name, *which, made, units, room, lines, laid_places(plan, laid), laying.points, tuple(words), joined, across, squares,
        needs, laying.walked_mm, tuple(_cautions(joined)), tuple(_remarks(laying.points, room, units)),
    )  # fmt: skip


def _cautions(joined: tuple[Joined, ...]) -> Iterator[str]:
    kinds = {one.kind for one in joined}
    yield FOR_TAPING
    if LineKind.DROP in kinds:
        yield f"{NO_FALL.capitalize()}. {_DROP}"
    if LineKind.STEP in kinds:
        yield _STEPS
    yield _TRIPPING
    yield _DEFER


def _remarks(points: tuple[LaidPoint, ...], room: Room, units: Units) -> Iterator[str]:
    """What the person who lays must know beyond the table."""
    poor = [one.label for one in points if one.how is not None and one.how.error_mm > MOST_ERROR_MM]
    if poor:
        yield (
            f"Off by more than {error_said(MOST_ERROR_MM, units)} when a tape is misread by 10 mm, from every pair there is: "
            f"{_some(poor)}; measure twice, or give the room other points A and B with 'previs room'."
        )
    if blocked := [one.label for one in points if one.how is not None and one.how.blocked]:
        yield f"Behind a column of the room for one of the tapes: {_some(blocked)}; measure around it with care."
    if outside := [one.label for one in points if not _inside(one.at, room)]:
        yield f"Outside the room, and not to be laid: {_some(outside)}; fit the plan again with 'previs fit'."
    crosses = [one for one in points if one.label.startswith("H")]
    for one in crosses:
        yield f"{one.label} is a help cross and no part of the set: it is there to hold a tape to."


def _inside(spot: Spot, room: Room) -> bool:
    return -1 <= spot[0] <= room.length_mm + 1 and -1 <= spot[1] <= room.width_mm + 1


def _some(labels: list[str]) -> str:
    return ", ".join(labels[:12]) + (f" and {len(labels) - 12} more" if len(labels) > 12 else "")


def instructions(sheet: TapeOut) -> tuple[str, ...]:
    """How the sheet is used, step by step, for two people with two tapes."""
    return (
        f"Mark A and B and measure between them: {read_off(sheet.baseline_mm, sheet.units)}. "
        "If it is not that, give the room as it is and fit again.",
        "Point by point in order: one tape held at the first point named, one at the second; where both lengths meet, on the side told "
        "as seen from the first to the second, mark a cross and write its number.",
        "Measure the check from the third point. When it is out by more than the error told, measure the point again.",
        "When all points are marked, check the right angles and the diagonals; then lay the tape from number to number.",
    )
