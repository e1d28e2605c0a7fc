"""On which side of the line between two roles a camera stands, its bearing there, and where the line is crossed.

The line is the axis of action (Bordwell and Thompson; the 180-degree rule, Columbia Film Language Glossary): the side is the sign of a
cross product, and a camera on the line is on neither side.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from math import atan2, degrees, hypot

from previs.cut.prices import line_price
from previs.document.floor import PointMm
from previs.document.model import Framing, Move, Sequence, Size
from previs.floor.routes import Spot

ON_THE_LINE_DEGREES = 5
"""A camera that sees the line under no more than this looks along it and is on neither side; a limit of ours."""

Pair = tuple[str, str]
"""Two roles; the first is the one on the left of frame where a bearing is 0."""


def pair_of(sequence: Sequence, move: Move) -> Pair:
    """The two of a move, first the one that stands left at a bearing of 0.

    The marks tell which one: who is noted on the left of takes whose bearing is less than a right angle, or on the right of the others.
    Where they do not tell, it is whom the fight names first.
    """
    roles = sorted({move.attacker, move.defender}, key=sequence.roles.index)
    if len(roles) < 2:
        return roles[0], roles[0]
    votes = Counter[str]()
    for framing in (framing for take in sequence.takes for framing in take.framings):
        if framing.angle is not None and framing.screen_left in roles and abs(framing.angle) != 90:
            other = roles[1 - roles.index(framing.screen_left)]
            votes[framing.screen_left if abs(framing.angle) < 90 else other] += 1
    left = max(roles, key=lambda role: (votes[role], -roles.index(role)))
    return left, roles[1 - roles.index(left)]


def bearing(lens: PointMm, left: Spot, right: Spot) -> float | None:
    """A camera's bearing around two roles in degrees, -180 to 180, 0 square on with `left` on the left, positive clockwise from above.

    None when both stand on one spot, or the lens stands in the middle between them.
    """
    line = (right[0] - left[0], right[1] - left[1])
    to = (lens[0] - (left[0] + right[0]) / 2, lens[1] - (left[1] + right[1]) / 2)
    if hypot(*line) < 1 or hypot(*to) < 1:
        return None
    turned = degrees(atan2(-line[0], line[1]) - atan2(to[1], to[0]))
    return (turned + 180) % 360 - 180


def on_the_left(pair: Pair, turned: float | None) -> str:
    """The role that stands left in the picture of a camera with that bearing; empty on the line, and where there is no line."""
    if turned is None or abs(abs(turned) - 90) <= ON_THE_LINE_DEGREES:
        return ""
    return pair[0] if abs(turned) < 90 else pair[1]


def crosses(left: str, other_left: str) -> bool:
    """Whether a cut between two pictures crosses the line, by who stands left in each; the rule is the assembly's own."""
    before, after = (Framing(Fraction(0), Size.FULL, screen_left=role) for role in (left, other_left))
    return line_price(before, after)[1] > 0


def apart_degrees(one: float, other: float) -> float:
    """How far one bearing is from another, the short way round, clockwise positive."""
    return (one - other + 180) % 360 - 180


def whole_degrees(turned: float) -> int:
    """A bearing to the nearest degree, -179 to 180, as the log writes it."""
    return 180 - (180 - round(turned)) % 360
