"""Bench rows of growth: the same work, many times over; what grows in step with the work is as good as can be."""

from __future__ import annotations

import tempfile
from pathlib import Path

from msgspec.structs import replace

from benches.large_fights import large_fight, large_show
from benches.media import timed
from previs.cut.assembly import assemble
from previs.cut.versions import copy_cut
from previs.document.store import create, open_document, save

_TAKES = 6


def assembled(moves: int) -> float:
    """Seconds to assemble so many moves of six takes each to a target in step."""
    fight = large_fight(moves, _TAKES, moves * 144 // 5)
    return timed(lambda: assemble(fight, "v1"))


def kept(times: int) -> float:
    """Seconds to open, change and save a show of 200 shots with so many more versions of its cut."""
    show = large_show()
    for number in range(2, times + 1):
        show = copy_cut(show, "v1", f"v{number}")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "show.previs"
        create(path, show)

        def work() -> None:
            opened = open_document(path)
            save(opened, replace(opened.sequence, title="Another title"))

        return timed(work)
