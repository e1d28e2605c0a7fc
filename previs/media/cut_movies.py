"""A cut of the document as a movie: its work copies, its events, its picture size, together; how a movie is made is in `publish`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from previs.document.model import Cut, Sequence
from previs.document.paths import cache_folder
from previs.media.from_cut import events_of, raster_of, tapes_in, tapes_to_copy
from previs.media.publish import Published, Quality, publish
from previs.media.strips import Words
from previs.media.workcopy import make_work_copies
from previs.progress import Report


def publish_cut(
    sequence: Sequence,
    cut: Cut,
    document: Path,
    output: Path,
    *,
    quality: Quality,
    report: Report,
    leader: bool = False,
    beep: bool = False,
    words: Callable[[int], Words] | None = None,
) -> Published:
    """Make the cut a movie at `output`, after the work copies that it lacks; `document` is the file the sequence is from.

    The beep sounds in the leader; `words` are burnt in, as `publish` says. Raises `UseFault` for a tape that is away, and as
    `publish`; a stop leaves no movie.
    """
    cache = cache_folder(document)
    if quality != "originals":
        wanted = tapes_to_copy(sequence, tapes_in(sequence, cut), document)
        make_work_copies(wanted, sequence.timebase, raster_of(sequence), cache, report)
    return publish(
        events_of(sequence, cut, document),
        sequence.timebase,
        sequence.start_frame,
        output,
        cache_dir=cache,
        quality=quality,
        raster=raster_of(sequence),
        leader=leader,
        beep=beep,
        words=words,
        report=report,
    )
