"""Edit lists and timelines, read and taken into the sequence as cuts."""

from __future__ import annotations

from dataclasses import replace as changed
from functools import cache, partial
from pathlib import Path

from fuzz import seeds
from fuzz.judging import Unsound
from fuzz.mutations import worse_json
from fuzz.readers import Reader, put, sound

from previs.cut.assembly import with_cut
from previs.exchange.cmx3600 import write_edl
from previs.exchange.cmx3600_reading import read_list
from previs.exchange.comparing import compare, rows, summary
from previs.exchange.importing import import_list
from previs.exchange.otio import read_timeline, write_timeline

STATEMENTS = (
    "TITLE: x", "FCM: DROP FRAME", "FCM: NON-DROP FRAME", "* FROM CLIP NAME: A1", "* TO CLIP NAME: A1", "M2   FILM  048.0  10:00:00:00",
    "M2   FILM  -24.0", "SPLIT:    AUDIO DELAY=  00:00:00:05", "AUD  3  4", "* SPEED IS EXACTLY 7/10 OF NORMAL",
    "* SPEED IS EXACTLY 1/999999999999 OF NORMAL",
    "* CARD STANDS FOR MOVES 4-5", "BL", "AX", "FILM", "PHONE", "PAL", " V ", " A ", " AA/V ", " NONE ", " C ", " D 024 ", " W001 012 ",
    " K B ", " KO ", "001 ", "999999 ",
)  # fmt: skip


@cache
def lists() -> tuple[bytes, ...]:
    from previs.exchange.reels import tapes_seen_from

    sequence = seeds.full_sequence()
    seen = tapes_seen_from(sequence, Path("/x/stair.previs"), Path("/x/a.edl"))
    ours = tuple(one.text.encode() for cut in seen.cuts for one in write_edl(seen, cut))
    foreign = b"""TITLE:   foreign
FCM: DROP FRAME
001  FILM     AA/V  C        10:00:00:12 10:00:01:12 01:00:00:00 01:00:01:00
002  FILM     V     C        10:00:01:12 10:00:01:12 01:00:01:00 01:00:01:00
002  PHONE    V     D    012 00:00:01:12 00:00:02:12 01:00:01:00 01:00:02:00
M2   PHONE          048.0                00:00:01:12
* TO CLIP NAME:  B1
003  BL       V     C        00:00:00:00 00:00:01:00 01:00:02:00 01:00:03:00
"""
    return (*ours, foreign)


def _edit_list(data: bytes, folder: Path, *, strict: bool = False) -> object:
    sequence = seeds.marked_sequence()
    for counting in (sequence.timebase, None):
        read = read_list(data, counting, strict=strict)
        if not all(event.record.length > 0 for event in read.events):
            raise Unsound("an event lasts nothing")
    read = read_list(data, sequence.timebase, strict=strict)
    compared = compare(sequence, sequence.cuts[0], [read], {})
    rows(sequence, compared.rows)
    summary(sequence, sequence.cuts[0], compared)
    return sound(with_cut(sequence, import_list(sequence, [read], "v9", cards_for_unknown=True).cut))


@cache
def timelines() -> tuple[bytes, ...]:
    sequence = seeds.full_sequence()
    return tuple(write_timeline(sequence, cut).encode() for cut in sequence.cuts)


def _timeline(data: bytes, folder: Path) -> object:
    text = put(data, folder / "cut.otio").read_bytes().decode("utf-8", errors="replace")
    sequence = seeds.marked_sequence()
    return sound(with_cut(sequence, read_timeline(sequence, text, "v9", cards_for_unknown=True).cut))


SCHEMAS = (
    "Clip.1", "Clip.2", "Track.1", "Stack.1", "Timeline.1", "Gap.1", "Transition.1", "RationalTime.1", "TimeRange.1", "LinearTimeWarp.1",
    "FreezeFrame.1",
    "ExternalReference.1", "MissingReference.1", "Marker.2", "SerializableCollection.1", "OTIO_SCHEMA", "Unknown.9", "Video", "Audio",
    "source_range",
    "value", "rate", "start_time", "duration", "metadata", "previs", "tape", "take", "speed", "NaN", "-Infinity", "in_offset",
    "out_offset", "target_url",
    "media_references", "active_media_reference_key", "time_scalar", "Box2d.1", "V2d.1", "enabled",
)  # fmt: skip
_LIST = Reader("edit-list", _edit_list, lists, STATEMENTS)
READERS = {
    "edit-list": _LIST,
    "edit-list-strict": changed(_LIST, name="edit-list-strict", read=partial(_edit_list, strict=True)),
    "timeline": Reader("timeline", _timeline, timelines, SCHEMAS, worse_json, pure=False),
}
