"""Something done to a verb at one moment of its file work, in a process of its own; whoever imports this must not mind being forked.

Every call that opens a file to write, flushes, renames, links, removes or makes a folder is a moment, and so is every tenth
frame of long work.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

from faults.verbs import DOCUMENT, WRITING, Ran, prepare, put_down, run
from faults.whole import is_whole

from previs.document.store import open_document
from previs.document.text import to_text
from previs.media import workers

Strike = Callable[[Path], None]
"""What is done at the moment, to the folder where the verb is at work."""

_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT
_CALLS = frozenset({"os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.link", "os.truncate", "os.chmod", "fcntl.flock"})
_FRAMES_A_MOMENT = 10
_KEPT_BESIDE = tuple(f"{DOCUMENT}.{ending}" for ending in ("cache", "versions", "history"))


def killed(_folder: Path) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


class _Moments:
    """Counts the moments of this process, and strikes at one of them; 0 is never."""

    def __init__(self, at: int, strike: Callable[[], None]) -> None:
        self.seen, self._at, self._strike, self._frames, self._striking = 0, at, strike, 0, False

    def _count(self) -> None:
        if self._striking:
            return
        self.seen += 1
        if self.seen == self._at:
            self._striking = True
            self._strike()
            self._striking = False

    def _hear(self, event: str, arguments: tuple[Any, ...]) -> None:
        if event in _CALLS or (event == "open" and isinstance(arguments[2], int) and arguments[2] & _WRITES):
            self._count()

    def _frame(self) -> None:
        self._frames += 1
        if self._frames % _FRAMES_A_MOMENT == 0:
            self._count()

    def watch(self) -> None:
        flush, one_after_another = os.fsync, workers._one_after_another

        def flushed(descriptor: int) -> None:
            self._count()
            flush(descriptor)

        def counted(work: Any, jobs: Any, total: int, doing: str, report: Any, finished: Any) -> Any:
            def told(step: Any) -> None:
                self._frame()
                report(step)

            return one_after_another(work, jobs, total, doing, told, finished)

        os.fsync, workers._one_after_another = flushed, counted
        sys.addaudithook(self._hear)


def in_a_child(work: Callable[[], Any]) -> Any:
    """What the work gives, done by a process of its own; None when that was killed."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        code = 1
        try:
            os.close(reading)
            os.write(writing, json.dumps(work()).encode()[:60_000])
            code = 0
        finally:
            os._exit(code)
    os.close(writing)
    with open(reading, "rb") as pipe:  # noqa: PTH123 - a descriptor
        given = pipe.read()
    status = os.waitpid(child, 0)[1]
    assert status in (0, signal.SIGKILL), status
    return json.loads(given) if status == 0 else None


def verb_in(folder: Path, verb: str, at: int = 0, strike: Strike = killed) -> tuple[int, Ran] | None:
    """Run a verb, and strike at one of its moments: how many it had, and what it gave; None when it was killed."""

    def work() -> tuple[int, int, str, str]:
        moments = _Moments(at, lambda: strike(folder))
        moments.watch()
        ran = run(folder, WRITING[verb])
        return moments.seen, ran.code, ran.out[-2000:], ran.err[-2000:]

    given = in_a_child(work)
    return given and (given[0], Ran(*given[1:]))


def text_in(folder: Path) -> str:
    """The document in the folder, opened as a program would."""
    return to_text(open_document(folder / DOCUMENT).sequence)


def given_in(folder: Path) -> dict[str, bytes]:
    """Every file that a person would look for, by its place in the folder."""
    places = {path: path.relative_to(folder) for path in folder.rglob("*") if path.is_file()}
    return {
        place.as_posix(): path.read_bytes()
        for path, place in places.items()
        if place.parts[0] not in _KEPT_BESIDE and not any(part.startswith(".") for part in place.parts)
    }


def half_made(folder: Path, *wholes: dict[str, bytes]) -> list[str]:
    """The files that have their final name and are neither one of the wholes nor what their reader takes."""
    found = given_in(folder).items()
    return [name for name, content in found if not any(content == whole.get(name) for whole in wholes) and not is_whole(folder / name)]


def leftovers(folder: Path) -> list[str]:
    """What stands hidden in the folder, and in the folders in it."""
    return sorted(path.name for path in folder.rglob(".*"))


def said_well(ran: Ran) -> bool:
    """Whether a refusal is one sentence of ours at the end, with the right exit code."""
    lines = [line for line in ran.err.splitlines() if line.startswith("previs: ")]
    said = "fault of its own" not in ran.err and "Traceback" not in ran.err
    return said and (
        ran.code == 0 or (ran.code in (1, 2) and len(lines) == 1 and lines[0].endswith(".") and ran.err.endswith(lines[0] + "\n"))
    )


def copied(source: Path, to: Path) -> None:
    shutil.rmtree(to, ignore_errors=True)
    shutil.copytree(source, to)


class Stage:
    """A verb made ready: the folder before it, and what it gives when it is done at once."""

    def __init__(self, base: Path, verb: str) -> None:
        self.verb, self.fresh, self.here = verb, base.with_name("fresh"), base.with_name("here")
        copied(base, self.fresh)
        in_a_child(lambda: prepare(self.fresh, verb))
        self.before_text, self.before = text_in(self.fresh), given_in(self.fresh)
        copied(self.fresh, self.here)
        first = verb_in(self.here, verb)
        assert first is not None and first[1].code == 0, (verb, first)
        self.moments, self.after_text, self.after = first[0], text_in(self.here), given_in(self.here)

    def done(self) -> bool:
        return self.before_text != self.after_text == text_in(self.here)

    def goes_on(self, where: object) -> None:
        """The same verb once more, in the folder as it is now, gives what it gives when it is done at once."""
        complete = text_in(self.here) == self.after_text and given_in(self.here).keys() == self.after.keys()
        again = verb_in(self.here, self.verb)
        # What was done already may be refused a second time.
        assert again is not None and said_well(again[1]) and again[1].code in ((0, 2) if complete else (0,)), (where, again)
        assert text_in(self.here) == self.after_text, where
        now = given_in(self.here).keys()
        # A pull that was finished and not noted may have been handed on: the next run gives it the next version.
        assert now >= self.after.keys() if self.verb == "pulls" else now == self.after.keys(), (where, now ^ self.after.keys())
        assert not half_made(self.here, self.before, self.after), where
        if self.verb == "new":
            # Only whoever holds a document may clear away beside it, and that is the next edit.
            in_a_child(lambda: run(self.here, "set fresh.previs --title Stair").code)
        assert not leftovers(self.here), (where, leftovers(self.here))


def base_in(root: Path) -> Path:
    """The small fight in a folder of `root`; what takes long to load is loaded, so that a fork has it."""
    for module in ("av", "numpy", "pandas", "openpyxl", "reportlab.platypus", "previs.cli.cutting", "previs.cli.taping"):
        import_module(module)
    base = root / "base"
    base.mkdir()
    in_a_child(lambda: str(put_down(base)))
    return base


def told(what: Callable[[], dict[str, Any]], verb: str) -> None:
    """Print what was seen of a verb, or what was broken."""
    try:
        seen = what()
    except AssertionError as broken:
        seen = {"verb": verb, "broken": str(broken)[:3000]}
    print(json.dumps(seen), flush=True)
