"""What a person does about the chosen note: answers it, or goes to its shot, its move or its tape; it shows nothing."""

from __future__ import annotations

from collections.abc import Callable

from previs.desk.open_file import OpenFile, Spot, Tone
from previs.desk.review.card import NoteCard
from previs.desk.review.rows import reviewer_words
from previs.desk.words import tr
from previs.document.notes import NoteState
from previs.review.coming_back import answer_said, answered
from previs.review.note_lists import Standing


class Answers:
    """Acts on the note that `chosen` gives, with the words on its card."""

    def __init__(self, file: OpenFile, card: NoteCard, chosen: Callable[[], Standing | None]) -> None:
        self._file, self._card, self._chosen = file, card, chosen

    def done(self) -> None:
        """The note is done; what is written says how."""
        self._answer(NoteState.DONE)

    def decline(self) -> None:
        """The note is declined; what is written says why, and without it the keys go to where it is written."""
        if self._chosen() and not self._card.words:
            self._card.ask_why()
            self._file.say(tr("Write why the note is declined, then press Ctrl+Shift+Enter; the reviewer reads it on the next page."))
            return
        self._answer(NoteState.DECLINED)

    def open_again(self) -> None:
        """The note is open again."""
        self._answer(NoteState.OPEN)

    def go(self) -> None:
        """To what the note is about: the move of a hit, else the shot."""
        one = self._chosen()
        if one and one.note.move is not None:
            self.go_to_move()
        else:
            self.go_to_shot()

    def go_to_shot(self) -> None:
        """To where the note is now in the cut."""
        if (one := self._one()) is None:
            return
        if one.found is None:
            self._file.say(tr("This note is homeless: {why}.", why=one.lost), Tone.FAULT)
        else:
            self._file.go(Spot("cut", shot=one.found.shot, frame=one.found.record.start))

    def go_to_move(self) -> None:
        """To the move whose hit the note is about."""
        if (one := self._one()) is None:
            return
        move = one.note.move
        if move is None:
            self._file.say(tr("This note is about no hit."), Tone.FAULT)
        elif not any(written.number == move for written in self._file.sequence.moves):
            self._file.say(tr("Move {move} is not in the fight any more.", move=move), Tone.FAULT)
        else:
            self._file.go(Spot("fight", move=move))

    def go_to_tape(self) -> None:
        """To the frame of the tape that the reviewer saw."""
        if (one := self._one()) is None:
            return
        note = one.note
        if note.tape_frame is None or not any(tape.reel == note.reel for tape in self._file.sequence.tapes):
            self._file.say(tr("The tape that this note was given on is not in the file."), Tone.FAULT)
        else:
            self._file.go(Spot("log", reel=note.reel, frame=note.tape_frame))

    def _answer(self, state: NoteState) -> None:
        if (one := self._one()) is None:
            return
        note, words = one.note, self._card.words
        if not self._file.edit(lambda now: answered(now, note.ident, state, words), answer_said(note, state)):
            return
        if state is not NoteState.OPEN:
            self._card.forget(note.ident)
        self._file.say(tr("The note of {reviewer} is {state} now.", reviewer=reviewer_words(note.reviewer), state=state.value))

    def _one(self) -> Standing | None:
        if self._chosen() is None:
            self._file.say(tr("Choose a note first."), Tone.FAULT)
        return self._chosen()
