"""What goes beside the pulls of a cut into their folder: contact sheets, count sheets and the edit list of the pulls alone."""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from pathlib import Path

from previs.document.model import Cut
from previs.document.model import Sequence as Fight
from previs.exchange.cmx3600 import write_edl
from previs.exchange.lists import as_csv_text
from previs.exchange.plain import plain
from previs.handoff.count_rows import Heads, away_rows, element_rows, frame_rows, pull_rows, settle_rows
from previs.handoff.count_sheets import CountTables, pdf_bytes, workbook_bytes
from previs.handoff.pull_files import Wanted, write_contact_sheets
from previs.handoff.pull_log import Entry, Planned
from previs.handoff.pulls import prefix_of
from previs.handoff.sheet_files import Paper
from previs.progress import Report, silent
from previs.replacing import replacing

_MOST_NAMED = 6
"""Shots in the name of a paper, which a disk must be able to hold."""


def write_papers(
    sequence: Fight,
    cut: Cut,
    planned: Sequence[Planned],
    fell_out: Sequence[Entry],
    document: Path,
    folder: Path,
    cache_dir: Path,
    *,
    made_on: datetime.date,
    wanted: Wanted,
    paper: Paper = Paper.A4,
    heads: Heads | None = None,
    report: Report = silent,
) -> tuple[Path, ...]:
    """Write every paper of these pulls and give back where; each comes whole or not at all.

    Their names carry the cut, and which pulls where not simply the treated ones were asked for, so that one run's papers do not
    take the place of another's. `fell_out` are pulls in the folder that the cut does not want now.
    `heads` are heights of heads in pixels of the delivery picture by pull code and role.
    """
    stem = folder / paper_stem(sequence, cut, wanted)
    label = sequence.timebase.label
    heading = f"{sequence.title}, cut {cut.name}: visual effects pulls" + (f", {asked}" if (asked := _asked(cut, wanted)) else "")
    facts = (
        f"{sequence.timebase.rate.name} frames a second{' drop-frame' if sequence.drop else ''}, cut of {label(cut.frames)}, "
        f"{len(planned)} pulls, handles of {sequence.settings.handle_frames}"
    )
    pulls, elements = pull_rows(sequence, planned), element_rows(sequence, planned, heads)
    settle, away = settle_rows(sequence, cut), away_rows(fell_out)
    contents = {
        "_count.xlsx": workbook_bytes(
            {
                "pulls": pulls,
                "elements": elements,
                "frames": frame_rows(sequence, planned),
                "to settle": settle,
                "not wanted now": away,
            },
            made_on,
        ),
        "_pulls.csv": as_csv_text(pulls).encode(),
        "_elements.csv": as_csv_text(elements).encode(),
        "_count.pdf": pdf_bytes(heading, facts, CountTables(pulls, elements, settle, away), made_on=made_on, paper=paper),
    }
    names = {one.pull.placed.number: one.entry.name for one in planned}
    lists = write_edl(sequence, cut, names)
    for number, one in enumerate(lists, start=1):
        contents["_pulls.edl" if len(lists) == 1 else f"_pulls_{number}.edl"] = one.text.encode("ascii")
    written = []
    for ending, content in contents.items():
        written.append(stem.with_name(stem.name + ending))
        with replacing(written[-1]) as temporary:
            temporary.write_bytes(content)
    return (*written, *write_contact_sheets(sequence, tuple(planned), document, stem, f"{heading}   {facts}", cache_dir, report))


def paper_stem(sequence: Fight, cut: Cut, wanted: Wanted) -> str:
    """What the papers' names begin with, in A-Z a-z 0-9 . _ - only: `SALT_v2` or `SALT_v2_digital-double`."""
    parts = (prefix_of(sequence.title), cut.name, _asked(cut, wanted))
    return "_".join(re.sub(r"[^A-Za-z0-9._-]+", "-", plain(part)) for part in parts if part)


def _asked(cut: Cut, wanted: Wanted) -> str:
    """Which pulls were asked for in a few words, empty for simply the treated ones; of many shots the first and how many more."""
    kind = wanted.only.value if wanted.only else "all shots" if wanted.untreated and not wanted.shots else ""
    codes = [cut.shots[number - 1].code or str(number) for number in sorted(wanted.shots)]
    more = f" and {len(codes) - _MOST_NAMED} more" if len(codes) > _MOST_NAMED else ""
    shots = f"{'shot' if len(codes) == 1 else 'shots'} {' '.join(codes[:_MOST_NAMED])}{more}" if codes else ""
    return " ".join(part for part in (kind, shots) if part)
