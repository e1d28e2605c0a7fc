"""The moves of a cut one by one, landing in footage or standing on a card, with the words that every sheet uses for them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from hashlib import blake2b
from itertools import chain, count

from previs.cut.placing import Placed, hits_seen, place
from previs.document.model import Cut, Flight, Move, Sequence, Take

NOT_SHOT = "not shot yet"
NOT_NOTED = "not noted"
_LONGEST_PART = 60
_DEVICES = re.compile(r"(?:con|prn|aux|nul|(?:com|lpt)[0-9¹²³])", re.IGNORECASE)
LATE_SECONDS = Fraction(1, 4)
"""How late a landing may be logged as a hit; a logger's hand, no source."""


@dataclass(frozen=True, slots=True)
class Played:
    """One move in one shot: `record_frame` is where it lands, or where its card begins; a card has no take."""

    placed: Placed
    record_frame: int
    move: Move
    take: Take | None

    def performer(self, role: str) -> str:
        """Who plays the role here, in the words of a sheet."""
        return NOT_SHOT if self.take is None else self.take.performer_of(role) or NOT_NOTED


def played(sequence: Sequence, cut: Cut) -> tuple[Played, ...]:
    """Every move of a cut in running order; one that is seen in two shots comes twice."""
    placed = place(sequence, cut)
    found = [
        Played(seen.placed, seen.record_frame, seen.move, seen.placed.source.take)
        for seen in hits_seen(sequence, placed)
        if seen.placed.source
    ]
    for one in placed:
        found += [Played(one, one.record.start, move, None) for move in _on_card(sequence, one)]
    return tuple(sorted(found, key=lambda one: (one.record_frame, one.move.number)))


def _on_card(sequence: Sequence, one: Placed) -> list[Move]:
    picture = one.shot.picture
    first, last = getattr(picture, "first_move", None), getattr(picture, "last_move", None)
    return [] if first is None else [move for move in sequence.moves if first <= move.number <= (first if last is None else last)]


def flight_of(sequence: Sequence, take: Take, move: int) -> Flight | None:
    """The flight in which this move lands on a take: its hit is from take-off to a quarter of a second after the landing."""
    at = next((hit.at for hit in take.hits if hit.move == move), None)
    if at is None:
        return None
    return next((one for one in sequence.flights if one.reel == take.reel and one.take_off <= at <= one.landing + LATE_SECONDS), None)


def shot_name(one: Placed) -> str:
    """What a shot is called: its code, when it has one, and its number in the cut: `070 / 12`."""
    return f"{one.shot.code} / {one.number}" if one.shot.code else str(one.number)


def shot_names(shots: Iterable[Placed]) -> str:
    """Shots by name, each once, in the order of the cut."""
    by_number = {one.number: shot_name(one) for one in shots}
    return ", ".join(by_number[number] for number in sorted(by_number))


def listed(names: Iterable[str]) -> str:
    """Names, each once, in their order, without blanks."""
    return ", ".join(dict.fromkeys(name for name in names if name))


def in_a_file_name(name: str) -> str:
    """A name as a part of a file's name on every system: no signs that one of them forbids, no hyphen
    ahead as an option of a command has, short, no device of Windows.

    One that had to be cut short ends in a mark of the whole, so that two of them stay two. Rules: Microsoft, "Naming Files, Paths,
    and Namespaces"; 255 bytes is the most that usual file systems take, and several parts share it.
    """
    plain = re.sub(r"[^\w.-]+", "_", name).strip(".").lstrip("-.") or "cut"
    if len(plain.encode()) > _LONGEST_PART:
        mark = blake2b(name.encode(errors="surrogatepass"), digest_size=4).hexdigest()
        plain = f"{plain.encode()[: _LONGEST_PART - 9].decode(errors='ignore')}_{mark}"
    return f"_{plain}" if _DEVICES.fullmatch(plain.split(".")[0]) else plain


def in_file_names(names: Iterable[str]) -> dict[str, str]:
    """Each name as `in_a_file_name` has it; of several that would be one file's where capitals do not count, later ones are numbered."""
    found: dict[str, str] = {}
    taken: set[str] = set()
    for name in names:
        plain = in_a_file_name(name)
        free = next(one for one in chain([plain], (f"{plain}_{n}" for n in count(2))) if one.casefold() not in taken)
        taken.add(free.casefold())
        found[name] = free
    return found
