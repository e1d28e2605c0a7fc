"""A cut with everything derived from it that more than one check asks for, and the words that findings share."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from previs.cut.placing import Placed, SeenHit, SeenTreatment, hits_faded, hits_seen, place, plays_on, treatments_seen
from previs.document.model import Cut, Sequence


@dataclass(frozen=True, slots=True)
class View:
    """`runs` are the shots by what is one on screen: those between which the tape runs on unbroken stand together."""

    sequence: Sequence
    cut: Cut
    placed: tuple[Placed, ...]
    runs: tuple[tuple[Placed, ...], ...]
    hits: tuple[SeenHit, ...]
    faded: tuple[SeenHit, ...]
    treatments: tuple[SeenTreatment, ...]

    @property
    def fps(self) -> Fraction:
        """Frames a second of the sequence."""
        return self.sequence.timebase.rate.fps

    def run_of(self) -> dict[int, int]:
        """For each shot number, which of the runs it is in."""
        return {one.number: index for index, run in enumerate(self.runs) for one in run}


def view_of(sequence: Sequence, cut: Cut) -> View:
    """The view of a cut; raises `UseFault` when a shot's take or tape is not in the sequence."""
    placed = place(sequence, cut)
    runs: list[list[Placed]] = [[one] for one in placed[:1]]
    for one, other in pairwise(placed):
        if plays_on(one, other):
            runs[-1].append(other)
        else:
            runs.append([other])
    return View(
        sequence,
        cut,
        placed,
        tuple(map(tuple, runs)),
        hits_seen(sequence, placed),
        hits_faded(sequence, placed),
        treatments_seen(sequence, placed),
    )


def frames(number: int | Fraction) -> str:
    """A count of frames in words; halves occur where a transition's middle counts."""
    return "1 frame" if number == 1 else f"{float(number):g} frames"


def listed(names: list[str], most: int = 99) -> str:
    """Names as they are said: `A1, B1 and C1`, or `A1, B1 and others` beyond `most`."""
    names = [*names[:most], "others"] if len(names) > most else names
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]


def article(words: str) -> str:
    """The words with `a` or `an` before them."""
    return f"{'an' if words[:1].lower() in 'aeiou' else 'a'} {words}"
