"""Notes as the review page makes them, for tests: of any frame of a cut, with what was on screen there."""

from __future__ import annotations

import json
from typing import Any

from previs.cut.placing import Placed, place
from previs.document.model import Cut, Sequence
from previs.document.notes import Note, NoteKind


def note_at(value: Sequence, cut: Cut, frame: int, ident: str = "n1", **more: object) -> Note:
    """A note at a record frame: on the shot whose own frame it is, with the tape frame that the shot shows there."""
    one = next(one for one in place(value, cut) if one.record.holds(frame))
    return on_shot(cut, one, frame, ident, **more)


def on_shot(cut: Cut, one: Placed, frame: int, ident: str = "n1", **more: object) -> Note:
    """A note at a record frame on this shot, which may play on there under the transition into the next."""
    given: dict[str, object] = {
        "ident": ident,
        "cut": cut.name,
        "reviewer": "Mara",
        "written": "2026-11-25T10:00:00Z",
        "kind": NoteKind.OTHER,
        "shot": one.shot.ident,
        "first_frame": frame,
    }
    if one.source is not None:
        given |= {"reel": one.source.tape.reel, "tape_frame": one.source.frame(frame - one.record.start)}
    return Note(**(given | more))  # type: ignore[arg-type]


def file_text(title: str, cut: str, notes: tuple[Note, ...]) -> bytes:
    """The file that the page saves, written here field by field; what became of a note is not in it."""
    return json.dumps(
        {"document": "previs notes", "schema": 1, "sequence": title, "cut": cut, "notes": [written(note) for note in notes]}
    ).encode()


def written(note: Note) -> dict[str, Any]:
    """One note as the page writes it."""
    record: dict[str, Any] = {
        "ident": note.ident,
        "reviewer": note.reviewer,
        "written": note.written,
        "kind": note.kind.value,
        "text": note.text,
        "shot": note.shot,
        "first_frame": note.first_frame,
        "frames": note.frames,
        "reel": note.reel,
        "drawings": [
            {"shape": one.shape.value, "from_x": one.from_x, "from_y": one.from_y, "to_x": one.to_x, "to_y": one.to_y}
            for one in note.drawings
        ],
    }
    if note.tape_frame is not None:
        record["tape_frame"] = note.tape_frame
    if note.move is not None:
        record["move"] = note.move
    return record
