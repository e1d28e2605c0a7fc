"""The pulls of a cut with all their papers in one folder; what they are, and how each is made, is decided elsewhere."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from previs.cut.placing import place
from previs.document.model import Cut, Sequence
from previs.document.paths import cache_folder
from previs.faults import UseFault
from previs.handoff.pull_files import Handed, Wanted, make_pulls
from previs.handoff.pull_papers import write_papers
from previs.handoff.sheet_files import Paper
from previs.media.head_tracks import heads_followed, largest_in
from previs.progress import Report


def write_pulls(
    sequence: Sequence, cut: Cut, document: Path, folder: Path, wanted: Wanted, paper: Paper, made: date, report: Report
) -> tuple[Handed, tuple[Path, ...]]:
    """Make what the folder lacks of a coded cut's pulls, and their papers; gives what was done, and the papers' files.

    `document` is the file that the sequence is from. Raises `UseFault` when `folder` is a file, and as `make_pulls`.
    """
    if folder.exists() and not folder.is_dir():
        raise UseFault(f"{folder} is a file; give the name of a folder.")
    cache = cache_folder(document)
    handed = make_pulls(sequence, cut, document, folder, wanted, cache, report)
    heads = _largest_heads(sequence, cut, document, cache, report)
    papers = write_papers(
        sequence,
        cut,
        handed.planned,
        handed.fell_out,
        document,
        folder,
        cache,
        made_on=made,
        wanted=wanted,
        paper=paper,
        heads=heads,
        report=report,
    )
    return handed, papers


def _largest_heads(sequence: Sequence, cut: Cut, document: Path, cache: Path, report: Report) -> dict[tuple[str, str], float]:
    """The largest head of each role in each shot, where one was marked: by shot code and role."""
    if not sequence.heads:
        return {}
    followed = heads_followed(sequence, document, cache, report)
    found = {}
    for one in place(sequence, cut):
        if one.source is None:
            continue
        shown = one.source.seen
        for role in sequence.roles:
            largest = largest_in(followed, one.source.take.name, role, shown.start, shown.end_exclusive)
            if largest is not None:
                found[one.shot.code, role] = round(largest, 1)
    return found
