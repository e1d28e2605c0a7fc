"""Which shot of one running order is which of another, and which of them kept their order; it does not say what changed.

One matching serves change lists and returned lists, so that both tell one story. In this order, each shot used once:

1. the run of pairs, rising on both sides, that has the most in common, and then the next such run of what is left, so
   that what moved together stays together;
2. of what is left after some runs, the pairs with the most in common, the nearest of equals;
3. what is still the same shot by its ident, where both sides have idents;
4. what stands alone between the same two neighbours on both sides, in equal number: it was replaced.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby, pairwise

WHOLE = 1000
"""The likeness of two shots that play the same."""


@dataclass(frozen=True, slots=True)
class Likeness:
    """What the shot at place `was` of the old order and the one at `now` of the new have in common, from 1 to `WHOLE`.

    It is a share of the longer one, so that ten shots that stayed outweigh one long shot that did not.
    """

    was: int
    now: int
    common: int


_RUNS = 12
"""More runs than a cut is ever re-ordered in; without an end, a cut turned round would take one run for each shot."""


def matched(alike: Iterable[Likeness], old: int, new: int, same_ident: Mapping[int, int] | None = None) -> dict[int, int]:
    """For places in the new order, from 0, the place in the old one that the shot comes from.

    `old` and `new` are how many shots each has; `same_ident` leads from new places to old ones.
    """
    likely = sorted(alike, key=lambda one: (one.now, -one.was))
    pairs: dict[int, int] = {}
    taken: set[int] = set()

    def pair(now: int, was: int) -> None:
        if now not in pairs and was not in taken:
            pairs[now] = was
            taken.add(was)

    for _ in range(_RUNS):
        run = _heaviest_run([one for one in likely if one.now not in pairs and one.was not in taken], old)
        for one in run:
            pair(one.now, one.was)
        if not run:
            break
    for one in sorted(likely, key=lambda one: (-one.common, abs(one.was - one.now), one.now, one.was)):
        pair(one.now, one.was)
    for now, was in sorted((same_ident or {}).items()):
        pair(now, was)
    for now, was in _between_neighbours(pairs, old, new):
        pair(now, was)
    return pairs


def staying_in_order(pairs: Mapping[int, int]) -> list[int]:
    """Places in the new order of the most shots that can stay in order, so that as few as possible are called moved."""
    tails: list[int] = []
    ends: list[int] = []
    previous: dict[int, int | None] = {}
    for index in sorted(pairs):
        was = pairs[index]
        at = bisect_left(tails, was)
        previous[index] = ends[at - 1] if at else None
        tails[at : at + 1] = [was]
        ends[at : at + 1] = [index]
    run: list[int] = []
    last = ends[-1] if ends else None
    while last is not None:
        run.append(last)
        last = previous[last]
    return run[::-1]


_Score = tuple[int, int]
"""What a run has in common, and the negative sum of how far its pairs went; the greater is the better."""


def _heaviest_run(likely: list[Likeness], old: int) -> list[Likeness]:
    """The rising run with the most in common; `likely` is in the order of the new places."""
    best: list[tuple[_Score, int]] = [((0, 0), -1)] * (old + 1)
    before: list[int] = []
    whole: tuple[_Score, int] = ((0, 0), -1)
    for _, at_one_place in groupby(enumerate(likely), key=lambda numbered: numbered[1].now):
        # All pairs of one place are scored before any of them counts, as a place can be used only once.
        scored = []
        for number, one in at_one_place:
            (common, near), ahead = _best_up_to(best, one.was)
            before.append(ahead)
            scored.append((one.was + 1, ((common + one.common, near - abs(one.was - one.now)), number)))
        for place, score in scored:
            whole = max(whole, score, key=lambda scored: scored[0])
            while place <= old:
                best[place] = max(best[place], score, key=lambda scored: scored[0])
                place += place & -place
    run: list[Likeness] = []
    at = whole[1]
    while at >= 0:
        run.append(likely[at])
        at = before[at]
    return run


def _best_up_to(best: list[tuple[_Score, int]], place: int) -> tuple[_Score, int]:
    """The best run that ends on one of the first `place` old places; `best` is a binary indexed tree of maxima."""
    found = best[0]
    while place > 0:
        found = max(found, best[place], key=lambda scored: scored[0])
        place -= place & -place
    return found


def _between_neighbours(pairs: Mapping[int, int], old: int, new: int) -> Iterator[tuple[int, int]]:
    """Rule 4: the pairs, new place and old, of what has no counterpart and stands in one gap of the order."""
    taken = set(pairs.values())
    ends = [(-1, -1), *((now, pairs[now]) for now in staying_in_order(pairs)), (new, old)]
    for (now, was), (next_now, next_was) in pairwise(ends):
        news = [place for place in range(now + 1, next_now) if place not in pairs]
        olds = [place for place in range(was + 1, next_was) if place not in taken]
        if len(news) == len(olds):
            yield from zip(news, olds, strict=True)
