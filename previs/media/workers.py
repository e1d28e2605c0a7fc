"""Long work on two processes, or wherever `done_by` says, with one progress and one stop; it knows nothing of what the work is."""

from __future__ import annotations

import multiprocessing
import multiprocessing.connection
import os
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from typing import Any, Protocol, TypeVar

from previs.faults import Fault
from previs.progress import Report, Step, Stopped

Job = TypeVar("Job")
Made = TypeVar("Made")
Tick = Callable[[], None]
"""Called by the work once a frame; it raises `Stopped` when the person asked to stop."""

_PROCESSES = 2
_LOOK_EVERY_SECONDS = 0.1
# Below this a second process costs more, in starting, than it saves.
_FRAMES_WORTH_PROCESSES = 300

Finished = Callable[[int, Any], None]
"""Called with the number of a job and what it made, here, as soon as it is done; also for those done while others are stopped."""


class Runner(Protocol):
    """Does jobs as `run_jobs` says."""

    def __call__(  # noqa: D102
        self, work: Callable[[Any, Tick], Any], jobs: Sequence[Any], total: int, doing: str, report: Report, finished: Finished
    ) -> list[Any]: ...


def _nobody(_number: int, _made: Any) -> None:
    """Nobody waits for single jobs."""


_counted: Any = None
_stop: Any = None
_elsewhere: Runner | None = None


@contextmanager
def done_by(runner: Runner) -> Iterator[None]:
    """While it lasts, `run_jobs` leaves its jobs to `runner`."""
    global _elsewhere
    before, _elsewhere = _elsewhere, runner
    try:
        yield
    finally:
        _elsewhere = before


def run_jobs(
    work: Callable[[Job, Tick], Made],
    jobs: Sequence[Job],
    total: int,
    doing: str,
    report: Report,
    *,
    finished: Finished = _nobody,
    worth: int = _FRAMES_WORTH_PROCESSES,
) -> list[Made]:
    """Do `work(job, tick)` for every job and give back the results in order.

    `total` counts the ticks of all jobs, frames as a rule; from `worth` on, two processes share the work, so `work` must be a
    function of a module, and jobs and results must be picklable. A job that fails does not stop the others; the first fault is
    raised when all are done. `Stopped` from `report` stops all of them and passes through.
    """
    if _elsewhere is not None and jobs:
        return _elsewhere(work, jobs, total, doing, report, finished)
    if len(jobs) < 2 or total < worth:
        return _one_after_another(work, jobs, total, doing, report, finished)
    context = multiprocessing.get_context("spawn")
    counted, stop = context.Value("q", 0), context.Event()
    with ProcessPoolExecutor(_PROCESSES, context, _begin, (counted, stop)) as pool:
        futures = [pool.submit(_do, work, job) for job in jobs]
        told: set[int] = set()
        try:
            waiting: set[Future[Made]] = set(futures)
            while waiting:
                _, waiting = wait(waiting, _LOOK_EVERY_SECONDS, FIRST_COMPLETED)
                tell_finished(futures, told, finished)
                report(Step(min(counted.value, total), total, doing))
        except BaseException:
            stop.set()
            pool.shutdown(wait=True, cancel_futures=True)
            tell_finished(futures, told, finished)
            raise
    return [_result(future) for future in futures]


def tell_finished(futures: Sequence[Any], told: set[int], finished: Finished) -> None:
    """Call `finished` for what has been made since, and note it in `told`; what failed is told of by its result."""
    for number, future in enumerate(futures):
        if number not in told and future.done() and not future.cancelled():
            told.add(number)
            if future.exception() is None:
                finished(number, future.result())


def _one_after_another(
    work: Callable[[Job, Tick], Made], jobs: Sequence[Job], total: int, doing: str, report: Report, finished: Finished
) -> list[Made]:
    done = 0

    def tick() -> None:
        nonlocal done
        report(Step(min(done, total), total, doing))
        done += 1

    made: list[Made] = []
    first_fault: Fault | None = None
    for number, job in enumerate(jobs):
        try:
            made.append(work(job, tick))
        except Fault as fault:
            first_fault = first_fault or fault
        else:
            finished(number, made[-1])
    if first_fault:
        raise first_fault
    report(Step(total, total, doing))
    return made


def _begin(counted: Any, stop: Any) -> None:
    global _counted, _stop
    _counted, _stop = counted, stop
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """A program that is killed cannot end its processes, and they would go on for nobody, and then wait for ever."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        multiprocessing.connection.wait([parent.sentinel])
        os._exit(1)


def _do(work: Callable[[Job, Tick], Made], job: Job) -> Made:
    return work(job, _tick)


def _tick() -> None:
    if _stop.is_set():
        raise Stopped
    with _counted.get_lock():
        _counted.value += 1


def _result(future: Future[Made]) -> Made:
    try:
        return future.result()
    except BrokenProcessPool as error:
        raise Fault("A process that was reading tapes ended without a word; close other programs to free memory and try again.") from error
