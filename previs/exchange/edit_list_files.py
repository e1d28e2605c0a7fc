"""The edit list of a cut as the files that it becomes; what stands in a list is decided in `cmx3600`."""

from __future__ import annotations

from pathlib import Path

from previs.document.model import Sequence
from previs.exchange.cmx3600 import EditList, write_edl
from previs.exchange.reels import tapes_seen_from


def edit_list_files(sequence: Sequence, cut_name: str | None, document: Path, output: Path) -> dict[Path, EditList]:
    """The lists of a cut by where they go: one at `output`, or, of a cut of more than 999 events, several numbered beside it.

    `document` is the file that the sequence is from. Raises `UseFault` for a cut that is not there or that a list cannot hold.
    """
    seen = tapes_seen_from(sequence, document, output)
    lists = write_edl(seen, seen.cut(cut_name))
    places = [output] if len(lists) == 1 else [output.with_stem(f"{output.stem}_{number}") for number in range(1, len(lists) + 1)]
    return dict(zip(places, lists, strict=True))
