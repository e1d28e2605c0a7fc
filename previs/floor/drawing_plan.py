"""A plan taken into a sequence from whichever file it comes in, a drawing or a table, cleaned, with everything that a person is told."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from previs.cut.wording import counted
from previs.document.floor import LineKind, NamedPlace, PlanLine, PointMm
from previs.document.floor_edits import with_plan
from previs.document.model import Sequence
from previs.faults import UseFault
from previs.floor.cleaning import MOST_SNAP_MM, SNAP_MM, Cleaned, cleaned
from previs.floor.cleaning_told import findings_told
from previs.floor.drawing import read_drawing
from previs.floor.drawing_told import listed, size_told
from previs.floor.plan_table import read_plan_table

TABLES = (".csv", ".xlsx")


@dataclass(frozen=True, slots=True)
class ReadPlan:
    """A plan as it is taken in. `lines` are those of `clean`; `remarks` are sentences on how it was read, `clean` what was found."""

    clean: Cleaned
    places: tuple[NamedPlace, ...]
    drawn_in: str
    origin: PointMm
    unit: str
    remarks: tuple[str, ...]

    @property
    def lines(self) -> tuple[PlanLine, ...]:
        """The plan's lines, cleaned."""
        return self.clean.lines


def read_plan(path: Path, unit: str = "", layers: str = "", snap_mm: int = SNAP_MM) -> ReadPlan:
    """The plan in a DXF drawing, or in a CSV or XLSX table, by the file's ending. Raises `UseFault` for what cannot be read."""
    if not 0 <= snap_mm <= MOST_SNAP_MM:
        raise UseFault(f"Ends {snap_mm} mm apart are not meant to meet; give --snap from 0 to {MOST_SNAP_MM} mm.")
    if path.suffix.lower() in TABLES:
        if unit or layers:
            raise UseFault(f"{path.name} is a table, which is in metres and has no layers; leave --unit and --layers out.")
        lines, places = read_plan_table(path)
        return ReadPlan(cleaned(lines, snap_mm), places, path.name, (0, 0), "m", ())
    drawn = read_drawing(path, unit, layers)
    return ReadPlan(cleaned(drawn.lines, snap_mm), drawn.places, path.name, drawn.origin, drawn.unit, drawn.remarks)


def with_read_plan(sequence: Sequence, plan: ReadPlan) -> Sequence:
    """The sequence with this plan in the place of the one it had."""
    return with_plan(sequence, plan.lines, plan.places, plan.drawn_in, plan.origin)


def plan_told(plan: ReadPlan, before: Sequence) -> list[str]:
    """What was read and how, what was set right, what is odd, and what of the sequence before does not go with it."""
    kinds = Counter(line.kind for line in plan.lines)
    # A wall is drawn in as many lines as somebody liked, the other kinds are things that can be counted.
    things = [counted(kinds[kind], _THINGS[kind]) for kind in LineKind if kinds[kind]]
    width, depth = plan_size(plan.lines)
    told = [f"{plan.drawn_in}: {', '.join(things)}, {counted(len(plan.places), 'named place')}; {size_told(width, depth)}."]
    return [*told, *plan.remarks, *findings_told(plan.clean), *_places_told(plan.places, before), *_gone_told(before)]


def plan_size(lines: tuple[PlanLine, ...]) -> tuple[int, int]:
    """How far a plan reaches along x and along y, in millimetres."""
    xs, ys = [x for line in lines for x, _ in line.points], [y for line in lines for _, y in line.points]
    return max(xs) - min(xs), max(ys) - min(ys)


_THINGS = {
    LineKind.WALL: "wall line",
    LineKind.DOOR: "door",
    LineKind.STEP: "step",
    LineKind.DROP: "drop",
    LineKind.COLUMN: "column",
    LineKind.OTHER: "other line",
}


def _places_told(places: tuple[NamedPlace, ...], sequence: Sequence) -> list[str]:
    """Names that stand at two places, and places of the fight that the plan does not name."""
    told = []
    times = Counter(place.name for place in places)
    if twice := [name for name, count in times.items() if count > 1]:
        told.append(f"Names that stand at several places: {listed(twice)}; the first of each is meant when a move names it.")
    missing = dict.fromkeys(move.place for move in sequence.moves if move.place and move.place not in times)
    if missing:
        told.append(f"Places of the fight that the plan does not name: {listed(missing)}; write them on the plan to see the moves there.")
    return told


def _gone_told(before: Sequence) -> list[str]:
    floor = before.floor
    if floor is None or not floor.lines:
        return []
    told = [f"The plan from {floor.drawn_in or 'before'} is replaced; 'previs undo' brings it back."]
    if floor.laid:
        told.append("How it was laid in the room is gone with it; fit the new plan again.")
    if floor.routes or floor.cameras:
        told.append("Routes and cameras stay where they were; look whether they fit the new plan.")
    return told


def plan_facts(plan: ReadPlan) -> dict[str, object]:
    """The plan for programs: its file, unit, size and origin in metres, its lines by kind, its places."""
    width, depth = plan_size(plan.lines)
    return {
        "drawing": plan.drawn_in,
        "unit": plan.unit,
        "origin": [number / 1000 for number in plan.origin],
        "size": [width / 1000, depth / 1000],
        "lines": dict(Counter(str(line.kind) for line in plan.lines)),
        "places": [{"name": place.name, "x": place.at[0] / 1000, "y": place.at[1] / 1000} for place in plan.places],
    }
