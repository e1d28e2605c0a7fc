"""What the step chart says, on paper and on a screen: which sizes have a line, where phrases begin; it draws nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise

from previs.clock import Span
from previs.cut.placing import SeenHit
from previs.document.model import Sequence, Size


@dataclass(frozen=True, slots=True)
class Lines:
    """The sizes that have a line, widest first."""

    sizes: tuple[Size, ...]

    def level(self, size: Size) -> int:
        """The height of a size's line above the foot of the steps, from 1."""
        return size.closeness - self.sizes[0].closeness + 1


def lines_of(used: Iterable[Size]) -> Lines:
    """The lines of a chart that uses these sizes: those from the widest to the closest, and one more on either side."""
    every = tuple(Size)
    levels = sorted(size.closeness for size in set(used)) or [0, len(every) - 1]
    return Lines(every[max(levels[0] - 1, 0) : levels[-1] + 2])


def phrase_names(sequence: Sequence) -> dict[int, str]:
    """For each move the number of its phrase, as it is written on the chart."""
    return {move.number: str(phrase.number) for phrase in sequence.phrases for move in phrase.moves}


def stretches(hits: Iterable[SeenHit], names: Mapping[int, str], frames: int) -> list[tuple[Span, str]]:
    """Stretches of the `frames` of a cut in which the moves that are seen keep to one name, in running order and without gaps.

    `names` has one for each move. A stretch begins at the cut into the shot of its first hit.
    """
    begun: list[tuple[int, str]] = []
    last_hit = -1
    for seen in hits:
        name = names[seen.move.number]
        if not begun or begun[-1][1] != name:
            # The cut in between is where the eye moves on; inside one shot it is the hit before.
            begun.append((max(seen.placed.record.start, last_hit + 1) if begun else 0, name))
        last_hit = seen.record_frame
    starts = [start for start, _ in begun] + [frames]
    return [(Span(start, end), name) for (_, name), (start, end) in zip(begun, pairwise(starts), strict=True)]
