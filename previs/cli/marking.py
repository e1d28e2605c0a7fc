"""Verbs around the written fight and the marks on the tapes: fight, marks, list."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from previs.cli.sessions import AsJson, CutName, File, edit, look
from previs.cli.showing import answer, say, show_rows, show_text
from previs.cut.wording import counted
from previs.document.casting import cast_rows, unknown_performers, with_casting
from previs.document.model import Sequence


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog="Example: previs fight salt.previs fight.csv")(fight)
    app.command(epilog="Example: previs marks salt.previs takes.csv hits.csv treatments.csv")(marks)
    app.command(epilog="Example: previs cast salt.previs Odile 'Juno Vale' --double 'Pim Oster'")(cast)
    app.command("list", epilog="Example: previs list salt.previs shots --cut v1")(list_)


def fight(
    file: File,
    tables: Annotated[
        list[Path],
        typer.Argument(metavar="TABLE...", help="The fight table, .csv or .xlsx; and marks that change with it.", show_default=False),
    ],
) -> None:
    """Read the written fight: phrases of moves, who attacks, who has the upper hand afterwards."""
    sequence = _read(file, tables, verb="fight")
    moves, phrases = counted(len(sequence.moves), "move"), counted(len(sequence.phrases), "phrase")
    say(f"{moves} in {phrases}, by {' and '.join(sequence.roles)}.")


def marks(
    file: File,
    tables: Annotated[
        list[Path], typer.Argument(metavar="TABLE...", help="Takes, hits, treatments, flights, heads; .csv or .xlsx.", show_default=False)
    ],
    add: Annotated[bool, typer.Option("--add", help="Keep the marks that are there, and add those of the tables.")] = False,
    known_tapes: Annotated[bool, typer.Option("--known-tapes", help="Leave out rows of tapes that are not taken in yet.")] = False,
) -> None:
    """Read marks: takes, hits, treatments, flights and head boxes. All of them are read, or none.

    Each table takes the place of all marks of its kind, unless --add is given.
    """
    sequence = _read(file, tables, verb="marks", add=add, known_tapes=known_tapes)
    hits = counted(sum(len(take.hits) for take in sequence.takes), "hit")
    told = [counted(len(sequence.treatments), "treatment")]
    told += [counted(len(those), what) for what, those in (("flight", sequence.flights), ("head", sequence.heads)) if those]
    say(f"{counted(len(sequence.takes), 'take')} with {hits}, {', '.join(told)}.")
    for sentence in unknown_performers(sequence):
        say(sentence)


def _read(file: Path, tables: list[Path], *, verb: str, add: bool = False, known_tapes: bool = False) -> Sequence:
    """Read tables into the file, and say what was left out or is gone."""
    from previs.exchange.tables import How, Read, read_marks

    made: list[Read] = []

    def change(sequence: Sequence) -> Sequence:
        made.append(read_marks(tables, sequence, How(add=add, known_tapes=known_tapes, verb=verb)))
        return made[0].sequence

    sequence = edit(file, change, what="read " + ", ".join(table.name for table in tables)).sequence
    for remark in made[0].remarks:
        say(remark)
    return sequence


def cast(
    file: File,
    role: Annotated[str, typer.Argument(metavar="ROLE", help="The character, as in the fight table; without it, the cast.")] = "",
    actor: Annotated[str, typer.Argument(metavar="ACTOR", help="Who plays it.")] = "",
    double: Annotated[list[str] | None, typer.Option(help="Who may double it; can be given again.")] = None,
    as_json: AsJson = False,
) -> None:
    """Say who plays a role and who may double it, so that a double's face in view can be told; or list the cast."""
    if not role:
        _show_cast(file, as_json)
        return
    sequence = edit(file, lambda sequence: with_casting(sequence, role, actor, tuple(double or ())), what=f"cast {role}").sequence
    if as_json:
        answer(cast_rows(sequence))
    else:
        say(f"{role} is {actor}" + (f", doubled by {' or '.join(double)}." if double else "."))
    for sentence in unknown_performers(sequence):
        say(sentence)


def _show_cast(file: Path, as_json: bool) -> None:
    sequence = look(file).sequence
    if as_json:
        answer(cast_rows(sequence))
        return
    show_rows(cast_rows(sequence))
    for sentence in unknown_performers(sequence):
        say(sentence)


class What(StrEnum):
    """What can be listed."""

    TAPES = "tapes"
    TAKES = "takes"
    MOVES = "moves"
    HITS = "hits"
    SHOTS = "shots"
    TREATMENTS = "treatments"
    MARKS = "marks"
    CUTS = "cuts"


def list_(
    file: File,
    what: Annotated[What, typer.Argument(help="What to list.", show_default=False)],
    cut: CutName = None,
    as_csv: Annotated[bool, typer.Option("--csv", help="As a CSV table.")] = False,
    as_json: AsJson = False,
) -> None:
    """List tapes, takes, moves, hits; shots or treatments of the cut; marks (the treatments on all tapes); or cuts.

    Every out is the frame after the last.
    """
    from previs.exchange.lists import as_csv_text, for_a_screen, heading, rows

    sequence = look(file).sequence
    found = rows(sequence, what.value, cut)
    if not as_json and (head := heading(sequence, what.value, cut)):
        say(head)
    if as_json:
        answer(found)
    elif as_csv:
        show_text(as_csv_text(found))
    else:
        show_rows(for_a_screen(what.value, found))
