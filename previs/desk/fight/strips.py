"""Coverage as strips of floor tape: one for each take, down along the moves that it holds, in the column of its size; no Qt."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from previs.document.model import Sequence, Size
from previs.fight.coverage import Covered, Held


@dataclass(frozen=True, slots=True)
class Strip:
    """A take along rows that follow each other, in one size; `lane` counts from 0 within the column of that size.

    `marks` has what it holds in each row from `first_row` on.
    """

    take: str
    camera: str
    performed: bool
    size: Size
    lane: int
    first_row: int
    marks: tuple[Held, ...]

    @property
    def last_row(self) -> int:
        """The last row that it lies on."""
        return self.first_row + len(self.marks) - 1


@dataclass(frozen=True, slots=True)
class Strips:
    """All strips; `lanes` has how many lie side by side in each size that occurs, widest size first."""

    strips: tuple[Strip, ...]
    lanes: dict[Size, int]
    cameras: tuple[str, ...]

    def at(self, row: int) -> tuple[Strip, ...]:
        """The strips that lie on a row."""
        return tuple(strip for strip in self.strips if strip.first_row <= row <= strip.last_row)


def strips_of(sequence: Sequence, covered: tuple[Covered, ...]) -> Strips:
    """The strips of a fight, each in the first lane that is free for it, beside those of its own camera where it can be."""
    tapes = {tape.reel: tape.camera for tape in sequence.tapes}
    order = {take.name: number for number, take in enumerate(sequence.takes)}
    runs = sorted(_runs(covered), key=lambda run: (run[0], order[run[1][0].take.name]))
    ends: dict[Size, list[tuple[int, str]]] = {}
    strips = []
    for first, marks in runs:
        take, size = marks[0].take, marks[0].framing.size
        camera = take.camera or tapes.get(take.reel, "")
        lanes = ends.setdefault(size, [])
        free = [lane for lane, (end, _) in enumerate(lanes) if end < first]
        lane = next((one for one in free if lanes[one][1] == camera), free[0] if free else len(lanes))
        lanes[lane : lane + 1] = [(first + len(marks) - 1, camera)]
        strips.append(Strip(take.name, camera, marks[0].performed, size, lane, first, marks))
    lanes_of = {size: len(ends[size]) for size in Size if size in ends}
    return Strips(tuple(strips), lanes_of, tuple(sorted({strip.camera for strip in strips})))


def _runs(covered: tuple[Covered, ...]) -> Iterator[tuple[int, tuple[Held, ...]]]:
    """The first row and what is held, for each run of rows that a take holds in one size."""
    by_take: dict[str, list[tuple[int, Held]]] = {}
    for row, one in enumerate(covered):
        for held in one.held:
            by_take.setdefault(held.take.name, []).append((row, held))
    for marks in by_take.values():
        # A move can have two hits on a take; the first of them stands for it here.
        once = list({row: (row, held) for row, held in reversed(marks)}.values())
        once.sort(key=lambda mark: mark[0])
        numbered = [(row - at, held.framing.size, row, held) for at, (row, held) in enumerate(once)]
        for _, run in groupby(numbered, key=lambda one: one[:2]):
            rows = list(run)
            yield rows[0][2], tuple(one[3] for one in rows)
