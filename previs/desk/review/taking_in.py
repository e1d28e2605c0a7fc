"""Reviewers' files taken in: read in the background, merged as one edit, and told in one sentence."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from previs.cut.wording import counted
from previs.desk.open_file import OpenFile, Tone
from previs.desk.review.rows import reviewer_words
from previs.desk.words import tr
from previs.document.model import Cut, Sequence
from previs.faults import Fault, UseFault
from previs.review.coming_back import ForeignNotes, Merged, all_merged
from previs.review.note_lists import Standing, of_these, safety_first, standing
from previs.review.notes_file import NotesRead, notes_from_file

_MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Came:
    """What some files bring: the files as they were read, what that makes of the document, and the notes they have."""

    read: tuple[NotesRead, ...]
    merged: Merged
    notes: tuple[Standing, ...]


class TakingIn:
    """Takes notes into one open file. `ask_anyway` is given why notes are refused, and says whether they are wanted all the same;
    `came` is given the ident of the note to look at first.
    """

    def __init__(self, file: OpenFile, ask_anyway: Callable[[str], bool], came: Callable[[str], None]) -> None:
        self._file, self._ask_anyway, self._came = file, ask_anyway, came

    def take_in(self, paths: tuple[Path, ...], *, anyway: bool = False) -> None:
        """Take in all of these files, or none of them."""
        sequence, cut = self._file.sequence, self._file.cut

        def read(_report: object) -> Came | ForeignNotes:
            try:
                return came(sequence, cut, tuple(notes_from_file(path) for path in paths), anyway=anyway)
            except ForeignNotes as fault:
                return fault
            except Fault as fault:
                if len(paths) == 1:
                    raise
                raise UseFault(tr("None of the {number} files was taken in: {fault}", number=len(paths), fault=fault)) from fault

        def then(brought: Came | ForeignNotes) -> None:
            if isinstance(brought, ForeignNotes):
                self._refused(paths, brought)
            else:
                self._merge(brought, cut, anyway=anyway)

        self._file.do(tr("Taking in notes"), read, then)

    def _refused(self, paths: tuple[Path, ...], why: ForeignNotes) -> None:
        if self._ask_anyway(str(why)):
            self.take_in(paths, anyway=True)
        else:
            self._file.say(str(why), Tone.FAULT)

    def _merge(self, brought: Came, cut: Cut | None, *, anyway: bool) -> None:
        merged = brought.merged
        if merged.new or merged.changed:
            # Merged again, as something may have been edited meanwhile.
            what = f"take in {counted(len(merged.new) + len(merged.changed), 'note')}"
            if not self._file.edit(lambda now: all_merged(now, brought.read, anyway=anyway).sequence, what):
                return
        self._file.say(came_told(brought, cut))
        news = safety_first(of_these(brought.notes, (*merged.new, *merged.changed)))
        if first := (news or brought.notes)[:1]:
            self._came(first[0].note.ident)


def came(sequence: Sequence, cut: Cut | None, read: tuple[NotesRead, ...], *, anyway: bool = False) -> Came:
    """What files bring. Raises `ForeignNotes` as `all_merged` does."""
    merged = all_merged(sequence, read, anyway=anyway)
    brought = {note.ident for one in read for note in one.notes}
    return Came(read, merged, of_these(standing(merged.sequence, cut), brought))


def came_told(brought: Came, cut: Cut | None) -> str:
    """What came, in one sentence."""
    if not brought.notes:
        return tr("There was no note in it.")
    new, changed, known = brought.merged.new, brought.merged.changed, brought.merged.known
    counts = {"new": counted(len(new), "note"), "changed": len(changed), "known": len(known), "who": _who(brought.notes)}
    if cut is None:
        return tr("From {who}: {new} new, {changed} written again, {known} known already.", **counts)
    homeless = sum(one.found is None for one in brought.notes)
    return tr(
        "From {who}: {new} new, {changed} written again, {known} known already; {homeless} homeless in cut {cut}.",
        **counts,
        homeless=homeless,
        cut=cut.name,
    )


def _who(notes: tuple[Standing, ...]) -> str:
    names = [reviewer_words(name) for name in sorted({one.note.reviewer for one in notes})]
    named = ", ".join(names[:_MOST_NAMED])
    return named if len(names) <= _MOST_NAMED else tr("{named} and {more} more", named=named, more=len(names) - _MOST_NAMED)
