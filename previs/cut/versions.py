"""The cuts of a sequence as versions of it: copy, name, delete; what is in a cut is not its business."""

from __future__ import annotations

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
    """The sequence with a cut under another name, in its old place; raises `UseFault` as `copy_cut` does."""
    cut = sequence.cut(name)
    _refuse_taken(sequence, new_name)
    return changed(sequence, cuts=tuple(changed(one, name=new_name) if one is cut else one for one in sequence.cuts))


def delete_cut(sequence: Sequence, name: str) -> Sequence:
    """The sequence without a cut; raises `UseFault` when there is no such cut."""
    cut = sequence.cut(name)
    return changed(sequence, cuts=tuple(one for one in sequence.cuts if one is not cut))


def _refuse_taken(sequence: Sequence, name: str) -> None:
    if not name.strip():
        raise UseFault("A cut needs a name; give one such as v2.")
    if any(cut.name == name for cut in sequence.cuts):
        raise UseFault(f"There is a cut named '{name}' already; give another name.")
