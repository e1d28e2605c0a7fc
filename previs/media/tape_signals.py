"""What can be heard and seen on the tapes of a document, and which of them ran together; the judging is in `analysis`."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from msgspec.structs import replace

from previs.analysis.sessions import Sessions
from previs.analysis.sync import Match, NoMatch
from previs.document.model import Sequence
from previs.document.paths import cache_folder, locate
from previs.faults import UseFault
from previs.media.from_cut import raster_of, tapes_to_copy
from previs.media.signals import Signals, signals_of
from previs.media.synced import find_sessions
from previs.progress import Report


def tape_signals(sequence: Sequence, document: Path, reels: Iterable[str] | None, report: Report) -> dict[str, Signals]:
    """The signals of these tapes, or of all, by reel; raises `UseFault` for a reel that is not there, and for no tapes at all."""
    tapes = [sequence.tape(reel) for reel in reels] if reels else list(sequence.tapes)
    if not tapes:
        raise UseFault("There are no tapes yet; take some in first.")
    copies = tapes_to_copy(sequence, tapes, document)
    found = signals_of(copies, sequence.timebase, raster_of(sequence), cache_folder(document), report)
    return {tape.reel: one for tape, one in zip(tapes, found, strict=True)}


def cameras_together(
    sequence: Sequence, document: Path, reels: Iterable[str] | None, report: Report
) -> tuple[tuple[str, ...], Sessions, dict[tuple[str, str], Match | NoMatch]]:
    """Which of these tapes, or of all, ran together: the reels looked at, what was found, and what was found of each pair."""
    signals = tape_signals(sequence, document, reels, report)
    paths = {reel: locate(document, sequence.tape(reel)) for reel in signals}
    found, pairs = find_sessions(paths, signals, cache_folder(document), report)
    return tuple(signals), found, pairs


def with_syncs(sequence: Sequence, reels: Iterable[str], found: Sessions) -> Sequence:
    """The sequence with what was found in the place of what it had of these reels."""
    looked_at = frozenset(reels)
    return replace(sequence, syncs=(*(one for one in sequence.syncs if one.reel not in looked_at), *found.syncs))
