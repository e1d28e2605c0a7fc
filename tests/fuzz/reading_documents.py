"""The document, what is kept beside it, notes that come back, and the log of a folder of pulls."""

from __future__ import annotations

import hashlib
import os
import socket
import zlib
from collections.abc import Callable
from dataclasses import replace as changed
from datetime import UTC, datetime
from pathlib import Path

from fuzz import seeds
from fuzz.judging import Unsound
from fuzz.mutations import worse_json
from fuzz.readers import Reader, put, sound

from previs.document.history import history_folder, steps_from, undo
from previs.document.locks import holding, left_behind, lock_path
from previs.document.store import open_document
from previs.document.text import from_text, to_text
from previs.faults import Fault, UseFault
from previs.handoff.pull_log import Entry, Log, read_log, write_log
from previs.review.coming_back import all_merged
from previs.review.notes_file import notes_from_file

FIELDS = (
    "previs sequence", "document", "schema", "title", "rate_name", "24", "29.97", "footage", "card", "black", "dissolve", "wipe", "level",
    "digital double", "face replacement", "rig removal", "FILM", "PHONE", "A1", "Odile", "v1", "picture", "type", "floor", "lines",
    "1001/30",
)  # fmt: skip
NOTES = """{"document": "previs notes", "schema": 1, "sequence": "The Salt Stair", "cut": "v1", "notes": [
{"ident": "n1", "reviewer": "Mara", "written": "2026-11-25T10:00:00Z", "kind": "unclear hit", "text": "is it \\ud83d\\ude00 seen?",
 "shot": "s1", "first_frame": 3, "frames": 4, "reel": "FILM", "tape_frame": 14, "move": 1,
 "drawings": [{"shape": "arrow", "from_x": 1, "from_y": 2, "to_x": 900, "to_y": 1000}]},
{"ident": "n2", "reviewer": "Joss", "written": "2026-11-25T12:00:00.123+02:00", "kind": "other", "taken_back": true}]}"""
BEFORE = b"a state of the document before; its history does not look into it"
LOCK = """This document is open in previs.
user: mara
machine: harbour
process: 4711
process started: 123 ticks after 00000000-0000-0000-0000-000000000000
since: 2026-11-25 10:00
"""


def _document(data: bytes, folder: Path) -> object:
    path = put(data, folder / "stair.previs")
    _naming(path, lambda: open_document(path))
    sequence = sound(open_document(path).sequence)
    text = to_text(sequence)
    if from_text(text, "again") != sequence or to_text(from_text(text, "again")) != text:
        raise Unsound("what was read is not what is read of what it is written as")
    return sequence


def _naming(path: Path, read: Callable[[], object]) -> object:
    """Let a file be read; a refusal must name it."""
    try:
        return read()
    except UseFault as fault:
        if path.name not in str(fault):
            raise Unsound(f"the refusal does not name the file: {fault}") from fault
        raise


def _standing(folder: Path) -> Path:
    """A sound document with an empty history."""
    path = folder / "stair.previs"
    path.write_bytes(seeds.document_text())
    history = history_folder(path)
    history.mkdir(exist_ok=True)
    for file in history.iterdir():
        file.unlink()
    return path


def _history(data: bytes, folder: Path) -> object:
    """A state's text in the history, with a position that leads to it."""
    path = _standing(folder)
    now, before = hashlib.sha256(seeds.document_text()).hexdigest(), hashlib.sha256(BEFORE).hexdigest()
    put(f'{{"states": ["{before}", "{now}"], "edits": ["trim"], "at": 1}}'.encode(), history_folder(path) / "position")
    put(data, history_folder(path) / f"{before}.z")
    return _undone(path)


def _undone(path: Path) -> object:
    steps_from(path, seeds.document_text().decode())
    try:
        with undo(path) as step:
            return step.text
    finally:
        if path.read_bytes() != seeds.document_text():
            raise Unsound("a damaged history changed the document")


def _position(data: bytes, folder: Path) -> object:
    path = _standing(folder)
    put(zlib.compress(BEFORE), history_folder(path) / f"{hashlib.sha256(BEFORE).hexdigest()}.z")
    for name in ("position", "coming"):
        put(data, history_folder(path) / name)
        steps_from(path, seeds.document_text().decode())
    return _undone(path)


def _positions() -> tuple[bytes, ...]:
    now, before = hashlib.sha256(seeds.document_text()).hexdigest(), hashlib.sha256(BEFORE).hexdigest()
    return tuple(f'{{"states": ["{before}", "{now}"], "edits": ["trim"], "at": {at}}}'.encode() for at in (0, 1))


def _lock(data: bytes, folder: Path) -> object:
    """A lock that is refused stays; one that is taken over goes, and the document may then be held."""
    path = folder / "held.previs"
    path.touch()
    lock = put(data, lock_path(path))
    gone = left_behind(path)
    try:
        with holding(path, "mara", "harbour", os.getpid(), datetime(2026, 11, 25, tzinfo=UTC)):
            return gone
    except Fault:
        if lock.read_bytes() != data:
            raise Unsound("a lock that was refused is another now") from None
        raise


def _locks() -> tuple[bytes, ...]:
    return (LOCK.encode(), LOCK.replace("harbour", socket.gethostname()).encode())


def _notes(data: bytes, folder: Path) -> object:
    path = put(data, folder / "mara.json")
    read = notes_from_file(path)
    return sound(all_merged(seeds.full_sequence(), [read], anyway=True).sequence)


def _pull_log(data: bytes, folder: Path) -> object:
    put(data, folder / "pulls.json")
    log = read_log(folder, "The Salt Stair")
    write_log(folder, log)
    if set(read_log(folder, "The Salt Stair").pulls) != set(log.pulls):
        raise Unsound("the log is not what it was once it is written")
    for entry in log.pulls:
        if Path(entry.name).name != entry.name or entry.version < 1:
            raise Unsound(f"a pull may be called {entry.name!r}, version {entry.version}")
    return log


def _logs() -> tuple[bytes, ...]:
    import msgspec

    entries = tuple(Entry(f"0{n}0", f"salt_stair_0{n}0_v001", 1, f"{n:032x}", True) for n in range(1, 4))
    return (msgspec.json.encode(Log("The Salt Stair", entries)),)


_PLAIN = Reader("document", _document, lambda: (seeds.document_text(),), FIELDS, worse_json)
READERS = {
    "document": _PLAIN,
    "history": Reader("history", _history, lambda: (zlib.compress(BEFORE), zlib.compress(b"x" * 10**7)), pure=False),
    "position": changed(_PLAIN, name="position", read=_position, seeds=_positions, tokens=("states", "edits", "at", '"')),
    "lock": Reader("lock", _lock, _locks, ("user: ", "process: ", "since: ", "machine: ")),
    "notes": changed(
        _PLAIN, name="notes", read=_notes, seeds=lambda: (NOTES.encode(),), tokens=(*FIELDS, "previs notes", "circle", "safety worry")
    ),
    "pull-log": changed(
        _PLAIN, name="pull-log", read=_pull_log, seeds=_logs, tokens=("code", "name", "version", "key", "treated", "../x", "/x")
    ),
}
__all__ = ["READERS", "Fault"]
