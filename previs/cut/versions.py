"""The cuts of a sequence as versions of it: copy, name, delete; what is in a cut is not its business."""

from __future__ import annotations

import re

from msgspec.structs import replace as changed

from previs.document.model import Sequence
from previs.faults import UseFault


def copy_cut(sequence: Sequence, name: str, new_name: str) -> Sequence:
    """The sequence with a copy of a cut as its newest; shots keep their idents, so that the two can be compared.

    Raises `UseFault` when there is no such cut, or the new name is empty or taken.
    """
    cut = sequence.cut(name)
    _refuse_taken(sequence, new_name)
    return changed(sequence, cuts=(*sequence.cuts, changed(cut, name=new_name)))


def rename_cut(sequence: Sequence, name: str, new_name: str) -> Sequence:
    """The sequence with a cut under another name, in its old place, and with the notes on it under that name too.

    Raises `UseFault` as `copy_cut` does.
    """
    cut = sequence.cut(name)
    _refuse_taken(sequence, new_name)
    cuts = tuple(changed(one, name=new_name) if one is cut else one for one in sequence.cuts)
    notes = tuple(changed(note, cut=new_name) if note.cut == name else note for note in sequence.notes)
    return changed(sequence, cuts=cuts, notes=notes, newest_number=highest_number(sequence))


def delete_cut(sequence: Sequence, name: str) -> Sequence:
    """The sequence without a cut; raises `UseFault` when there is no such cut."""
    cut = sequence.cut(name)
    cuts = tuple(one for one in sequence.cuts if one is not cut)
    return changed(sequence, cuts=cuts, newest_number=highest_number(sequence))


def highest_number(sequence: Sequence) -> int:
    """The highest n of the cuts that are or ever were named vn."""
    named = (re.fullmatch(r"v(\d{1,6})", cut.name, re.ASCII) for cut in sequence.cuts)
    return max([sequence.newest_number, *(int(match[1]) for match in named if match)])


def _refuse_taken(sequence: Sequence, name: str) -> None:
    if not name.strip():
        raise UseFault("A cut needs a name; give one such as v2.")
    if any(cut.name == name for cut in sequence.cuts):
        raise UseFault(f"There is a cut named '{name}' already; give another name.")
