"""What a note was about when it was given: in words, and the picture that its reviewer saw, where the file still has it."""

from __future__ import annotations

from dataclasses import dataclass

from previs.clock import Span
from previs.cut.placing import place
from previs.cut.wording import counted
from previs.document.invariants import usable_grid_frames
from previs.document.model import Cut, Sequence
from previs.document.notes import Note
from previs.exchange.lists import record_label, tape_label
from previs.review.whereabouts import own_frame


@dataclass(frozen=True, slots=True)
class Given:
    """The frames that a reviewer saw: record frames of the cut of this name, or frames of this tape's grid; the other one is empty."""

    cut: str
    reel: str
    frames: Span


def as_given(sequence: Sequence, note: Note) -> Given | None:
    """What the reviewer saw: in the cut while that shows it there still, else on the tape; None when both are gone."""
    made_on = next((cut for cut in sequence.cuts if cut.name == note.cut), None)
    if made_on is not None and _shows(sequence, made_on, note):
        frames = Span(0, made_on.frames) if not note.shot else Span(note.first_frame, min(note.first_frame + note.frames, made_on.frames))
        return Given(made_on.name, "", frames)
    tape = next((tape for tape in sequence.tapes if tape.reel == note.reel), None)
    if tape is None or note.tape_frame is None or note.tape_frame >= usable_grid_frames(tape, sequence.timebase.rate.fps):
        return None
    return Given("", note.reel, Span(note.tape_frame, note.tape_frame + 1))


def about(sequence: Sequence, note: Note) -> str:
    """What a note was given on: the whole cut, a hit, or a record time code of its cut."""
    if not note.shot:
        return "the whole cut"
    move = next((move for move in sequence.moves if move.number == note.move), None)
    if note.move is not None:
        return f"the hit of move {note.move}{f', {move.label}' if move else ''}"
    begins = record_label(sequence, note.first_frame)
    return begins if note.frames == 1 else f"{begins}, {counted(note.frames, 'frame')}"


def why_homeless(sequence: Sequence, cut: Cut | None, note: Note) -> str:
    """Why a note that was looked for in a cut was not found: what it was given on, and that nothing of it is there."""
    if cut is None:
        return "there is no cut to look in"
    if not note.shot:
        return f"cut {cut.name} has no frames"
    gone = [_picture_gone(sequence, cut, note)]
    if note.move is not None:
        gone.append(f"move {note.move} is not seen")
    made_on = next((one for one in sequence.cuts if one.name == note.cut), None)
    number = next((at for at, shot in enumerate(made_on.shots, start=1) if shot.ident == note.shot), None) if made_on else None
    gone.append(f"shot {number} of {note.cut} is not in it" if number else f"cut {note.cut} has its shot no more")
    return f"{', '.join(gone[:-1])}, and {gone[-1]}"


def _picture_gone(sequence: Sequence, cut: Cut, note: Note) -> str:
    if note.tape_frame is None:
        return f"its card is not in {cut.name}"
    tape = next((tape for tape in sequence.tapes if tape.reel == note.reel), None)
    if tape is None:
        return f"tape {note.reel} is not in the file"
    return f"{cut.name} does not show tape {note.reel} at {tape_label(tape, note.tape_frame / sequence.timebase.rate.fps)}"


def _shows(sequence: Sequence, cut: Cut, note: Note) -> bool:
    if not note.shot:
        return cut.frames > 0
    own = next((one for one in place(sequence, cut) if one.shot.ident == note.shot), None)
    return own is not None and own_frame(own, note) is not None
