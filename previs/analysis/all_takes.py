"""Hits for every take from the takes that a person logged: exactly by camera sync, else by what is heard and seen; pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from msgspec.structs import replace as changed
from numpy.typing import NDArray

from previs.analysis.carrying import Evidence, Logged, carry
from previs.analysis.sessions import moved, passes
from previs.analysis.tapping import moves_of
from previs.document.model import SURE, Hit, Sequence, Sync, Take
from previs.faults import UseFault

DOUBTFUL_BELOW = 75
"""A hit of less confidence, in percent, is one for a person to look at first."""

_BY_SYNC = 98
_MICROSECONDS = 1_000_000
# Wide enough for the sound's way from the fight to the camera: 14 m at 24 pictures a second are one frame.
_HEARD_WITHIN_SECONDS = 0.14


@dataclass(frozen=True, slots=True)
class TakeReport:
    """What was found for one take: how many hits of how many moves, how many of them doubtful, where from, what is odd."""

    take: str
    source: str
    hits: int
    moves: int
    doubtful: int
    tempo: float | None
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CarriedAll:
    """The sequence with the hits that were found, and a report for each take that was looked at."""

    sequence: Sequence
    reports: tuple[TakeReport, ...]


def carry_all(sequence: Sequence, evidence: Mapping[str, Evidence], from_take: str | None = None) -> CarriedAll:
    """Find hits for every take that no person has logged; hits that a person made or confirmed are never changed.

    `evidence` is by reel. With `from_take` only that take's log is carried, else every logged one. Raises `UseFault`
    when nothing is logged, or when `from_take` is not.
    """
    logged = _logged_takes(sequence, from_take)
    done = {take.name: take for take in logged}
    syncs = {sync.reel: sync for sync in sequence.syncs}
    reports: dict[str, TakeReport] = {}
    for group in passes(sequence):
        known = [done[take.name] for take in group if take.name in done]
        waiting = [take for take in group if take.name not in done and not _is_logged(take)]
        if not waiting:
            continue
        if not known:
            first = max(waiting, key=lambda take: (_heard(evidence.get(take.reel)), -sequence.takes.index(take)))
            source = _best_source(logged, sequence, first)
            if source is None or first.reel not in evidence:
                continue
            carried, report = _by_evidence(sequence, source, evidence, first)
            done[first.name], reports[first.name] = carried, report
            known = [carried] if carried.hits else []
        for take in waiting:
            if take.name not in done and known:
                carried, report = _by_sync(sequence, known[0], take, syncs)
                done[take.name], reports[take.name] = carried, report
    takes = tuple(done.get(take.name, take) for take in sequence.takes)
    return CarriedAll(changed(sequence, takes=takes), tuple(reports[take.name] for take in sequence.takes if take.name in reports))


def _is_logged(take: Take) -> bool:
    return bool(take.hits) and all(hit.confidence == SURE for hit in take.hits)


def _logged_takes(sequence: Sequence, from_take: str | None) -> list[Take]:
    if from_take is not None:
        take = sequence.take(from_take)
        if not _is_logged(take):
            raise UseFault(f"Take {from_take} has no hits that a person marked; log it first, then carry from it.")
        return [take]
    logged = [take for take in sequence.takes if _is_logged(take)]
    if not logged:
        raise UseFault("No take is logged yet: mark the hits of one take of each phrase, then carry them to the others.")
    return logged


def _heard(evidence: Evidence | None) -> int:
    return 0 if evidence is None else min(len(evidence.strikes[0]), 1)


def _best_source(logged: list[Take], sequence: Sequence, take: Take) -> list[tuple[int, Take]] | None:
    """For each move of the take the logged take to carry it from: the one that holds most of what is wanted, then the best rated."""
    wanted = moves_of(sequence, take)
    holding = {one.name: {hit.move for hit in one.hits} & set(wanted) for one in logged}
    ranked = sorted(
        (one for one in logged if holding[one.name]),
        key=lambda one: (-len(holding[one.name]), abs(one.tempo - take.tempo), -one.rating, one.name),
    )
    chosen: dict[int, Take] = {}
    for one in ranked:
        for move in holding[one.name]:
            chosen.setdefault(move, one)
    return [(move, chosen[move]) for move in wanted if move in chosen] or None


def _by_evidence(
    sequence: Sequence, source: list[tuple[int, Take]], evidence: Mapping[str, Evidence], take: Take
) -> tuple[Take, TakeReport]:
    moments = np.array([float(next(hit.at for hit in one.hits if hit.move == move)) for move, one in source])
    kinds = np.stack([_kind(sequence, evidence, one, at) for at, (_, one) in zip(moments, source, strict=True)])
    breaks = frozenset(number for number in range(1, len(source)) if source[number][1] is not source[number - 1][1])
    found = carry(Logged(moments, kinds, breaks), evidence[take.reel], float(take.start), float(take.end_exclusive))
    hits = []
    for place, at, sure in zip(found.found, found.at, found.confidence, strict=True):
        moment = Fraction(round(at * _MICROSECONDS), _MICROSECONDS)
        if take.start <= moment < take.end_exclusive:
            hits.append(Hit(source[place][0], moment, min(SURE - 1, round(100 * sure))))
    names = list(dict.fromkeys(one.name for _, one in source))
    tempo = found.tempo * float(source[0][1].tempo) if hits else None
    report = _report(sequence, take, hits, " and ".join(names), tempo, found.remarks)
    return changed(take, hits=tuple(hits)), report


def _kind(sequence: Sequence, evidence: Mapping[str, Evidence], take: Take, at: float) -> NDArray[np.float64]:
    """What was heard and seen of a logged hit: on its own tape, or on one with sound that ran with it; else a plain blow."""
    syncs = {sync.reel: sync for sync in sequence.syncs}
    of = syncs.get(take.reel)
    ran = [sync for sync in sequence.syncs if of and sync.session == of.session and sync.reel != take.reel]
    for reel, moment in [(take.reel, at), *((sync.reel, float(moved(Fraction(at), of, sync))) for sync in ran if of)]:
        if reel in evidence and len(evidence[reel].strikes[0]):
            return np.asarray(evidence[reel].at(np.array([moment]), _HEARD_WITHIN_SECONDS)[0])
    return np.array([0.9, 0.0, 0.5])


def _by_sync(sequence: Sequence, known: Take, take: Take, syncs: Mapping[str, Sync]) -> tuple[Take, TakeReport]:
    of, to = syncs[known.reel], syncs[take.reel]
    hits = []
    for hit in known.hits:
        at = moved(hit.at, of, to)
        if take.start <= at < take.end_exclusive:
            hits.append(
                Hit(hit.move, at, min(hit.confidence, _BY_SYNC, to.confidence, of.confidence) if hit.confidence < SURE else _sure(of, to))
            )
    return changed(take, hits=tuple(hits)), _report(sequence, take, hits, f"{known.name}, the same pass", None, ())


def _sure(of: Sync, to: Sync) -> int:
    return min(_BY_SYNC, of.confidence, to.confidence)


def _report(sequence: Sequence, take: Take, hits: list[Hit], source: str, tempo: float | None, remarks: tuple[str, ...]) -> TakeReport:
    doubtful = sum(hit.confidence < DOUBTFUL_BELOW for hit in hits)
    return TakeReport(take.name, source, len(hits), len(moves_of(sequence, take)), doubtful, tempo, remarks)


def doubtful(sequence: Sequence, below: int = DOUBTFUL_BELOW) -> Iterator[tuple[Take, Hit]]:
    """The hits that a person should look at first, take by take."""
    for take in sequence.takes:
        for hit in take.hits:
            if hit.confidence < below:
                yield take, hit


def confirmed(sequence: Sequence, name: str, moves: frozenset[int] | None = None) -> Sequence:
    """The sequence with these hits of a take, or all, looked at and found right; raises `UseFault` for a move it has not."""
    take = sequence.take(name)
    held = {hit.move for hit in take.hits}
    if moves is not None and (absent := sorted(moves - held)):
        raise UseFault(f"Take {name} has no hit of move {absent[0]}; it has {', '.join(map(str, sorted(held))) or 'none'}.")
    hits = tuple(changed(hit, confidence=SURE) if moves is None or hit.move in moves else hit for hit in take.hits)
    return changed(sequence, takes=tuple(changed(one, hits=hits) if one is take else one for one in sequence.takes))


def without_hits(sequence: Sequence, keep: frozenset[str]) -> Sequence:
    """The sequence with the hits of these takes only: what a day looks like when one take of each phrase is logged."""
    return changed(sequence, takes=tuple(take if take.name in keep else changed(take, hits=()) for take in sequence.takes))
