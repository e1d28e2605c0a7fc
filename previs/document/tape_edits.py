"""Corrections of one tape of a sequence: its camera, reel name and time code, or taking it out; pure, it opens no tape."""

from __future__ import annotations

import re
from collections import Counter
from typing import TypeVar

from msgspec.structs import replace

from previs.clock import Timebase
from previs.document.model import Flight, HeadBox, Sequence, Sync, Take, Tape, Treatment
from previs.faults import UseFault

RESERVED_REELS = frozenset({"AX", "BL", "BLACK", "BARS"})
"""What edit lists keep for themselves."""
OnTape = TypeVar("OnTape", Take, Treatment, Sync, HeadBox, Flight)
_REEL = re.compile(r"[A-Z0-9_]{1,8}", re.ASCII)


def legal_reel(reel: str, taken: frozenset[str]) -> str:
    """The reel name in capitals; raises `UseFault` when an edit list could not have it, or another tape has it."""
    wanted = reel.strip().upper()
    if not _REEL.fullmatch(wanted) or wanted in RESERVED_REELS:
        raise UseFault(
            f"'{reel}' cannot be a reel name: 1 to 8 of A-Z, 0-9 and _, and none of {', '.join(sorted(RESERVED_REELS))}, "
            "which edit lists keep for themselves."
        )
    if wanted.casefold() in {one.casefold() for one in taken}:
        raise UseFault(f"There is a tape with reel name {wanted} already; choose another.")
    return wanted


def set_camera(sequence: Sequence, reel: str, camera: str) -> Sequence:
    """The sequence with another camera for a tape; takes keep the camera that their table says."""
    return _with(sequence, reel, replace(sequence.tape(reel), camera=camera.strip()))


def set_start(sequence: Sequence, reel: str, label: str) -> Sequence:
    """The sequence with another time code of a tape's first picture.

    Marks are kept in seconds from that picture, so takes, hits and treatments stay where they are on the tape. Raises
    `UseFault` for a label that the tape's rate does not have.
    """
    tape = sequence.tape(reel)
    timebase = Timebase(tape.timebase.rate, ";" in label)
    return _with(sequence, reel, replace(tape, start_frame=timebase.frame(label), drop=timebase.drop, start_from="given"))


def rename(sequence: Sequence, reel: str, new: str) -> Sequence:
    """The sequence with a tape under another reel name, and all that is marked and found on it with it."""
    tape = sequence.tape(reel)
    name = legal_reel(new, frozenset(one.reel for one in sequence.tapes if one is not tape))
    if name == reel:
        raise UseFault(f"The tape is called {reel} already; nothing was changed.")

    def renamed(marks: tuple[OnTape, ...]) -> tuple[OnTape, ...]:
        return tuple(replace(mark, reel=name) if mark.reel == reel else mark for mark in marks)

    return replace(
        _with(sequence, reel, replace(tape, reel=name)),
        takes=renamed(sequence.takes),
        treatments=renamed(sequence.treatments),
        syncs=renamed(sequence.syncs),
        heads=renamed(sequence.heads),
        flights=renamed(sequence.flights),
    )


def remove(sequence: Sequence, reel: str) -> Sequence:
    """The sequence without a tape on which nothing is marked; raises `UseFault` when something is.

    That it ran together with others goes with it, since that was found and can be found again.
    """
    tape = sequence.tape(reel)
    takes = [take.name for take in sequence.takes if take.reel == reel]
    named = ", ".join(takes[:6]) + (" and others" if len(takes) > 6 else "")
    used = [f"{len(takes)} of its takes ({named})"] if takes else []
    for what, marks in (("treatments", sequence.treatments), ("heads", sequence.heads), ("flights", sequence.flights)):
        number = sum(mark.reel == reel for mark in marks)
        used += [f"{number} of its {what}"] if number else []
    if used:
        raise UseFault(f"Tape {reel} stays: the file has {' and '.join(used)}; read marks without them first.")
    left = tuple(one for one in sequence.syncs if one.reel != reel)
    # A tape that is left alone in a session runs together with nothing.
    together = Counter(one.session for one in left)
    return replace(
        sequence,
        tapes=tuple(one for one in sequence.tapes if one is not tape),
        syncs=tuple(one for one in left if together[one.session] > 1),
    )


def _with(sequence: Sequence, reel: str, tape: Tape) -> Sequence:
    return replace(sequence, tapes=tuple(tape if one.reel == reel else one for one in sequence.tapes))
