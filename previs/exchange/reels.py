"""The reel names that an edit list gives to tapes, and the table that leads back from them; no event is written here.

A reel in a list is 1 to 8 of the characters A-Z, 0-9 and _ (the classic list's reel column is 8 wide: pycmx,
`parse_cmx_statements.py`, reads it so). AX, BL, BLACK and BARS mean something else there (OpenTimelineIO's CMX3600
adapter, `edl_statement.py`, `SpecialSource`), so no tape is called that.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from msgspec.structs import replace

from previs.cut.source_time import work_copy_start
from previs.document.model import Sequence, Tape
from previs.document.paths import locate, stored_path
from previs.exchange.plain import plain

CARD_REEL, BLACK_REEL = "AX", "BL"
_RESERVED = frozenset({CARD_REEL, BLACK_REEL, "BLACK", "BARS"})
_WIDTH = 8
_LEGAL = re.compile(rf"[A-Z0-9_]{{1,{_WIDTH}}}", re.ASCII)


@dataclass(frozen=True, slots=True)
class ListReel:
    """One row of the reel table: the reel name in the list, and the tape it stands for.

    `tape_start` is the tape's own first label at its own rate; `list_start` the label that the list's source times
    count from, at the sequence rate.
    """

    in_list: str
    tape: Tape
    tape_start: str
    list_start: str


def reel_table(sequence: Sequence) -> tuple[ListReel, ...]:
    """A row for each tape, in the document's order; the names do not depend on which tapes a cut uses."""
    timebase = sequence.timebase
    return tuple(
        ListReel(
            in_list=name,
            tape=tape,
            tape_start=tape.timebase.label(tape.timebase.wrap(tape.start_frame)),
            list_start=timebase.label(work_copy_start(tape, timebase)),
        )
        for tape, name in zip(sequence.tapes, _names(sequence.tapes), strict=True)
    )


def tapes_seen_from(sequence: Sequence, document: Path, written: Path) -> Sequence:
    """The sequence with its tapes' paths as a list or timeline written to `written` must give them.

    They are relative to that file's folder, or absolute where it shares no more than the root of the disk with them; in
    the document itself they are relative to the document.
    """
    tapes = tuple(replace(tape, path=stored_path(locate(document, tape), written)) for tape in sequence.tapes)
    return replace(sequence, tapes=tapes)


def _names(tapes: tuple[Tape, ...]) -> list[str]:
    # Tapes whose names can stand keep them, whatever an earlier tape's name is bent into.
    taken = {tape.reel for tape in tapes if _may_stand(tape.reel)}
    return [tape.reel if _may_stand(tape.reel) else _bent(tape.reel, taken) for tape in tapes]


def _may_stand(reel: str) -> bool:
    return _LEGAL.fullmatch(reel) is not None and reel not in _RESERVED


def _bent(reel: str, taken: set[str]) -> str:
    """A legal name as near to `reel` as can be had; it is added to `taken`."""
    base = re.sub(r"[^A-Z0-9]+", "_", plain(reel).upper()).strip("_") or "TAPE"
    name, number = base[:_WIDTH], 1
    while name in taken or name in _RESERVED:
        number += 1
        name = f"{base[: _WIDTH - len(str(number))]}{number}"
    taken.add(name)
    return name
