"""A reviewer's notes as the JSON text that the review page saves, read strictly; pure text, no files."""

from __future__ import annotations

from typing import Annotated, Any

import msgspec

from previs.document.notes import Drawing, Note, NoteKind, NoteState, Shape
from previs.faults import UseFault

LARGEST_BYTES = 10 * 1024 * 1024
MOST_NOTES, MOST_DRAWINGS, LONGEST_TEXT, LONGEST_NAME = 5_000, 50, 10_000, 200
"""Limits of ours, far above what a person writes on one cut."""

_MARK, _SCHEMA = "previs notes", 1
_MOST_FRAMES = 10**9

_Name = Annotated[str, msgspec.Meta(max_length=LONGEST_NAME)]
_Count = Annotated[int, msgspec.Meta(ge=0, le=_MOST_FRAMES)]
_Thousandths = Annotated[int, msgspec.Meta(ge=0, le=1000)]


class _Drawn(msgspec.Struct, forbid_unknown_fields=True):
    shape: Shape
    from_x: _Thousandths
    from_y: _Thousandths
    to_x: _Thousandths
    to_y: _Thousandths


class _Written(msgspec.Struct, forbid_unknown_fields=True):
    ident: Annotated[str, msgspec.Meta(pattern=r"^[A-Za-z0-9_-]{1,64}$")]
    reviewer: _Name
    written: Annotated[str, msgspec.Meta(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?(Z|[+-]\d\d:\d\d)$")]
    kind: NoteKind
    text: Annotated[str, msgspec.Meta(max_length=LONGEST_TEXT)] = ""
    shot: _Name = ""
    first_frame: _Count = 0
    frames: Annotated[int, msgspec.Meta(ge=1, le=_MOST_FRAMES)] = 1
    reel: _Name = ""
    tape_frame: _Count | None = None
    move: _Count | None = None
    drawings: Annotated[list[_Drawn], msgspec.Meta(max_length=MOST_DRAWINGS)] = []


class _File(msgspec.Struct, forbid_unknown_fields=True):
    document: str
    schema: int
    sequence: Annotated[str, msgspec.Meta(max_length=10_000)]
    cut: _Name
    notes: Annotated[list[_Written], msgspec.Meta(max_length=MOST_NOTES)]


class NotesRead(msgspec.Struct, frozen=True):
    """What a notes file holds: the title and the version that it was made on, and its notes, all open."""

    title: str
    cut: str
    notes: tuple[Note, ...]


def notes_from_text(content: bytes, where: str) -> NotesRead:
    """The notes of a file; `where` is the file as the person knows it. Raises `UseFault` for anything else than such a file."""
    if len(content) > LARGEST_BYTES:
        raise UseFault(f"{where} is larger than {LARGEST_BYTES // 1024**2} MB, which no notes are; open the file that the page saved.")
    raw = _raw(content, where)
    if not isinstance(raw, dict) or raw.get("document") != _MARK:
        raise UseFault(f"{where} is no notes file of a review page (it does not say so); open the file that the page saved.")
    if raw.get("schema") != _SCHEMA:
        raise UseFault(f"{where} was saved by a page of another previs (schema {raw.get('schema')!r:.20}, not {_SCHEMA}); save it again.")
    try:
        read = msgspec.convert(raw, _File)
    except msgspec.ValidationError as error:
        reason, _, place = str(error).partition(" - at ")
        raise UseFault(f"{where} is damaged at {place.strip('`') or 'its beginning'}: {reason}; let the reviewer save it again.") from error
    idents = [note.ident for note in read.notes]
    if twice := next((ident for ident in idents if idents.count(ident) > 1), None) if len(set(idents)) < len(idents) else None:
        raise UseFault(f"{where} has the note {twice} twice; let the reviewer save it again.")
    return NotesRead(read.sequence, read.cut, tuple(_note(one, read.cut) for one in read.notes))


def notes_to_text(title: str, cut: str, notes: tuple[Note, ...]) -> str:
    """The file's text for these notes of one version, as the page writes it; what became of them is not in it."""
    listed = [
        {
            name: value
            for name, value in msgspec.to_builtins(note).items()
            if name not in ("cut", "state", "answer") and value not in (None, [], "")
        }
        for note in notes
    ]
    for one in listed:
        one.setdefault("reviewer", "")
    return msgspec.json.format(
        msgspec.json.encode({"document": _MARK, "schema": _SCHEMA, "sequence": title, "cut": cut, "notes": listed}), indent=1
    ).decode()


def _raw(content: bytes, where: str) -> Any:
    try:
        return msgspec.json.decode(content)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise UseFault(f"{where} is no JSON text ({error}); open the file that the review page saved.") from error


def _note(one: _Written, cut: str) -> Note:
    return Note(
        ident=one.ident,
        cut=cut,
        reviewer=one.reviewer.strip(),
        written=one.written,
        kind=one.kind,
        text=one.text,
        shot=one.shot,
        first_frame=one.first_frame,
        frames=one.frames,
        reel=one.reel,
        tape_frame=one.tape_frame,
        move=one.move,
        drawings=tuple(Drawing(drawn.shape, drawn.from_x, drawn.from_y, drawn.to_x, drawn.to_y) for drawn in one.drawings),
        state=NoteState.OPEN,
    )
