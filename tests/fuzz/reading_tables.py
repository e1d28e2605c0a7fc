"""The tables of the fight and its marks, as CSV and as workbooks, and cells from the clipboard."""

from __future__ import annotations

import csv
import io
import random
import zipfile
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path

import openpyxl
from fuzz import seeds
from fuzz.mutations import ODD_NUMBERS, ODD_TEXTS, ODD_TIMES, worse, worse_table
from fuzz.readers import Reader, put, sound

from previs.exchange.fight_cells import cells_in, has_header, with_block, with_fight
from previs.exchange.tables import How, read_marks
from previs.floor.cameras_table import read_cameras
from previs.floor.plan_table import read_plan_table
from previs.floor.room_table import read_room_table
from previs.floor.routes_table import read_ways

WORDS = (
    "Odile", "Reeve", "level", "FILM", "PHONE", "PAL", "A1", "yes", "full", "close", "medium wide", "digital double", "Odile=full",
    "Odile=Pim Oster",
    "1-2", "2-1", "phrase", "move", "take", "tape", "at", "in", "out", "note", "role", ";", "=", "100 %", "0,7", "50%", "7/10", "-",
    "0.4 m",
)  # fmt: skip


def _marks(kind: str, data: bytes, folder: Path, ending: str = "csv") -> object:
    path = put(data, folder / f"{kind}.{ending}")
    sequence = seeds.bare_sequence() if kind == "takes" else seeds.marked_sequence()
    verb = "fight" if kind == "fight" else "marks"
    sound(read_marks([path], sequence, How(verb=verb)).sequence)
    return sound(read_marks([path], sequence, How(verb=verb, add=kind != "fight", known_tapes=kind != "fight")).sequence)


def _workbook(data: bytes, folder: Path) -> object:
    """A workbook may be any table: it is put before all that take one, each of which may say that it is another's."""
    path = put(data, folder / "book.xlsx")
    tries: list[Callable[[], object]] = [
        lambda: sound(read_marks([path], seeds.marked_sequence(), How()).sequence),
        lambda: read_plan_table(path),
        lambda: read_room_table(path),
        lambda: sound(read_ways([path], seeds.full_sequence()).sequence),
        lambda: read_cameras(path, seeds.full_sequence()),
    ]
    refusals = []
    for read in tries:
        try:
            read()
        except Exception as fault:
            from previs.faults import Fault

            if not isinstance(fault, Fault):
                raise
            refusals.append(fault)
    if len(refusals) == len(tries):
        raise refusals[0]
    return None


@cache
def workbooks() -> tuple[bytes, ...]:
    books = []
    for kind, text in seeds.TABLES.items():
        book = openpyxl.Workbook()
        for row in csv.reader(io.StringIO(text)):
            book.active.append([float(cell) if cell.replace(".", "", 1).isdigit() else cell for cell in row])
        book.active.title = kind
        held = io.BytesIO()
        book.save(held)
        books.append(held.getvalue())
    return tuple(books)


def worse_workbook(data: bytes, tokens: tuple[str, ...], chance: random.Random) -> bytes:
    """A workbook with a part of it made worse inside its packing, so that what reads the parts is reached."""
    made = io.BytesIO()
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as again:
            parts = packed.infolist()
            chosen = chance.choice([part.filename for part in parts] + ["xl/worksheets/sheet1.xml"] * 8)
            for part in parts:
                inside = packed.read(part)
                again.writestr(part.filename, worse(inside, (*tokens, *XML), chance) if part.filename == chosen else inside)
    except (zipfile.BadZipFile, ValueError):
        return data[:-1]
    return made.getvalue()


XML = (
    "<c r=\"A1\" t=\"s\"><v>0</v></c>", "<c r=\"XFD1048576\"><v>1</v></c>", "<row r=\"1048576\">", "t=\"d\"", "t=\"e\"", "t=\"b\"",
    "t=\"n\"", "s=\"99\"",
    "<f>1+1</f>", "<mergeCell ref=\"A1:XFD9\"/>", "<dimension ref=\"A1:XFD1048576\"/>", "<v>1e400</v>", "<v>NaN</v>", "2958466", "-1",
    "<!DOCTYPE x [<!ENTITY a \"aaaa\">]>", "&a;",
    "&#0;", "&#xD800;", "r=\"A0\"", "numFmtId=\"14\"", "sharedStrings.xml", "../../x",
)  # fmt: skip


def _pasted(data: bytes, folder: Path) -> object:
    cells = cells_in(data.decode("utf-8", "replace"))
    sequence = seeds.marked_sequence()
    if has_header(cells):
        return sound(with_fight(sequence, cells).sequence)
    return sound(with_block(sequence, cells, len(cells) % 5, len(cells[0]) % 3).sequence)


def _clipboard() -> tuple[bytes, ...]:
    whole = seeds.TABLES["fight"].replace(",", "\t").encode()
    return whole, b"high cut\tOdile\tReeve\nlow cut\tReeve\tOdile\n", b'1\t9\t"long ""one"""\tReeve\tOdile\t\t\tlevel\n'


def table(kind: str, read: Callable[[bytes, Path], object]) -> Reader:
    return Reader(kind, read, lambda: (seeds.TABLES[kind].encode(),), (*WORDS, *seeds.TABLES[kind].split("\n")[0].split(",")), worse_table)


KINDS = ("fight", "takes", "hits", "treatments", "flights", "heads")
READERS = {
    **{kind: table(kind, partial(_marks, kind)) for kind in KINDS},
    "workbook": Reader("workbook", _workbook, workbooks, (*WORDS, *ODD_NUMBERS, *ODD_TEXTS, *ODD_TIMES), worse_workbook, pure=False),
    "pasted": Reader("pasted", _pasted, _clipboard, WORDS),
}
