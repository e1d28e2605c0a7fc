"""Verbs around versions: the cuts of a sequence, what changed between two of them, undo and redo."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Annotated

import typer

from previs.cli.sessions import AsJson, File, edit, held, look
from previs.cli.showing import answer, say, show_rows, show_text
from previs.document.history import Step, redo, undo
from previs.document.sitting import go_step
from previs.document.store import open_document
from previs.faults import UseFault
from previs.replacing import named_with, replacing

_CutArgument = Annotated[str, typer.Argument(metavar="CUT", help="The cut's name.", show_default=False)]
_NewName = Annotated[str, typer.Argument(metavar="NAME", help="Its new name.", show_default=False)]
_cuts = typer.Typer(add_completion=False, rich_markup_mode=None, invoke_without_command=True)


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.add_typer(_cuts, name="cuts", epilog="Example: previs cuts salt.previs copy v1 v2")
    app.command(epilog="Example: previs changes salt.previs v1 v2 -o v2_changes.txt")(changes)
    app.command("undo", epilog="Example: previs undo salt.previs")(undo_)
    app.command("redo", epilog="Example: previs redo salt.previs")(redo_)


@_cuts.callback()
def cuts(context: typer.Context, file: File, as_json: AsJson = False) -> None:
    """List the cuts, with their length against the target; or copy, name or delete one."""
    context.obj = file
    if context.invoked_subcommand is not None:
        return
    from previs.exchange.lists import rows

    found = rows(look(file).sequence, "cuts")
    if as_json:
        answer(found)
    else:
        show_rows(found)


@_cuts.command("copy", epilog="Example: previs cuts salt.previs copy v1 v2")
def copy(context: typer.Context, cut: _CutArgument, name: _NewName) -> None:
    """Copy a cut under another name, to change one and keep the other."""
    from previs.cut.versions import copy_cut

    edit(context.obj, lambda sequence: copy_cut(sequence, cut, name), what=f"copy cut {cut} to {name}")
    say(f"Cut {name} is a copy of {cut}.")


@_cuts.command("name", epilog="Example: previs cuts salt.previs name v2 director")
def name_(context: typer.Context, cut: _CutArgument, name: _NewName) -> None:
    """Give a cut another name."""
    from previs.cut.versions import rename_cut

    edit(context.obj, lambda sequence: rename_cut(sequence, cut, name), what=f"name cut {cut} {name}")
    say(f"Cut {cut} is now called {name}.")


@_cuts.command("delete", epilog="Example: previs cuts salt.previs delete v2")
def delete(context: typer.Context, cut: _CutArgument) -> None:
    """Delete a cut; 'previs undo' brings it back."""
    from previs.cut.versions import delete_cut

    edit(context.obj, lambda sequence: delete_cut(sequence, cut), what=f"delete cut {cut}")
    say(f"Cut {cut} is deleted; 'previs undo' brings it back.")


def changes(
    file: File,
    before: Annotated[str, typer.Argument(metavar="BEFORE", help="The cut that there was.", show_default=False)],
    after: Annotated[str, typer.Argument(metavar="AFTER", help="The cut that there is.", show_default=False)],
    as_table: Annotated[bool, typer.Option("--table", help="As a table, with where each shot was and is.")] = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="As a CSV table.")] = False,
    output: Annotated[
        Path | None,
        typer.Option("--output", "-o", metavar="CHANGES.txt", help="Write a .txt, or a .csv, instead.", show_default=False),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say what changed from one cut to another, in running order, each step to be done at its record time code.

    An in is the first frame of a span, an out the frame after its last.
    """
    from previs.cut.changes import change_rows, change_text
    from previs.cut.changes import changes as changes_between
    from previs.exchange.lists import as_csv_text

    if output is not None and output.suffix.lower() not in (".txt", ".csv"):
        raise UseFault(f"A change list is a .txt or a .csv, and {output.name or output} is neither; name it {named_with(output, '.txt')}.")
    sequence = look(file).sequence
    old, new = sequence.cut(before), sequence.cut(after)
    found = changes_between(sequence, old, new)
    rows = change_rows(sequence, found)
    as_csv = as_csv or (output is not None and output.suffix.lower() == ".csv")
    text = as_csv_text(rows) if as_csv else change_text(sequence, old, new, found)
    if output is not None:
        with replacing(output) as temporary:
            temporary.write_text(text, encoding="utf-8", newline="")
        say(f"{output} is written.")
    if as_json:
        answer(rows)
    elif as_table:
        show_rows(rows)
    elif output is None:
        show_text(text)


def undo_(file: File, as_json: AsJson = False) -> None:
    """Take back the last change of the file, also one made before it was last closed."""
    _go(file, undo, "undone", as_json)


def redo_(file: File, as_json: AsJson = False) -> None:
    """Make the change again that was last undone."""
    _go(file, redo, "redone", as_json)


def _go(file: Path, direction: Callable[[Path], AbstractContextManager[Step]], done: str, as_json: bool) -> None:
    with held(file):
        opened = open_document(file)
        saved, step = go_step(opened, direction)
    if saved.doubt:
        say(saved.doubt)
    if as_json:
        answer({done: step.what, "more": step.more})
    else:
        say(f"{done}: {step.what}")
