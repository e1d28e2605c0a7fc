"""Verbs around the written fight and the marks on the tapes: fight, marks, list."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from previs.cli.sessions import AsJson, CutName, File, edit, look
from previs.cli.showing import answer, say, show_rows


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog="Example: previs fight salt.previs fight.csv")(fight)
    app.command(epilog="Example: previs marks salt.previs takes.csv hits.csv treatments.csv")(marks)
    app.command(epilog="Example: previs cast salt.previs Odile 'Juno Vale' --double 'Pim Oster'")(cast)
    app.command("list", epilog="Example: previs list salt.previs shots --cut v1")(list_)


def fight(
    file: File,
    table: Annotated[Path, typer.Argument(metavar="TABLE", help="The fight table, .csv or .xlsx.", show_default=False)],
) -> None:
    """Read the written fight: phrases of moves, who attacks, who has the upper hand afterwards."""
    from previs.exchange.tables import read_fight

    sequence = edit(file, lambda sequence: read_fight(table, sequence), what=f"read {table.name}").sequence
    say(f"{len(sequence.moves)} moves in {len(sequence.phrases)} phrases, by {' and '.join(sequence.roles)}.")


def marks(
    file: File,
    tables: Annotated[list[Path], typer.Argument(metavar="TABLE...", help="Takes, hits, treatments; .csv or .xlsx.", show_default=False)],
) -> None:
    """Read marks: takes, hits and treatments. All of them are read, or none."""
    from previs.exchange.lists import counted
    from previs.exchange.tables import read_marks

    sequence = edit(file, lambda sequence: read_marks(tables, sequence), what="read " + ", ".join(table.name for table in tables)).sequence
    hits = sum(len(take.hits) for take in sequence.takes)
    say(f"{counted(len(sequence.takes), 'take')} with {counted(hits, 'hit')}, {counted(len(sequence.treatments), 'treatment')}.")


def cast(
    file: File,
    role: Annotated[str, typer.Argument(help="The character, as in the fight table.", show_default=False)],
    actor: Annotated[str, typer.Argument(help="Who plays it.", show_default=False)],
    double: Annotated[list[str] | None, typer.Option(help="Who may double it; can be given again.")] = None,
) -> None:
    """Say who plays a role and who may double it, so that a double's face in view can be told."""
    from previs.document.model import Role

    edit(file, lambda sequence: sequence.with_role(Role(role, actor, tuple(double or ()))), what=f"cast {role}")
    say(f"{role} is {actor}" + (f", doubled by {' or '.join(double)}." if double else "."))


class What(StrEnum):
    """What can be listed."""

    TAPES = "tapes"
    TAKES = "takes"
    MOVES = "moves"
    HITS = "hits"
    SHOTS = "shots"
    TREATMENTS = "treatments"
    CUTS = "cuts"
    MARKS = "marks"


def list_(
    file: File,
    what: Annotated[What, typer.Argument(help="What to list.", show_default=False)],
    cut: CutName = None,
    as_csv: Annotated[bool, typer.Option("--csv", help="As a CSV table.")] = False,
    as_json: AsJson = False,
) -> None:
    """List tapes, takes, moves, hits, shots, treatments in the cut, cuts, or all treatments marked on the tapes (marks)."""
    from previs.exchange.lists import as_csv_text, for_a_screen, heading, rows

    sequence = look(file).sequence
    found = rows(sequence, what.value, cut)
    if not as_json and (head := heading(sequence, what.value, cut)):
        say(head)
    if as_json:
        answer(found)
    elif as_csv:
        print(as_csv_text(found), end="")
    else:
        show_rows(for_a_screen(what.value, found))
