"""The shot list and the treatments of a cut as rows to look at, filtered; the facts are those of `exchange.lists`; no Qt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from previs.cut.placing import Placed, place, treatments_seen
from previs.cut.wording import counted
from previs.desk.handoff.words import pull_told
from previs.desk.words import tr
from previs.document.model import Cut, Kind, Sequence
from previs.exchange.lists import Row, rows
from previs.handoff.pull_standing import Stands

_NO_PULLS: Mapping[int, tuple[Stands, int]] = MappingProxyType({})
TREATED_IN_SHOTS, TREATED_IN_TREATMENTS = 6, 1
"""The cells in which treatments are named, which are drawn with their hatching."""


@dataclass(frozen=True, slots=True)
class ListRow:
    """One line of a list: the shot and the record frame to go to, the still's reel ("" for none) and frame, and the cells.

    `treated` are the treatments that the line is about.
    """

    shot: int
    frame: int
    reel: str
    still_frame: int
    cells: tuple[str, ...]
    treated: tuple[tuple[Kind, str], ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be seen: one kind of treatment, one role, and a text that stands somewhere; None and "" for all."""

    kind: Kind | None = None
    role: str | None = None
    text: str = ""


def shot_headings() -> tuple[str, ...]:
    """Over the columns of the shot list, after the still's."""
    return (tr("Shot"), tr("Record"), tr("Length"), tr("Take"), tr("Framing"), tr("Moves"), tr("Treatments"))


def treatment_headings() -> tuple[str, ...]:
    """Over the columns of the treatments, after the still's."""
    return (tr("Shot"), tr("Treatment"), tr("Record"), tr("Tape"), tr("Framing"), tr("Pull"), tr("Note"))


def shot_rows(sequence: Sequence, cut: Cut) -> tuple[ListRow, ...]:
    """Every shot of a cut."""
    placed = place(sequence, cut)
    treated: dict[int, dict[tuple[Kind, str], None]] = {}
    for seen in treatments_seen(sequence, placed):
        treated.setdefault(seen.placed.number, {})[seen.treatment.kind, seen.treatment.role] = None
    return tuple(
        _shot_row(one, row, tuple(treated.get(one.number, {}))) for one, row in zip(placed, rows(sequence, "shots", cut.name), strict=True)
    )


def treatment_rows(sequence: Sequence, cut: Cut, pulls: Mapping[int, tuple[Stands, int]] = _NO_PULLS) -> tuple[ListRow, ...]:
    """Every treated stretch that the cut shows; `pulls` says how the pull of a shot stands to it, where one was looked at."""
    found = treatments_seen(sequence, place(sequence, cut))
    listed = rows(sequence, "treatments", cut.name)
    made = []
    for seen, row in zip(found, listed, strict=True):
        held = () if row["held"] == "whole" else (str(row["held"]),)
        cells = (
            _name(seen.placed),
            "\n".join((str(row["kind"]), tr("{role}, {frames}", role=row["role"], frames=_frames(seen.record.length)), *held)),
            f"{row['record in']}\n{row['record out']}",
            f"{row['tape']}\n{row['tape in']}",
            f"{row['size']}\n{row['replaced face']}".rstrip(),
            pull_told(*pulls[seen.placed.number]) if seen.placed.number in pulls else "",
            _noted(row),
        )
        treated = ((seen.treatment.kind, seen.treatment.role),)
        middle = (seen.tape.start + seen.tape.end_exclusive) // 2
        made.append(ListRow(seen.placed.number, seen.record.start, str(row["tape"]), middle, cells, treated))
    return tuple(made)


def _noted(row: Row) -> str:
    """What else there is to know of a treated stretch: what its shot leaves to the actor, and the note."""
    learns = tr("Actor learns {moves}.", moves=row["actor learns"]) if row["actor learns"] else ""
    return "\n".join(part for part in (learns, str(row["note"])) if part)


def filtered(found: tuple[ListRow, ...], wanted: Wanted) -> tuple[ListRow, ...]:
    """The rows that are wanted; kind and role must be of one treatment."""
    text = wanted.text.strip().casefold()
    return tuple(row for row in found if _treated_so(row, wanted) and (not text or text in "\n".join(row.cells).casefold()))


def _treated_so(row: ListRow, wanted: Wanted) -> bool:
    if wanted.kind is None and wanted.role is None:
        return True
    return any(wanted.kind in (None, kind) and wanted.role in (None, role) for kind, role in row.treated)


def _shot_row(one: Placed, row: Row, treated: tuple[tuple[Kind, str], ...]) -> ListRow:
    cells = (
        _name(one),
        f"{row['record in']}\n{row['record out']}",
        f"{row['seconds']:.2f} s\n{_frames(one.shot.frames)}",
        f"{row['take']}\n{row['tape']}".rstrip(),
        f"{row['size']}\n{row['movement']}".rstrip(),
        str(row["moves"]),
        "\n".join(f"{kind.value}: {role}" for kind, role in treated),
    )
    source = one.source
    still = max(0, source.frame(one.shot.frames // 2)) if source else 0
    return ListRow(one.number, one.record.start, source.tape.reel if source else "", still, cells, treated)


def _frames(number: int) -> str:
    return counted(number, "frame")


def _name(one: Placed) -> str:
    return f"{one.number}\n{one.shot.code}" if one.shot.code else str(one.number)
