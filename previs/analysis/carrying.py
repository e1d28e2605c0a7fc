"""Where the moves of a logged take land on another take of the same phrases: evidence, order and tempo weighed together.

Every moment of the other take at which something strikes, lands or stops dead is a candidate, and so is a loose grid
between them. A path through the candidates, one for each move in order, is found by dynamic programming: it is dear to
land where nothing happens, to pass over a blow, and to change tempo from one move to the next. Begin and end are open,
so a take that was broken off gets the moves that it has.
"""

from __future__ import annotations

from collections.abc import Sequence as Several
from dataclasses import dataclass, field

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from previs.analysis.onsets import Impulse

_Floats = NDArray[np.float64]

SLOWEST, FASTEST = 0.45, 2.3
"""Tempo of the other take as a share of the logged one's: a learning take at 0.6 against a fast one at 1.3, either way."""

_TEMPOS = np.geomspace(SLOWEST, FASTEST, 25)
# The weights are in one unit: what a move that lands on a clear blow gains. Found on the sample tapes; no source.
_TEMPO_SPREAD = 0.14
_MOST_FOR_TEMPO = 1.3
_PASSED_OVER = 1.0
_MISSING = 0.2
_NO_BLOW, _NO_LANDING = 0.6, 0.2
_NOTHING_LANDS = 0.3
_GRID_SECONDS = 0.08
_NEAR_SECONDS = 0.07
_LEAST_GAP_SECONDS = 0.12
_SAME_GAP = 1.7
_LONGEST_PAUSE_SECONDS = 60.0
"""Between two moves of one take; a bound, so that a long take takes no more than its share of time and memory."""
_FAR_SECONDS = 1.0
_AT_ONCE = 512


@dataclass(frozen=True, slots=True)
class Evidence:
    """What happens on a tape: blows that are heard bright, heavy landings, and movement that stops dead.

    Each is (moments in seconds, strengths 0 to 1), in order of time. `strikes` have the slates taken out.
    """

    strikes: tuple[_Floats, _Floats]
    landings: tuple[_Floats, _Floats]
    stops: tuple[_Floats, _Floats]

    @classmethod
    def of(cls, strikes: Several[Impulse], landings: Several[Impulse], stops: Several[tuple[float, float]]) -> Evidence:
        """From what the ears and the eyes found; `stops` are (moment, confidence)."""
        struck = np.array([one.at for one in strikes]), np.array([one.confidence for one in strikes]) ** 2
        landed = np.array([one.at for one in landings]), np.array([one.confidence for one in landings])
        stopped = np.array([at for at, _ in stops]), np.array([sure for _, sure in stops])
        # A blow's is squared, since half a blow is hardly one: a loud word must not be taken for a move.
        return cls(struck, landed, stopped)

    def at(self, moments: _Floats, near: float = _NEAR_SECONDS) -> _Floats:
        """Strength of each of the three kinds at these moments, (len(moments), 3)."""
        return np.stack([_strength_near(kind, moments, near) for kind in (self.strikes, self.landings, self.stops)], axis=1)


def _strength_near(kind: tuple[_Floats, _Floats], moments: _Floats, near: float) -> _Floats:
    times, strengths = kind
    found = np.zeros(len(moments))
    for begin in range(0, len(moments), _AT_ONCE):
        here = moments[begin : begin + _AT_ONCE]
        first, end = np.searchsorted(times, (here.min() - _FAR_SECONDS, here.max() + _FAR_SECONDS))
        if first < end:
            close = np.exp(-0.5 * ((here[:, None] - times[None, first:end]) / (near / 2)) ** 2)
            found[begin : begin + len(here)] = (close * strengths[first:end]).max(axis=1)
    return found


@dataclass(frozen=True, slots=True)
class Carried:
    """Where the moves land on the other take, and what is odd about it.

    `at` has a moment in seconds for each move that was found, `confidence` 0 to 1 for each; `found` are the places in the
    logged list. `tempo` is the other take's as a share of the logged one's.
    """

    found: tuple[int, ...]
    at: tuple[float, ...]
    confidence: tuple[float, ...]
    tempo: float
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Logged:
    """The moves of a logged take: their moments, and what was to be seen and heard of each, (n, 3) as in `Evidence.at`.

    `breaks` are places before which the time since the last move tells nothing: another phrase, taken elsewhere.
    """

    moments: _Floats
    evidence: _Floats
    breaks: frozenset[int] = field(default_factory=frozenset)


def carry(logged: Logged, evidence: Evidence, begin: float, end: float) -> Carried:
    """Find the moves of `logged` on another take that lasts from `begin` to `end`, in seconds of its tape."""
    if not len(evidence.strikes[0]):
        # A tape without sound: what stops dead is all there is to stand for a blow.
        evidence = Evidence(evidence.stops, evidence.landings, evidence.stops)
    candidates = _candidates(evidence, begin, end)
    if not len(logged.moments) or not len(candidates):
        return Carried((), (), (), 1.0, ("there is nothing to look for, or nothing to look at",))
    landing = _landing_scores(logged.evidence, evidence.at(candidates, 0.05))
    steps = _Steps.of(candidates, evidence)
    best: tuple[float, float, list[int]] | None = None
    for tempo in _TEMPOS:
        score, path = _path(logged, landing, steps, tempo)
        if best is None or score > best[0]:
            best = score, float(tempo), path
    if best is None or not best[2]:
        return Carried((), (), (), 1.0, ("no moves were found on it",))
    path = best[2]
    if max(landing[number, place] for number, place in enumerate(path)) < _NOTHING_LANDS:
        return Carried((), (), (), 1.0, ("nothing lands on it: a false start",))
    found = tuple(range(len(path)))
    at = candidates[np.array(path)]
    tempo, odd = _tempo_and_oddities(logged, at)
    confidence = _confidence(logged, landing, path, at, candidates, tempo)
    remarks = list(odd)
    if len(path) < len(logged.moments):
        remarks.append(f"it seems to be broken off after {len(path)} of {len(logged.moments)} moves")
    return Carried(found, tuple(float(one) for one in at), confidence, tempo, tuple(remarks))


def _candidates(evidence: Evidence, begin: float, end: float) -> _Floats:
    grid = np.arange(begin, end, _GRID_SECONDS)
    every = np.concatenate([evidence.strikes[0], evidence.landings[0], evidence.stops[0]])
    every = np.unique(every[(every >= begin) & (every < end)])
    if len(every) and len(grid):
        after = np.searchsorted(every, grid)
        nearest = np.minimum(np.abs(grid - every[np.maximum(after - 1, 0)]), np.abs(grid - every[np.minimum(after, len(every) - 1)]))
        grid = grid[nearest > _GRID_SECONDS / 3]
    return np.sort(np.concatenate([every, grid]))


def _landing_scores(logged: _Floats, there: _Floats) -> _Floats:
    """What it is worth that move i lands on candidate t, (moves, candidates): like evidence is best, none is dear."""
    heard, soft = logged[:, 0], np.maximum(logged[:, 1], 0.8 * logged[:, 2])
    struck, landed, stopped = there[:, 0], there[:, 1], there[:, 2]
    quiet = np.maximum(landed, 0.6 * stopped)
    # A move that was heard wants a blow; one that was not wants a landing or a stop, and no blow of another move.
    as_blow = struck[None, :] + 0.15 * stopped[None, :]
    as_soft = 0.7 * quiet[None, :] * (0.4 + 0.6 * soft[:, None]) - 0.5 * struck[None, :]
    score = heard[:, None] * as_blow + (1 - heard[:, None]) * as_soft
    nothing = heard * _NO_BLOW + (1 - heard) * _NO_LANDING
    return np.asarray(score - nothing[:, None] * (score < 0.1))


@dataclass(frozen=True, slots=True)
class _Steps:
    """What a step to each candidate (column) from the one k + 1 places before it (row k) has to do with, whatever the tempo.

    `logs` are the logarithms of the times between, `costs` what is passed over on the way, with steps that are too short or
    too long out of the question; `before` and `after` are the blows that lie outside a path which begins, or ends, on a candidate.
    """

    logs: _Floats
    costs: _Floats
    before: _Floats
    after: _Floats

    @classmethod
    def of(cls, candidates: _Floats, evidence: Evidence) -> _Steps:
        many = len(candidates)
        longest = np.arange(many) - np.searchsorted(candidates, candidates - _LONGEST_PAUSE_SECONDS)
        passed = _blows_before(evidence, candidates)
        own = evidence.at(candidates, 0.02)[:, 0]
        back = np.arange(many)[None, :] - np.arange(1, max(2, int(longest.max()) + 1))[:, None]
        gaps = np.where(back < 0, np.inf, candidates[None, :] - candidates[back])
        between = _PASSED_OVER * np.maximum(passed[None, :] - passed[back] - own[back], 0)
        every = float(passed[-1] + evidence.at(candidates[-1:], 0.05)[0, 0])
        costs = np.where((gaps < _LEAST_GAP_SECONDS) | (gaps > _LONGEST_PAUSE_SECONDS), 1e6, between)
        logs = np.log(np.clip(gaps, 1e-3, _LONGEST_PAUSE_SECONDS))
        return cls(logs, costs, _PASSED_OVER * passed, _PASSED_OVER * np.maximum(every - passed - own, 0))


def _path(logged: Logged, landing: _Floats, steps: _Steps, tempo: float) -> tuple[float, list[int]]:
    """The best path at one tempo: its score, and the candidate of each move up to where the take breaks off."""
    moves, many = landing.shape
    # Blows before the first move are a cost too: a take rarely begins with somebody else's.
    score = landing[0] - steps.before
    backs = np.zeros((moves, many), np.intp)
    ends: list[tuple[float, int, int]] = []

    def finish(number: int) -> None:
        rest = score - steps.after - _MISSING * (moves - 1 - number)
        at = int(np.argmax(rest))
        ends.append((float(rest[at]), number, at))

    finish(0)
    # One sheet for all steps: a new one each time takes longer than what is written on it.
    sheet = np.empty_like(steps.costs)
    reach = len(sheet)
    for number in range(1, moves):
        expected = (logged.moments[number] - logged.moments[number - 1]) / tempo
        _tempo_cost(steps.logs, None if number in logged.breaks else expected, sheet)
        sheet += steps.costs
        earlier = sliding_window_view(np.concatenate([np.full(reach, -1e9), score[:-1]]), reach)
        np.subtract(earlier.T[::-1], sheet, out=sheet)
        row = np.argmax(sheet, axis=0)
        backs[number] = np.maximum(np.arange(many) - 1 - row, 0)
        score = sheet[row, np.arange(many)] + landing[number]
        finish(number)
    best, number, at = max(ends)
    path = [at]
    while number > 0:
        at = int(backs[number, at])
        path.append(at)
        number -= 1
    return best, path[::-1]


def _blows_before(evidence: Evidence, candidates: _Floats) -> _Floats:
    """How many blows, by their strength, come before each candidate."""
    times, strengths = evidence.strikes
    inside = (times >= candidates[0] - 1e-6) & (times <= candidates[-1] + 1e-6)
    sums = np.concatenate([[0.0], np.cumsum(strengths[inside])])
    return np.asarray(sums[np.searchsorted(times[inside], candidates - 1e-6)])


def _tempo_cost(logs: _Floats, expected: float | None, sheet: _Floats) -> None:
    """Write on `sheet` what steps cost that take longer or shorter than expected."""
    if expected is None or expected <= 0:
        sheet.fill(0)
        return
    np.subtract(logs, np.log(max(expected, _LEAST_GAP_SECONDS)), out=sheet)
    np.square(sheet, out=sheet)
    sheet *= 0.5 * 0.35 / _TEMPO_SPREAD**2
    # Capped, so that a stumble or a pause costs something once instead of bending every other move.
    np.minimum(sheet, _MOST_FOR_TEMPO, out=sheet)


def _tempo_and_oddities(logged: Logged, at: _Floats) -> tuple[float, list[str]]:
    steps = [number for number in range(1, len(at)) if number not in logged.breaks]
    if not steps:
        return 1.0, []
    ratios = np.array([(logged.moments[n] - logged.moments[n - 1]) / (at[n] - at[n - 1]) for n in steps])
    tempo = float(np.median(ratios))
    odd = []
    for number, ratio in zip(steps, ratios, strict=True):
        if ratio < tempo / _SAME_GAP:
            odd.append(f"a pause before move {number + 1} of the list, {at[number] - at[number - 1]:.1f} s long")
        elif ratio > tempo * _SAME_GAP:
            odd.append(f"move {number + 1} of the list comes early after the one before")
    return tempo, odd


def _confidence(logged: Logged, landing: _Floats, path: list[int], at: _Floats, candidates: _Floats, tempo: float) -> tuple[float, ...]:
    """How sure each landing is: evidence there, how well the tempo fits on both sides, and that no rival is near."""
    sure = []
    for number, place in enumerate(path):
        clear = float(np.clip(landing[number, place], 0, 1))
        fits = [
            float(np.exp(-0.5 * (np.log((at[b] - at[a]) * tempo / max(logged.moments[b] - logged.moments[a], 1e-3)) / 0.2) ** 2))
            for a, b in ((number - 1, number), (number, number + 1))
            if a >= 0 and b < len(at) and b not in logged.breaks
        ]
        fit = max(fits, default=0.5)
        rivals = (np.abs(candidates - at[number]) < 0.5) & (np.abs(candidates - at[number]) > _NEAR_SECONDS)
        rival = float(np.clip(landing[number][rivals].max(initial=0.0), 0, 1))
        sure.append(float(np.clip(0.2 + 0.8 * clear, 0, 1) * (0.5 + 0.5 * fit) * (1 - 0.4 * min(rival, clear) / max(clear, 0.2))))
    return tuple(sure)
