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
    PAST_ITS_TAKE = "C16 past-its-take"
    DOUBLED_ELSEWHERE = "C17 doubled-elsewhere"
    FACE_IS_THE_ACTORS = "C18 face-is-the-actors"
    UNKNOWN_PERFORMER = "C19 unknown-performer"
    TREATMENT_IN_NO_TAKE = "C20 treatment-in-no-take"


EXPLAINED = {
    Code.MOVE_NEVER_SEEN: "a move does not land on screen, nor is optional: error; a card holds its place: note",
    Code.MOVE_SEEN_TWICE: "a move lands on screen again: warning",
    Code.ORDER_BROKEN: "the fewest shots that must move for the moves to come in order, and moves out of order in those that stay: error",
    Code.HIT_CUT_OFF: "a hit with under 4 frames left to its shot, missed by up to 4 frames, or in the weak half of a transition: warning",
    Code.SHOT_TOO_SHORT: "a shot under `least_shot_frames` (8), counted between the middles of its transitions: warning",
    Code.JUMP_CUT: "a straight cut under 30 degrees or within one camera, to the same size: warning; to the next size: note",
    Code.LINE_CROSSED: "a cut across which the roles change sides of frame: warning",
    Code.FACE_TOO_CLOSE: "a face replacement in medium wide: note; closer: warning",
    Code.DOUBLE_SEEN: "a double's face where neither face replacement nor digital double is marked, in full: warning; in part: note",
    Code.HANDLES_SHORT: "under `handle_frames` (8) of tape beyond the shot and its transition: warning; under the transition: error",
    Code.OFF_TAPE: "a shot that plays beyond its tape: error",
    Code.NOTHING_ON_SCREEN: "a shot of no frames: error; black to which nothing fades: warning",
    Code.REELS_ALIKE: "tapes whose reel names an edit list cannot tell apart: warning",
    Code.LENGTH_OFF_TARGET: "a cut over its target by a frame or more: error; under it: note",
    Code.TAKEOVER_CUT_INTO: "a digital double whose takeover or handing back is not on screen: warning",
    Code.PAST_ITS_TAKE: "a shot that runs past the in or out of its take: warning; under a transition only: note",
    Code.DOUBLED_ELSEWHERE: "an actor in a move that is marked for a digital double on another take: note",
    Code.FACE_IS_THE_ACTORS: "a face replacement marked where the actor plays the role: warning",
    Code.UNKNOWN_PERFORMER: "a performer who is neither the role's actor nor one of its doubles: warning",
    Code.TREATMENT_IN_NO_TAKE: "a treatment marked on a stretch of tape that no take holds: note",
}
"""What each code looks for, and its limits in frames of the sequence. A setting of the file is named as it is there."""


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
