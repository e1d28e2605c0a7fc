"""Notes as the review page makes them, for tests: of any frame of a cut, with what was on screen there."""

from __future__ import annotations

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
