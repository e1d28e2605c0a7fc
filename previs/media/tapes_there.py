"""Which tapes of a document are in their places, and which have a work copy; it looks, and mends nothing."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from previs.document.model import Sequence
from previs.document.paths import cache_folder, locate, stands
from previs.media.from_cut import raster_of, tapes_to_copy
from previs.media.workcopy import find_work_copy, make_work_copies
from previs.progress import Report, Step


@dataclass(frozen=True, slots=True)
class TapeThere:
    """Whether a tape's file is where the document says, and whether its work copy has been made."""

    file: bool
    work_copy: bool


def tapes_there(sequence: Sequence, document: Path, report: Report) -> dict[str, TapeThere]:
    """How it stands with every tape, by reel."""
    fps, raster, cache = sequence.timebase.rate.fps, raster_of(sequence), cache_folder(document)
    found = {}
    for number, tape in enumerate(sequence.tapes):
        report(Step(number, len(sequence.tapes), "Looking which tapes are there"))
        copied = find_work_copy(tape.fingerprint, fps, raster, cache) is not None
        found[tape.reel] = TapeThere(stands(locate(document, tape)), copied)
    return found


def copy_tapes(sequence: Sequence, document: Path, report: Report) -> int:
    """Make the work copies that are missing of all tapes that are in their places; gives how many tapes are away.

    Finished copies stay when it is stopped. Raises as `make_work_copies`, after the other tapes have been copied.
    """
    there = [tape for tape in sequence.tapes if stands(locate(document, tape))]
    make_work_copies(tapes_to_copy(sequence, there, document), sequence.timebase, raster_of(sequence), cache_folder(document), report)
    return len(sequence.tapes) - len(there)
