"""A small fight with all that a verb can ask for, every verb that writes with its arguments, and running one in this process."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from clips import make_clip
from small_fight import FIGHT, TAKES, small_fight

from previs.cli.app import main
from previs.document.model import Settings
from previs.media import workers

DOCUMENT = "stair.previs"
FLOOR = Path(__file__).resolve().parents[2] / "sample_media" / "floor"
NOTES = """{"document": "previs notes", "schema": 1, "sequence": "The Salt Stair", "cut": "v1", "notes": [{"ident": "n1",
"reviewer": "Mara", "written": "2026-11-25T10:00:00Z", "kind": "longer", "text": "hold on the stair", "first_frame": 3}]}"""
ROUTES = """role,phrase,x,y,move
Odile,1,2.4,1.3,1
Odile,1,4.6,1.3,3
Reeve,1,1.2,1.3,1
Reeve,1,3.4,1.3,3
"""
CAMERAS = "camera,x,y,height,aim_x,aim_y,lens,sensor_width\nA,4.94,8.6,1.55,4.94,1.3,20.5,24.89\n"

WRITING: dict[str, str] = {
    "new": "new fresh.previs --target 00:00:05:12",
    "ingest": "ingest FILE spare.mp4",
    "relink": "relink FILE moved",
    "tape": "tape FILE PAL --camera D",
    "set": "set FILE --target 00:00:06:00",
    "fight": "fight FILE longer.csv",
    "cast": "cast FILE Odile Juno --double Pim",
    "marks": "marks FILE fewer.csv hits.csv",
    "detect": "detect FILE --tape FILM -o proposals",
    "sync": "sync FILE",
    "carry": "carry FILE",
    "hits": "hits FILE --confirm A1",
    "tempo": "tempo FILE --save",
    "head": "head FILE B1 Odile 2.5s 20,20,30,30",
    "heads": "heads FILE",
    "plan": f"plan FILE {FLOOR / 'plan.csv'}",
    "room": "room FILE --length 20 --width 11",
    "fit": "fit FILE --sections",
    "tapeout": "tapeout FILE -o tapeout",
    "routes": f"routes FILE {FLOOR / 'reaches.csv'}",
    "cues": "cues FILE -o cues.xlsx",
    "cameras": "cameras FILE cameras.csv",
    "assemble": "assemble FILE",
    "edit": "edit FILE v1 trim-tail 1 -- -2",
    "cuts": "cuts FILE copy v1 v9",
    "changes": "changes FILE v1 v2 -o changes.csv",
    "undo": "undo FILE",
    "redo": "redo FILE",
    "pace": "pace FILE --cut v1 -o pace.svg",
    "publish": "publish FILE --cut v1 --quality draft -o stair.mp4",
    "review": "review FILE --cut v1 -o review",
    "notes": "notes FILE mara.json",
    "report": "report FILE --cut v1 -o report.pdf",
    "edl": "edl FILE --cut v1 -o stair.edl",
    "handoff": "handoff FILE --cut v1 -o handed",
    "pulls": "pulls FILE --cut v1 --stills -o pulls",
    "sheets": "sheets FILE --cut v1 -o sheets",
    "setups": "setups FILE --cut v1 -o setups.pdf",
    "practice": "practice FILE --cut v1 -o practice",
    "shots": "shots FILE --cut v1 -o shots.xlsx",
    "captions": "captions FILE --cut v1 -o stair.vtt",
    "otio": "otio FILE --cut v1 -o stair.otio",
    "import-edl": "import-edl FILE given.edl",
    "import-otio": "import-otio FILE given.otio",
}
"""Every verb that writes; FILE stands for the document, all else lies in the folder where it is run."""
BEFORE: dict[str, tuple[str, ...]] = {"heads": ("head FILE B1 Odile 2.5s 20,20,30,30",), "redo": ("undo FILE",)}


@dataclass(frozen=True)
class Ran:
    """What a run of the command line gave."""

    code: int
    out: str
    err: str


def run(folder: Path, command: str) -> Ran:
    """Run a command of `WRITING`, or one written like it, in this process, with the folder as its own, and all work done in it."""
    said, complained, before = io.StringIO(), io.StringIO(), Path.cwd()
    os.chdir(folder)
    try:
        sys.argv = ["previs", *(DOCUMENT if word == "FILE" else word for word in command.split())]
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(complained), workers.done_by(workers._one_after_another):
            main()
        code = 0
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else 1
    finally:
        os.chdir(before)
    return Ran(code, said.getvalue(), complained.getvalue())


def put_down(folder: Path) -> Path:
    """The small fight in an empty folder, with work copies, cuts v1 and v2, a plan that is laid and routes."""
    with workers.done_by(workers._one_after_another):
        document = small_fight(folder, Settings(raster_width=128, raster_height=72))
    make_clip(folder / "spare.mp4", frames=24, rate=Fraction(24), size=(128, 72), first_number=700)
    (folder / "longer.csv").write_text(FIGHT + "2,6,fall,Reeve,Odile,,,Odile,yes,,stair,\n", encoding="utf-8")
    (folder / "fewer.csv").write_text(TAKES.replace(",2,C,close", ",2,C,medium"), encoding="utf-8")
    (folder / "mara.json").write_text(NOTES, encoding="utf-8")
    (folder / "routes.csv").write_text(ROUTES, encoding="utf-8")
    (folder / "cameras.csv").write_text(CAMERAS, encoding="utf-8")
    (folder / "moved").mkdir()
    (folder / "pal.mov").replace(folder / "moved" / "pal.mov")
    for command in (
        "relink FILE moved",
        f"plan FILE {FLOOR / 'plan.csv'} --snap 0",
        f"room FILE {FLOOR / 'room.csv'}",
        "fit FILE",
        "routes FILE routes.csv",
        "cuts FILE copy v1 v2",
        "edit FILE v2 trim-tail 1 -- -3",
        "edl FILE --cut v1 -o given.edl",
        "otio FILE --cut v1 -o given.otio",
    ):
        ran = run(folder, command)
        assert ran.code == 0, (command, ran)
    return document


def prepare(folder: Path, verb: str) -> None:
    """What a verb needs that the others do not."""
    if verb == "relink":
        (folder / "phone.mp4").replace(folder / "moved" / "phone.mp4")
    for command in BEFORE.get(verb, ()):
        assert run(folder, command).code == 0
