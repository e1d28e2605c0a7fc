"""The verb that opens the desk."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from previs.faults import Fault


def add_to(app: typer.Typer) -> None:
    """Give the command line this verb."""
    app.command(epilog="Example: previs desk salt.previs")(desk)


def desk(
    file: Annotated[Path | None, typer.Argument(metavar="FILE", help="The sequence file; that of last time when not given.")] = None,
) -> None:
    """Open the desk: a window to log, cut and hand off in, with the same file as every other verb."""
    try:
        from previs.desk.app import run
    except ImportError as error:
        raise Fault(f"The window cannot be opened ({error}); 'scripts/environment' says which Debian packages are missing.") from error
    if file is not None:
        # A wrong file is told where it was asked for, before there is a window.
        from previs.document.store import open_document

        open_document(file)
    raise typer.Exit(run(file))
