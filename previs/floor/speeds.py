"""How fast a role must go between two timed spots of its walk, beside published speeds of walking and running; told, never judged.

Speeds: walking 1.42 m/s is preferred (Browning et al. 2006, as cited by Wikipedia, "Walking"); Andrews measured 1.32 +/- 0.31 m/s on
139 people. Jogging 1.8 to 2.7 m/s and an ordinary sprint 4.5 to 6.7 m/s are from a popular page, a weak source. All of them are of
people who go forwards over a free floor with nothing in their hands.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise

from previs.document.model import Cut, Sequence
from previs.floor.routes import Step
from previs.floor.routes_timed import TimedWalk, timed_walks

WALK, JOG, RUN, SPRINT, FASTEST = 1.42, 1.8, 2.7, 4.5, 6.7
"""Metres a second: preferred walking, the slowest and the fastest jogging, the slowest and the fastest ordinary sprint."""
STANDS_MM = 300
"""Whoever goes no further than this between two moves stands; a limit of ours, about half a step."""

SOURCES_NOTE = (
    f"Compared with walking at {WALK} m/s (Browning et al., in Wikipedia), jogging at {JOG} to {RUN} and an ordinary sprint at {SPRINT} to "
    f"{FASTEST} (a popular page, weak): people going forwards, without weapons. It says how fast, and nothing about whether it may be done."
)
"""What is said wherever speeds are shown."""


class Gait(StrEnum):
    """How a way is gone, by its speed alone."""

    STANDS = "stands"
    WALKS = "walks"
    BRISKLY = "walks briskly"
    RUNS = "runs"
    SPRINTS = "sprints"
    TOO_FAST = "faster than a sprint: cannot be"


@dataclass(frozen=True, slots=True)
class Leg:
    """A role's way from one timed spot to the next.

    `phrase` is that of the move it comes to. `frames` are those of the cut between the two hits, with `metres_a_second` None where
    there are none. `jumps` is True where a part of the way is not drawn, so that the straight line counts for it.
    """

    role: str
    phrase: int
    start: Step
    end: Step
    frames: int
    seconds: Fraction
    length_mm: float
    jumps: bool = False

    @property
    def guessed(self) -> bool:
        """True where nobody drew one of the two spots."""
        return self.start.guessed or self.end.guessed

    @property
    def metres_a_second(self) -> float | None:
        """The speed along the way's bends; None for two hits on one frame."""
        return self.length_mm / 1000 / float(self.seconds) if self.seconds else None

    @property
    def gait(self) -> Gait:
        """How the way is gone."""
        if self.length_mm <= STANDS_MM:
            return Gait.STANDS
        return gait_of(self.metres_a_second)


def gait_of(metres_a_second: float | None) -> Gait:
    """How a speed is gone; None is a way in no time."""
    if metres_a_second is None or metres_a_second > FASTEST:
        return Gait.TOO_FAST
    for fastest, gait in ((WALK, Gait.WALKS), (JOG, Gait.BRISKLY), (SPRINT, Gait.RUNS)):
        if metres_a_second <= fastest:
            return gait
    return Gait.SPRINTS


def legs(sequence: Sequence, cut: Cut) -> tuple[Leg, ...]:
    """Every way between two timed spots, by role and along its walk, also from one phrase to the next.

    Where the cut shows the later spot first there is none, see `TimedWalk.out_of_order`.
    """
    fps = sequence.timebase.rate.fps
    return tuple(leg for timed in timed_walks(sequence, cut) for leg in _legs_of(timed, fps))


def _legs_of(timed: TimedWalk, fps: Fraction) -> list[Leg]:
    jumps = [two.along_mm for _, two in timed.walk.jumps]
    return [
        Leg(
            role=timed.walk.role,
            phrase=two.step.phrase,
            start=one.step,
            end=two.step,
            frames=two.frame - one.frame,
            seconds=(two.frame - one.frame) / fps,
            length_mm=two.step.along_mm - one.step.along_mm,
            jumps=any(one.step.along_mm < at <= two.step.along_mm for at in jumps),
        )
        for one, two in pairwise(timed.marks)
        if two.frame >= one.frame
    ]
