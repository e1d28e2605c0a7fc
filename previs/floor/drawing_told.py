"""What a person is told of how a drawing was read, as sentences; nothing is decided here."""

from __future__ import annotations

from collections.abc import Iterable

from previs.cut.wording import counted
from previs.floor.drawing_curves import Spot
from previs.floor.drawing_pieces import Pieces
from previs.floor.drawing_shapes import tidied

_MOST_LISTED = 12
_MOST_LETTERS = 60
_IGNORED = {
    "HATCH": "hatches",
    "DIMENSION": "dimensions",
    "LEADER": "leaders",
    "MULTILEADER": "leaders",
    "POINT": "points",
    "SOLID": "filled areas",
    "IMAGE": "pictures",
    "3DFACE": "faces in space",
}


def listed(names: Iterable[str]) -> str:
    """Names with commas, the first twelve and how many more; what a drawing calls something is cut short."""
    shown = [_short(name) for name in names]
    more = f" and {len(shown) - _MOST_LISTED} more" if len(shown) > _MOST_LISTED else ""
    return ", ".join(shown[:_MOST_LISTED]) + more


def spot_told(spot: Spot) -> str:
    """A spot in metres to the millimetre: `5.000, 0.850 m`."""
    return f"{spot[0] / 1000:.3f}, {spot[1] / 1000:.3f} m"


def size_told(width_mm: float, depth_mm: float) -> str:
    """Width and depth in metres, or kilometres for what is far too large."""
    if max(width_mm, depth_mm) >= 1_000_000:
        return f"{width_mm / 1_000_000:,.1f} x {depth_mm / 1_000_000:,.1f} km"
    return f"{width_mm / 1000:.3f} x {depth_mm / 1000:.3f} m"


def layers_told(pieces: Pieces, unit: str) -> list[str]:
    """The unit, and which layers were taken as what."""
    taken = [f"{name} as {_kind_told(kind, count)}" for (name, kind), count in sorted(pieces.taken.items())]
    return [f"Read in {unit}: {listed(taken)}."]


def left_out_told(pieces: Pieces) -> list[str]:
    """Everything that was not taken, with counts, a sentence for each reason."""
    told = []
    if pieces.other_layers:
        names = [f"{name} ({count})" for name, count in sorted(pieces.other_layers.items())]
        told.append(f"Layers left out: {listed(names)}; take one with --layers NAME=wall and so on.")
    if pieces.hidden_layers:
        names = [f"{name} ({count})" for name, count in sorted(pieces.hidden_layers.items())]
        told.append(f"Layers that are off or frozen and left out: {listed(names)}.")
    ignored: dict[str, int] = {}
    for kind, count in pieces.left_out.items():
        what = _IGNORED.get(kind, kind)
        ignored[what] = ignored.get(what, 0) + count
    if any(ignored.values()):
        told.append(f"Not read: {listed(f'{what} ({count:,})' for what, count in sorted(ignored.items()) if count)}.")
    for blocks, what in (
        (pieces.in_themselves, "hold themselves, and are put in once"),
        (pieces.missing_blocks, "are used and nowhere drawn"),
        (pieces.elsewhere, "lie in another drawing, which is not read"),
    ):
        if blocks:
            told.append(f"Blocks that {what}: {listed(sorted(blocks))}.")
    return told


def _kind_told(kind: str, count: int) -> str:
    return counted(count, "name") if kind == "names" else f"{kind} ({counted(count, 'line')})"


def _short(name: str) -> str:
    shown = tidied(name)
    return shown if len(shown) <= _MOST_LETTERS else f"{shown[: _MOST_LETTERS - 1]}…"
