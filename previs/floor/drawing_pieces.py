"""A drawing's model space with its blocks put in, as pieces in millimetres on the layers that are taken, and what is left out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from ezdxf.document import Drawing

from previs.document.floor import LineKind
from previs.faults import UseFault
from previs.floor.drawing_curves import Arc, Placing, Spot
from previs.floor.drawing_layers import Layer, Layers
from previs.floor.drawing_shapes import BlockPut, Contents, Lettering, Shape, contents_of

WITHIN_MM = 1.0
"""How far a curve's chords may lie from it; with the rounding to whole millimetres it stays within 2 mm."""
MOST_PIECES = 50_000
"""Limits of ours: no set needs more, and what is beyond would take minutes."""
MOST_POINTS = 250_000
_MOST_STEPS = 4 * MOST_PIECES

Swing = tuple[Spot, Spot, Spot]
"""An arc's centre and its two ends."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One line on a taken layer, in millimetres of the drawing.

    `straights` and `swings` are what doors are told by. `put` numbers the block that it came with, 0 for none, and `name` is what
    that block is called.
    """

    kind: LineKind
    points: tuple[Spot, ...]
    closed: bool
    thickness_mm: float
    straights: tuple[tuple[Spot, Spot], ...] = ()
    swings: tuple[Swing, ...] = ()
    put: int = 0
    name: str = ""


@dataclass(frozen=True, slots=True)
class Text:
    """A text on a taken layer; `kind` is what the layer holds, None for names of places."""

    kind: LineKind | None
    text: str
    at: Spot


@dataclass(slots=True)
class Pieces:
    """What a drawing has on the taken layers, and counts of everything that is left out."""

    lines: list[Piece] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)
    taken: Counter[tuple[str, str]] = field(default_factory=Counter)
    """By layer and what it holds."""
    other_layers: Counter[str] = field(default_factory=Counter)
    hidden_layers: Counter[str] = field(default_factory=Counter)
    left_out: Counter[str] = field(default_factory=Counter)
    in_themselves: set[str] = field(default_factory=set)
    """Blocks that hold themselves."""
    missing_blocks: set[str] = field(default_factory=set)
    elsewhere: set[str] = field(default_factory=set)
    """Blocks that lie in another drawing."""


def pieces_of(drawing: Drawing, layers: Layers, mm: float) -> Pieces:
    """Everything on the taken layers; `mm` is the length of the drawing's unit. Raises `UseFault` for more than the limits."""
    walk = _Walk(drawing, layers, mm)
    walk.model_space()
    return walk.found


class _Walk:
    """One walk through the model space and the blocks in it."""

    def __init__(self, drawing: Drawing, layers: Layers, mm: float) -> None:
        self.found = Pieces()
        self._drawing = drawing
        self._layers = layers
        self._mm = mm
        self._contents: dict[tuple[str, int], Contents] = {}
        self._puts = self._steps = self._points = 0
        self._hidden = {layer.dxf.name.casefold() for layer in drawing.layers if layer.is_off() or layer.is_frozen()}

    def model_space(self) -> None:
        """Walk it, first to last."""
        contents = contents_of(self._drawing.modelspace(), WITHIN_MM / self._mm)
        self.found.left_out.update(contents.left_out)
        scaled = Placing(self._mm, 0.0, 0.0, self._mm)
        self._walk((item, scaled, _From()) for item in contents.items)
        for layout in self._drawing.layouts:
            drawn = 0 if layout.is_modelspace else sum(entity.dxftype() != "VIEWPORT" for entity in layout)
            if drawn:
                self.found.left_out["in paper space"] += drawn

    def _walk(self, items: Iterator[_Met]) -> None:
        # A stack of our own, as a drawing decides how deep blocks lie in blocks.
        waiting = [items]
        while waiting:
            met = next(waiting[-1], None)
            if met is None:
                waiting.pop()
                continue
            self._step()
            item, placing, origin = met
            if isinstance(item, BlockPut):
                if self._enters(item, origin):
                    waiting.append(self._put_in(item, placing, origin))
            elif isinstance(item, Shape):
                self._take_shape(item, placing, origin)
            else:
                self._take_text(item, placing, origin)

    def _put_in(self, put: BlockPut, placing: Placing, origin: _From) -> Iterator[_Met]:
        """What is in a block, wherever it is put."""
        layer = self._named(put.layer, origin)
        for own in put.placings():
            self._step()
            self._puts += 1
            into, lying = origin.into(put, self._puts, layer), own.within(placing)
            held = self._block(put.block, lying.most_stretch)
            self.found.left_out.update(held.left_out)
            yield from ((item, lying, into) for item in held.items)

    def _step(self) -> None:
        self._steps += 1
        if self._steps > _MOST_STEPS or len(self.found.lines) > MOST_PIECES or self._points > MOST_POINTS:
            raise UseFault(
                f"The drawing holds more than {MOST_PIECES:,} lines once its blocks are put in, which no plan of one set does; "
                "choose fewer layers, or have the set saved alone."
            )

    def _enters(self, put: BlockPut, origin: _From) -> bool:
        """Whether what is in the block is to be walked; what it cannot be is noted."""
        if self._is_hidden(self._named(put.layer, origin)):
            self.found.hidden_layers[put.layer] += 1
            return False
        block = self._drawing.blocks.get(put.block)
        if put.block.casefold() in origin.blocks:
            self.found.in_themselves.add(put.block)
        elif block is None:
            self.found.missing_blocks.add(put.block)
        elif block.block is not None and (block.block.is_xref or block.block.is_xref_overlay):
            self.found.elsewhere.add(put.block)
        else:
            return True
        return False

    def _block(self, name: str, stretch: float) -> Contents:
        """A block's contents, read once for every size that asks for finer curves."""
        size = max(0, int(stretch).bit_length())
        if (name, size) not in self._contents:
            self._contents[name, size] = contents_of(self._drawing.blocks.get(name) or (), WITHIN_MM / 2**size)
        return self._contents[name, size]

    def _named(self, layer: str, origin: _From) -> str:
        """Layer 0 in a block is the layer that the block is put on (DXF reference)."""
        return origin.layer if layer == "0" and origin.layer else layer

    def _is_hidden(self, layer: str) -> bool:
        chosen = self._layers.given is not None and self._layers.of(layer) is not None
        return layer.casefold() in self._hidden and not chosen

    def _layer_of(self, own: str, origin: _From) -> tuple[str, Layer | None]:
        """The layer that tells what something is: its own, or that of the block around it."""
        name = self._named(own, origin)
        if self._is_hidden(name):
            self.found.hidden_layers[name] += 1
            return name, None
        layer = self._layers.of(name)
        if layer is None and origin.layer:
            name, layer = (origin.layer, self._layers.of(origin.layer)) if self._layers.of(origin.layer) else (name, None)
        if layer is None:
            self.found.other_layers[name] += 1
        return name, layer

    def _take_shape(self, shape: Shape, placing: Placing, origin: _From) -> None:
        name, layer = self._layer_of(shape.layer, origin)
        if layer is None:
            return
        if layer.kind is None:
            self.found.left_out[f"lines on {name}, which names places"] += 1
            return
        piece = _placed(shape, layer.kind, placing, origin, self._mm)
        self._points += len(piece.points)
        self.found.lines.append(piece)
        self.found.taken[name, layer.kind] += 1

    def _take_text(self, text: Lettering, placing: Placing, origin: _From) -> None:
        name, layer = self._layer_of(text.layer, origin)
        if layer is None:
            return
        self.found.texts.append(Text(layer.kind, text.text, placing.put(text.at)))
        self.found.taken[name, "names"] += 1


@dataclass(frozen=True, slots=True)
class _From:
    """The block around what is walked: its layer, its number, its name, and the blocks around it."""

    layer: str = ""
    put: int = 0
    name: str = ""
    blocks: frozenset[str] = frozenset()

    def into(self, put: BlockPut, number: int, layer: str) -> _From:
        """What is around the contents of a block inside this one."""
        return _From(layer, number, put.name or self.name, self.blocks | {put.block.casefold()})


_Met = tuple[Shape | Lettering | BlockPut, Placing, _From]


def _placed(shape: Shape, kind: LineKind, placing: Placing, origin: _From, mm: float) -> Piece:
    stretch = placing.most_stretch
    within = WITHIN_MM / stretch if stretch > 0 else float("inf")
    spots: list[Spot] = [placing.put(spot) for spot in shape.spots]
    straights, swings = [], []
    for part in shape.parts:
        if isinstance(part, Arc):
            flat = [placing.put(spot) for spot in part.flattened(within)]
            if placing.keeps_circles and not shape.closed:
                swings.append((placing.put(part.centre), flat[0], flat[-1]))
        else:
            flat = [placing.put(spot) for spot in part]
            straights.append((flat[0], flat[1]))
        spots += flat if not spots else flat[1:]
    if shape.closed and spots:
        spots.pop()
    return Piece(kind, tuple(spots), shape.closed, abs(shape.thickness) * mm, tuple(straights), tuple(swings), origin.put, origin.name)
