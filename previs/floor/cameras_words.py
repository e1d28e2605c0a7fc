"""What cameras see, in sentences and as rows; it is found in `cameras`, `cameras_wedge` and `cameras_marked`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from previs.cut.wording import counted
from previs.document.floor import CameraPlace, Floor, LineKind, PlanLine
from previs.document.model import Sequence
from previs.exchange.lists import Row, moves_text
from previs.fight.view import listed
from previs.floor.cameras import Change, Crossing, Look, beyond_drops, moves_of
from previs.floor.cameras_lens import SHORT_MM, STATURE_MM, TALL_MM, degrees_high, degrees_wide, whole_from_mm
from previs.floor.cameras_line import ON_THE_LINE_DEGREES, apart_degrees, whole_degrees
from previs.floor.cameras_marked import Compared, Difference, What, sizes_said
from previs.floor.cameras_wedge import wedge
from previs.floor.routes import metres

WAY_NOTE = (
    f"Geometry takes each camera to stand and point as the plan says, without pans, the lens turned to the middle of a standing person of "
    f"{STATURE_MM / 1000:.2f} m (an assumption), and picture height by the delivery raster, on a take by its tape. Sizes are told by how "
    f"much of that person the frame's height holds, by convention; a marked one differs where neither role explains it with a stature from "
    f"{SHORT_MM / 1000:g} to {TALL_MM / 1000:g} m (ANSUR II), though room above a head makes a frame closer than told. The middle of the "
    f"body counts as seen or hidden; heights of walls and columns are not known, so each hides what is behind it, and a door is open. "
    f"Bearings are 0 square on and positive clockwise from above; within {ON_THE_LINE_DEGREES} degrees of the line a camera is on no side."
)
"""How it was reckoned; stands wherever cameras are told of."""
CAUTION = (
    "Figures of a drawing, for choosing places on a taped floor only, and no word on whether a camera or its crew may stand there: how "
    "near to weapons, wires, drops and moving people anybody works is for the stunt coordinator, riggers, grips and local codes to decide."
)
"""Stands wherever cameras are told of."""


def camera_rows(sequence: Sequence, cameras: Iterable[CameraPlace]) -> list[Row]:
    """A row for each place of a camera: where, the lens, what it holds, and how much of that the real set hides."""
    floor, raster = sequence.floor or Floor(), (sequence.settings.raster_width, sequence.settings.raster_height)
    return [
        {
            "camera": one.name,
            "phrases": moves_text(one.phrases) or "all",
            "x": one.at[0] / 1000,
            "y": one.at[1] / 1000,
            "height": one.height_mm / 1000,
            "lens mm": round(float(one.lens_mm), 3),
            "degrees wide": round(degrees_wide(one), 1),
            "degrees high": round(degrees_high(one, raster), 1),
            "whole person from m": round(whole_from_mm(one, raster) / 1000, 2),
            "hidden floor %": round(100 * wedge(floor, one).hidden_share),
        }
        for one in cameras
    ]


def look_rows(found: Iterable[Look]) -> list[Row]:
    """A row for each camera and move, with what is known of both roles; lengths in metres."""
    return [
        {
            "camera": look.camera.name,
            "move": look.move,
            "left": look.left or None,
            "bearing": None if look.bearing is None else round(look.bearing, 1),
            "role": one.role,
            "x": round(one.stand.at[0] / 1000, 3),
            "y": round(one.stand.at[1] / 1000, 3),
            "guessed": one.stand.guessed,
            "distance": round(one.distance_mm / 1000, 3),
            "off axis": round(one.off_axis_degrees, 1),
            "in frame": one.in_frame,
            "persons high": round(one.statures, 3),
            "size": one.size.value,
            "behind": listed([thing_said(line) for line in one.behind]) if one.behind else "",
        }
        for look in found
        for one in look.framed
    ]


def run_rows(found: Iterable[Look]) -> list[Row]:
    """As `look_rows`, in short: a row for each run of moves at which a camera sees the same."""
    rows: list[Row] = []
    for _, group in groupby(found, key=lambda look: (look.camera, _seen_alike(look))):
        looks = list(group)
        turned = [look.bearing for look in looks if look.bearing is not None]
        rows.append(
            {
                "camera": looks[0].camera.name,
                "moves": moves_text(tuple(look.move for look in looks)),
                "on the left": looks[0].left or "on the line",
                "bearing": _span(turned),
                "size": sizes_said(*looks[0].sizes),
                "out of frame": ", ".join(one.role for one in looks[0].framed if not one.in_frame),
                "hidden on the set": ", ".join(one.role for one in looks[0].framed if one.behind),
            }
        )
    return rows


def _seen_alike(look: Look) -> tuple[object, ...]:
    return look.left, look.sizes, tuple((one.role, one.in_frame, bool(one.behind)) for one in look.framed)


def _span(turned: list[float]) -> str:
    """From which bearing to which, clockwise; across 180 degrees as `175 to -170`."""
    if not turned:
        return ""
    away = [apart_degrees(one, turned[0]) for one in turned]
    least, most = (whole_degrees(turned[0] + edge) for edge in (min(away), max(away)))
    return str(least) if least == most else f"{least} to {most}"


def hidden_told(found: Iterable[Look]) -> list[str]:
    """Where something of the real set stands between a camera and a role that it holds: by camera, role and what is in the way."""
    groups: dict[tuple[str, str, str], list[int]] = {}
    for look in found:
        for one in look.framed:
            if one.behind:
                groups.setdefault((look.camera.name, thing_said(one.behind[0]), one.role), []).append(look.move)
    alike: dict[tuple[str, str, tuple[int, ...]], list[str]] = {}
    for (camera, thing, role), moves in groups.items():
        alike.setdefault((camera, thing, tuple(moves)), []).append(role)
    told = [
        f"On the real set {thing} hides {listed(roles)} from camera {camera} at {_moves(moves)}."
        for (camera, thing, moves), roles in alike.items()
    ]
    if told:
        told.append("On the rehearsal floor that is only tape: move the camera, or ask the art department whether the piece comes out.")
    return told


def out_told(found: Iterable[Look]) -> list[str]:
    """Which roles a camera does not hold where it points."""
    groups: dict[tuple[str, str], list[int]] = {}
    for look in found:
        for one in look.framed:
            if not one.in_frame:
                groups.setdefault((look.camera.name, one.role), []).append(look.move)
    return [
        f"Camera {camera} does not hold {role} at {_moves(moves)}, unless it pans there from where it points."
        for (camera, role), moves in groups.items()
    ]


def crossing_told(one: Crossing) -> str:
    """Two cameras on opposite sides of the line."""
    (first, second), (left, other) = one.cameras, one.left
    return (
        f"Cameras {first} and {second} look from opposite sides of the line at {_moves(one.moves)}: {left} is on the left from {first}, "
        f"{other} from {second}; a cut between them crosses the line."
    )


def change_told(one: Change) -> str:
    """One camera on another side of the line than before."""
    (before, after), (left, other) = one.moves, one.left
    return (
        f"Between moves {before} and {after} camera {one.camera} comes to the other side of the line: {left} is on the left, then {other}."
    )


def difference_told(one: Difference) -> str:
    """One mark that geometry does not bear out: `Take A1-2, moves 1-3: marked medium, by geometry full.`"""
    said = {
        What.SIZE: f"marked {one.marked}, by geometry {one.geometry}",
        What.LEFT: f"{one.marked} is marked on the left, by geometry it is {one.geometry}",
        What.ANGLE: f"bearing marked {one.marked}, by geometry {one.geometry}",
    }[one.what]
    return f"Take {one.take} of camera {one.camera}, {_moves(one.moves)}: {said}."


def difference_rows(found: Iterable[Difference]) -> list[Row]:
    """Each difference as a row."""
    return [
        {
            "camera": one.camera,
            "take": one.take,
            "what": one.what.value,
            "marked": one.marked,
            "by geometry": one.geometry,
            "moves": moves_text(one.moves),
        }
        for one in found
    ]


def compared_told(found: Compared) -> str:
    """How much was compared, and how much of it differs."""
    if not found.takes:
        return "No take has the letter of one of these cameras and a hit at one of its moves, so nothing marked is compared."
    differ = len({one.take for one in found.differences})
    return (
        f"Marks of {counted(found.takes, 'take')} are compared at {counted(found.hits, 'hit')}; {counted(differ, 'take')} differ"
        f"{'s' if differ == 1 else ''}. A take may have been shot from elsewhere or with another lens than the plan has."
        if differ
        else f"Marks of {counted(found.takes, 'take')} are compared at {counted(found.hits, 'hit')}; none differs."
    )


def remarks(sequence: Sequence, cameras: Iterable[CameraPlace], unplaced: tuple[int, ...]) -> Iterator[str]:
    """What could not be told, and what lies between a camera and the fight besides walls."""
    floor = sequence.floor or Floor()
    for camera in cameras:
        if not moves_of(sequence, camera):
            yield f"Camera {camera.name} at {metres(camera.at)} is there for no phrase of this fight."
        for line in beyond_drops(floor, camera):
            yield _beyond_said(camera, line)
    if unplaced:
        yield f"Where somebody stands is not known for {_moves(unplaced)}; read a table of routes with that move."


def _beyond_said(camera: CameraPlace, line: PlanLine) -> str:
    deep = f" of {line.height_mm / 1000:.2f} m" if line.height_mm else ""
    named = f" at the {line.name}" if line.name else ""
    return (
        f"Camera {camera.name} at {metres(camera.at)} looks across the drop{deep}{named} (taped drop: no fall here): its height counts "
        f"from the floor of the fight, and what carries it there is for grips and riggers."
    )


def thing_said(line: PlanLine) -> str:
    """A wall or a column as it is said: `a wall`, `the salt cart`."""
    if line.name:
        return f"the {line.name}"
    return "a column" if line.kind is LineKind.COLUMN else "a wall"


def _moves(numbers: Iterable[int]) -> str:
    found = tuple(sorted(numbers))
    return f"move{'' if len(found) == 1 else 's'} {moves_text(found)}"
