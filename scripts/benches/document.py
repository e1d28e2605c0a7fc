"""Bench rows of the document: opening and saving a large show with many versions, and the start of the program."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from functools import partial
from pathlib import Path
from statistics import median

from msgspec.structs import replace

from benches.large_fights import large_show
from benches.media import timed
from benches.rows import Row
from previs.cut.versions import copy_cut
from previs.document.store import create, open_document, save
from previs.document.text import from_text, to_text

VERSIONS = 20
_START_SECONDS, _OPEN_SECONDS, _SAVE_SECONDS = 0.3, 1.0, 1.0


def rows(runs: int) -> list[Row]:
    """60 tapes, 2,000 hits, 20 versions of 200 shots: opened and saved; and `previs --help`. Limits of ours but the last."""
    show = large_show()
    for number in range(2, VERSIONS + 1):
        show = copy_cut(show, "v1", f"v{number}")
    hits = sum(len(take.hits) for take in show.takes)
    name = f"{len(show.tapes)} tapes, {hits} hits, {len(show.cuts)} versions of {len(show.cuts[0].shots)} shots"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.previs"
        held = create(path, show)
        megabytes = path.stat().st_size / 1024**2
        opens = [timed(lambda: open_document(path)) for _ in range(runs)]
        saves = []
        for run in range(runs):
            changed = replace(held.sequence, title=f"The Salt Stair {run}")
            saves.append(timed(partial(save, held, changed)))
            held = open_document(path)
    assert from_text(to_text(show), "memory") == show
    command = [sys.executable, "-c", "from previs.cli.app import main; import sys; sys.argv = ['previs', '--help']; main()"]
    starts = [timed(lambda: subprocess.run(command, check=True, capture_output=True)) for _ in range(max(3, runs))]
    nothing = [timed(lambda: subprocess.run([sys.executable, "-c", "pass"], check=True)) for _ in range(max(3, runs))]
    return [
        Row(f"open {name} ({megabytes:.1f} MB)", median(opens), "limit", _OPEN_SECONDS, 1),
        Row("save the same", median(saves), "limit", _SAVE_SECONDS, 1),
        Row("previs --help", median(starts), "limit", _START_SECONDS, 1),
        Row("previs --help", median(starts), "Python that does nothing", median(nothing), 0.1),
    ]
