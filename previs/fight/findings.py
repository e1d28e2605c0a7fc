"""What a check finds, as coded values; how it is found and how it is shown are elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding weighs, heaviest first: the cut cannot go on as it is; look at it; know it."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


class Code(StrEnum):
    """Every kind of finding: a code that never changes its meaning, and a name."""

    MOVE_NEVER_SEEN = "C01 move-never-seen"
    MOVE_SEEN_TWICE = "C02 move-seen-twice"
    ORDER_BROKEN = "C03 order-broken"
    HIT_CUT_OFF = "C04 hit-cut-off"
    SHOT_TOO_SHORT = "C05 shot-too-short"
    JUMP_CUT = "C06 jump-cut"
    LINE_CROSSED = "C07 line-crossed"
    FACE_TOO_CLOSE = "C08 face-too-close"
    DOUBLE_SEEN = "C09 double-seen"
    HANDLES_SHORT = "C10 handles-short"
    OFF_TAPE = "C11 off-tape"
    NOTHING_ON_SCREEN = "C12 nothing-on-screen"
    REELS_ALIKE = "C13 reels-alike"
    LENGTH_OFF_TARGET = "C14 length-off-target"
    TAKEOVER_CUT_INTO = "C15 takeover-cut-into"
    PAST_THE_TAKE = "C16 past-the-take"
    NEEDLESS_REPLACEMENT = "C17 needless-replacement"
    PERFORMER_IN_DOUBLED_MOVE = "C18 performer-in-doubled-move"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found: what, how heavy, where, in a sentence, and what would mend it.

    `shot` counts from 1 and `record_frame` from the cut's first frame; both are None for what concerns the whole cut.
    """

    code: Code
    severity: Severity
    sentence: str
    mend: str
    shot: int | None = None
    record_frame: int | None = None
