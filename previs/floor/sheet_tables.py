"""The tables of a tape-out sheet in words, for paper and for CSV; it lays out no page."""

from __future__ import annotations

from dataclasses import dataclass

from previs.document.floor import LineKind
from previs.floor.measuring_units import error_said, read_off, tape_said
from previs.floor.sheet_lines import SIGN
from previs.floor.tape_out import NO_FALL, SPARE, TAPE_COLOUR, TapeOut

Row = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table with its title, a remark of how it is meant, its columns and rows; without rows it is left out."""

    name: str
    title: str
    remark: str
    columns: Row
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class PointRow:
    """One point as it is laid: where the two tapes are held and what they read, the side, the check, the error, what it is."""

    label: str
    first: str
    first_read: str
    second: str
    second_read: str
    side: str
    third: str
    third_read: str
    error: str
    words: str
    doubtful: bool


def point_rows(sheet: TapeOut) -> tuple[PointRow, ...]:
    """The points in the order of laying; points that are A or B themselves come last, without distances."""
    return tuple(_point_row(sheet, index) for index in range(len(sheet.points)))


def _point_row(sheet: TapeOut, index: int) -> PointRow:
    point, units = sheet.points[index], sheet.units
    how = point.how
    if how is None:
        return PointRow(point.label, "", "", "", "", "", "", "", "", f"lies at {point.label}: {sheet.words[index]}", False)
    return PointRow(
        point.label,
        how.first.label,
        read_off(how.first_mm, units),
        how.second.label,
        read_off(how.second_mm, units),
        "left" if how.left else "right",
        "" if how.third is None else how.third.label,
        "" if how.third is None else read_off(how.third_mm, units),
        error_said(how.error_mm, units),
        sheet.words[index],
        point.doubtful,
    )


def tables(sheet: TapeOut) -> tuple[SheetTable, ...]:
    """Everything beside the points that has rows: what to check, what to join, doors, how much tape."""
    every = (_tape(sheet), _lines(sheet), _doors(sheet), _right_angles(sheet), _diagonals(sheet))
    return tuple(one for one in every if one.rows)


def _right_angles(sheet: TapeOut) -> SheetTable:
    def row(corner: int, three: int, four: int, part_mm: float) -> Row:
        read = [read_off(part_mm * times, sheet.units) for times in (3, 4, 5)]
        return (f"at {sheet.label(corner)}", f"{read[0]} towards {sheet.label(three)}", f"{read[1]} towards {sheet.label(four)}", read[2])

    rows = tuple(row(one.corner, one.along_three, one.along_four, one.part_mm) for one in sheet.squares)
    remark = "Mark both lengths along the tape; the corner is right when the two marks are this far apart (3, 4 and 5)."
    return SheetTable("right_angles", "Right angles", remark, ("corner", "along one side", "along the other", "between the marks"), rows)


def _diagonals(sheet: TapeOut) -> SheetTable:
    rows = tuple(
        (f"{sheet.label(one)} to {sheet.label(other)}", read_off(sheet.length_mm(one, other), sheet.units))
        for one, other in sheet.diagonals
    )
    remark = f"Measured last. A to B must be {read_off(sheet.baseline_mm, sheet.units)}."
    return SheetTable("diagonals", "Diagonals", remark, ("from point to point", "length"), rows)


def _lines(sheet: TapeOut) -> SheetTable:
    def what(kind: LineKind, name: str, height_mm: int | None) -> str:
        tall = "" if height_mm is None else read_off(height_mm, sheet.units)
        if kind is LineKind.DROP:
            return f"{name}, {NO_FALL}{f', on the set {tall} down' if tall else ''}"
        return f"{name}{f', on the set {tall} high' if tall else ''}"

    chains: dict[tuple[LineKind, str], list[str]] = {}
    for one, chain in sheet.chains:
        chains.setdefault((one.kind, what(one.kind, one.name, one.height_mm)), []).append(chain)
    rows = tuple((TAPE_COLOUR[kind], kind.value, ", ".join(joined), said) for (kind, said), joined in chains.items())
    return SheetTable("lines", "Lines of tape", "From number to number.", ("tape", "kind", "joins", "what it is"), rows)


def _doors(sheet: TapeOut) -> SheetTable:
    swings = {True: "to the left, seen from the hinge to the latch", False: "to the right, seen from the hinge to the latch"}
    rows = tuple(
        (
            one.name,
            sheet.label(one.points[0]),
            sheet.label(one.points[-1]),
            read_off(sheet.length_mm(one.points[0], one.points[-1]), sheet.units),
            "not known" if one.opens_left is None else swings[one.opens_left],
        )
        for one in sheet.joined
        if one.kind is LineKind.DOOR
    )
    remark = "Hold a tape at the hinge and draw the swing with the width of the opening; keep the swing free where the door opens."
    return SheetTable("doors", "Doors", remark, ("door", "hinge", "latch", "opening", "swings"), rows)


def _tape(sheet: TapeOut) -> SheetTable:
    rows = tuple(
        (need.colour, need.kind.value, SIGN[need.kind], tape_said(need.net_mm, sheet.units), tape_said(need.taken_mm, sheet.units))
        for need in sheet.needs
    )
    remark = f"With {SPARE:.0%} more, which is common practice. The colours are a proposal: any that show on your floor will do."
    return SheetTable("tape", "Tape to bring", remark, ("tape", "for", "drawn as", "lies on the floor", "bring"), rows)
