"""What a drawing's layers hold, by their names or as a person says; it reads no drawing."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase

from previs.document.floor import LineKind
from previs.faults import UseFault

PLACE = "place"
"""A layer whose texts name places of the plan."""

_KINDS: Mapping[str, LineKind | None] = {**{str(kind): kind for kind in LineKind}, PLACE: None}

_WORDS: tuple[tuple[LineKind | None, frozenset[str]], ...] = (
    (LineKind.DOOR, frozenset({"door", "doors", "gate", "gates"})),
    (LineKind.DROP, frozenset({"drop", "drops", "edge", "edges", "pit", "pits"})),
    (LineKind.STEP, frozenset({"step", "steps", "stair", "stairs", "riser", "risers", "tread", "treads"})),
    (LineKind.COLUMN, frozenset({"column", "columns", "cols", "pillar", "pillars", "cart", "carts", "post", "posts"})),
    (None, frozenset({"place", "places", "name", "names", "label", "labels", "room", "rooms"})),
    (LineKind.WALL, frozenset({"wall", "walls", "partition", "partitions", "flat", "flats"})),
)
"""Words in a layer's name that tell what it holds; the first that fits. Common practice, no source."""

_WORD = re.compile(r"[A-Z]*[a-z]+|[A-Z]+", re.ASCII)


@dataclass(frozen=True, slots=True)
class Layer:
    """What a layer holds: lines of a kind, with the texts that name them; without a kind, texts that name places."""

    kind: LineKind | None


def layer_by_name(name: str) -> Layer | None:
    """What a layer holds by a word in its name, such as A-WALL, Doors_new or StairSteps; None when none tells."""
    words = {word.casefold() for word in _WORD.findall(name)}
    return next((Layer(kind) for kind, known in _WORDS if words & known), None)


def layers_given(written: str) -> dict[str, Layer]:
    """`A-WALL=wall,DOORS=door` as layers by their names in small letters; * in a name stands for any letters.

    Raises `UseFault` for a part that is not NAME=KIND, an unknown kind, or a name that is there twice.
    """
    found: dict[str, Layer] = {}
    for part in filter(None, (part.strip() for part in written.split(","))):
        # A layer's name may hold an equals sign in old drawings, a kind never does.
        name, equals, kind = (piece.strip() for piece in part.rpartition("="))
        if not (name and equals and kind):
            raise UseFault(f"'{part}' in the layers is not NAME=KIND; write for instance A-WALL=wall,DOORS=door.")
        if kind.casefold() not in _KINDS:
            raise UseFault(f"'{kind}' is not what a layer can hold; write one of {', '.join(_KINDS)}, such as {name}=wall.")
        if name.casefold() in found:
            raise UseFault(f"The layer '{name}' is there twice; say once what it holds.")
        found[name.casefold()] = Layer(_KINDS[kind.casefold()])
    if not found:
        raise UseFault("No layer is named; write for instance A-WALL=wall,DOORS=door, or leave the layers out.")
    return found


class Layers:
    """Which layers of a drawing are taken: those that are given, or those whose names tell."""

    def __init__(self, given: Mapping[str, Layer] | None) -> None:
        self.given = given
        self._known: dict[str, Layer | None] = {}
        self.met: set[str] = set()

    def of(self, name: str) -> Layer | None:
        """What the layer of this name holds; None when it is left out."""
        if name not in self._known:
            self._known[name] = self._found(name)
        return self._known[name]

    def missing(self) -> list[str]:
        """The given names that no layer met so far has."""
        return [name for name in self.given or () if name not in self.met]

    def _found(self, name: str) -> Layer | None:
        if self.given is None:
            return layer_by_name(name)
        folded = name.casefold()
        if folded in self.given:
            self.met.add(folded)
            return self.given[folded]
        for pattern, layer in self.given.items():
            if "*" in pattern and fnmatchcase(folded, pattern.replace("[", "[[]")):
                self.met.add(pattern)
                return layer
        return None
