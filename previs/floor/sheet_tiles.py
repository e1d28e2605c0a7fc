"""A plan cut into pages at full size: which pieces of which lines lie on which page; it draws nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import dist, floor, inf

from previs.document.floor import LineKind
from previs.faults import UseFault
from previs.floor.placing import Spot
from previs.floor.sheet_scale import MARGIN_MM, Page, SheetPaper, pages
from previs.floor.tape_out import TapeOut

MOST_TILES = 600
"""More pages than this are not printed; a limit of ours."""
STRIP_MM = 9.0
"""What the words at the foot of a full-size page take."""


@dataclass(frozen=True, slots=True)
class Tile:
    """One page at full size: its row from below and its column from the left, from 1, where its lower left corner lies in the room,
    the pieces of lines on it in room millimetres, and the points on it."""

    row: int
    column: int
    at: Spot
    pieces: tuple[tuple[LineKind, Spot, Spot], ...]
    points: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Tiles:
    """All pages on which something lies, in rows from below; each shows `width_mm` by `height_mm` of the floor."""

    page: Page
    width_mm: float
    height_mm: float
    rows: int
    columns: int
    tiles: tuple[Tile, ...]


def tiled(sheet: TapeOut, paper: SheetPaper) -> Tiles:
    """The plan cut into pages, lying or standing, whichever takes fewer; raises `UseFault` when there are too many."""
    taped = sum(sheet.length_mm(*edge) for one in sheet.joined for edge in one.edges)
    best = None
    for page in pages(paper):
        shown = shown_mm(page)
        # A line runs over at least as many pages as its length over a page's diagonal.
        if taped / dist((0, 0), shown) <= 4 * MOST_TILES:
            found = _tiled(sheet, page, *shown)
            best = found if best is None or len(found.tiles) < len(best.tiles) else best
    if best is None or len(best.tiles) > MOST_TILES:
        count = "far more" if best is None else f"{len(best.tiles)}, more"
        raise UseFault(
            f"At full size the pages of {paper.value} are {count} than the {MOST_TILES} that are made; take larger paper with --paper, "
            "or lay the plan by its points."
        )
    return best


def shown_mm(page: Page) -> tuple[float, float]:
    """How much of the floor a page shows at full size."""
    return page.width_mm - 2 * MARGIN_MM, page.height_mm - 2 * MARGIN_MM - STRIP_MM


def _tiled(sheet: TapeOut, page: Page, width_mm: float, height_mm: float) -> Tiles:
    spots = [point.at for point in sheet.points]
    left, bottom = min(x for x, _ in spots), min(y for _, y in spots)
    across, up = max(x for x, _ in spots) - left, max(y for _, y in spots) - bottom
    columns, rows = floor(across / width_mm) + 1, floor(up / height_mm) + 1
    # In the middle of its pages, so that outer lines do not lie on the edges where pages are cut.
    origin = left - (columns * width_mm - across) / 2, bottom - (rows * height_mm - up) / 2
    size = width_mm, height_mm
    pieces: dict[tuple[int, int], list[tuple[LineKind, Spot, Spot]]] = {}
    points: dict[tuple[int, int], list[int]] = {}
    for one in sheet.joined:
        for first, last in one.edges:
            for cell, start, end in _cut(sheet.points[first].at, sheet.points[last].at, origin, size):
                pieces.setdefault(cell, []).append((one.kind, start, end))
    for index, spot in enumerate(spots):
        points.setdefault(_cell(spot, origin, size), []).append(index)
    tiles = tuple(
        Tile(row + 1, column + 1, (origin[0] + column * width_mm, origin[1] + row * height_mm),
             tuple(pieces.get((row, column), ())), tuple(points.get((row, column), ())))
        for row, column in sorted(pieces.keys() | points.keys())
    )  # fmt: skip
    return Tiles(page, width_mm, height_mm, rows, columns, tiles)


def _cut(start: Spot, end: Spot, origin: Spot, size: Spot) -> Iterator[tuple[tuple[int, int], Spot, Spot]]:
    """A straight piece cut at the edges of the pages, each part with its row and column from 0."""
    shares = {0.0, 1.0}
    for axis in (0, 1):
        way = end[axis] - start[axis]
        if way == 0:
            continue
        low, high = sorted(((start[axis] - origin[axis]) / size[axis], (end[axis] - origin[axis]) / size[axis]))
        edges = (origin[axis] + number * size[axis] for number in range(floor(low) + 1, floor(high) + 1))
        shares |= {share for edge in edges if 0 < (share := (edge - start[axis]) / way) < 1}
    before = -inf
    for share in sorted(shares):
        if before >= 0:
            one, other = _along(start, end, before), _along(start, end, share)
            yield _cell(((one[0] + other[0]) / 2, (one[1] + other[1]) / 2), origin, size), one, other
        before = share


def _cell(spot: Spot, origin: Spot, size: Spot) -> tuple[int, int]:
    return floor((spot[1] - origin[1]) / size[1]), floor((spot[0] - origin[0]) / size[0])


def _along(start: Spot, end: Spot, share: float) -> Spot:
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share
