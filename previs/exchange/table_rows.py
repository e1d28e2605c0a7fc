"""Cells read as what their column means (a number, a role, a moment on a tape); faults are gathered, nothing is raised."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Iterable, Sequence
from enum import StrEnum
from fractions import Fraction
from typing import TypeVar

from previs.clock import ClockFault, Timebase, parse_instant
from previs.document.model import Tape
from previs.exchange.table_files import Cell, RawTable, TableFault

Choice = TypeVar("Choice", bound=StrEnum)
_WHOLE = re.compile(r"[+-]?\d{1,9}", re.ASCII)
_SHARE = re.compile(r"(\d{1,6}(?:[.,]\d{1,12})?)\s*(%?)|(\d{1,12})/(\d{1,12})", re.ASCII)
_COMMA_SECONDS = re.compile(r"(\d+),(\d+\s*s)", re.ASCII)
_YES, _NO = frozenset({"yes", "y", "true", "x", "1"}), frozenset({"", "no", "n", "false", "0"})
_NINE_PLACES = 10**9
_MOST_SUGGESTIONS = 50


class Faults:
    """The faults of one table, gathered while it is read."""

    def __init__(self, table: str) -> None:
        self.table = table
        self.found: list[TableFault] = []
        self.unknown_tapes: set[str] = set()

    def add(self, row: int | None, column: str, sentence: str) -> None:
        """Note a fault; see `TableFault`."""
        self.found.append(TableFault(self.table, row, column, sentence))

    def in_order(self) -> list[TableFault]:
        """By row, what concerns the whole table last."""
        return sorted(self.found, key=lambda fault: (fault.row is None, fault.row))


class Row:
    """One row of a table by column name; each reading method notes a fault and gives None for what cannot be read."""

    def __init__(self, number: int, cells: dict[str, Cell], faults: Faults) -> None:
        self.number = number
        self._cells = cells
        self._faults = faults
        self._faulty = False

    @property
    def sound(self) -> bool:
        """True as long as no fault was noted in this row."""
        return not self._faulty

    def wrong(self, column: str, sentence: str) -> None:
        """Note a fault in one of this row's cells."""
        self._faulty = True
        self._faults.add(self.number, column, sentence)

    def text(self, column: str) -> str:
        """The cell as text; empty where the column is not there."""
        cell = self._cells.get(column, Cell(""))
        if cell.changed:
            self.wrong(column, f"the spreadsheet made {cell.changed} of it ({cell.text}); format the column as text and type it again.")
            return ""
        return cell.text

    def needed(self, column: str) -> str | None:
        """The cell as text that may not be blank."""
        if self._cells.get(column, Cell("")).text == "":
            self.wrong(column, "is blank; fill it in.")
            return None
        return self.text(column) or None

    def whole(self, column: str, least: int, most: int) -> int | None:
        """A whole number between two bounds, both allowed."""
        text = self.needed(column)
        if text is None:
            return None
        # Spreadsheets set a true minus sign and a degree sign in some languages.
        bare = text.replace("\u2212", "-").removesuffix("°").strip()
        if not _WHOLE.fullmatch(bare) or not least <= int(bare) <= most:
            self.wrong(column, f"'{text}' is not a whole number from {least} to {most}.")
            return None
        return int(bare)

    def whole_or(self, column: str, least: int, most: int, blank: int) -> int | None:
        """As `whole`, with a value for a blank cell."""
        return self.whole(column, least, most) if self.text(column) else blank

    def yes(self, column: str) -> bool:
        """Yes, y, true, x or 1; blank, no, n, false or 0."""
        text = self.text(column).casefold()
        if text not in _YES | _NO:
            self.wrong(column, f"'{text}' is neither yes nor no; write yes, or leave it blank.")
        return text in _YES

    def choice(self, column: str, choices: type[Choice]) -> Choice | None:
        """One of a fixed list of words, in any case; hyphens and underscores stand for spaces."""
        text = self.needed(column)
        if text is None:
            return None
        bare = " ".join(re.split(r"[\s_-]+", text.casefold()))
        for choice in choices:
            if choice.value == bare:
                return choice
        self.wrong(column, f"'{text}' is not one of: {', '.join(choices)}{_close(bare, list(choices)) or '.'}")
        return None

    def one_of(self, column: str, text: str, known: Collection[str], what: str) -> bool:
        """True when `text`, found in this column, is a known name; what is known is said when not."""
        if text in known:
            return True
        # Looking for what is close takes long, and after this many nobody reads it.
        close = _close(text, known) if len(self._faults.found) < _MOST_SUGGESTIONS else ""
        listed = ", ".join(list(known)[:12]) + (" ..." if len(known) > 12 else "") if known else "none yet"
        if what == "tape" and not close:
            self._faults.unknown_tapes.add(text)
        self.wrong(column, f"there is no {what} '{text}'; known: {listed}{close or '.'}")
        return False

    def pairs(self, column: str) -> list[tuple[str, str]]:
        """`Odile=full;Reeve=hidden` as pairs."""
        found: list[tuple[str, str]] = []
        for part in (part.strip() for part in self.text(column).split(";")):
            name, equals, value = (piece.strip() for piece in part.partition("="))
            if not part:
                continue
            if not (name and equals and value):
                self.wrong(column, f"'{part}' is not ROLE=VALUE; separate several with a semicolon.")
            elif name in (pair[0] for pair in found):
                self.wrong(column, f"'{name}' is there twice; keep one.")
            else:
                found.append((name, value))
        return found

    def share(self, column: str, blank: Fraction) -> Fraction | None:
        """A share above nothing, such as 0.7, 70 % or 2/3, exact."""
        text = self.text(column)
        if not text:
            return blank
        match = _SHARE.fullmatch(text)
        share = Fraction(0)
        if match and match[1]:
            share = Fraction(match[1].replace(",", ".")) / (100 if match[2] else 1)
        elif match and int(match[4]):
            share = Fraction(int(match[3]), int(match[4]))
        if share <= 0:
            self.wrong(column, f"'{text}' is not a share such as 0.7 or 70 %.")
            return None
        return share

    def moment(self, column: str, tape: Tape) -> Fraction | None:
        """A moment on a tape, in exact seconds from its first picture; its very end is allowed."""
        text = self.needed(column)
        if text is None:
            return None
        try:
            moment = parse_moment(text, tape.timebase, tape.start_frame)
        except ClockFault as fault:
            self.wrong(column, str(fault))
            return None
        if moment > tape.duration:
            self.wrong(
                column,
                f"'{text}' is not on tape {tape.reel}, which runs from {moment_text(Fraction(0), tape)} for {float(tape.duration):.3f} s.",
            )
            return None
        return moment

    def frames(self, column: str, timebase: Timebase) -> int | None:
        """A length in frames of the sequence rate, nearest to what was written; blank is none."""
        text = self.text(column)
        if not text:
            return 0
        try:
            # A drop-frame length is counted from midnight, as the document shows lengths.
            return round(parse_moment(text, timebase, 0) * timebase.rate.fps)
        except ClockFault as fault:
            self.wrong(column, str(fault))
            return None


def parse_moment(text: str, timebase: Timebase, start_frame: int) -> Fraction:
    """As `previs.clock.parse_instant`, and also seconds with a decimal comma (`12,4s`), which European spreadsheets make."""
    return parse_instant(_COMMA_SECONDS.sub(r"\1.\2", text), timebase, start_frame)


def moment_text(moment: Fraction, tape: Tape) -> str:
    """A moment as `parse_moment` reads it back without loss: time code on a frame of the tape's count, else seconds."""
    frames = moment * tape.timebase.rate.fps
    if frames.denominator == 1:
        return tape.timebase.label(tape.timebase.wrap(tape.start_frame + frames.numerator))
    billionths = moment * _NINE_PLACES
    if billionths.denominator == 1:
        whole, part = divmod(billionths.numerator, _NINE_PLACES)
        return f"{whole}.{part:09d}".rstrip("0").rstrip(".") + "s"
    return f"{moment.numerator}/{moment.denominator}s"


def rows_of(raw: RawTable, columns: Sequence[str], extra: Sequence[str], faults: Faults) -> list[Row]:
    """The rows by column name; none when the header is not right. `columns` must be there, `extra` may be."""
    header = [column_name(cell) for cell in raw.header]
    known = [*columns, *extra]
    for place, name in enumerate(header, start=1):
        if name not in known:
            faults.add(
                1,
                raw.header[place - 1] or f"number {place}",
                f"is not a column of this table{_close(name, known) or '.'} Delete or rename it.",
            )
        elif name in header[: place - 1]:
            faults.add(1, name, "is there twice; delete one.")
    for name in columns:
        if name not in header:
            faults.add(1, name, f"is missing; the columns are {', '.join(columns)}.")
    if not raw.rows:
        faults.add(None, "", "has no rows below its header, so there is nothing to read.")
    if faults.found:
        return []
    return [Row(number, dict(zip(header, cells, strict=True)), faults) for number, cells in raw.rows]


def column_name(written: str) -> str:
    """A header cell as the name of a column: any case, blanks for underscores."""
    return "_".join(written.casefold().split())


def _close(word: str, known: Iterable[str]) -> str:
    """The end of a sentence that asks whether a known name is meant; empty when none is near."""
    near = difflib.get_close_matches(word, list(known), n=1)
    # SSB01 and SSB03 are two tapes, and taking one for the other would put marks on the wrong pictures.
    if not near or (any(sign.isdigit() for sign in word) and _shape(word) == _shape(near[0])):
        return ""
    return f"; did you mean '{near[0]}'?"


def _shape(name: str) -> str:
    """The name with every digit as 0 and every letter as A: names of one shape count the same kind of thing."""
    return "".join("0" if sign.isdigit() else "A" if sign.isalpha() else sign for sign in name)
