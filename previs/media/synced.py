"""Which tapes ran together, found by sound, else by motion; it reads sound and signals, and leaves the judging to `analysis`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations
from pathlib import Path

import numpy as np

from previs.analysis.sessions import Sessions, sessions
from previs.analysis.sync import Match, NoMatch, for_sync, sync_by_motion, sync_by_sound
from previs.media.signals import Signals
from previs.media.sound import tape_sound
from previs.progress import Report, Step


def find_sessions(
    paths: Mapping[str, Path], signals: Mapping[str, Signals], cache_dir: Path, report: Report
) -> tuple[Sessions, dict[tuple[str, str], Match | NoMatch]]:
    """The sessions of these tapes, and what was found of each pair; reels in the order of `paths`.

    A pair that both have sound is matched by sound alone. Tapes without sound are matched by motion, each only to the
    tape with which it goes together best.
    """
    reels = list(paths)
    sounds = {reel: for_sync(np.asarray(tape_sound(paths[reel], cache_dir))) for reel in reels if len(signals[reel].waveform)}
    pairs = list(combinations(reels, 2))
    found: dict[tuple[str, str], Match | NoMatch] = {}
    for number, (first, second) in enumerate(pairs):
        report(Step(number, len(pairs), f"comparing {first} with {second}"))
        if first in sounds and second in sounds:
            found[first, second] = sync_by_sound(sounds[first], sounds[second])
        else:
            one, other = signals[first].motion, signals[second].motion
            found[first, second] = sync_by_motion(one.energy.astype(float), other.energy.astype(float), float(one.rate))
    matches = {pair: match for pair, match in found.items() if isinstance(match, Match)}
    return sessions(reels, _best_by_motion([reel for reel in reels if reel not in sounds], matches)), found


def _best_by_motion(silent: Sequence[str], matches: dict[tuple[str, str], Match]) -> dict[tuple[str, str], Match]:
    """Takes of one fight move alike, so a silent tape keeps only its surest match by motion."""
    kept = {pair: match for pair, match in matches.items() if match.by == "sound"}
    for reel in silent:
        moving = {pair: match for pair, match in matches.items() if match.by == "motion" and reel in pair}
        if moving:
            best = max(moving, key=lambda pair: (moving[pair].confidence, pair))
            kept[best] = moving[best]
    return kept
