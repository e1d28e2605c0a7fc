"""Which tapes ran together and how they lie in one session's time, from matches of pairs; and which takes are one pass.

Session time is that of the first tape of the session: moment `at` of a tape is `offset + at / (1 + drift_ppm / 1e6)`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from previs.analysis.sync import Match
from previs.document.model import Sequence, Sync, Take

LARGEST_MISFIT_SECONDS = 0.050
"""By how much a match may disagree with the others of its session before it is believed to be wrong: about a frame."""

_MICROSECONDS = 1_000_000


@dataclass(frozen=True, slots=True)
class Sessions:
    """The syncs of the tapes that belong together, and sentences on what did not fit."""

    syncs: tuple[Sync, ...]
    remarks: tuple[str, ...]


def sessions(reels: Iterable[str], matches: Mapping[tuple[str, str], Match]) -> Sessions:
    """Put every set of matched tapes into one session's time, the surest matches first.

    A match that contradicts surer ones by more than `LARGEST_MISFIT_SECONDS` is left out and told. The key of a match is
    (first reel, second reel).
    """
    found = {reel: (reel, 0.0, 0.0, 1.0) for reel in reels}
    remarks = []
    used: list[tuple[str, str, Match]] = []
    for (first, second), match in sorted(matches.items(), key=lambda one: (-one[1].confidence, one[0])):
        if found[first][0] != found[second][0]:
            _join(found, first, second, match)
            used.append((first, second, match))
        elif (away := abs(_misfit(found, first, second, match))) <= LARGEST_MISFIT_SECONDS:
            used.append((first, second, match))
        else:
            remarks.append(
                f"{first} and {second} would match by {match.by}, but {away:.2f} s away from what surer matches say; not believed."
            )
    offsets = _evened(found, used)
    members: dict[str, list[str]] = {}
    for reel, (session, *_) in found.items():
        members.setdefault(session, []).append(reel)
    syncs = []
    for together in members.values():
        if len(together) > 1:
            zero, drift_zero = offsets[together[0]], found[together[0]][2]
            for reel in together:
                _, _, drift, confidence = found[reel]
                # The first tape's time is the session's.
                offset, ppm = offsets[reel] - zero, drift - drift_zero
                syncs.append(Sync(reel, together[0], _exact(offset), _exact(ppm), round(100 * confidence)))
    return Sessions(tuple(syncs), tuple(remarks))


def _exact(value: float) -> Fraction:
    return Fraction(round(value * _MICROSECONDS), _MICROSECONDS)


def _join(found: dict[str, tuple[str, float, float, float]], first: str, second: str, match: Match) -> None:
    """Bring the second tape's whole set into the first one's time."""
    session, offset, drift, sure = found[first]
    old_session, old_offset, old_drift, _ = found[second]
    # Moment t of the first tape is t (1 + d) + o of the second, so the second's zero is at -o / (1 + d) of the first.
    wanted_drift = drift + match.drift_ppm
    wanted_offset = offset - match.offset / (1 + match.drift_ppm / 1e6) / (1 + drift / 1e6)
    for reel, (its, at, ppm, confidence) in list(found.items()):
        if its == old_session:
            moved = min(confidence, sure, match.confidence)
            found[reel] = (session, at - old_offset + wanted_offset, ppm - old_drift + wanted_drift, moved)
    name, at, ppm, confidence = found[first]
    found[first] = (name, at, ppm, min(confidence, max(match.confidence, 0.0)) if confidence == 1.0 else confidence)


def _misfit(found: Mapping[str, tuple[str, float, float, float]], first: str, second: str, match: Match) -> float:
    _, offset, drift, _ = found[first]
    _, other, _, _ = found[second]
    return offset - match.offset / (1 + match.drift_ppm / 1e6) / (1 + drift / 1e6) - other


def _evened(found: Mapping[str, tuple[str, float, float, float]], used: list[tuple[str, str, Match]]) -> dict[str, float]:
    """Offsets that satisfy all matches of a session as well as can be: weighted least squares around the first guess."""
    reels = list(found)
    rows, right, weights = [], [], []
    for first, second, match in used:
        row = np.zeros(len(reels))
        row[reels.index(second)], row[reels.index(first)] = 1, -1
        rows.append(row)
        right.append(_misfit(found, first, second, match))
        weights.append(match.confidence / max(match.spread_seconds, 1e-4))
    if not rows:
        return {reel: found[reel][1] for reel in reels}
    scale = np.sqrt(np.array(weights))[:, None]
    better, *_ = np.linalg.lstsq(np.array(rows) * scale, np.array(right) * scale[:, 0], rcond=None)
    return {reel: found[reel][1] + float(step) for reel, step in zip(reels, better, strict=True)}


def session_time(sync: Sync, at: Fraction) -> Fraction:
    """A moment of a tape in its session's time."""
    return sync.offset + at / (1 + sync.drift_ppm / _MICROSECONDS)


def tape_time(sync: Sync, moment: Fraction) -> Fraction:
    """A moment of session time as one of the tape; it may lie before or after the tape."""
    return (moment - sync.offset) * (1 + sync.drift_ppm / _MICROSECONDS)


def moved(at: Fraction, of: Sync, to: Sync) -> Fraction:
    """A moment of one tape as one of another of the same session, to the microsecond."""
    there = tape_time(to, session_time(of, at))
    return Fraction(round(there * _MICROSECONDS), _MICROSECONDS)


def passes(sequence: Sequence) -> tuple[tuple[Take, ...], ...]:
    """Takes of one action: those of synced tapes that ran at one time for most of the shorter one, in order of the document.

    Every other take is a pass of its own.
    """
    syncs = {sync.reel: sync for sync in sequence.syncs}
    groups: list[list[Take]] = []
    for take in sequence.takes:
        home = next((group for group in groups if _together(take, group[0], syncs)), None)
        if home is None:
            groups.append([take])
        else:
            home.append(take)
    return tuple(tuple(group) for group in groups)


def _together(one: Take, other: Take, syncs: Mapping[str, Sync]) -> bool:
    mine, its = syncs.get(one.reel), syncs.get(other.reel)
    if mine is None or its is None or mine.session != its.session or one.reel == other.reel:
        return False
    begin = max(session_time(mine, one.start), session_time(its, other.start))
    end = min(session_time(mine, one.end_exclusive), session_time(its, other.end_exclusive))
    shorter = min(one.end_exclusive - one.start, other.end_exclusive - other.start)
    return end - begin > shorter / 2
