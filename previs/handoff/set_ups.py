"""Kinds of shot: the camera set-ups that a cut needs, by place, camera side and size, with how often each; an estimate.

A set-up is told from the marks: two shots whose framings begin in one size, from one 30-degree sector, with the same role on
the left of frame, in one place of the fight, count as one. What a card needs of a camera is not known yet.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from previs.clock import frame_played
from previs.cut.pace import CARD, camera_side, framing_of, shot_places
from previs.cut.placing import Placed, moves_held, place
from previs.document.model import Black, Cut, Sequence
from previs.exchange.lists import moves_text
from previs.handoff import cautions
from previs.handoff.played import listed, shot_names
from previs.handoff.sheets import Sheet, Still, Table, Value, head


@dataclass(frozen=True, slots=True)
class SetUp:
    """One camera set-up: `bearing` is its sector's middle in degrees or None, `frames` those it has on screen in all.

    `size` is a shot size, or card. `still` is the middle frame of the longest of its shots, None for cards.
    """

    place: str
    screen_left: str
    bearing: int | None
    size: str
    shots: tuple[Placed, ...]
    moves: tuple[int, ...]
    movements: tuple[str, ...]
    frames: int
    still: Still | None


def set_ups(sequence: Sequence, cut: Cut) -> tuple[SetUp, ...]:
    """The set-ups of a cut, place by place in the order of the cut; in a place, in the order in which the cut needs them."""
    showing = tuple(one for one in place(sequence, cut) if not isinstance(one.shot.picture, Black))
    places, held = shot_places(sequence, showing), moves_held(sequence, showing)
    groups: dict[tuple[str, str, int | None, str], list[Placed]] = defaultdict(list)
    for one in showing:
        framing = framing_of(sequence, one.source, 0) if one.source else None
        left, bearing = camera_side(framing) if framing else ("", None)
        groups[places[one.number], left, bearing, framing.size.value if framing else CARD].append(one)
    order = list(dict.fromkeys(key[0] for key in groups))
    found = []
    for key in sorted(groups, key=lambda key: order.index(key[0])):
        shots = groups[key]
        moves = tuple(sorted({move for one in shots for move in held[one.number]}))
        movements = tuple(dict.fromkeys(framing_of(sequence, one.source, 0).movement for one in shots if one.source))
        found.append(SetUp(*key, tuple(shots), moves, movements, sum(one.shot.frames for one in shots), _still(shots)))
    return tuple(found)


def _still(shots: list[Placed]) -> Still | None:
    longest = max(shots, key=lambda one: (one.shot.frames, -one.number))
    if longest.source is None:
        return None
    source = longest.source
    return Still(source.tape.reel, frame_played(source.first_frame, source.speed, longest.shot.frames // 2).__floor__())


def set_ups_table(sequence: Sequence, cut: Cut) -> Table:
    """The set-ups as a table, one row for each, with its still."""
    found = set_ups(sequence, cut)
    fps = sequence.timebase.rate.fps
    return Table(
        "setups",
        f"Kinds of shot: {len(found)} set-ups for {sum(len(one.shots) for one in found)} shots",
        ("place", "on the left", "bearing", "size", "camera move", "times", "frames", "seconds", "shots", "moves"),
        tuple(_row(one, fps) for one in found),
        "The cut shows nothing yet.",
        "Told from the marks: one size, one 30-degree sector, one role on the left, one place. Bearing is the sector's middle in degrees, "
        "0 square on to the line between the fighters. Frames are those on screen, without handles.",
        tuple(one.still for one in found),
    )


def _row(one: SetUp, fps: Fraction) -> tuple[Value, ...]:
    seconds = round(float(one.frames / fps), 2)
    shots, moves = shot_names(one.shots), moves_text(one.moves)
    return (one.place, one.screen_left, one.bearing, one.size, listed(one.movements), len(one.shots), one.frames, seconds, shots, moves)


def set_ups_sheet(sequence: Sequence, cut: Cut, made: date) -> Sheet:
    """The set-ups as a sheet; `made` is the date that stands on it."""
    return Sheet("setups", "Set-ups", head(sequence, cut, made), (set_ups_table(sequence, cut),), cautions.cautions(cautions.SET_UPS))
