"""Proposed takes and hits as tables in the columns that `previs marks` reads, for a person to correct; it marks nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from previs.analysis.onsets import Impulse
from previs.analysis.takes import ProposedTake
from previs.document.model import Sequence, Size
from previs.exchange.lists import as_csv_text
from previs.exchange.table_files import neutral
from previs.exchange.takes_table import COLUMNS as TAKE_COLUMNS
from previs.replacing import replacing


@dataclass(frozen=True, slots=True)
class ProposalTables:
    """Rows for the two tables; a hit's `move` is empty unless its take is logged to hold exactly as many moves."""

    takes: list[dict[str, Any]]
    hits: list[dict[str, Any]]

    def write(self, folder: Path) -> None:
        """Write takes.csv and hits.csv in this folder, which is made when it is not there."""
        folder.mkdir(parents=True, exist_ok=True)
        for name, every in (("takes.csv", self.takes), ("hits.csv", self.hits)):
            # The mark tables have no column for it.
            rows = [{key: value for key, value in row.items() if key != "confidence"} for row in every]
            with replacing(folder / name) as temporary:
                temporary.write_bytes(
                    as_csv_text([{key: neutral(str(value)) for key, value in row.items()} for row in rows]).encode("utf-8")
                )


def proposal_tables(
    sequence: Sequence, found: Mapping[str, tuple[ProposedTake, ...]], hits: Mapping[str, tuple[Impulse, ...]]
) -> ProposalTables:
    """The proposals of these tapes by reel. Times are seconds of the tape, which the mark tables take as they are."""
    takes: list[dict[str, Any]] = []
    landed: list[dict[str, Any]] = []
    for reel, proposed in found.items():
        for number, one in enumerate(proposed, start=1):
            name = f"{reel}-{number}"
            row = dict.fromkeys(TAKE_COLUMNS, "") | {
                "take": name,
                "tape": reel,
                "in": f"{one.begin:.3f}s",
                "out": f"{min(one.end, float(sequence.tape(reel).duration)):.3f}s",
                "camera": sequence.tape(reel).camera,
                "size": str(Size.FULL),
                "note": one.why,
            }
            takes.append(row | {"confidence": round(100 * one.confidence)})
            landed += [
                {"take": name, "move": "", "at": f"{hit.at:.3f}s", "confidence": round(100 * hit.confidence)}
                for hit in hits[reel]
                if one.begin <= hit.at < one.end
            ]
    _number_moves(sequence, landed, takes)
    return ProposalTables(takes, landed)


def _number_moves(sequence: Sequence, landed: list[dict[str, Any]], takes: list[dict[str, Any]]) -> None:
    """Where a known take lies in the same place and holds as many moves as hits were found, name phrases and moves."""
    for row in takes:
        begin, end = (Fraction(row[key].removesuffix("s")) for key in ("in", "out"))
        known = [
            take
            for take in sequence.takes
            if take.reel == row["tape"] and min(end, take.end_exclusive) - max(begin, take.start) > (end - begin) / 2
        ]
        if len(known) != 1:
            continue
        take = known[0]
        row["phrases"] = str(take.first_phrase) if take.first_phrase == take.last_phrase else f"{take.first_phrase}-{take.last_phrase}"
        moves = [
            move.number for phrase in sequence.phrases if take.first_phrase <= phrase.number <= take.last_phrase for move in phrase.moves
        ]
        mine = [hit for hit in landed if hit["take"] == row["take"]]
        if len(mine) == len(moves):
            for hit, move in zip(mine, moves, strict=True):
                hit["move"] = move
