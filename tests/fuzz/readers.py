"""Every reader of what comes from outside, by name: where it begins from, how inputs are made worse, what must hold.

The readers are in families, so that a run of a few of them imports no more than it needs.
"""

from __future__ import annotations

import importlib
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from fuzz.judging import MOST_SECONDS, Unsound
from fuzz.mutations import as_encoded, large, worse

from previs.document.invariants import faults_in
from previs.document.model import Sequence

FAMILIES = {
    "documents": ("document", "history", "position", "lock", "notes", "pull-log"),
    "tables": ("fight", "takes", "hits", "treatments", "flights", "heads", "workbook", "pasted"),
    "lists": ("edit-list", "edit-list-strict", "timeline"),
    "floors": ("drawing", "plan", "room", "ways", "cameras"),
    "movies": ("movie", "tape-sound", "tape-index", "signals", "sound"),
    "kept": ("work-copy", "segment", "card", "head-track", "still"),
    "desk": ("memory", "dropped"),
}
"""The readers of each family; `fuzz.reading_FAMILY` has a `READERS` with them."""


@dataclass(frozen=True)
class Reader:
    """One reader.

    `read` puts an input, as the bytes of a file in the folder given, before it, and raises `Unsound` for a value that cannot be.
    `worse` makes an input of its format worse; `tokens` are pieces of the format. `megabytes` is how much more memory it may take.
    `pure` is one that coverage can guide: quick, and without a library in C that does the work. `seconds` is the processor time that
    one input may take; more for movies, since ten megabytes of them may hold a hundred thousand frames.
    """

    name: str
    read: Callable[[bytes, Path], object]
    seeds: Callable[[], tuple[bytes, ...]]
    tokens: tuple[str, ...] = ()
    worse: Callable[[bytes, tuple[str, ...], random.Random], bytes] = worse
    megabytes: int = 1024
    pure: bool = True
    seconds: float = MOST_SECONDS

    def input(self, chance: random.Random) -> bytes:
        """One input: mostly a seed made worse as its format goes, or byte by byte; rarely another encoding, or ten megabytes."""
        seed, how = chance.choice(self.seeds()), chance.random()
        if how < 0.5:
            return self.worse(seed, self.tokens, chance)
        if how < 0.96:
            return worse(seed, self.tokens, chance)
        if how < 0.99:
            return as_encoded(seed, chance)
        return large(seed, self.tokens, chance)


@cache
def reader(name: str) -> Reader:
    """The reader of that name; raises `KeyError` for none."""
    family = next((family for family, names in FAMILIES.items() if name in names), None)
    if family is None:
        raise KeyError(name)
    readers: Mapping[str, Reader] = importlib.import_module(f"fuzz.reading_{family}").READERS
    return readers[name]


def names() -> tuple[str, ...]:
    """All of them."""
    return tuple(name for family in FAMILIES.values() for name in family)


def sound(sequence: Sequence) -> Sequence:
    """The sequence; raises `Unsound` for one that could not be saved."""
    if faults := faults_in(sequence):
        raise Unsound("; ".join(faults[:3]))
    return sequence


def put(data: bytes, path: Path) -> Path:
    """The input as a file."""
    path.write_bytes(data)
    return path


def said_of(path: Path) -> str:
    """What a refusal of a file must name."""
    return path.name
