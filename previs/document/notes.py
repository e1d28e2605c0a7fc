"""Reviewers' notes as values of the document; where a note is in a later version is `review`'s business."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum

from previs.document.value import Value


class NoteKind(StrEnum):
    """What a reviewer asks for."""

    LONGER = "longer"
    SHORTER = "shorter"
    ANGLE = "another angle"
    STORY = "more story"
    UNCLEAR = "unclear hit"
    SAFETY = "safety worry"
    OTHER = "other"


class NoteState(StrEnum):
    """What became of a note."""

    OPEN = "open"
    DONE = "done"
    DECLINED = "declined"
    TAKEN_BACK = "taken back"
    """By its reviewer, who deleted it after a file with it was saved; it is kept, so that an older file does not bring it again."""


class Shape(StrEnum):
    """What a reviewer can draw on a frame."""

    CIRCLE = "circle"
    ARROW = "arrow"


class Drawing(Value, frozen=True):
    """A circle or an arrow on the picture, from one point to another, in thousandths of its width and height from top left.

    A circle fills the box between the two points; an arrow points to the second.
    """

    shape: Shape
    from_x: int
    from_y: int
    to_x: int
    to_y: int


class Note(Value, frozen=True):
    """What a reviewer said of one version of the cut.

    `ident` is unique and never changes, whatever file brings the note. `first_frame` and `frames` are record frames of
    cut `cut` as it was shown; `shot` is the ident of the shot it is about, empty for the cut as a whole. `reel` and
    `tape_frame`, a frame of the tape's grid, say what was on screen at `first_frame`, when it was a tape: by them the note
    finds its frames again in a later version. `move` is set for a note about a hit. `written` is a moment in ISO 8601 with
    its time zone.
    """

    ident: str
    cut: str
    reviewer: str
    written: str
    kind: NoteKind
    text: str = ""
    shot: str = ""
    first_frame: int = 0
    frames: int = 1
    reel: str = ""
    tape_frame: int | None = None
    move: int | None = None
    drawings: tuple[Drawing, ...] = ()
    state: NoteState = NoteState.OPEN
    answer: str = ""

    @property
    def moment(self) -> datetime:
        """When it was written, to compare by; raises `ValueError` for what is no such moment."""
        return moment_of(self.written)


def moment_of(written: str) -> datetime:
    """An ISO 8601 moment with its time zone; raises `ValueError` for anything else."""
    moment = datetime.fromisoformat(written)
    if moment.tzinfo is None:
        raise ValueError("a moment needs its time zone")
    return moment
