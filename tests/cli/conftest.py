"""A small fight on three coded tapes, and the command line run in this process."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from cli_types import Job, Ran, Run
from clips import Clip
from small_fight import CAMERAS, FIGHT, HITS, TAKES, TREATMENTS, small_tapes

from previs.cli.app import main


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def go(*arguments: object) -> Ran:
        monkeypatch.setattr(sys, "argv", ["previs", *map(str, arguments)])
        capsys.readouterr()
        try:
            main()
        except SystemExit as left:
            code = left.code if isinstance(left.code, int) else int(left.code is not None)
        else:
            code = 0
        shown = capsys.readouterr()
        return Ran(code, shown.out, shown.err)

    return go


@pytest.fixture(scope="session")
def shot_tapes(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Clip]:
    return small_tapes(tmp_path_factory.mktemp("shot_tapes"))


@pytest.fixture
def tables(tmp_path: Path) -> dict[str, Path]:
    found = {}
    for name, text in (("fight", FIGHT), ("takes", TAKES), ("hits", HITS), ("treatments", TREATMENTS)):
        found[name] = tmp_path / f"{name}.csv"
        found[name].write_text(text, encoding="utf-8")
    return found


@pytest.fixture
def job(tmp_path: Path, run: Run, shot_tapes: dict[str, Clip], tables: dict[str, Path]) -> Job:
    file = tmp_path / "stair.previs"
    assert run("new", file, "--target", "00:00:05:12", "--title", "The Salt Stair").code == 0
    for reel, camera in CAMERAS.items():
        ran = run("ingest", file, shot_tapes[reel].path, "--reel", reel, "--camera", camera, "--no-work-copies")
        assert ran.code == 0, ran.err
    assert run("fight", file, tables["fight"]).code == 0
    ran = run("marks", file, tables["takes"], tables["hits"], tables["treatments"])
    assert ran.code == 0, ran.err
    return Job(tmp_path, file, shot_tapes)
