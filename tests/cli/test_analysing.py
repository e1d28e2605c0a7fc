"""The verbs that listen and look, on two cameras of two passes made here: sync, detect, carry, hits, tempo, and wrong use."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from cli_types import Run
from heard_fights import heard, write_tape

from previs.document.store import open_document

LOGGED = [3.0, 3.9, 5.2, 6.0, 7.1]
SLOW = [14.0 + (at - 3.0) / 0.7 for at in LOGGED]
SLATES = [1.0, 11.5]
FIGHT = "phrase,move,label,attacker,defender,line,weapon,upper_hand,optional,breath,place,note\n" + "".join(
    f"1,{n},cut {n},Odile,Reeve,head,staff,level,,,,\n" for n in range(1, 6)
)
TAKES = """take,tape,in,out,slate,rating,tempo,phrases,camera,size,angle,movement,screen_left,faces,performers,note
A-1,CAMA,2s,10s,,4,1,1,A,full,,,,,,
A-2,CAMA,12.5s,22s,,3,0.6,1,A,full,,,,,,
B-2,CAMB,10.5s,20s,,3,0.6,1,B,medium,,,,,,
"""


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("day")
    hall = heard(24, [*LOGGED, *SLOW], SLATES, noise=0.004)
    write_tape(folder / "CAMA.mov", hall)
    later = hall[2 * 48000 :] * 0.5 + np.random.default_rng(3).normal(size=(len(hall) - 2 * 48000, 1)).astype(np.float32) * 0.004
    write_tape(folder / "CAMB.mov", later)
    (folder / "fight.csv").write_text(FIGHT, encoding="utf-8")
    (folder / "takes.csv").write_text(TAKES, encoding="utf-8")
    rows = "".join(f"A-1,{n},{at:.3f}s\n" for n, at in enumerate(LOGGED, start=1))
    (folder / "hits.csv").write_text("take,move,at\n" + rows, encoding="utf-8")
    return folder


@pytest.fixture
def file(day: Path, tmp_path: Path, run: Run) -> Path:
    made = tmp_path / "day.previs"
    assert run("new", made, "--target", "10s").code == 0
    for reel in ("CAMA", "CAMB"):
        assert run("ingest", made, day / f"{reel}.mov", "--camera", reel[-1], "--no-work-copies").code == 0
    assert run("fight", made, day / "fight.csv").code == 0
    assert run("marks", made, day / "takes.csv", day / "hits.csv").code == 0
    return made


def test_a_day_is_lined_up_and_one_log_serves_every_take(file: Path, run: Run) -> None:
    synced = run("sync", file, "--json")
    assert synced.code == 0, synced.err
    by_reel = {one.reel: one for one in open_document(file).sequence.syncs}
    assert float(by_reel["CAMB"].offset) == pytest.approx(2, abs=0.002)

    carried = run("carry", file, "--from", "A-1", "--json")
    assert carried.code == 0, carried.err
    rows = {row["take"]: row for row in json.loads(carried.out)}
    assert rows["A-2"]["hits"] == rows["B-2"]["hits"] == 5
    assert rows["A-2"]["tempo"] == pytest.approx(0.7, rel=0.03)
    sequence = open_document(file).sequence
    assert [float(hit.at) for hit in sequence.take("A-2").hits] == pytest.approx(SLOW, abs=0.01)
    assert [float(hit.at) for hit in sequence.take("B-2").hits] == pytest.approx([at - 2 for at in SLOW], abs=0.01)
    assert [float(hit.at) for hit in sequence.take("A-1").hits] == pytest.approx(LOGGED, abs=0.0005)

    told = run("tempo", file, "--save", "--json")
    assert told.code == 0, told.err
    assert float(open_document(file).sequence.take("A-2").tempo) == pytest.approx(0.7, abs=0.01)

    assert run("hits", file, "--confirm", "B-2").code == 0
    assert {hit.confidence for hit in open_document(file).sequence.take("B-2").hits} == {100}
    assert {row["take"] for row in json.loads(run("hits", file, "--json").out)} == {"A-1", "A-2", "B-2"}
    assert run("undo", file).code == 0
    assert 100 not in {hit.confidence for hit in open_document(file).sequence.take("B-2").hits}


def test_detect_proposes_and_marks_nothing(file: Path, tmp_path: Path, run: Run) -> None:
    before = file.read_bytes()
    told = run("detect", file, "--tape", "CAMA", "-o", tmp_path / "found", "--json")
    assert told.code == 0, told.err
    takes = json.loads(told.out)["takes"]
    assert [float(row["in"][:-1]) for row in takes] == pytest.approx([1.8, 12.3], abs=0.01)
    assert file.read_bytes() == before
    hits = (tmp_path / "found" / "hits.csv").read_text(encoding="utf-8").splitlines()
    assert hits[0] == "take,move,at"
    assert [line.split(",")[1] for line in hits[1:]] == [str(move) for _ in range(2) for move in range(1, 6)]
    read = run("marks", file, tmp_path / "found" / "takes.csv", tmp_path / "found" / "hits.csv")
    assert read.code == 0, read.err
    assert len(open_document(file).sequence.take("CAMA-1").hits) == 5


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("detect", "--tape", "NONE"), "There is no tape with reel name 'NONE'"),
        (("carry", "--from", "A-2"), "Take A-2 has no hits that a person marked"),
        (("carry", "--from", "Z"), "There is no take 'Z'"),
        (("hits", "--confirm", "A-1", "--move", "9"), "Take A-1 has no hit of move 9"),
        (("hits", "--move", "1"), "--move goes with --confirm TAKE."),
    ],
)
def test_wrong_use_is_one_sentence(file: Path, run: Run, arguments: tuple[str, ...], sentence: str) -> None:
    verb, *rest = arguments
    answered = run(verb, file, *rest)
    assert answered.code == 2
    assert sentence in answered.err.strip().splitlines()[-1]


def test_without_tapes_there_is_nothing_to_look_at(tmp_path: Path, run: Run) -> None:
    made = tmp_path / "empty.previs"
    run("new", made)
    for verb in ("detect", "sync", "carry"):
        answered = run(verb, made)
        assert (answered.code, "no tapes yet" in answered.err) == (2, True)


def test_a_marked_head_is_followed_and_told_for_every_shot(file: Path, run: Run) -> None:
    """The square of the picture jumps about; what is asked here is that the verbs answer, and in delivery pixels."""
    assert run("head", file, "A-1", "Odile", "3s", "40,20,20,30").code == 0
    assert run("assemble", file).code == 0
    told = run("heads", file, "--json")
    assert told.code == 0, told.err
    found = json.loads(told.out)
    assert [(row["take"], row["role"]) for row in found["takes"]] == [("A-1", "Odile")]
    # 72 lines of tape are 540 of the delivery picture.
    assert found["takes"][0]["least px"] == pytest.approx(30 * 540 / 72, rel=0.3)
    estimated = [row for row in found["shots"] if row["role"] == "Reeve"]
    assert all(row["largest px"] is None and row["estimated px"] for row in estimated)
    assert run("head", file, "A-1", "Odile", "3.5s", "41,20,20,30").code == 0
    assert len(open_document(file).sequence.heads) == 1


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("A-1", "Odile", "30s", "40,20,20,30"), "30s is not in take A-1"),
        (("A-1", "Nobody", "3s", "40,20,20,30"), "The fight has no role 'Nobody'"),
        (("A-1", "Odile", "3s", "40,20"), "'40,20' is no box"),
        (("A-1", "Odile", "3s", "400,20,20,30"), "is not on the picture of tape CAMA"),
        (("A-1", "Odile", "soon", "40,20,20,30"), "soon"),
    ],
)
def test_a_head_that_cannot_be_is_refused(file: Path, run: Run, arguments: tuple[str, ...], sentence: str) -> None:
    answered = run("head", file, *arguments)
    assert (answered.code, sentence in answered.err) == (2, True), answered.err
