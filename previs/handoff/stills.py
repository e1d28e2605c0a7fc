"""The stills that a sheet names, taken from the tapes small enough to print; a tape that is away leaves its rows without."""

from __future__ import annotations

import io
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path

from PIL import Image

from previs.document.model import Sequence
from previs.document.paths import locate
from previs.faults import Fault
from previs.handoff.sheets import Sheet, Still
from previs.media.frames import FrameReader
from previs.media.index import frame_index
from previs.progress import Report, Step, silent

_WIDEST_PX = 360


def stills_of(sheet: Sheet) -> tuple[Still, ...]:
    """The stills that the tables of a sheet name, each once."""
    return tuple(dict.fromkeys(still for table in sheet.tables for still in table.stills if still is not None))


def taken(
    sequence: Sequence, stills: Iterable[Still], document: Path, cache_dir: Path, report: Report = silent
) -> tuple[dict[Still, bytes], tuple[str, ...]]:
    """The stills as JPEG, and a sentence for each tape that gave none."""
    by_reel: dict[str, list[Still]] = defaultdict(list)
    for still in stills:
        by_reel[still.reel].append(still)
    found: dict[Still, bytes] = {}
    away: list[str] = []
    for done, (reel, wanted) in enumerate(by_reel.items()):
        report(Step(done, len(by_reel), "taking stills"))
        try:
            found |= _from_tape(sequence, reel, wanted, document, cache_dir)
        except Fault as fault:
            away.append(f"No stills from tape {reel}: {fault}")
    return found, tuple(away)


def _from_tape(sequence: Sequence, reel: str, stills: list[Still], document: Path, cache_dir: Path) -> dict[Still, bytes]:
    tape = sequence.tape(reel)
    path = locate(document, tape)
    if not path.exists():
        raise Fault(f"it is not at {path}; bring it back, or find it with 'previs relink'.")
    index, rate = frame_index(path, cache_dir), sequence.timebase.rate.fps
    found = {}
    with FrameReader(path, index, rotation=tape.rotation) as reader:
        for still in sorted(stills, key=lambda still: still.grid_frame):
            picture = reader.picture(index.frame_shown(still.grid_frame, rate))
            found[still] = _jpeg(Image.fromarray(picture), float(tape.sample_aspect), turned=tape.rotation % 180 != 0)
    return found


def _jpeg(picture: Image.Image, sample_aspect: float, *, turned: bool) -> bytes:
    wide, high = picture.size
    # A pixel's shape is told of the stored picture, whose width stands upright once it is turned.
    wide, high = (wide, round(high * sample_aspect)) if turned else (round(wide * sample_aspect), high)
    scale = min(1.0, _WIDEST_PX / max(wide, high))
    held = io.BytesIO()
    picture.resize((max(1, round(wide * scale)), max(1, round(high * scale)))).save(held, "JPEG", quality=80)
    return held.getvalue()
