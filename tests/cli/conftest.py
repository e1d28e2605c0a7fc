"""A small fight on three coded tapes, and the command line run in this process."""

from __future__ import annotations

import sys
from fractions import Fraction
from pathlib import Path

import pytest
from cli_types import Job, Ran, Run
from clips import Clip, make_clip

from previs.cli.app import main

FIGHT = """phrase,move,label,attacker,defender,line,weapon,upper_hand,optional,breath,place,note
1,1,high cut,Odile,Reeve,head,staff,Odile,,,corridor,
1,2,low sweep,Reeve,Odile,legs,staff,level,,,corridor,
1,3,thrust,Odile,Reeve,chest,staff,Odile,,0.5s,first door,
2,4,backhand,Reeve,Odile,head,staff,Reeve,,,stair,
2,5,leap,Odile,Reeve,,wire,level,,,stair,wire-assisted
"""
TAKES = """take,tape,in,out,slate,rating,tempo,phrases,camera,size,angle,movement,screen_left,faces,performers,note
A1,FILM,10:00:00:12,10:00:08:00,1,4,1,1-2,A,full,0,locked,Odile,Odile=full;Reeve=part,Odile=Juno Vale;Reeve=Abel Quist,
B1,PHONE,0.5s,6.9s,1,4,0.7,1,B,medium,40,hand-held,Odile,Odile=part,Odile=Pim Oster,learning tempo
C1,PAL,f10,f180,1,5,100 %,2,C,close,80,pan,Odile,,,
"""
HITS = """take,move,at
A1,1,10:00:01:12
A1,2,10:00:02:12
A1,3,10:00:03:12
A1,4,10:00:05:12
A1,5,10:00:06:12
B1,1,1.9s
B1,2,3.3s
B1,3,4.8s
C1,4,f75
C1,5,f101
"""
TREATMENTS = """tape,in,out,kind,role,note
FILM,10:00:06:00,10:00:07:00,rig removal,Odile,wire in frame
PHONE,1.8s,5.0s,face replacement,Odile,
"""


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
    folder = tmp_path_factory.mktemp("shot_tapes")
    phone = [n for n in range(210) if n % 9 not in (4, 7)]
    return {
        "FILM": make_clip(folder / "film.mp4", frames=200, rate=Fraction(24), options={"g": "24"}, metadata={"timecode": "10:00:00:00"}),
        "PHONE": make_clip(folder / "phone.mp4", frames=210, rate=Fraction(30000, 1001), kept=phone, rotation=180, options={"g": "30"}),
        "PAL": make_clip(folder / "pal.mov", frames=190, rate=Fraction(25), sound="", options={"g": "25"}),
    }


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
    for reel, camera in (("FILM", "A"), ("PHONE", "B"), ("PAL", "C")):
        ran = run("ingest", file, shot_tapes[reel].path, "--reel", reel, "--camera", camera, "--no-work-copies")
        assert ran.code == 0, ran.err
    assert run("fight", file, tables["fight"]).code == 0
    ran = run("marks", file, tables["takes"], tables["hits"], tables["treatments"])
    assert ran.code == 0, ran.err
    return Job(tmp_path, file, shot_tapes)
