"""A sitting at a document: each edit is saved at once, as a step that can be undone; it shows nothing.

The command line makes one step and leaves; the desk holds the document for as long as its window is open.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager, ExitStack
from pathlib import Path
from types import TracebackType
from typing import Self

from previs.document.history import Step, record, redo, steps_from, undo
from previs.document.locks import Claim, holding_here, left_behind
from previs.document.model import Sequence
from previs.document.store import Opened, open_document, save
from previs.document.text import from_text, to_text


def save_step(opened: Opened, sequence: Sequence, what: str) -> tuple[Opened, str | None]:
    """Save a document that is held as a step that can be undone; `what` says in a few words what undo would take back.

    Gives back the file as it is now, and a sentence when its history could not be carried on or the disk did not confirm the
    save. Raises as `save` and `record`.
    """
    with record(opened.path, to_text(opened.sequence), to_text(sequence), what) as remark:
        saved = save(opened, sequence)
    return saved, " ".join(said for said in (remark, saved.doubt) if said) or None


def go_step(opened: Opened, direction: Callable[[Path], AbstractContextManager[Step]]) -> tuple[Opened, Step]:
    """Go one step back (`history.undo`) or forth (`history.redo`) in a document that is held; raises as they do.

    The file has a `doubt` when the disk did not confirm the save.
    """
    with direction(opened.path) as step:
        saved = save(opened, from_text(step.text, f"the history of {opened.path.name}"))
    return saved, step


class Sitting:
    """A document held open, edit after edit; use in a `with` block or `close` it.

    `left` is the claim of a program that had it open here and ended without closing it, or None. Raises as `holding` and
    `open_document` do.
    """

    def __init__(self, path: Path) -> None:
        self.left: Claim | None = left_behind(path)
        with ExitStack() as held:
            held.enter_context(holding_here(path))
            self._opened = open_document(path)
            self._held = held.pop_all()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the document."""
        self._held.close()

    @property
    def path(self) -> Path:
        """The document's file, absolute."""
        return self._opened.path

    @property
    def sequence(self) -> Sequence:
        """The document as it was last saved."""
        return self._opened.sequence

    def edit(self, change: Callable[[Sequence], Sequence], what: str) -> str | None:
        """Change the document and save it; on any fault it is as before. Gives back the remark of `save_step`."""
        self._opened, remark = save_step(self._opened, change(self.sequence), what)
        return remark

    def undo(self) -> Step:
        """Take the last edit back, also one made before this sitting; raises `UseFault` when there is none."""
        self._opened, step = go_step(self._opened, undo)
        return step

    def redo(self) -> Step:
        """Make the edit again that was last undone; raises `UseFault` when there is none."""
        self._opened, step = go_step(self._opened, redo)
        return step

    @property
    def doubt(self) -> str:
        """A sentence when the disk did not confirm the last save, else empty."""
        return self._opened.doubt

    @property
    def steps(self) -> tuple[str | None, str | None]:
        """What `undo` would take back and what `redo` would make again; None where there is nothing."""
        return steps_from(self.path, to_text(self.sequence))

    def read_again(self) -> None:
        """Read the document anew from its file, which something else may have changed; raises as `open_document` does."""
        self._opened = open_document(self.path)
