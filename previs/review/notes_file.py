"""A reviewer's notes as the JSON file that the review page saves, read strictly: a sound one whole, any other not at all."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Annotated, Any, NoReturn

import msgspec

from previs.document.notes import Drawing, Note, NoteKind, NoteState, Shape, moment_of
from previs.faults import UseFault

LARGEST_BYTES = 10 * 1024 * 1024
MOST_NOTES, MOST_DRAWINGS, LONGEST_TEXT, LONGEST_NAME = 5_000, 50, 10_000, 200
"""Limits of ours, far above what a person writes on one cut."""

_MARK, _SCHEMA = "previs notes", 1
_MOST_FRAMES = 10**9
_MOMENT = r"\A[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{1,6})?(Z|[+-][0-9]{2}:[0-9]{2})\Z"
_LONGEST_REASON = 160
_WAY_OUT = "let the reviewer save it again"

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
    ident: Annotated[str, msgspec.Meta(pattern=r"\A[A-Za-z0-9_-]{1,64}\Z")]
    reviewer: _Name
    written: Annotated[str, msgspec.Meta(pattern=_MOMENT)]
    kind: NoteKind
    text: Annotated[str, msgspec.Meta(max_length=LONGEST_TEXT)] = ""
    shot: _Name = ""
    first_frame: _Count = 0
    frames: Annotated[int, msgspec.Meta(ge=1, le=_MOST_FRAMES)] = 1
    reel: _Name = ""
    tape_frame: _Count | None = None
    move: _Count | None = None
    drawings: Annotated[list[_Drawn], msgspec.Meta(max_length=MOST_DRAWINGS)] = []
    taken_back: bool = False


class _File(msgspec.Struct, forbid_unknown_fields=True):
    document: str
    schema: int
    sequence: Annotated[str, msgspec.Meta(max_length=10_000)]
    cut: _Name
    notes: Annotated[list[_Written], msgspec.Meta(max_length=MOST_NOTES)]


class NotesRead(msgspec.Struct, frozen=True):
    """What a notes file holds: the title and the version that it was made on, and its notes, open or taken back."""

    title: str
    cut: str
    notes: tuple[Note, ...]


def notes_from_file(path: Path) -> NotesRead:
    """The notes of a file. Raises `UseFault` for a file that is not there or cannot be read, and as `notes_from_text` does."""
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise UseFault(f"{path} cannot be read ({error.strerror}); name the file that the review page saved.") from error
    return notes_from_text(content, str(path))


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
        raise UseFault(
            f"{where} is damaged at {_short(place) or 'its beginning'}: {_short(reason[0].lower() + reason[1:])}; {_WAY_OUT}."
        ) from error
    except UnicodeEncodeError as error:
        raise UseFault(f"{where} is damaged: the name of a field or a kind in it holds half a character; {_WAY_OUT}.") from error
    for number, note in enumerate(read.notes, start=1):
        try:
            moment_of(note.written)
        except ValueError:
            raise UseFault(f"{where} is damaged: note {number} was written at {note.written}, which never was; {_WAY_OUT}.") from None
    if twice := next((ident for ident, times in Counter(note.ident for note in read.notes).items() if times > 1), None):
        raise UseFault(f"{where} has the note {twice} twice; {_WAY_OUT}.")
    return NotesRead(_whole(read.sequence), _whole(read.cut), tuple(_note(one, _whole(read.cut)) for one in read.notes))


def _raw(content: bytes, where: str) -> Any:
    """The plain values of the JSON text; a number or a record that says two things at once is refused."""
    try:
        return json.loads(content.decode("utf-8-sig"), object_pairs_hook=_record, parse_constant=_no_number)
    except RecursionError as error:
        raise UseFault(f"{where} is no notes file: its records are nested too deep; open the file that the page saved.") from error
    except ValueError as error:
        raise UseFault(f"{where} is no JSON text ({_short(str(error))}); open the file that the page saved.") from error


def _record(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    record = dict(pairs)
    if len(record) < len(pairs):
        raise ValueError("a record has a field twice")
    return record


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number")


def _short(words: str) -> str:
    """Something of the library's words on one line, without what a hostile file may have put into them."""
    plain = "".join(letter if letter.isprintable() else " " for letter in words.replace("`", ""))
    return plain if len(plain) <= _LONGEST_REASON else f"{plain[:_LONGEST_REASON]} ..."


def _whole(text: str) -> str:
    """The text with a sign for every half character, which a browser leaves where a limit cut a sign in two."""
    return text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def _note(one: _Written, cut: str) -> Note:
    return Note(
        ident=one.ident,
        cut=cut,
        reviewer=_whole(one.reviewer).strip(),
        written=one.written,
        kind=one.kind,
        text=_whole(one.text),
        shot=_whole(one.shot),
        first_frame=one.first_frame,
        frames=one.frames,
        reel=_whole(one.reel),
        tape_frame=one.tape_frame,
        move=one.move,
        drawings=tuple(Drawing(drawn.shape, drawn.from_x, drawn.from_y, drawn.to_x, drawn.to_y) for drawn in one.drawings),
        state=NoteState.TAKEN_BACK if one.taken_back else NoteState.OPEN,
    )
