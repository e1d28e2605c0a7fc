"""How the pulls that a folder holds stand to a cut: what a look at them tells before anything is made; it makes nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from previs.cut.codes import with_codes
from previs.cut.placing import place, treatments_seen
from previs.document.model import Cut, Sequence
from previs.handoff.pull_files import Wanted, pulls_due
from previs.handoff.pull_log import Planned, State


class Stands(StrEnum):
    """How one treated shot's pull stands to the cut."""

    NOT_PULLED = "not pulled"
    AS_CUT = "as in the cut"
    OUT_OF_DATE = "out of date"
    GONE = "files gone"


@dataclass(frozen=True, slots=True)
class Standing:
    """The pulls of the treated shots by number in the cut, each with the version there is, and those that the cut does not want."""

    pulls: Mapping[int, tuple[Stands, int]]
    fell_out: tuple[str, ...]


def standing(sequence: Sequence, cut: Cut, folder: Path) -> Standing:
    """How the folder's pulls stand to a cut, coded or not; raises `Fault` where the folder cannot be read or is another sequence's."""
    if not treatments_seen(sequence, place(sequence, cut)):
        return Standing({}, ())
    coded = with_codes(sequence, cut.name)
    due = pulls_due(coded, coded.cut(cut.name), folder, Wanted())
    pulls = {one.pull.placed.number: _stands(one, folder) for one in due.planned}
    return Standing(pulls, tuple(entry.name for entry in due.fell_out))


def _stands(one: Planned, folder: Path) -> tuple[Stands, int]:
    if one.state is State.NEW:
        return Stands.NOT_PULLED, 0
    if one.old is not None:
        return Stands.OUT_OF_DATE, one.old.version
    there = any((folder / f"{one.entry.name}{ending}").exists() for ending in (".mov", ".mp4", ""))
    return (Stands.AS_CUT if there else Stands.GONE), one.entry.version
