"""Undo and redo of the whole document that outlive closing it: a folder of its former texts; it saves no document itself.

`NAME.previs.history/` beside the document holds the compressed text of every state, each once, under its SHA-256, and the
small file `position`: the order of the states, what was done between them, and where the document stands. What a save
will make of that is first written beside it as `coming`. It becomes the position when the document on disk is the state
that it speaks of, and is dropped otherwise; so a program killed at any moment leaves document and history agreeing.
"""

from __future__ import annotations

import hashlib
import os
import re
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import msgspec

from previs.document.store import flush_folder, open_document, real_path
from previs.document.text import LARGEST_TEXT, from_text, to_text
from previs.faults import FULL, Fault, UseFault

_STATE = re.compile(r"[0-9a-f]{64}\.z", re.ASCII)
_POSITION, _COMING = "position", "coming"


class _Line(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """States in order, `edits[n]` being what led from state n to the next; the document stands at state `at`."""

    states: tuple[str, ...]
    edits: tuple[str, ...]
    at: int

    @property
    def standing(self) -> str:
        return self.states[self.at]


@dataclass(frozen=True, slots=True)
class Step:
    """A step back or forth: the document's text there, what is undone or redone, and how many more steps lie beyond."""

    text: str
    what: str
    more: int


def history_folder(path: Path) -> Path:
    """Where the history of a document is: a folder beside it."""
    real = real_path(path)
    return real.with_name(real.name + ".history")


@contextmanager
def record(path: Path, before_text: str, after_text: str, what: str) -> Iterator[str | None]:
    """Make the save inside this `with` a step that can be undone; when the save fails, there is none.

    `before_text` is the document on disk, `after_text` what is being saved, `what` a short description such as "trim the
    tail of shot 4 of v1". What could be redone is dropped. Yields a sentence when there was a history that could not be
    carried on, and None otherwise. The document must be held (`locks.holding`). Raises `Fault` when the folder cannot be
    written to; nothing is saved then.
    """
    if before_text == after_text:
        yield None
        return
    with _explained(path):
        folder = history_folder(path)
        folder.mkdir(exist_ok=True)
        line, remark = _line_at(path, before_text)
        if line is None:
            line = _begin_anew(folder, before_text)
        after = _keep(folder, after_text)
        coming = _Line((*line.states[: line.at + 1], after), (*line.edits[: line.at], what), line.at + 1)
        _write(folder / _COMING, msgspec.json.encode(coming))
    with _arriving(path, coming):
        yield remark


@contextmanager
def undo(path: Path) -> Iterator[Step]:
    """The step back from where the document stands; the save of its text inside this `with` makes it so.

    Raises `UseFault` when there is nothing to undo, and when the history does not lead to the document as it is now: it was
    changed by another program, or the history was deleted or damaged. The history then begins anew from the document.
    """
    with _stepping(path, -1) as step:
        yield step


@contextmanager
def redo(path: Path) -> Iterator[Step]:
    """The step forth again after `undo`; the same in every other way."""
    with _stepping(path, 1) as step:
        yield step


def steps_from(path: Path, now: str) -> tuple[str | None, str | None]:
    """What `undo` would take back and what `redo` would make again from the document's text `now`; None where nothing.

    It only looks: nothing is written, and a history that cannot be read has no steps.
    """
    folder, stamp = history_folder(path), _stamp(now)
    try:
        lines = [line for name in (_COMING, _POSITION) if (line := _read(folder / name)) and line.standing == stamp]
        if not lines:
            lines = [line for line in (_read(folder / _POSITION),) if line and _is_older_text_of(folder, line, now)]
    except OSError:
        return None, None
    if not lines:
        return None, None
    line = lines[0]
    return line.edits[line.at - 1] if line.at else None, line.edits[line.at] if line.at < len(line.edits) else None


@contextmanager
def _stepping(path: Path, by: int) -> Iterator[Step]:
    verb = "undo" if by < 0 else "redo"
    with _explained(path):
        folder, now = history_folder(path), to_text(open_document(path).sequence)
        line, remark = _line_at(path, now)
        if line is None:
            if folder.exists():
                _begin_anew(folder, now)
            raise UseFault(remark or f"There is nothing to {verb} in {path}: no edit of it was recorded yet.")
        to = line.at + by
        if not 0 <= to < len(line.states):
            reason = "this is the first state that its history has" if by < 0 else "nothing was undone since its last edit"
            raise UseFault(f"There is nothing to {verb} in {path}: {reason}.")
        text = _text_of(folder, line.states[to])
        if text is None:
            _begin_anew(folder, now)
            raise UseFault(f"The history of {path} is damaged, so there is nothing to {verb}; it begins anew from the document as it is.")
        coming = _Line(line.states, line.edits, to)
        _write(folder / _COMING, msgspec.json.encode(coming))
    with _arriving(path, coming):
        yield Step(text, line.edits[min(line.at, to)], to if by < 0 else len(line.states) - 1 - to)


@contextmanager
def _arriving(path: Path, coming: _Line) -> Iterator[None]:
    """The position is `coming` once the save inside has worked; what no state of it needs is cleared away afterwards."""
    yield
    # After a failure, here or in the save, the next program finds out which of the two the document is (`_line_at`).
    with suppress(OSError):
        folder = history_folder(path)
        (folder / _COMING).replace(folder / _POSITION)
        _clear(folder, coming)


def _line_at(path: Path, now: str) -> tuple[_Line | None, str | None]:
    """The history as it stands at the document's text `now`; or None, and a sentence when there was another one."""
    folder = history_folder(path)
    stamp = _stamp(now)
    coming = _read(folder / _COMING)
    if coming is not None and coming.standing == stamp:
        # The save that this speaks of was made, and the program killed before it could say so.
        (folder / _COMING).replace(folder / _POSITION)
        return coming, None
    (folder / _COMING).unlink(missing_ok=True)
    line = _read(folder / _POSITION)
    if line is not None and line.standing == stamp:
        return line, None
    if line is not None and _is_older_text_of(folder, line, now):
        brought_up = msgspec.structs.replace(line, states=(*line.states[: line.at], _keep(folder, now), *line.states[line.at + 1 :]))
        _write(folder / _POSITION, msgspec.json.encode(brought_up))
        return brought_up, None
    if line is not None:
        why = "was changed by something that keeps no history (another program, an older previs, or by hand)"
        return None, f"{path} {why}, so it cannot be taken back past that; its history begins anew from the document as it is."
    if folder.exists() and any(folder.iterdir()):
        return None, f"The history of {path} cannot be read, so there is nothing to take back; it begins anew from the document as it is."
    return None, None


def _is_older_text_of(folder: Path, line: _Line, now: str) -> bool:
    """Whether the document stands at the state's very value, which an older previs wrote in the layout of its time."""
    text = _text_of(folder, line.standing)
    if text is None:
        return False
    try:
        return to_text(from_text(text, "the history")) == now
    except UseFault:
        return False


def _begin_anew(folder: Path, now: str) -> _Line:
    line = _Line((_keep(folder, now),), (), 0)
    _write(folder / _POSITION, msgspec.json.encode(line))
    _clear(folder, line)
    return line


def _keep(folder: Path, text: str) -> str:
    """Put a state's text in the folder, unless it is there whole, and give its name."""
    stamp = _stamp(text)
    if _text_of(folder, stamp) is None:
        _write(folder / f"{stamp}.z", zlib.compress(_bytes(text), 6))
    return stamp


def _text_of(folder: Path, stamp: str) -> str | None:
    """The text of a state; None when it is gone or is not what it was."""
    try:
        unpacker = zlib.decompressobj()
        # A damaged file must not unpack to more than any document can be.
        content = unpacker.decompress((folder / f"{stamp}.z").read_bytes(), LARGEST_TEXT + 1)
        text = content.decode()
    except (FileNotFoundError, zlib.error, UnicodeDecodeError):
        return None
    return text if _stamp(text) == stamp else None


def _read(file: Path) -> _Line | None:
    """A position file; None when there is none or it is damaged."""
    try:
        line = msgspec.json.decode(file.read_bytes(), type=_Line)
    except (FileNotFoundError, msgspec.DecodeError, UnicodeDecodeError):
        return None
    sound = 0 <= line.at < len(line.states) == len(line.edits) + 1 and all(_STATE.fullmatch(f"{state}.z") for state in line.states)
    return line if sound else None


def _clear(folder: Path, line: _Line) -> None:
    """Remove the texts that no state of the history needs, and drafts that a killed program left."""
    needed = set(line.states)
    for file in folder.iterdir():
        if (_STATE.fullmatch(file.name) and file.stem not in needed) or file.name.endswith(".saving"):
            file.unlink(missing_ok=True)


def _write(file: Path, content: bytes) -> None:
    """Put a file in place in one step, safe on disk."""
    draft = file.with_name(f"{file.name}.saving")
    with draft.open("wb") as open_file:
        open_file.write(content)
        open_file.flush()
        os.fsync(open_file.fileno())
    draft.replace(file)
    # Else a loss of power could keep the document's new name and lose this one, and with it the way back.
    flush_folder(file.parent)


def _stamp(text: str) -> str:
    return hashlib.sha256(_bytes(text)).hexdigest()


def _bytes(text: str) -> bytes:
    # A text that holds half a character is refused by the save, in better words than an encoder's.
    return text.encode(errors="surrogatepass")


@contextmanager
def _explained(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        advice = "make room on its disk and try again" if error.errno in FULL else f"check the disk and the folder {history_folder(path)}"
        raise Fault(f"The history of {path} cannot be written ({error.strerror}), so the edit was not made; {advice}.") from error
