"""How a verb opens, holds and saves the sequence file, and the arguments that many verbs share."""

from __future__ import annotations

import getpass
import os
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from previs.cli.showing import say
from previs.document.history import record
from previs.document.locks import holding
from previs.document.model import Sequence
from previs.document.store import Opened, open_document, save
from previs.document.text import to_text

File = Annotated[Path, typer.Argument(metavar="FILE", help="The sequence file, NAME.previs.", show_default=False)]
CutName = Annotated[str | None, typer.Option("--cut", metavar="NAME", help="Which cut; the newest when not given.")]
AsJson = Annotated[bool, typer.Option("--json", help="Answer in JSON, for programs.")]


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Hold the file for this program, so that nobody else changes it meanwhile."""
    with holding(path, who=_who(), host=socket.gethostname(), pid=os.getpid(), now=datetime.now(UTC)):
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
    with record(opened.path, to_text(opened.sequence), to_text(sequence), what or "an edit") as remark:
        saved = save(opened, sequence)
    if remark:
        say(remark)
    return saved


def look(path: Path) -> Opened:
    """Open the file to read; others may have it open."""
    return open_document(path)


def cache_folder(document: Path) -> Path:
    """The one folder beside the file that holds all that can be made again; it can be deleted at any time."""
    return document.with_name(document.name + ".cache")


def _who() -> str:
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return f"user {os.getuid()}"
