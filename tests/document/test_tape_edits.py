"""A tape under another name, or gone: everything that lies on it goes along or holds it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from previs.document.invariants import faults_in
from previs.document.model import Flight, HeadBox, Sequence, Sync, Tape
from previs.document.tape_edits import remove, rename
from previs.faults import UseFault


def sequence_with(**marks: object) -> Sequence:
    tapes = tuple(Tape(reel, f"{reel}.mp4", reel * 16, "24", 100, Fraction(100, 24), 640, 360, "h264") for reel in ("ONE", "TWO"))
    return Sequence("Stair", "24", 86400, 100, tapes=tapes, **marks)  # type: ignore[arg-type]


def test_what_was_found_and_measured_on_a_tape_goes_along_with_its_name() -> None:
    syncs = (Sync("ONE", "ONE", Fraction(0)), Sync("TWO", "ONE", Fraction(1)))
    heads = (HeadBox("ONE", "Odile", Fraction(1), 10, 10, 20, 30),)
    flights = (Flight("ONE", "Odile", Fraction(1), Fraction(2)),)
    after = rename(sequence_with(syncs=syncs, heads=heads, flights=flights), "ONE", "first")
    assert [one.reel for one in after.syncs] == ["FIRST", "TWO"]
    assert (after.heads[0].reel, after.flights[0].reel) == ("FIRST", "FIRST")
    assert not [one for one in faults_in(after) if "reel name" in str(one)]


def test_a_tape_that_is_removed_takes_along_with_whom_it_ran_and_stays_for_what_was_measured() -> None:
    syncs = (Sync("ONE", "ONE", Fraction(0)), Sync("TWO", "ONE", Fraction(1)))
    after = remove(sequence_with(syncs=syncs), "ONE")
    assert ([one.reel for one in after.tapes], after.syncs) == (["TWO"], ())
    with pytest.raises(UseFault, match="1 of its heads and 1 of its flights"):
        marks = {
            "heads": (HeadBox("ONE", "Odile", Fraction(1), 10, 10, 20, 30),),
            "flights": (Flight("ONE", "O", Fraction(1), Fraction(2)),),
        }
        remove(sequence_with(**marks), "ONE")
