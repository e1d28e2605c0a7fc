"""Edits of the floor: one part of it takes the place of what was there; pure functions from sequence to sequence."""

from __future__ import annotations

from typing import Any

import msgspec

from previs.document.floor import CameraPlace, Floor, Laid, NamedPlace, PlanLine, PointMm, Reach, Room, Route
from previs.document.model import Sequence


def with_plan(sequence: Sequence, lines: tuple[PlanLine, ...], places: tuple[NamedPlace, ...], drawn_in: str, origin: PointMm) -> Sequence:
    """The sequence with another plan; how the old one was laid in the room goes with it, routes and cameras stay."""
    return _with(sequence, lines=lines, places=places, drawn_in=drawn_in, origin=origin, laid=())


def with_room(sequence: Sequence, room: Room | None) -> Sequence:
    """The sequence with another rehearsal room; how the plan was laid in the old one goes with it."""
    return _with(sequence, room=room, laid=())


def with_laid(sequence: Sequence, laid: tuple[Laid, ...]) -> Sequence:
    """The sequence with the plan laid so in its room: once, or in several parts that are rehearsed one after the other."""
    return _with(sequence, laid=laid)


def with_routes(sequence: Sequence, routes: tuple[Route, ...]) -> Sequence:
    """The sequence with these ways of its roles, in the order of phrases and roles."""
    return _with(sequence, routes=tuple(sorted(routes, key=lambda route: (route.phrase, route.role))))


def with_cameras(sequence: Sequence, cameras: tuple[CameraPlace, ...]) -> Sequence:
    """The sequence with these camera positions."""
    return _with(sequence, cameras=cameras)


def with_reaches(sequence: Sequence, reaches: tuple[Reach, ...]) -> Sequence:
    """The sequence with these reaches of weapons."""
    return _with(sequence, reaches=reaches)


def _with(sequence: Sequence, **parts: Any) -> Sequence:
    floor = msgspec.structs.replace(sequence.floor or Floor(), **parts)
    return msgspec.structs.replace(sequence, floor=None if floor == Floor() else floor)
