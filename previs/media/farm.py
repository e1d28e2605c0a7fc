"""Jobs done by the machines of a Dask cluster instead of this one's two processes; what the jobs are is not its business.

The workers must have the same previs, and see the tapes and the cache under the same paths: a shared disk. What a job makes, it
writes into the cache as it does here, so that the results are the same, and a job that was done twice was done once.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any
from uuid import uuid4

import previs
from previs.faults import Fault, UseFault
from previs.media.workers import Finished, Job, Made, Tick, done_by, tell_finished
from previs.progress import Report, Step, Stopped

if TYPE_CHECKING:
    from distributed import Client, Future

_CONNECT_SECONDS = 15
_LOOK_EVERY_SECONDS = 0.2
_TELL_EVERY_SECONDS = 0.3
_NOBODY_SECONDS = 30
_PREFIXES = ("tcp://", "tls://", "ucx://")
_AWAY = "its workers can be started again, and what is finished is kept"


@contextmanager
def farm(address: str) -> Iterator[None]:
    """While it lasts, long work is done by the workers of the cluster whose scheduler is at `address` (tcp://host:port).

    Raises `UseFault` for what is no address and where Dask is not installed, and `Fault` when no farm answers there, or one of
    another previs does.
    """
    if not address.startswith(_PREFIXES) or not address.split("://", 1)[1]:
        raise UseFault(f"'{address}' is no address of a farm; write it as tcp://host:8786, as its scheduler prints it.")
    try:
        from distributed import Client
    except ImportError as error:
        raise UseFault("A farm needs Dask, which is not installed here; install it with: pip install 'previs[farm]'") from error
    logging.getLogger("distributed").setLevel(logging.CRITICAL)
    try:
        client = Client(address, timeout=_CONNECT_SECONDS, set_as_default=False, name="previs")
    except (OSError, TimeoutError, ValueError) as error:
        raise Fault(f"No farm answers at {address}; start its scheduler, or leave --farm out to work on this machine.") from error
    with client:
        _must_be_like_here(client, address)
        with done_by(_Farm(client, address).run_jobs):
            yield


def _must_be_like_here(client: Client, address: str) -> None:
    there = client.run(_version, on_error="return")
    if not there:
        raise Fault(f"The farm at {address} has no workers; start some, or leave --farm out to work on this machine.")
    for worker, version in there.items():
        if version != previs.__version__:
            said = f"previs {version}" if isinstance(version, str) else "no previs that can be used"
            raise Fault(f"Worker {worker} of the farm has {said}, this machine {previs.__version__}; install the same there.")


def _version() -> str:
    return previs.__version__


class _Farm:
    """One cluster, at work for one run of the program."""

    def __init__(self, client: Client, address: str) -> None:
        self._client, self._address = client, address

    def run_jobs(
        self, work: Callable[[Job, Tick], Made], jobs: Sequence[Job], total: int, doing: str, report: Report, finished: Finished
    ) -> list[Made]:
        """As `workers.run_jobs`; a job whose worker dies is done again by another."""
        from distributed import Event

        topic, counted = f"previs-{uuid4().hex}", dict.fromkeys(range(len(jobs)), 0)
        stop = Event(topic, client=self._client)
        # The latest word of each job, so that one that is done again counts once.
        self._client.subscribe_topic(topic, lambda event: counted.update([event[1]]))
        futures = [self._client.submit(_do, work, job, number, topic, pure=False) for number, job in enumerate(jobs)]
        told: set[int] = set()
        try:
            while not all(future.done() for future in futures):
                self._must_be_there()
                time.sleep(_LOOK_EVERY_SECONDS)
                tell_finished(futures, told, finished)
                report(Step(min(sum(counted.values()), total), total, doing))
        except BaseException:
            self._let_end(stop, futures)
            tell_finished(futures, told, finished)
            raise
        finally:
            self._client.unsubscribe_topic(topic)
        tell_finished(futures, told, finished)
        return [self._result(future) for future in futures]

    def _must_be_there(self) -> None:
        begun = time.monotonic()
        while self._client.status != "running" or not self._client.scheduler_info(n_workers=-1)["workers"]:
            if time.monotonic() - begun > _NOBODY_SECONDS:
                raise Fault(f"The farm at {self._address} has gone away; {_AWAY}.")
            time.sleep(_LOOK_EVERY_SECONDS)

    def _let_end(self, stop: Any, futures: list[Future[Any]]) -> None:
        """Ask all jobs to stop, and wait until none is at work, unless the farm itself is gone."""
        ends = time.monotonic() + _NOBODY_SECONDS
        with suppress(OSError, TimeoutError, CancelledError):
            if self._client.status == "running":
                stop.set()
            while not all(future.done() for future in futures) and time.monotonic() < ends and self._client.status == "running":
                time.sleep(_LOOK_EVERY_SECONDS)

    def _result(self, future: Future[Any]) -> Any:
        from distributed import KilledWorker

        try:
            return future.result()
        except (KilledWorker, OSError, CancelledError) as error:
            raise Fault(f"A job was lost on the farm at {self._address} ({type(error).__name__}); {_AWAY}. Try again.") from error


def _do(work: Callable[[Job, Tick], Made], job: Job, number: int, topic: str) -> Made:
    """On a worker: the job, telling how far it is and looking whether it is to stop, both a few times a second."""
    from distributed import Event, get_worker

    worker, stop = get_worker(), Event(topic)
    frames, told = 0, 0.0
    lock = threading.Lock()

    def tick() -> None:
        nonlocal frames, told
        with lock:
            if (now := time.monotonic()) - told > _TELL_EVERY_SECONDS:
                if stop.is_set():
                    raise Stopped
                worker.log_event(topic, (number, frames))
                told = now
            frames += 1

    made = work(job, tick)
    worker.log_event(topic, (number, frames))
    return made
