"""The written fight of "The Salt Stair" as plain data; it knows nothing of tapes, cameras or pictures."""

from __future__ import annotations

from dataclasses import dataclass

ROLES = ("Odile", "Reeve")

# Floor positions are metres in the hall: x along the corridor (the fight travels towards -x), y away from camera A.
FIRST_DOOR_X = 2.0
NARROW_FROM_X = 1.5
CART_CENTRE = (-0.25, 0.52)
CART_SIZE = (0.62, 0.78, 0.72)
SECOND_DOOR_X = -3.7
STAIR_EDGE_X = -5.95
STEP_RISE, STEP_GO = 0.3, 0.42
LANDING_HEIGHT = 0.6


@dataclass(frozen=True)
class Performer:
    """Who is inside the costume: the stature drives every limb length."""

    name: str
    role: str
    stature: float
    double: bool


PERFORMERS = {
    p.name: p
    for p in (
        Performer("Juno Vale", "Odile", 1.70, False),
        Performer("Pim Oster", "Odile", 1.67, True),
        Performer("Abel Quist", "Reeve", 1.84, False),
        Performer("Rika Thorn", "Reeve", 1.77, True),
    )
}


@dataclass(frozen=True)
class Move:
    """One action. `wait` is the performance time since the hit before it; `x` and `gap` place the pair at the hit."""

    number: int
    label: str
    attacker: str
    line: str
    upper_hand: str
    place: str
    wait: float
    x: float
    gap: float
    kind: str = "parry"
    optional: bool = False
    weapon: str = "staff"
    note: str = ""

    @property
    def defender(self) -> str:
        return "Reeve" if self.attacker == "Odile" else "Odile"


@dataclass(frozen=True)
class Phrase:
    """A run of moves between two breaths; `lead` is the time from its start to its first hit."""

    number: int
    lead: float
    breath: float
    moves: tuple[Move, ...]


OD, RE = ROLES
_COR, _D1, _NAR, _D2, _ST = "corridor", "first door", "narrow stretch", "second door", "stair"

PHRASES = (
    Phrase(
        1,
        0.95,
        1.3,
        (
            Move(1, "high cut, caught on the bar", RE, "head", RE, _COR, 0.00, 4.55, 1.52),
            Move(2, "slant cut, turned aside", RE, "left shoulder", RE, _COR, 1.33, 4.10, 1.50),
            Move(3, "low backhand, stopped dead", RE, "right hip", RE, _COR, 1.04, 3.70, 1.48),
            Move(4, "straight thrust, swept off", OD, "thrust", RE, _COR, 1.42, 3.78, 1.62),
            Move(5, "sweep at the shins, blocked down", RE, "legs", RE, _COR, 1.38, 3.30, 1.50),
            Move(6, "backhand slant, drives her to the jamb", RE, "right shoulder", RE, _COR, 1.14, 2.75, 1.48),
        ),
    ),
    Phrase(
        2,
        0.90,
        1.5,
        (
            Move(7, "high cut, held in the door frame", RE, "head", RE, _D1, 0.00, 2.45, 1.48),
            Move(8, "short cut under the arms, blocked", OD, "left hip", "level", _D1, 1.42, 2.45, 1.46),
            Move(
                9,
                "butt to ribs, checked short",
                OD,
                "ribs",
                OD,
                _D1,
                1.19,
                2.52,
                1.22,
                "body",
                note="pad under the coat; stops a hand short",
            ),
            Move(10, "high cut, caught late", OD, "head", OD, _D1, 1.52, 2.85, 1.50),
            Move(11, "slant cut, drives him off the door", OD, "right shoulder", OD, _D1, 1.14, 3.15, 1.50),
        ),
    ),
    Phrase(
        3,
        0.95,
        1.5,
        (
            Move(12, "thrust through the door, turned aside", RE, "thrust", "level", _D1, 0.00, 2.30, 1.62),
            Move(13, "short cut, jammed on the wall", RE, "left shoulder", RE, _NAR, 1.28, 1.80, 1.48, optional=True),
            Move(14, "low sweep, blocked down", RE, "legs", RE, _NAR, 1.33, 1.40, 1.50),
            Move(
                15,
                "vault over the salt cart",
                OD,
                "over",
                RE,
                _NAR,
                2.33,
                -0.10,
                2.60,
                "vault",
                weapon="salt cart",
                note="left hand on the cart; the hit is the landing",
            ),
            Move(16, "overhand past the cart, caught", RE, "head", RE, _NAR, 1.99, -0.95, 1.52),
        ),
    ),
    Phrase(
        4,
        0.90,
        1.4,
        (
            Move(17, "backhand to the hip, stopped", RE, "right hip", RE, _NAR, 0.00, -1.30, 1.48),
            Move(18, "slant cut back, turned aside", OD, "left shoulder", RE, _NAR, 1.28, -1.30, 1.50, optional=True),
            Move(19, "straight thrust, beaten off", RE, "thrust", RE, _NAR, 1.33, -1.60, 1.62),
            Move(20, "cut to the hip, held", RE, "left hip", RE, _NAR, 1.19, -1.95, 1.47),
            Move(21, "sweep at the shins, blocked down", RE, "legs", RE, _NAR, 1.23, -2.25, 1.50, optional=True),
            Move(22, "hammer cut, drives her down", RE, "head", RE, _NAR, 1.42, -2.60, 1.50, note="she takes it on bent knees"),
        ),
    ),
    Phrase(
        5,
        0.95,
        1.4,
        (
            Move(23, "sweep from below, blocked down", OD, "legs", "level", _D2, 0.00, -2.95, 1.50),
            Move(24, "backhand slant, turned aside", RE, "right shoulder", "level", _D2, 1.33, -3.20, 1.48),
            Move(25, "high cut on the sill, caught", OD, "head", "level", _D2, 1.23, -3.30, 1.50),
            Move(26, "cut to the hip, held", RE, "left hip", "level", _D2, 1.19, -3.55, 1.47, optional=True),
            Move(27, "staffs locked in the doorway", OD, "right shoulder", "level", _D2, 1.42, -3.70, 1.40),
        ),
    ),
    Phrase(
        6,
        1.00,
        1.1,
        (
            Move(28, "thrust at the stair foot, turned aside", RE, "thrust", "level", _ST, 0.00, -4.25, 1.62),
            Move(29, "sweep at the shins, blocked down", RE, "legs", "level", _ST, 1.33, -4.25, 1.50),
            Move(
                30,
                "leap backwards up the stair",
                OD,
                "up",
                "level",
                _ST,
                2.18,
                -5.30,
                2.30,
                "leap",
                weapon="wire",
                note="wire-assisted; the hit is the landing",
            ),
            Move(31, "high cut from above, caught", OD, "head", OD, _ST, 1.66, -5.52, 1.50),
            Move(32, "cut at the ankles, blocked down", RE, "legs", "level", _ST, 1.38, -5.54, 1.50),
            Move(
                33,
                "butt to the chest, checked short",
                OD,
                "ribs",
                OD,
                _ST,
                1.52,
                -5.52,
                1.26,
                "body",
                note="he goes over the edge on the day; here he steps away",
            ),
        ),
    ),
)

MOVES = {m.number: m for p in PHRASES for m in p.moves}
PHRASE_OF = {m.number: p.number for p in PHRASES for m in p.moves}


def performance_seconds() -> float:
    """The whole fight at performance tempo with its planned breaths."""
    return sum(p.lead + p.breath + sum(m.wait for m in p.moves) for p in PHRASES)


def floor_height(x: float) -> float:
    """Height of the rehearsal stair under a foot at `x`: two steps of rostra, then the landing."""
    if x < STAIR_EDGE_X:
        return LANDING_HEIGHT
    if x < STAIR_EDGE_X + STEP_GO:
        return STEP_RISE
    return 0.0
