"""Which tape of the sequence a reel or a clip name of a foreign list means; it reads no list and makes no cut.

In this order: the name that the person gave it; the list's own reel table (`* REEL A1 = TAPE ...`); the reel that an edit
list of this sequence would give a tape; a tape's reel name. Then, each said in a remark: the reel without a file ending; the
clip name as the file name of a tape, as a reel, or as a take; the beginning of the reel or the clip name, where one tape
alone is meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import PurePath

from previs.clock import Timebase
from previs.cut.source_time import work_copy_start
from previs.document.model import Sequence, Tape
from previs.exchange.plain import plain
from previs.exchange.reels import reel_table
from previs.faults import UseFault

_ROW = re.compile(r"REEL (\S{1,8}) = TAPE (.{1,8}), STARTS .*, HERE (\d\d:\d\d:\d\d[:;]\d\d), FILE", re.ASCII)
_ENDING = re.compile(r"\.[A-Za-z0-9]{2,4}$", re.ASCII)
_LEAST_OF_A_NAME = 6
"""Characters of a name that was cut off: reels of classic lists are cut to 7 or 8, and fewer would fit by chance."""


@dataclass(frozen=True, slots=True)
class Recognised:
    """The tape, the frame of the day that its source times count from, and how it was guessed, empty for a sure one."""

    tape: Tape
    starts: int
    guess: str = ""


def given_names(sequence: Sequence, pairs: Iterable[str]) -> dict[str, str]:
    """`LISTNAME=REEL`, as a person gives them, as reels in the list (in capitals) to tapes; raises `UseFault`."""
    found: dict[str, str] = {}
    for pair in pairs:
        in_list, equals, reel = (part.strip() for part in pair.partition("="))
        if not (in_list and equals and reel):
            raise UseFault(f"'{pair}' does not say which tape a reel is; write it as LISTNAME=REEL, such as AX=SSB02.")
        found[in_list.upper()] = sequence.tape(reel).reel
    return found


class TapesInLists:
    """What reels and clip names mean in this sequence."""

    def __init__(self, sequence: Sequence, comments: Iterable[str], timebase: Timebase, given: Mapping[str, str]) -> None:
        """`comments` are all comments of the lists, whole; `given` is as `given_names` makes it."""
        self._timebase = timebase
        self._tapes = sequence.tapes
        self._takes = [(plain(take.name), take.reel) for take in sequence.takes]
        self._sure = {tape.reel.upper(): self._counted(tape) for tape in sequence.tapes}
        self._sure |= {row.in_list: self._counted(row.tape) for row in reel_table(sequence)}
        by_name = {plain(tape.reel): tape for tape in sequence.tapes}
        for row in filter(None, map(_ROW.match, comments)):
            if row[2] in by_name:
                self._sure[row[1].upper()] = Recognised(by_name[row[2]], timebase.frame(row[3]))
        self._sure |= {in_list: self._counted(sequence.tape(reel)) for in_list, reel in given.items()}
        self._given = given

    def is_given(self, reel: str) -> bool:
        """Whether the person said what tape this reel is."""
        return reel.upper() in self._given

    def find(self, reel: str, clip: str) -> Recognised | None:
        """The tape of an event with this reel and this clip name, or None."""
        sure = self._sure.get(reel.upper())
        if sure is not None:
            return sure
        for tapes, guess in self._guesses(reel, clip):
            reels = {tape.reel: tape for tape in tapes}
            if len(reels) == 1:
                return self._counted(next(iter(reels.values())), guess)
        return None

    def _counted(self, tape: Tape, guess: str = "") -> Recognised:
        return Recognised(tape, work_copy_start(tape, self._timebase), guess)

    def _guesses(self, reel: str, clip: str) -> Iterator[tuple[list[Tape], str]]:
        bare = _ENDING.sub("", reel)
        if bare != reel and (sure := self._sure.get(bare.upper())):
            yield [sure.tape], "its name without the file ending"
        if clip:
            named = clip.casefold()
            yield [tape for tape in self._tapes if PurePath(tape.path).name.casefold() == named], f"the file name {clip}"
            if sure := self._sure.get(_ENDING.sub("", clip).upper()):
                yield [sure.tape], f"the clip name {clip}"
            of_takes = {reel for take, reel in self._takes if take == clip}
            yield [tape for tape in self._tapes if tape.reel in of_takes], f"the take {clip}"
        for name in filter(None, (bare, _ENDING.sub("", clip))):
            yield [tape for tape in self._tapes if _begins(name, tape)], f"the beginning of the name {name}"


def _begins(name: str, tape: Tape) -> bool:
    """Whether one name is a longer form of the other: with more words behind it, or cut off."""
    name = name.casefold()
    for own in (tape.reel.casefold(), PurePath(tape.path).stem.casefold()):
        longer = name.startswith(own) and not name[len(own) :][:1].isalnum()
        if longer or (len(name) >= _LEAST_OF_A_NAME and own.startswith(name)):
            return True
    return False
