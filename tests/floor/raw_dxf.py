"""DXF written by hand, group code by group code as the DXF reference has them, so that no library stands between it and the reader."""

from __future__ import annotations

from pathlib import Path

Group = tuple[int, object]


def entity(kind: str, layer: str, *groups: Group) -> list[Group]:
    """One entity of release 12, as a drawing board would write it."""
    return [(0, kind), (8, layer), *groups]


def line(layer: str, x1: object, y1: object, x2: object, y2: object, *more: Group) -> list[Group]:
    return entity("LINE", layer, (10, x1), (20, y1), (30, 0), (11, x2), (21, y2), (31, 0), *more)


def light_polyline(layer: str, points: list[tuple[float, float, float]], closed: bool = False) -> list[Group]:
    """LWPOLYLINE with x, y and bulge: 100 AcDbPolyline, 90 count, 70 flags, 10/20 vertex, 42 bulge."""
    groups: list[Group] = [(0, "LWPOLYLINE"), (5, "1F"), (100, "AcDbEntity"), (8, layer), (100, "AcDbPolyline")]
    groups += [(90, len(points)), (70, int(closed))]
    for x, y, bulge in points:
        groups += [(10, x), (20, y), (42, bulge)]
    return groups


def polyline(layer: str, points: list[tuple[float, float, float]], closed: bool = False) -> list[Group]:
    """POLYLINE with VERTEX and SEQEND, release 12."""
    groups: list[Group] = [*entity("POLYLINE", layer, (66, 1), (10, 0), (20, 0), (30, 0), (70, int(closed)))]
    for x, y, bulge in points:
        groups += entity("VERTEX", layer, (10, x), (20, y), (30, 0), (42, bulge))
    return [*groups, *entity("SEQEND", layer)]


def block(name: str, *entities: list[Group]) -> list[Group]:
    head: list[Group] = [(0, "BLOCK"), (8, "0"), (2, name), (70, 0), (10, 0), (20, 0), (30, 0), (3, name), (1, "")]
    return [*head, *(group for one in entities for group in one), (0, "ENDBLK"), (8, "0")]


def text_of(
    *entities: list[Group], units: int | None = 4, blocks: list[list[Group]] | None = None, release: str = "AC1009", ended: bool = True
) -> str:
    groups: list[Group] = [(0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, release)]
    if units is not None:
        groups += [(9, "$INSUNITS"), (70, units)]
    groups += [(0, "ENDSEC")]
    if blocks:
        groups += [(0, "SECTION"), (2, "BLOCKS"), *(group for one in blocks for group in one), (0, "ENDSEC")]
    groups += [(0, "SECTION"), (2, "ENTITIES"), *(group for one in entities for group in one)]
    if ended:
        groups += [(0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code:>3}\n{value}\n" for code, value in groups)


def write(path: Path, *entities: list[Group], **how: object) -> Path:
    path.write_text(text_of(*entities, **how), encoding="utf-8")  # type: ignore[arg-type]
    return path
