"""One hostile value after another in the fields of a document that files are named by; each verb that writes is looked at by itself."""

from __future__ import annotations

import json
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from fuzz.hostile import _run_all, put_down

from previs.handoff.pull_log import FILE as PULL_LOG

VALUES = {"out": "../../x", "whole": "/etc/x", "nul": "x\0y", "line": "x\ny", "long": "x" * 300, "device": "CON"}
NAMES = ("reel", "code", "cut", "shot", "take")
REFUSED = {*(("fingerprint", value) for value in VALUES if value != "device"), *(("reel", value) for value in ("nul", "line", "long"))}
"""What no document may say: files of the cache are named by the one, lines of an edit list by the other."""
VERBS = (
    ("edl", "out/a.edl"), ("otio", "out/a.otio"), ("captions", "out/a.vtt"), ("shots", "out/a.csv"), ("pace", "out/p.csv"),
    ("pulls", "out/pulls"), ("publish", "out/m.mp4"), ("sheets", "out/sheets"), ("setups", "out/s.csv"), ("detect", "out/found"),
    ("edit", ""),
)  # fmt: skip


@dataclass(frozen=True)
class Stand:
    """A document some folders down, so that what leaves its folder by dots is seen."""

    root: Path
    document: Path

    def outside(self) -> dict[str, tuple[int, int]]:
        """Every file beyond the document's own and the chosen folder, with size and time of its last change."""
        beside = [self.document.with_name(f"stair.previs.{part}") for part in ("cache", "versions", "history")]
        own = (self.document.parent / "out", *beside)
        files = [path for path in self.root.rglob("*") if not any(path.is_relative_to(place) for place in own)]
        told = {str(path): (path.stat().st_size, path.stat().st_mtime_ns) for path in files if path.is_file()}
        told.pop(str(self.document), None)
        return told | {str(path): (1, 1) for path in Path("/etc").glob("x*")}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return put_down(tmp_path_factory.mktemp("made"), ("v1", "v2")).parent


@pytest.fixture
def stand(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Stand:
    folder = tmp_path / "a" / "b" / "c"
    shutil.copytree(made, folder)
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path / "elsewhere")
    return Stand(tmp_path, folder / "stair.previs")


def with_value(raw: dict[str, Any], field: str, value: str) -> dict[str, Any]:
    """The document with the value in a field, and in what refers to it."""
    tape, shots = raw["tapes"][0], [shot for cut in raw["cuts"] for shot in cut["shots"]]
    if field in ("fingerprint", "path"):
        tape[field] = value
    elif field == "reel":
        before = tape["reel"]
        for one in (tape, *raw["takes"], *raw["treatments"], *raw["flights"]):
            one["reel"] = value if one["reel"] == before else one["reel"]
    elif field == "take":
        before = raw["takes"][0]["name"]
        raw["takes"][0]["name"] = value
        for shot in shots:
            if shot["picture"].get("take") == before:
                shot["picture"]["take"] = value
    elif field == "cut":
        raw["cuts"][0]["name"] = value
        for note in raw["notes"]:
            note["cut"] = value
    else:
        shots[0]["code" if field == "code" else "ident"] = value
    return raw


def run(verb: str, where: str, stand: Stand, cut: str) -> tuple[int, str]:
    """One verb; whatever becomes of it, nothing is touched outside, and what it says is one for people."""
    before, command = stand.outside(), [verb, str(stand.document)]
    command += ["-o", str(stand.document.parent / where)] if where else []
    command += ["--cut", cut] if verb not in ("info", "detect", "edit") and "\0" not in cut else []
    command += ["lock", "1"] if verb == "edit" else []
    ((_, code, said),) = _run_all([command])
    assert code in (0, 1, 2) and "fault of its own" not in said, (command, said)
    assert all(letter.isprintable() or letter == "\n" for letter in said), (command, said)
    assert stand.outside() == before, command
    return code, said


def put(raw: dict[str, Any], stand: Stand) -> str:
    stand.document.write_text(json.dumps(raw), "utf-8")
    return str(raw["cuts"][0]["name"])


@pytest.mark.parametrize("value", VALUES)
def test_no_name_leads_out_of_the_folder(value: str, stand: Stand) -> None:
    raw = json.loads(stand.document.read_text("utf-8"))
    for field in NAMES:
        if (field, value) not in REFUSED:
            raw = with_value(raw, field, VALUES[value])
    name = put(raw, stand)
    codes = {verb: run(verb, where, stand, name)[0] for verb, where in VERBS}
    assert list(codes.values()).count(0) > 5, codes
    assert len(list((stand.document.parent / "out").rglob("*"))) > 5


@pytest.mark.parametrize("value", VALUES)
@pytest.mark.parametrize("field", ["fingerprint", "reel", "path"])
def test_no_tape_leads_out_of_the_folder(field: str, value: str, stand: Stand) -> None:
    name = put(with_value(json.loads(stand.document.read_text("utf-8")), field, VALUES[value]), stand)
    code, said = run("edl", "out/a.edl", stand, name)
    assert (code != 0) == ((field, value) in REFUSED), said
    assert (stand.document.parent / "out").exists() == (code == 0)
    if field == "path":
        # So that it can be told, and looked for in another folder.
        assert run("info", "", stand, name)[0] == 0
    if field != "reel":
        assert run("publish", "out/m.mp4", stand, name)[0] != 0
        assert not list(stand.document.parent.rglob("m.mp4"))


@pytest.mark.parametrize("value", VALUES.values(), ids=VALUES)
def test_no_log_of_pulls_leads_out_of_the_folder(value: str, stand: Stand) -> None:
    folder = stand.document.parent / "out"
    (folder / "pulls").mkdir(parents=True)
    entry = {"code": value, "name": value, "version": 1, "key": "f" * 32, "treated": True}
    (folder / "pulls" / PULL_LOG).write_text(json.dumps({"sequence": json.loads(stand.document.read_text())["title"], "pulls": [entry]}))
    before = stand.outside()
    ((_, code, said),) = _run_all([["pulls", str(stand.document), "--cut", "v1", "-o", str(folder / "pulls")]])
    assert code in (0, 1, 2) and "fault of its own" not in said, said
    assert stand.outside() == before
