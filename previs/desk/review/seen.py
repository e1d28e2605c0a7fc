"""Which picture is shown of a note, what is drawn on it and what is said on it; it shows nothing; no Qt."""

from __future__ import annotations

from dataclasses import dataclass

from previs.clock import Span
from previs.desk.player.strips import CutStrip, Strip, TapeStrip
from previs.desk.words import tr
from previs.document.model import Cut, Sequence
from previs.document.notes import Drawing
from previs.review.as_given import as_given
from previs.review.note_lists import Standing


@dataclass(frozen=True, slots=True)
class Seen:
    """A strip from a frame on; on `frames` of it stand the drawings. `caption` is said on the picture, `given` tells what it is of.

    Without a strip there is no picture, and the caption says why.
    """

    strip: Strip | None
    frame: int
    frames: Span
    drawings: tuple[Drawing, ...]
    caption: str
    given: bool


def seen(sequence: Sequence, cut: Cut | None, one: Standing | None, *, given: bool) -> Seen:
    """The picture of a note: of the cut as it is now, or with `given`, and where it is homeless, the one that it was given on."""
    if one is None:
        return Seen(CutStrip(cut.name) if cut else None, 0, Span(0, 0), (), "", given=False)
    if given or one.found is None or cut is None:
        return _as_given(sequence, one)
    found, drawings = one.found, one.note.drawings
    if found.same_picture or not drawings:
        return Seen(CutStrip(cut.name), found.record.start, found.record, drawings if found.same_picture else (), "", given=False)
    caption = tr("another picture than the one that was drawn on")
    return Seen(CutStrip(cut.name), found.record.start, found.record, (), caption, given=False)


def _as_given(sequence: Sequence, one: Standing) -> Seen:
    saw = as_given(sequence, one.note)
    if saw is None:
        gone = tr("The picture that this note was given on is not in the file any more.")
        return Seen(None, 0, Span(0, 0), (), gone, given=True)
    if saw.cut:
        caption = tr("as it was given, cut {cut}", cut=saw.cut)
        return Seen(CutStrip(saw.cut), saw.frames.start, saw.frames, one.note.drawings, caption, given=True)
    caption = tr("as it was given, tape {reel}", reel=saw.reel)
    return Seen(TapeStrip(saw.reel), saw.frames.start, saw.frames, one.note.drawings, caption, given=True)
