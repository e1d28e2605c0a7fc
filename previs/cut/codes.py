"""Shot codes for visual effects: tens with room for inserts, kept by every shot that stays from version to version."""

from __future__ import annotations

import re
from itertools import count

from msgspec.structs import replace as changed

from previs.cut.placing import Placed, place
from previs.document.model import Card, Cut, Sequence, Shot

STEP = 10
"""Codes begin ten apart (010, 020, 030), so that shots can come between; published practice of several studios."""

_NUMBER = re.compile(r"(\d+)[A-Z]*")


def coded(sequence: Sequence, cut: Cut) -> Cut:
    """The cut with a code on every shot: its own, else that of the same shot in an earlier version, else a new one.

    The same shot is one of the same take that shares tape with it, or a card for the same moves. A new shot between 010
    and 020 is 015; a code that any version ever had is not given to another shot.
    """
    used = {shot.code for one in (*sequence.cuts, cut) for shot in one.shots if shot.code}
    codes = _kept(sequence, cut)
    for index in range(len(cut.shots)):
        if not codes[index]:
            before = next((codes[at] for at in range(index - 1, -1, -1) if codes[at]), "")
            after = next((codes[at] for at in range(index + 1, len(codes)) if codes[at]), "")
            codes[index] = _between(before, after, used)
            used.add(codes[index])
    return changed(cut, shots=tuple(changed(shot, code=code) for shot, code in zip(cut.shots, codes, strict=True)))


def with_codes(sequence: Sequence, name: str) -> Sequence:
    """The sequence with every shot of this cut coded."""
    wanted = sequence.cut(name)
    return changed(sequence, cuts=tuple(coded(sequence, cut) if cut is wanted else cut for cut in sequence.cuts))


def _kept(sequence: Sequence, cut: Cut) -> list[str]:
    """Codes that shots have already, or had in the newest other version that has any."""
    codes: list[str] = []
    for shot in cut.shots:
        codes.append(shot.code if shot.code and shot.code not in codes else "")
    older = next((one for one in reversed(sequence.cuts) if one.name != cut.name and any(shot.code for shot in one.shots)), None)
    if older is None or all(codes):
        return codes
    old, new = place(sequence, older), place(sequence, cut)
    # The pairs that share most tape first, so that two halves of a shot do not both want its code.
    pairs = sorted(
        ((-shared, index, at) for index, one in enumerate(new) for at, other in enumerate(old) if (shared := _shared(one, other)) > 0),
    )
    given = set(codes)
    for _, index, at in pairs:
        code = old[at].shot.code
        if not codes[index] and code and code not in given:
            codes[index] = code
            given.add(code)
    return codes


def _shared(one: Placed, other: Placed) -> int:
    """Frames of tape that both show of one take; for cards the moves that both stand for."""
    if one.source is not None and other.source is not None:
        if one.source.take.name != other.source.take.name:
            return 0
        both = one.source.played.meet(other.source.played)
        return both.length if both else 0
    return 1 if _stands_for(one.shot) is not None and _stands_for(one.shot) == _stands_for(other.shot) else 0


def _stands_for(shot: Shot) -> tuple[int, int | None] | None:
    picture = shot.picture
    return (picture.first_move, picture.last_move) if isinstance(picture, Card) and picture.first_move is not None else None


def _between(before: str, after: str, used: set[str]) -> str:
    """The code midway between two that is free, else the nearest free one after `before`, at last one with a letter."""
    low, high = _number(before), _number(after) if after else None
    if high is None:
        first = (low // STEP + 1) * STEP
        return next(code for number in count(first, STEP) if (code := f"{number:03d}") not in used)
    if high > low + 1:
        middle = (low + high) // 2
        for number in sorted(range(low + 1, high), key=lambda number: (abs(number - middle), number)):
            if (code := f"{number:03d}") not in used:
                return code
    return next(code for letter in _letters() if (code := f"{low:03d}{letter}") not in used)


def _number(code: str) -> int:
    found = _NUMBER.fullmatch(code)
    return int(found[1]) if found else 0


def _letters() -> list[str]:
    single = [chr(letter) for letter in range(ord("A"), ord("Z") + 1)]
    return single + [first + second for first in single for second in single]
