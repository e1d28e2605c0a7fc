"""A shooting day played once, with all its tapes laid over it; what is written about it is decided elsewhere."""

from __future__ import annotations

from functools import cached_property

from .choreography import Choreography
from .clocks import Clock
from .optics import Operator
from .session import FIRST_DAY, ShootingDay, Tape
from .timeline import PlayedPass


class Production:
    """All sessions of a day played once."""

    def __init__(self, seed: int, day: ShootingDay = FIRST_DAY) -> None:
        self.seed, self.day = seed, day
        self.shows = {s.name: Choreography(s, seed) for s in day.sessions}
        self.clocks = {t.reel: Clock(t, self.shows[t.session].end, seed) for t in day.tapes}

    @cached_property
    def operators(self) -> dict[str, Operator]:
        """Who points which camera where; sound alone needs none of them."""
        return {t.reel: Operator(t, self.shows[t.session], self.seed) for t in self.day.tapes}

    def takes(self, tape: Tape) -> list[tuple[str, PlayedPass]]:
        """Take names and passes on a tape."""
        return [(f"{tape.take_prefix}-{p.index + 1}", p) for p in self.shows[tape.session].passes if p.index >= tape.first_pass]
