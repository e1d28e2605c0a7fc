"""What a drawing has on which layers and in which unit, looked at before it is read, so that a person can be asked; it makes no plan."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from previs.document.floor import LineKind
from previs.floor.drawing import own_unit
from previs.floor.drawing_file import open_drawing
from previs.floor.drawing_layers import PLACE, Layer, Layers, layer_by_name
from previs.floor.drawing_pieces import pieces_of
from previs.floor.drawing_units import MM_PER_CODE, UNIT_NAMES, unit_name

KINDS = (*(kind.value for kind in LineKind), PLACE)
"""What a layer can be said to hold."""
_NOT_IN_A_NAME = frozenset(",*")


@dataclass(frozen=True, slots=True)
class SurveyedLayer:
    """A layer with something on it: how many things, and what its name says that it holds, empty when it says nothing."""

    name: str
    count: int
    holds: str

    @property
    def can_be_named(self) -> bool:
        """False for names that no list of layers can hold."""
        return not _NOT_IN_A_NAME & set(self.name)


@dataclass(frozen=True, slots=True)
class Survey:
    """A drawing looked at: its own unit, empty when it says none, how large it is in units of the drawing, and its layers."""

    unit: str
    width: float
    depth: float
    layers: tuple[SurveyedLayer, ...]

    @property
    def asks(self) -> bool:
        """Whether it cannot be read without asking: no unit, or no layer whose name tells that it holds lines."""
        return not self.unit or not any(layer.holds and layer.holds != PLACE for layer in self.layers)

    def size_mm(self, unit: str) -> tuple[float, float]:
        """How wide and deep the set would be in millimetres, when the drawing's numbers were in this unit."""
        each = float(MM_PER_CODE[UNIT_NAMES[unit]])
        return self.width * each, self.depth * each


def survey(path: Path) -> Survey:
    """Look at a DXF drawing. Raises `UseFault` for a file that cannot be read as one."""
    drawing = open_drawing(path).drawing
    code = own_unit(drawing)
    pieces = pieces_of(drawing, Layers(None), 1.0)
    counts = Counter(pieces.other_layers)
    for (name, _), count in pieces.taken.items():
        counts[name] += count
    # Where no layer's name tells what it holds, all of them together say how large the set is.
    lines = pieces.lines or pieces_of(drawing, Layers({name.casefold(): Layer(LineKind.WALL) for name in counts}), 1.0).lines
    spots = [spot for piece in lines for spot in piece.points]
    xs, ys = [x for x, _ in spots] or [0.0], [y for _, y in spots] or [0.0]
    layers = tuple(SurveyedLayer(name, count, _holds(name)) for name, count in sorted(counts.items()))
    return Survey(unit_name(code) if code else "", max(xs) - min(xs), max(ys) - min(ys), layers)


def layers_written(holds: dict[str, str]) -> str:
    """Layers and what they hold as `read_plan` takes them; layers that hold nothing of the plan are left out."""
    return ",".join(f"{name}={kind}" for name, kind in holds.items() if kind)


def _holds(name: str) -> str:
    layer = layer_by_name(name)
    return "" if layer is None else PLACE if layer.kind is None else layer.kind.value
