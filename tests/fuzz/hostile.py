"""A document in which everything that may have a name has a hostile one, and the verbs that write, run and watched."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from clips import make_clip
from fuzz import seeds
from msgspec.structs import replace

from previs.cut.assembly import assemble
from previs.document.floor import NamedPlace
from previs.document.model import Card, Casting, Face, Framing, Role, Sequence, Settings, Shot, Shows
from previs.document.notes import Note, NoteKind
from previs.document.store import create

HERE = Path(__file__).parent
PICTURE = '<img src="file:///etc/passwd" onerror="hurt()">'
SCRIPT = "</script><script>hurt()</script>"
FORMULA = '=HYPERLINK("http://hurt.invalid","x")'
NAMES = (
    "../../hurt", "/tmp/previs_hurt", "..", "NUL", "con.txt", "a/../../../hurt", "C:\\hurt", "\\\\hurt\\share", "hurt\nhurt", "-o",
    "~root", "$(touch hurt)",
    "`touch hurt`", "hurt; touch hurt", "x" * 5000, "é" * 300, ".", " ", "hurt. ", "*?", "&hurt;",
    FORMULA, "+1", "-1+1", "@SUM(1)", "\thurt", PICTURE, SCRIPT,
)  # fmt: skip
"""What people, or somebody else, may call a performer or a cut."""
WITH_CONTROLS = (
    "nul\0nul",
    "\x1b[2Jesc",
    "bell\x07",
    "\r\n\r\n001  AX V C",
    "-->\n\n00:00 --> 00:01\n",
    "\u202eright to left",
    "\ufffe",
    "\x0b",
)
"""What only a document that somebody made by hand can hold."""


def hostile_sequence(folder: Path, names: tuple[str, ...] = NAMES) -> Sequence:
    """Small: one tape of four seconds with a reel name of dots and slashes, two roles, five moves, a cut and a card for each name."""
    tape = make_clip(folder / "tape.mp4", frames=96, rate=Fraction(24), size=(128, 72), options={"g": "24"}).path
    from previs.media.fingerprint import fingerprint

    roles = {"Odile": f"../{FORMULA}", "Reeve": f"/{PICTURE}"}
    marked = seeds.marked_sequence()
    film = replace(
        marked.tapes[0],
        reel="../../x",
        path=tape.name,
        fingerprint=fingerprint(tape),
        frames=96,
        duration=Fraction(4),
        width=128,
        height=72,
        start_frame=0,
    )
    phrases = tuple(replace(one, moves=tuple(_renamed(move, roles, n) for n, move in enumerate(one.moves))) for one in marked.phrases)
    took = replace(
        marked.takes[0],
        name=f"../../take{SCRIPT}",
        reel=film.reel,
        start=Fraction(0),
        end_exclusive=Fraction(4),
        slate="../slate",
        camera="/",
        note=PICTURE,
        framings=(
            Framing(
                Fraction(0),
                marked.takes[0].framings[0].size,
                0,
                FORMULA,
                roles["Odile"],
                tuple(Face(role, Shows.FULL) for role in roles.values()),
            ),
        ),
        performers=tuple(Casting(role, name) for role, name in zip(roles.values(), names, strict=False)),
        hits=tuple(replace(hit, at=Fraction(1 + n, 2)) for n, hit in enumerate(marked.takes[0].hits)),
    )
    treated = tuple(
        replace(one, reel=film.reel, role=roles["Odile"], start=Fraction(1), end_exclusive=Fraction(2), note=FORMULA)
        for one in marked.treatments
    )
    floor = seeds.full_sequence().floor
    assert floor is not None
    sequence = Sequence(
        title=f"../../{PICTURE}",
        rate_name="24",
        start_frame=86400,
        target_frames=96,
        settings=Settings(raster_width=128, raster_height=72),
        cast=tuple(Role(role, names[n], names[2 + n :: 2][:40]) for n, role in enumerate(roles.values())),
        phrases=phrases,
        tapes=(film,),
        takes=(took,),
        treatments=treated,
        flights=tuple(
            replace(one, reel=film.reel, role=roles["Odile"], take_off=Fraction(1), landing=Fraction(2), note=SCRIPT)
            for one in marked.flights[:1]
        ),
        floor=replace(
            floor,
            lines=tuple(replace(line, name=FORMULA) for line in floor.lines),
            places=(
                *(replace(place, name=PICTURE) for place in floor.places),
                *(NamedPlace(name, (500 * n, 700)) for n, name in enumerate(names, start=1)),
            ),
            laid=(),
            routes=(replace(floor.routes[0], role=roles["Odile"]),),
            drawn_in=f"../../{SCRIPT}",
        ),
    )
    cut = assemble(sequence, names[0]).cut
    shots = (
        *(replace(shot, code=f"../{n}" if n else "../../hurt") for n, shot in enumerate(cut.shots)),
        Shot("../card", 24, Card(SCRIPT, image="../../etc/passwd")),
    )
    cuts = tuple(replace(cut, name=name, shots=shots[:-1] if name == names[0] else shots, note=FORMULA) for name in names)
    notes = tuple(
        Note(f"n{n}", names[0], name, "2026-11-25T10:00:00Z", NoteKind.OTHER, f"{name} {PICTURE}") for n, name in enumerate(names)
    )
    return replace(sequence, cuts=cuts, notes=notes)


def _renamed(move: object, roles: dict[str, str], number: int) -> object:
    upper = roles.get(move.upper_hand, move.upper_hand)  # type: ignore[attr-defined]
    words = (FORMULA, PICTURE, SCRIPT, "../../hurt", "-2+3")
    return replace(
        move,  # type: ignore[type-var]
        label=words[number % len(words)],
        attacker=roles[move.attacker],  # type: ignore[attr-defined]
        defender=roles[move.defender],  # type: ignore[attr-defined]
        upper_hand=upper,
        line="@line",
        weapon="=wire",
        place=PICTURE,
        note="+note",
    )


@dataclass(frozen=True)
class Watched:
    """What the verbs did: each with its arguments, exit code and last words; every event that was seen."""

    ran: tuple[tuple[list[str], int, str], ...]
    events: tuple[tuple[str, ...], ...]


def run_watched(commands: list[list[str]], root: Path) -> Watched:
    """Run verbs one after the other in one process whose every write is noted; homes and scratch are in the root."""
    for name in ("home", "scratch"):
        (root / name).mkdir(exist_ok=True)
    log = root / "scratch" / "watched.log"
    given = root / "scratch" / "commands.json"
    given.write_text(json.dumps(commands))
    paths = [str(HERE / "watched"), str(HERE.parents[1]), str(HERE.parent)]
    environment = os.environ | {
        "PYTHONPATH": os.pathsep.join(paths), "PREVIS_WATCH": str(log), "HOME": str(root / "home"), "TMPDIR": str(root / "scratch"),
        "PYTHONDONTWRITEBYTECODE": "1", "MPLCONFIGDIR": str(root / "home"), "XDG_CACHE_HOME": str(root / "home"),
    }  # fmt: skip
    command = [sys.executable, "-m", "fuzz.hostile", str(given)]
    done = subprocess.run(command, capture_output=True, text=True, cwd=root / "scratch", env=environment, check=False, errors="replace")
    assert done.returncode == 0, done.stderr[-3000:]
    ran = tuple((one[0], one[1], one[2]) for one in json.loads((root / "scratch" / "ran.json").read_text()))
    return Watched(ran, tuple(tuple(json.loads(line)) for line in log.read_text().splitlines()))


def _run_all(commands: list[list[str]]) -> list[tuple[list[str], int, str]]:
    import contextlib
    import io

    from previs.cli.app import main

    ran = []
    for command in commands:
        sys.argv, said = ["previs", *command], io.StringIO()
        code = 0
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            try:
                main()
            except SystemExit as left:
                code = left.code if isinstance(left.code, int) else 1
        ran.append((command, code, said.getvalue()[-1500:]))
    return ran


def put_down(folder: Path, names: tuple[str, ...] = NAMES) -> Path:
    """The hostile document in an empty folder, with its tape."""
    document = folder / "stair.previs"
    create(document, hostile_sequence(folder, names))
    return document


if __name__ == "__main__":
    commands = json.loads(Path(sys.argv[1]).read_text())
    Path(sys.argv[1]).with_name("ran.json").write_text(json.dumps(_run_all(commands)))
