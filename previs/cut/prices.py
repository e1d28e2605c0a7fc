"""What an assembly weighs against what: the price of everything that makes a cut worse, in whole points.

The weights are a judgement of our own, common practice without a source, kept in one table so that they can be argued
about. A point has no unit: only sums are compared.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from previs.clock import Span
from previs.cut.faces import BareFace
from previs.document.model import Framing, Kind, Sequence, Take

RATING_PER_MOVE = 60
"""For each star that the take's rating is short of five, for each move it shows."""
LENGTH_PER_SECOND = 240
"""For each second that a shot is shorter or longer than the wanted shot length."""
RETIMED = 120
"""For any change of speed beyond what brings the take to performance tempo."""
RETIMED_PER_PERCENT_SQUARED = 12
"""For each percent of such a change, squared: two small changes are better than one large one."""
BREATH_LOST = 600
"""For a breath lost whole; a part costs its square."""
LIFTED = 2500
"""For an optional move left out."""
TOO_SHORT = 3000
"""For a shot shorter than can be read."""
JUMP_CUT = 1500
"""For a cut under 30 degrees, or within one camera, to the same size."""
SOFT_JUMP = 500
"""For such a cut to the next size."""
LINE_CROSSED = 1200
"""For a cut across which the roles change sides of frame."""
TAKE_RESUMED = 4000
"""For a cut from a take into the same take with nothing left out: it is no cut at all."""
DOUBLE_SEEN = 900
"""For a double's face in full view, where no treatment covers it, all through a shot; half for a part of the face."""
ACTOR_IN_DOUBLED_MOVE = 600
"""For each move marked for a digital double on any tape that this take shows a performer doing undoubled."""

DOUBLE_CUT_INTO = 1500
"""For a shot that begins or ends inside a span marked for a digital double, so that its takeover is not on screen."""

LEAST_ANGLE_DEGREES = 30
"""Cuts under this angle jump: the 30-degree rule, as in Wadsworth, The Editor's Toolkit, 2016, ch. 3."""

Item = tuple[str, int]
"""One thing that costs, in words, and its price."""


def rating_price(take: Take, moves: int) -> Item:
    """The price of a take that is not the best, for the moves it shows."""
    return f"rated {take.rating} of 5", RATING_PER_MOVE * (5 - take.rating) * moves


def length_price(frames: int, sequence: Sequence) -> Item:
    """The price of a length away from the wanted one, and of one too short to read."""
    wanted = sequence.settings.wanted_shot_seconds
    away = abs(frames / sequence.timebase.rate.fps - wanted)
    short = TOO_SHORT if frames < sequence.settings.least_shot_frames else 0
    words = "too short to read" if short else f"{float(away):.1f} s from the wanted {float(wanted):g} s"
    return words, round(LENGTH_PER_SECOND * away) + short


def retiming_price(change: Fraction) -> Item:
    """The price of a change of speed; `change` is 0.05 for five percent either way."""
    price = retiming_points(change.numerator, change.denominator)
    return (f"retimed by {abs(float(change)) * 100:.1f} %", price) if price else ("", 0)


def retiming_points(change: int, of: int) -> int:
    """The price of a change of speed by `change` parts of `of`."""
    return RETIMED + nearest_whole(RETIMED_PER_PERCENT_SQUARED * (100 * change) ** 2, of**2) if change else 0


def nearest_whole(part: int, of: int) -> int:
    """`part / of` as the nearest whole number, halves to the even one, without making a fraction."""
    whole, rest = divmod(part, of)
    return whole + (2 * rest > of or (2 * rest == of and whole % 2))


def breath_price(lost: int, planned: int) -> Item:
    """The price of a breath shortened by `lost` of its `planned` frames."""
    if not lost:
        return "", 0
    return f"breath shortened by {lost} of {planned} frames", round(BREATH_LOST * Fraction(lost, planned) ** 2)


def jump_price(before: Framing, after: Framing, same_camera: bool) -> Item:
    """The price of a cut that jumps: too little change of angle with too little change of size."""
    steps = abs(before.size.closeness - after.size.closeness)
    if steps > 1 or not (same_camera or _under_least_angle(before.angle, after.angle)):
        return "", 0
    where = "within one camera" if same_camera else f"under {LEAST_ANGLE_DEGREES} degrees"
    return (f"jump cut {where}, same size", JUMP_CUT) if steps == 0 else (f"cut {where} to the next size", SOFT_JUMP)


def _under_least_angle(before: int | None, after: int | None) -> bool:
    if before is None or after is None:
        return False
    apart = abs(before - after) % 360
    return min(apart, 360 - apart) < LEAST_ANGLE_DEGREES


def line_price(before: Framing, after: Framing) -> Item:
    """The price of crossing the line, where both framings say who is on the left."""
    if before.screen_left and after.screen_left and before.screen_left != after.screen_left:
        return "crosses the line", LINE_CROSSED
    return "", 0


def double_seen_price(bare: Iterable[BareFace], stretch: Span) -> Item:
    """The price of doubles whose face shows uncovered in a stretch of tape frames: by the share of it in which it shows."""
    price, frames = 0, dict[str, int]()
    for face in bare:
        if shown := face.frames.meet(stretch):
            price += nearest_whole(DOUBLE_SEEN * shown.length, stretch.length * (1 if face.full else 2))
            frames[face.words] = frames.get(face.words, 0) + shown.length
    return " and ".join(f"{words} in {100 * count // stretch.length} % of it" for words, count in frames.items()), price


def doubled_move_price(moves: int) -> Item:
    """The price of performers doing moves that are marked for a digital double elsewhere."""
    return (f"{moves} moves are marked for a digital double on other takes", ACTOR_IN_DOUBLED_MOVE * moves) if moves else ("", 0)


def double_cut_price(edges: int) -> Item:
    """The price of a shot with this many of its edges inside a digital double's span."""
    return ("cuts into a digital double's span", DOUBLE_CUT_INTO * edges) if edges else ("", 0)


def doubled_moves(sequence: Sequence) -> dict[int, frozenset[str]]:
    """For each move marked for a digital double on any take, the takes that have the mark."""
    found: dict[int, set[str]] = {}
    for take in sequence.takes:
        marks = [mark for mark in sequence.treatments if mark.reel == take.reel and mark.kind is Kind.DIGITAL_DOUBLE]
        for hit in take.hits:
            if any(mark.span.holds(hit.at) for mark in marks):
                found.setdefault(hit.move, set()).add(take.name)
    return {move: frozenset(takes) for move, takes in found.items()}
