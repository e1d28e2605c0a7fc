"""Takes as a table, a row for each framing of each take, to takes and back; hits are another table; it opens no file."""

from __future__ import annotations

import re
from fractions import Fraction

import msgspec
import pandas as pd

from previs.document.model import Casting, Face, Framing, Sequence, Shows, Size, Take, Tape
from previs.exchange.replaced import LeftOut
from previs.exchange.table_files import RawTable
from previs.exchange.table_rows import Faults, Row, moment_text, rows_of
from previs.faults import UseFault

COLUMNS = (
    "take", "tape", "in", "out", "slate", "rating", "tempo", "phrases", "camera", "size", "angle", "movement", "screen_left", "faces",
    "performers", "note",
)  # fmt: skip
EXTRA = ("from",)
_OF_THE_TAKE = ("tape", "in", "out", "slate", "rating", "tempo", "phrases", "camera", "performers", "note")
_PHRASES = re.compile(r"(\d{1,9})(?:\s*(?:-|–|to)\s*(\d{1,9}))?", re.ASCII)


def read_takes_rows(
    raw: RawTable, sequence: Sequence, faults: Faults, left_out: LeftOut | None = None
) -> tuple[tuple[Take, ...], frozenset[str]]:
    """The takes that the table holds, without hits, and the names of those with faults, which are noted in `faults`.

    A second row for a take is a change of framing: `from` says when it begins, and what belongs to the take as a whole
    is repeated or left blank. With `left_out`, rows of tapes that are not in the sequence are noted there and count among
    the takes with faults.
    """
    reader = _Reader(sequence)
    takes: dict[str, Take] = {}
    first_rows: dict[str, Row] = {}
    faulty: set[str] = set()
    reels = {tape.reel for tape in sequence.tapes}
    for row in rows_of(raw, COLUMNS, EXTRA, faults):
        name = row.needed("take")
        if name is None:
            continue
        reel = row.text("tape") or (first_rows[name].text("tape") if name in first_rows else "")
        if left_out is not None and reel and reel not in reels:
            left_out.tape(reel)
            first_rows.setdefault(name, row)
            faulty.add(name)
            continue
        if name not in first_rows:
            first_rows[name] = row
            take = reader.take(row, name)
            if take is not None and row.sound:
                takes[name] = take
        else:
            take = takes.get(name)
            framing = reader.further_framing(row, first_rows[name], take)
            if take is not None and framing is not None and row.sound:
                takes[name] = msgspec.structs.replace(take, framings=(*take.framings, framing))
        if not row.sound:
            faulty.add(name)
    return tuple(takes.values()), frozenset(faulty)


def takes_table(sequence: Sequence) -> pd.DataFrame:
    """The takes as a table of `COLUMNS`, with `from` at the end where a take changes its framing.

    Raises `UseFault` for a name with = or ; where the table needs these signs.
    """
    rows: list[dict[str, object]] = []
    moved = False
    for take in sequence.takes:
        tape = sequence.tape(take.reel)
        phrases = str(take.first_phrase) if take.first_phrase == take.last_phrase else f"{take.first_phrase} to {take.last_phrase}"
        for number, framing in enumerate(take.framings):
            begins = "" if number == 0 and framing.at == take.start else moment_text(framing.at, tape)
            moved = moved or bool(begins)
            rows.append(
                {
                    "take": take.name,
                    "tape": take.reel,
                    "in": moment_text(take.start, tape),
                    "out": moment_text(take.end_exclusive, tape),
                    "slate": take.slate,
                    "rating": take.rating,
                    "tempo": _share_text(take.tempo),
                    "phrases": phrases,
                    "camera": take.camera,
                    "size": framing.size.value,
                    "angle": "" if framing.angle is None else framing.angle,
                    "movement": framing.movement,
                    "screen_left": framing.screen_left,
                    "faces": _joined([(face.role, face.shows.value) for face in framing.faces]),
                    "performers": _joined([(cast.role, cast.performer) for cast in take.performers]),
                    "note": take.note,
                    "from": begins,
                }
            )
    return pd.DataFrame(rows, columns=[*COLUMNS, *(EXTRA if moved else ())])


def _share_text(share: Fraction) -> str:
    """A share in decimals where they are exact, else as a ratio."""
    millionths = share * 10**6
    if millionths.denominator > 1:
        return str(share)
    whole, part = divmod(millionths.numerator, 10**6)
    return f"{whole}.{part:06d}".rstrip("0").rstrip(".")


def _joined(pairs: list[tuple[str, str]]) -> str:
    for name, value in pairs:
        if not name or not value or ";" in name + value or "=" in name:
            raise UseFault(f"'{name}={value}' cannot stand in a table, where = and ; separate; rename the role or performer.")
    return ";".join(f"{name}={value}" for name, value in pairs)


class _Reader:
    """Rows to takes and framings, against what the sequence has."""

    def __init__(self, sequence: Sequence) -> None:
        self._tapes = {tape.reel: tape for tape in sequence.tapes}
        self._roles = sequence.roles
        self._phrases = [phrase.number for phrase in sequence.phrases]

    def take(self, row: Row, name: str) -> Take | None:
        """The take that its first row tells of, with one framing."""
        tape = self._tape(row)
        start, end = (row.moment("in", tape), row.moment("out", tape)) if tape else (None, None)
        if start is not None and end is not None and end <= start:
            row.wrong("out", f"'{row.text('out')}' is not after in, '{row.text('in')}'.")
            end = None
        phrases = self._phrase_run(row)
        rating, tempo = row.whole_or("rating", 0, 5, 0), row.share("tempo", Fraction(1))
        performers = [Casting(role, performer) for role, performer in row.pairs("performers") if self._role(row, "performers", role)]
        slate, camera, note = row.text("slate"), row.text("camera"), row.text("note")
        at = self._framing_start(row, tape, start, end)
        framing = self._framing(row, at if at is not None else Fraction(0))
        if tape is None or start is None or end is None or phrases is None or rating is None or tempo is None or framing is None:
            return None
        return Take(
            name=name, reel=tape.reel, start=start, end_exclusive=end, first_phrase=phrases[0], last_phrase=phrases[1],
            framings=(framing,), rating=rating, tempo=tempo, performers=tuple(performers), slate=slate, camera=camera, note=note,
        )  # fmt: skip

    def further_framing(self, row: Row, first: Row, take: Take | None) -> Framing | None:
        """The framing of a take's second or later row; None while the take itself is not sound."""
        if not row.text("from"):
            row.wrong(
                "take", f"'{row.text('take')}' is in row {first.number} already; rename it, or say in 'from' when its framing changes."
            )
            return None
        for column in _OF_THE_TAKE:
            if row.text(column) not in ("", first.text(column)):
                row.wrong(column, f"'{row.text(column)}' differs from row {first.number} of the same take; repeat it or leave it blank.")
        if take is None:
            return None
        at = self._framing_start(row, self._tapes[take.reel], take.start, take.end_exclusive)
        if at is not None and at <= take.framings[-1].at:
            row.wrong("from", f"'{row.text('from')}' is not after the framing before it; put the rows in order.")
        return self._framing(row, at) if at is not None else None

    def _framing(self, row: Row, at: Fraction) -> Framing | None:
        size = row.choice("size", Size)
        angle = row.whole("angle", -180, 180) if row.text("angle") else None
        left = row.text("screen_left")
        if left:
            self._role(row, "screen_left", left)
        faces: list[Face] = []
        for role, shows in row.pairs("faces"):
            if shows.casefold() not in list(Shows):
                row.wrong("faces", f"'{shows}' is not one of: {', '.join(Shows)}.")
            elif self._role(row, "faces", role):
                faces.append(Face(role, Shows(shows.casefold())))
        if size is None:
            return None
        return Framing(at=at, size=size, angle=angle, movement=row.text("movement"), screen_left=left, faces=tuple(faces))

    def _framing_start(self, row: Row, tape: Tape | None, start: Fraction | None, end: Fraction | None) -> Fraction | None:
        if not row.text("from") or tape is None:
            return start
        at = row.moment("from", tape)
        if at is not None and start is not None and end is not None and not start <= at < end:
            row.wrong("from", f"'{row.text('from')}' is not within its take, {moment_text(start, tape)} to {moment_text(end, tape)}.")
        return at

    def _tape(self, row: Row) -> Tape | None:
        reel = row.needed("tape")
        return self._tapes[reel] if reel is not None and row.one_of("tape", reel, self._tapes, "tape") else None

    def _role(self, row: Row, column: str, role: str) -> bool:
        return row.one_of(column, role, self._roles, "role")

    def _phrase_run(self, row: Row) -> tuple[int, int] | None:
        text = row.needed("phrases")
        if text is None:
            return None
        match = _PHRASES.fullmatch(text)
        if match is None:
            row.wrong("phrases", f"'{text}' is neither a phrase nor a run; write 3, or 1 to 2 where a spreadsheet makes a date of 1-2.")
            return None
        first, last = int(match[1]), int(match[2] or match[1])
        for number in dict.fromkeys((first, last)):
            if number not in self._phrases:
                row.wrong("phrases", f"there is no phrase {number}; the fight has {_runs(self._phrases)}.")
        if last < first:
            row.wrong("phrases", f"'{text}' runs backwards; write the first phrase first.")
        return first, last


def _runs(numbers: list[int]) -> str:
    return f"phrases {numbers[0]} to {numbers[-1]}" if numbers else "none yet; read the fight first"
