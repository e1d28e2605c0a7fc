"""Long work on two processes, with one progress and one stop; it knows nothing of what the work is."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from typing import Any, TypeVar

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

_counted: Any = None
_stop: Any = None


def run_jobs(work: Callable[[Job, Tick], Made], jobs: Sequence[Job], total_frames: int, doing: str, report: Report) -> list[Made]:
    """Do `work(job, tick)` for every job and give back the results in order.

    `work` must be a function of a module, and jobs and results must be picklable, since two processes share the work when
    there is enough of it. A job that fails does not stop the others; the first fault is raised when all are done.
    `Stopped` from `report` stops all of them and passes through.
    """
    if len(jobs) < 2 or total_frames < _FRAMES_WORTH_PROCESSES:
        return _one_after_another(work, jobs, total_frames, doing, report)
    context = multiprocessing.get_context("spawn")
    counted, stop = context.Value("q", 0), context.Event()
    with ProcessPoolExecutor(_PROCESSES, context, _begin, (counted, stop)) as pool:
        futures = [pool.submit(_do, work, job) for job in jobs]
        try:
            waiting: set[Future[Made]] = set(futures)
            while waiting:
                _, waiting = wait(waiting, _LOOK_EVERY_SECONDS, FIRST_COMPLETED)
                report(Step(min(counted.value, total_frames), total_frames, doing))
        except BaseException:
            stop.set()
            pool.shutdown(wait=True, cancel_futures=True)
            raise
    return [_result(future) for future in futures]


def _one_after_another(work: Callable[[Job, Tick], Made], jobs: Sequence[Job], total_frames: int, doing: str, report: Report) -> list[Made]:
    done = 0

    def tick() -> None:
        nonlocal done
        report(Step(min(done, total_frames), total_frames, doing))
        done += 1

    made: list[Made] = []
    first_fault: Fault | None = None
    for job in jobs:
        try:
            made.append(work(job, tick))
        except Fault as fault:
            first_fault = first_fault or fault
    if first_fault:
        raise first_fault
    report(Step(total_frames, total_frames, doing))
    return made


def _begin(counted: Any, stop: Any) -> None:
    global _counted, _stop
    _counted, _stop = counted, stop


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
