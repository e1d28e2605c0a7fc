"""A farm: a real Dask cluster on loopback, with the same results as here, a worker killed in the middle, stopped, gone."""

from __future__ import annotations

import os
import shutil
import signal
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from clips import make_clip
from distributed import LocalCluster
from farm_jobs import count, die, refuse
from small_fight import small_fight

from previs.document.model import Sequence
from previs.document.paths import cache_folder
from previs.document.store import open_document
from previs.faults import Fault, UseFault
from previs.media.farm import farm
from previs.media.from_cut import raster_of, tapes_to_copy
from previs.media.ingest import take_in
from previs.media.workcopy import make_work_copies
from previs.media.workers import run_jobs
from previs.progress import Step, Stopped, silent


@contextmanager
def cluster(workers: int) -> Iterator[LocalCluster]:
    with LocalCluster(n_workers=workers, threads_per_worker=1, dashboard_address=":0", host="127.0.0.1", silence_logs=50) as made:
        yield made


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with cluster(2) as made:
        yield made.scheduler_address


def test_a_farm_makes_the_same_work_copies_as_this_machine(address: str, tmp_path: Path) -> None:
    document = small_fight(tmp_path)
    sequence = open_document(document).sequence
    cache = cache_folder(document)
    here = {path.name: path.read_bytes() for path in (cache / "copies").iterdir()}
    shutil.rmtree(cache)
    seen: list[Step] = []
    with farm(address):
        make_work_copies(tapes_to_copy(sequence, sequence.tapes, document), sequence.timebase, raster_of(sequence), cache, seen.append)
    assert {path.name: path.read_bytes() for path in (cache / "copies").iterdir()} == here
    assert seen and all(0 <= step.done <= step.total for step in seen)


def test_results_come_in_order_and_progress_is_told(address: str, tmp_path: Path) -> None:
    seen: list[int] = []
    with farm(address):
        made = run_jobs(count, [(tmp_path, n, 0.02) for n in (40, 30, 5, 1)], 76, "counting", lambda step: seen.append(step.done))
    assert [number for number, _ in made] == [40, 30, 5, 1]
    assert seen == sorted(seen) and 0 < max(seen) <= 76
    assert os.getpid() not in {process for _, process in made}


def test_a_job_whose_worker_is_killed_is_done_by_another(tmp_path: Path) -> None:
    with cluster(2) as made, farm(made.scheduler_address):
        killed: list[int] = []

        def kill_one(_step: Step) -> None:
            if not killed and (begun := sorted(tmp_path.iterdir())):
                killed.append(int(begun[0].suffix[1:]))
                os.kill(killed[0], signal.SIGKILL)

        results = run_jobs(count, [(tmp_path, n, 0.1) for n in (20, 21, 3)], 44, "counting", kill_one)
    assert killed and [number for number, _ in results] == [20, 21, 3]
    assert killed[0] not in {process for _, process in results}


def test_each_job_is_told_of_when_it_is_made_here_and_on_a_farm(address: str) -> None:
    for jobs, told in (([2, 4], {0: 2, 1: 4}), ([2, 3, 4], {0: 2, 2: 4})):
        there: dict[int, int] = {}
        here: dict[int, int] = {}
        shared: dict[int, int] = {}
        with suppress(Fault), farm(address):
            run_jobs(refuse, jobs, 3, "refusing", silent, finished=there.__setitem__)
        with suppress(Fault):
            run_jobs(refuse, jobs, 3, "refusing", silent, finished=here.__setitem__)
        with suppress(Fault):
            run_jobs(refuse, jobs, 3, "refusing", silent, finished=shared.__setitem__, worth=0)
        assert there == here == shared == told


def test_tapes_are_taken_in_by_a_farm_as_here(address: str, tmp_path: Path) -> None:
    paths = [make_clip(tmp_path / f"clip {number}.mp4", frames=20 + number).path for number in range(3)]
    (tmp_path / "none.mp4").write_text("no movie")
    sequence = Sequence(title="The Salt Stair", rate_name="24", start_frame=0, target_frames=48)
    here = take_in([*paths, tmp_path / "none.mp4"], sequence, tmp_path / "here.previs", silent, camera="A")
    with farm(address):
        there = take_in([*paths, tmp_path / "none.mp4"], sequence, tmp_path / "there.previs", silent, camera="A")
    assert there.tapes == here.tapes and len(here.tapes) == 3
    assert [str(fault) for fault in there.refused] == [str(fault) for fault in here.refused] != []


def test_what_a_job_says_comes_back_and_the_others_are_done(address: str) -> None:
    with farm(address), pytest.raises(UseFault, match=r"^3 is odd; give an even number\.$"):
        run_jobs(refuse, [2, 3, 4], 3, "refusing", silent)


def test_a_stop_reaches_the_workers(address: str, tmp_path: Path) -> None:
    def stop(_step: Step) -> None:
        if len(list(tmp_path.iterdir())) >= 2:
            raise Stopped

    with farm(address):
        with pytest.raises(Stopped):
            run_jobs(
                count, [(tmp_path, 10**6, 0.01), (tmp_path, 10**6 + 1, 0.01), (tmp_path, 10**6 + 2, 0.01)], 3 * 10**6, "counting", stop
            )
        # The workers are free again.
        assert run_jobs(count, [(tmp_path, 1, 0.0)], 1, "counting", silent)[0][0] == 1


def test_a_job_that_takes_every_worker_with_it_is_given_up_in_a_sentence() -> None:
    with cluster(1) as made, farm(made.scheduler_address), pytest.raises(Fault, match="A job was lost on the farm at tcp://"):
        run_jobs(die, [1], 1, "dying", silent)


@pytest.mark.parametrize("address", ["localhost", "tcp://", "http://x:1", ""])
def test_what_is_no_address_is_refused(address: str) -> None:
    with pytest.raises(UseFault, match="is no address of a farm"), farm(address):
        pass


def test_a_farm_that_does_not_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("previs.media.farm._CONNECT_SECONDS", 1)
    with pytest.raises(Fault, match=r"No farm answers at tcp://127\.0\.0\.1:1"), farm("tcp://127.0.0.1:1"):
        pass


def test_a_farm_without_workers_or_with_another_previs_is_refused(monkeypatch: pytest.MonkeyPatch, address: str) -> None:
    with cluster(0) as made, pytest.raises(Fault, match="has no workers"), farm(made.scheduler_address):
        pass
    monkeypatch.setattr("previs.__version__", "99.0")
    with pytest.raises(Fault, match=r"of the farm has previs .*, this machine 99\.0"), farm(address):
        pass
