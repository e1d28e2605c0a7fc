"""Long work in the background, with progress and a stop, its result handed over on the Qt thread; it knows nothing of the work."""

from __future__ import annotations

import threading
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from PyQt6.QtCore import QObject, QThread, QTimer, pyqtSignal

from previs.faults import Fault, refused
from previs.progress import Report, Step, Stopped

Result = TypeVar("Result")
_LONGEST_GOODBYE_MS = 30_000


@dataclass(frozen=True, slots=True)
class Running:
    """A piece of work that is under way: what it is, and how far it has come, None before its first report."""

    what: str
    step: Step | None = None


def _nothing(_report: Report) -> None:
    """What is left of a job that is over."""


class _Thread(QThread):
    """One piece of work on a thread of its own; `done` and `step` are read when it has ended or reported."""

    reported = pyqtSignal()

    def __init__(self, what: str, job: Callable[[Report], Any]) -> None:
        super().__init__()
        self.what = what
        self.step: Step | None = None
        self.result: Any = None
        self.error: BaseException | None = None
        self._job = job
        self._stop = threading.Event()

    def ask_to_stop(self) -> None:
        self._stop.set()

    def let_go(self) -> tuple[Any, BaseException | None]:
        """What came of it; nothing is kept here, since an error holds all that was at hand when it happened."""
        result, error = self.result, self.error
        self.result = self.error = None
        self._job = _nothing
        return result, error

    def run(self) -> None:
        try:
            self.result = self._job(self._report)
        except BaseException as error:  # whatever it is, it belongs on the Qt thread, in words
            self.error = error

    def _report(self, step: Step) -> None:
        if self._stop.is_set():
            raise Stopped
        changed = self.step is None or (step.doing, step.done * 200 // max(step.total, 1)) != (
            self.step.doing,
            self.step.done * 200 // max(self.step.total, 1),
        )
        if changed:
            self.step = step
            self.reported.emit()


class Work(QObject):
    """The desk's background work, at most two pieces at a time; the others wait their turn.

    `changed` says that `running` is another; `failed` has a sentence, and the details for the log.
    """

    changed = pyqtSignal()
    stopped = pyqtSignal(str)
    failed = pyqtSignal(str, str)

    def __init__(self, parent: QObject | None = None, *, at_once: int = 2) -> None:
        super().__init__(parent)
        self._at_once = at_once
        self._waiting: list[tuple[_Thread, Callable[[Any], None]]] = []
        self._under_way: list[_Thread] = []
        self._closed = False

    @property
    def running(self) -> tuple[Running, ...]:
        """What is under way, and what waits."""
        return tuple(Running(one.what, one.step) for one in (*self._under_way, *(thread for thread, _ in self._waiting)))

    def do(self, what: str, job: Callable[[Report], Result], then: Callable[[Result], None], *, anew: bool = False) -> None:
        """Do `job(report)` in the background, then call `then(result)` on the Qt thread.

        `what` says in words what it is. When it is stopped or fails, `then` is not called and the person is told. With `anew` it takes
        the place of work called the same that still waits its turn: of many looks in a row only the newest is of use.
        """
        if self._closed:
            return
        if anew:
            self._waiting = [one for one in self._waiting if one[0].what != what]
        self._waiting.append((_Thread(what, job), then))
        self._begin()

    def stop(self) -> None:
        """Ask everything to stop; what waits does not begin."""
        for thread, _ in self._waiting:
            self.stopped.emit(thread.what)
        self._waiting.clear()
        for one in self._under_way:
            one.ask_to_stop()
        self.changed.emit()

    def close(self) -> None:
        """Stop everything and wait for it; nothing is handed over any more."""
        self._closed = True
        self.blockSignals(True)
        self.stop()
        for one in self._under_way:
            one.wait(_LONGEST_GOODBYE_MS)

    def _begin(self) -> None:
        while self._waiting and len(self._under_way) < self._at_once:
            thread, then = self._waiting.pop(0)
            self._under_way.append(thread)
            thread.reported.connect(self.changed)
            thread.finished.connect(lambda thread=thread, then=then: self._ended(thread, then))
            thread.start()
        self.changed.emit()

    def _ended(self, thread: _Thread, then: Callable[[Any], None]) -> None:
        thread.wait()
        self._under_way.remove(thread)
        result, error = thread.let_go()
        if self._closed:
            return
        # The next piece begins even when what follows goes wrong.
        QTimer.singleShot(0, self._begin)
        if error is None:
            then(result)
        elif isinstance(error, Stopped):
            self.stopped.emit(thread.what)
        elif isinstance(error, Fault):
            self.failed.emit(str(error), "")
        elif isinstance(error, OSError):
            self.failed.emit(refused(error), "".join(traceback.format_exception(error)))
        else:
            told = f"{thread.what}: previs met a fault of its own ({type(error).__name__}: {error}); please report it."
            self.failed.emit(told, "".join(traceback.format_exception(error)))
