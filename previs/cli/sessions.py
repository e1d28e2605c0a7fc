"""How a verb opens, holds and saves the sequence file, and the arguments that many verbs share."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from previs.cli.showing import say
from previs.document.locks import holding_here
from previs.document.model import Sequence
from previs.document.sitting import save_step
from previs.document.store import Opened, open_document

File = Annotated[Path, typer.Argument(metavar="FILE", help="The sequence file, NAME.previs.", show_default=False)]
CutName = Annotated[str | None, typer.Option("--cut", metavar="NAME", help="Which cut; the newest when not given.")]
AsJson = Annotated[bool, typer.Option("--json", help="Answer in JSON, for programs.")]


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Hold the file for this program, so that nobody else changes it meanwhile."""
    with holding_here(path):
        yield


def edit(path: Path, change: Callable[[Sequence], Sequence], what: str = "") -> Opened:
    """Open the file, change the sequence and save it, with the file held; a fault in `change` leaves it untouched.

    `what` says in a few words what `previs undo` would take back.
    """
    with held(path):
        opened = open_document(path)
        return save_recorded(opened, change(opened.sequence), what)


def save_recorded(opened: Opened, sequence: Sequence, what: str = "") -> Opened:
    """Save a file that is held as a step that can be undone; `what` as for `edit`."""
    saved, remark = save_step(opened, sequence, what or "an edit")
    if remark:
        say(remark)
    return saved


def look(path: Path) -> Opened:
    """Open the file to read; others may have it open."""
    return open_document(path)
