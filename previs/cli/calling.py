"""Verbs that tell departments and performers what a cut asks of them: sheets, setups, who, recast, flights; they change nothing."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from previs.cli.sessions import AsJson, CutName, File, look
from previs.cli.showing import Row, answer, reporting, say, show, show_rows, show_text
from previs.document.model import Size
from previs.faults import UseFault
from previs.handoff.call_sheets import Department
from previs.handoff.sheet_files import Paper

PaperSize = Annotated[Paper, typer.Option("--paper", case_sensitive=False, help="Paper of the PDF, lying.")]


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog="Example: previs sheets salt.previs --cut v1 --paper letter -o sheets")(sheets)
    app.command(epilog="Example: previs setups salt.previs -o salt_v1_setups.pdf")(setups)
    app.command(epilog="Example: previs who salt.previs --cut v1 --csv")(who)
    app.command(epilog="Example: previs recast salt.previs --role Reeve --actor-only --from medium-wide")(recast)
    app.command(epilog="Example: previs flights salt.previs")(flights)


def sheets(
    file: File,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="DIR", help="The folder for the sheets.", show_default=False)],
    cut: CutName = None,
    department: Annotated[Department | None, typer.Option(case_sensitive=False, help="Only this one; all when not given.")] = None,
    paper: PaperSize = Paper.A4,
) -> None:
    """Write call sheets for a cut: rigging, props, wardrobe, mats, fight load; each as PDF, workbook and CSV."""
    from previs.handoff.cautions import DEFER
    from previs.handoff.sheet_folder import write_sheets

    sequence = look(file).sequence
    chosen = sequence.cut(cut)
    write_sheets(sequence, chosen, [department] if department else list(Department), output, paper, date.today(), say)
    say(f"{DEFER} The sheets of cut {chosen.name} are in {output}.")


def setups(
    file: File,
    cut: CutName = None,
    output: Annotated[Path | None, typer.Option("--output", "-o", metavar="SHEET", help="As .pdf with stills, .xlsx or .csv.")] = None,
    paper: PaperSize = Paper.A4,
    as_json: AsJson = False,
) -> None:
    """List the camera set-ups that a cut needs, by place, side and size, how often and how long each."""
    from previs.handoff.set_ups import set_ups_table
    from previs.handoff.sheet_folder import write_set_ups

    opened = look(file)
    sequence = opened.sequence
    chosen = sequence.cut(cut)
    if output is not None:
        with reporting("taking stills") as report:
            write_set_ups(sequence, chosen, opened.path, output, paper, date.today(), report, say)
    if as_json or output is None:
        table = set_ups_table(sequence, chosen)
        rows = [dict(zip(table.columns, row, strict=True)) for row in table.rows]
        answer(rows) if as_json else show_rows(rows)


def who(
    file: File,
    cut: CutName = None,
    as_csv: Annotated[bool, typer.Option("--csv", help="As a CSV table.")] = False,
    as_json: AsJson = False,
) -> None:
    """Say who does what in a cut: each role's part of each move, by actor, double, digital double or a replaced face."""
    from previs.exchange.lists import as_csv_text
    from previs.fight.doubling import parts
    from previs.handoff.who_does_what import part_row

    sequence = look(file).sequence
    chosen = sequence.cut(cut)
    found = parts(sequence, chosen)
    rows = [part_row(sequence, part) for part in found]
    if as_json:
        answer(rows)
    elif as_csv:
        show_text(as_csv_text(rows))
    else:
        show_rows(rows)
        for role in sequence.roles:
            learned = sorted({part.move.number for part in found if part.role == role and part.must_learn})
            say(f"{role}: the actor has to do {len(learned)} moves of cut {chosen.name}.")


def recast(
    file: File,
    role: Annotated[str, typer.Option(help="Which character.", show_default=False)],
    cut: CutName = None,
    actor_only: Annotated[bool, typer.Option("--actor-only", help="What if the actor alone may be seen?")] = False,
    from_size: Annotated[str, typer.Option("--from", metavar="SIZE", help="With --actor-only: in this size and tighter.")] = "",
    cannot: Annotated[str, typer.Option(metavar="MOVES", help="What if the actor cannot do these moves? 15,30 or 28-30.")] = "",
    as_json: AsJson = False,
) -> None:
    """Answer the day's question: what must be learned, which shots change, which takes there are, what becomes impossible."""
    from previs.fight.recasting import actor_only as only
    from previs.fight.recasting import cannot as without
    from previs.handoff.who_does_what import answer_lines, consequence_row

    if actor_only == bool(cannot):
        raise UseFault("Ask one thing: --actor-only, or --cannot with the numbers of moves.")
    if from_size and not actor_only:
        raise UseFault("--from goes with --actor-only; leave it out.")
    sequence = look(file).sequence
    chosen = sequence.cut(cut)
    size = _size(from_size) if from_size else None
    found = only(sequence, chosen, role, size) if actor_only else without(sequence, chosen, role, _moves(cannot))
    rows = [consequence_row(sequence, one) for one in found]
    if as_json:
        answer(rows)
        return
    for line in answer_lines(sequence, chosen, role, found, None if actor_only else _moves(cannot)):
        show(line)
    if rows:
        show()
        show_rows(rows)


def flights(file: File, as_json: AsJson = False) -> None:
    """Say for each marked flight how long it is in the air, and how a free flight compares; for reading pictures only."""
    from previs.exchange.lists import tape_label
    from previs.fight.airtime import air_time
    from previs.handoff.cautions import FLIGHTS

    sequence = look(file).sequence
    found = [air_time(sequence, flight) for flight in sequence.flights]
    rows: list[Row] = [
        {
            "tape": one.flight.reel,
            "role": one.flight.role,
            "take-off": tape_label(sequence.tape(one.flight.reel), one.flight.take_off),
            "seconds": round(float(one.seconds), 3),
            "what it means": one.sentence,
        }
        for one in found
    ]
    if as_json:
        answer([row | {"note": one.flight.note} for row, one in zip(map(dict, rows), found, strict=True)])
    else:
        show_rows(rows)
    say(f"Caution: {FLIGHTS}")


def _size(text: str) -> Size:
    bare = " ".join(re.split(r"[\s_-]+", text.strip().casefold()))
    try:
        return Size(bare)
    except ValueError:
        raise UseFault(f"'{text}' is no shot size; the sizes are {', '.join(Size)}.") from None


def _moves(text: str) -> frozenset[int]:
    """`15,30` or `28-30` as numbers. Raises `UseFault` for anything else."""
    numbers: set[int] = set()
    for part in filter(None, (piece.strip() for piece in text.split(","))):
        run = re.fullmatch(r"(\d{1,6})(?:\s*-\s*(\d{1,6}))?", part, re.ASCII)
        first, last = (int(run[1]), int(run[2] or run[1])) if run else (1, 0)
        if last < first or last - first > 9999:
            raise UseFault(f"'{part}' names no moves; write numbers such as 15,30 or 28-30.")
        numbers |= set(range(first, last + 1))
    if not numbers:
        raise UseFault(f"'{text}' names no moves; write numbers such as 15,30 or 28-30.")
    return frozenset(numbers)
