"""What analysis finds on a set of tapes against the truth of its generator: slates, hits, sync, carried hits; prints a table."""

from __future__ import annotations

import json
import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

import mir_eval
import numpy as np
from msgspec.structs import replace

from previs.analysis.all_takes import DOUBTFUL_BELOW, carry_all, without_hits
from previs.analysis.sync import Match
from previs.clock import Rate, Timebase
from previs.document.model import Sequence
from previs.document.paths import locate
from previs.exchange.tables import read_fight, read_marks
from previs.media.from_cut import raster_of, tapes_to_copy
from previs.media.ingest import tape_from_file
from previs.media.signals import Signals, signals_of
from previs.media.synced import find_sessions
from previs.progress import silent

FRAMES_A_SECOND = 24
LOGGINGS = 12


def sequence_of(folder: Path, cache: Path) -> Sequence:
    """The set as a sequence: its tapes, fight and marks."""
    start = Timebase(Rate.parse("24"), False).frame("01:00:00:00")
    sequence = Sequence(title="truth", rate_name="24", start_frame=start, target_frames=1152)
    for path in sorted((folder / "tapes").iterdir()):
        sequence = sequence.with_tape(tape_from_file(path, str(path.resolve()), sequence.tapes, cache))
    marks = folder / "marks"
    sequence = read_fight(marks / "fight.csv", sequence)
    tables = [marks / "takes.csv", marks / "hits.csv", marks / "treatments.csv"]
    return read_marks(tables, sequence).sequence


def tell_hits(signals: dict[str, Signals], truth: dict[str, Any]) -> None:
    """Slates within a frame and hits within 50 ms, as mir_eval counts them."""
    print("| tape | slates F (a frame) | hits F (50 ms) | precision | recall | sudden stops F |\n|---|---|---|---|---|---|")
    for reel, one in signals.items():
        tape = truth[reel]
        hits = np.array(sorted(hit["at"] for take in tape["takes"].values() for hit in take["hits"]))
        slates, claps = (np.array([clap["at"] for clap in tape["claps"]]), np.array([slate.at for slate in one.slates]))
        found, precision, recall = mir_eval.onset.f_measure(hits, np.array([hit.at for hit in one.hits]), window=0.05)
        stops = mir_eval.onset.f_measure(hits, np.array([stop.at_seconds for stop in one.stops]), window=0.05)[0]
        heard = f"{mir_eval.onset.f_measure(slates, claps, window=1 / FRAMES_A_SECOND)[0]:.3f}" if tape["sound"] else "no sound"
        print(f"| {reel} | {heard} | {found:.3f} | {precision:.3f} | {recall:.3f} | {stops:.3f} |")


def tell_sync(pairs: dict[tuple[str, str], Any], truth: dict[str, Any]) -> None:
    """Every pair that belongs together: how far heard hits of the one land from those of the other; and what was mistaken."""
    print("\n| pair | by | median error | worst | found offset |\n|---|---|---|---|---|")
    missed = false = 0
    for (first, second), match in pairs.items():
        together = truth[first]["session"] == truth[second]["session"]
        if not isinstance(match, Match):
            missed += together
            continue
        if not together:
            false += 1
            continue
        key = "heard_at" if match.by == "sound" else "at"
        moments = [_moments(truth[reel], key) for reel in (first, second)]
        away = [match.on_second(at) - moments[1][one] for one, at in moments[0].items() if one in moments[1]]
        middle, worst = np.median(away) * 1000, np.abs(away).max() * 1000
        print(f"| {first} {second} | {match.by} | {middle:+.2f} ms | {worst:.2f} ms | {match.offset:+.4f} s |")
    print(f"\n{missed} pairs that ran together were not matched, {false} that did not were.")


def _moments(tape: dict[str, Any], key: str) -> dict[tuple[str, int], float]:
    """By slate and move, since takes of one pass have the same slate."""
    return {(take["slate"], hit["move"]): hit[key] for take in tape["takes"].values() for hit in take["hits"]}


def tell_carried(sequence: Sequence, signals: dict[str, Signals], truth: dict[str, Any]) -> None:
    """One take of each phrase stays logged, chosen at random many times; all others are carried and compared."""
    where = {name: take["hits"] for tape in truth.values() for name, take in tape["takes"].items()}
    count: Counter[str] = Counter()
    wrong_doubtful = 0
    dice = random.Random(1)
    full = [take for take in sequence.takes if take.hits and len(take.hits) == len(_moves(sequence, take))]
    for _ in range(LOGGINGS):
        keep: set[str] = set()
        covered: set[int] = set()
        for take in dice.sample(full, len(full)):
            phrases = set(range(take.first_phrase, take.last_phrase + 1))
            if phrases - covered:
                keep.add(take.name)
                covered |= phrases
        bare = without_hits(sequence, frozenset(keep))
        for take in carry_all(bare, {reel: one.evidence for reel, one in signals.items()}).sequence.takes:
            if take.name in keep:
                continue
            got = {hit.move: hit for hit in take.hits}
            for hit in where[take.name]:
                away = abs(float(got[hit["move"]].at) - hit["at"]) * FRAMES_A_SECOND if hit["move"] in got else 99
                count["hits"] += 1
                count["within 2"] += away <= 2
                count["within 4"] += away <= 4
                if away > 2 and hit["move"] in got:
                    wrong_doubtful += got[hit["move"]].confidence < DOUBTFUL_BELOW
            count["too many"] += len(set(got) - {hit["move"] for hit in where[take.name]})
            count["doubtful"] += sum(hit.confidence < DOUBTFUL_BELOW for hit in take.hits)
    share = {name: count[name] / count["hits"] for name in ("within 2", "within 4", "doubtful")}
    print(
        f"\nCarried from one logged take a phrase, {LOGGINGS} choices of it: "
        f"{count['hits']} hits, {share['within 2']:.1%} within 2 frames, "
        f"{share['within 4']:.1%} within 4, {count['too many']} too many; {share['doubtful']:.1%} called doubtful, "
        f"of {count['hits'] - count['within 2']} wrong or missed ones {wrong_doubtful}."
    )


def _moves(sequence: Sequence, take: Any) -> list[int]:
    return [move.number for phrase in sequence.phrases if take.first_phrase <= phrase.number <= take.last_phrase for move in phrase.moves]


def main(arguments: list[str]) -> int:
    """Measure one set, made by scripts/make_sample_media; the cache stays in WORK when it is given."""
    if not arguments:
        print(
            "usage: scripts/evaluate SET [WORK]; SET holds tapes/, marks/ and truth/, as scripts/make_sample_media makes it",
            file=sys.stderr,
        )
        return 2
    folder = Path(arguments[0])
    with tempfile.TemporaryDirectory() as scratch:
        cache = Path(arguments[1]) if len(arguments) > 1 else Path(scratch)
        truth = json.loads((folder / "truth" / "truth.json").read_text(encoding="utf-8"))["tapes"]
        sequence = sequence_of(folder, cache)
        copies = tapes_to_copy(sequence, sequence.tapes, folder / "truth.previs")
        begin = time.perf_counter()
        found = signals_of(copies, sequence.timebase, raster_of(sequence), cache, silent)
        took = time.perf_counter() - begin
        print(f"Looked at {float(sum(tape.duration for tape in sequence.tapes)):.0f} s of tape in {took:.1f} s (work copies included).\n")
        signals = {tape.reel: one for tape, one in zip(sequence.tapes, found, strict=True)}
        tell_hits(signals, truth)
        paths = {tape.reel: locate(folder / "truth.previs", tape) for tape in sequence.tapes}
        sessions, pairs = find_sessions(paths, signals, cache, silent)
        tell_sync(pairs, truth)
        tell_carried(replace(sequence, syncs=sessions.syncs), signals, truth)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
