"""Verbs under which something goes: the disk is full, the folder closed, the cache or a tape gone or another; a program of its own.

It forks and gives up rights, and prints what it saw as JSON.
"""

from __future__ import annotations

import os
import random
import resource
import shutil
import sys
from pathlib import Path
from typing import Any

from faults.moments import Stage, Strike, base_in, copied, given_in, half_made, in_a_child, said_well, text_in, told, verb_in
from faults.verbs import DOCUMENT, WRITING, Ran, run

NOBODY = 65534
SMALL_FILE = 1000
TAPES = ("film.mp4", "phone.mp4", "moved/pal.mov", "spare.mp4")


def full(_folder: Path) -> None:
    """No file may grow longer than this, as on a disk with so much left."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (SMALL_FILE, resource.RLIM_INFINITY))


def closed(folder: Path) -> None:
    for path in (folder, *folder.rglob("*")):
        if path.is_dir():
            path.chmod(0o555)
    if os.geteuid() == 0:
        os.setuid(NOBODY)


def opened_again(folder: Path) -> None:
    for path in (folder, *folder.rglob("*")):
        if path.is_dir():
            path.chmod(0o755)


def cache_deleted(folder: Path) -> None:
    shutil.rmtree(folder / f"{DOCUMENT}.cache", ignore_errors=True)


def cache_garbled(folder: Path) -> None:
    for path in (folder / f"{DOCUMENT}.cache").rglob("*"):
        # What is being written has a name of its own, and belongs to the program.
        if path.is_file() and not path.name.startswith("."):
            path.write_bytes(path.read_bytes()[: path.stat().st_size // 2] + b"junk")


def tapes_away(folder: Path) -> None:
    (folder / ".share").mkdir()
    for name in TAPES:
        if (folder / name).exists():
            (folder / ".share" / name.replace("/", "+")).write_bytes((folder / name).read_bytes())
            (folder / name).unlink()


def tapes_back(folder: Path) -> None:
    for path in (folder / ".share").iterdir() if (folder / ".share").exists() else ():
        path.replace(folder / path.name.replace("+", "/"))
    shutil.rmtree(folder / ".share", ignore_errors=True)


def other_tapes(folder: Path) -> None:
    """Each tape's file written over by another one under its name."""
    tapes_away(folder)
    there = {name: folder / ".share" / name.replace("/", "+") for name in TAPES}
    for name, other in zip(TAPES, (*TAPES[1:], TAPES[0]), strict=True):
        if there[name].exists() and there[other].exists():
            (folder / name).write_bytes(there[other].read_bytes())


def nothing(_folder: Path) -> None:
    """Nothing need be put right."""


STRAINS: dict[str, tuple[Strike, Strike]] = {"full": (full, nothing), "closed": (closed, opened_again)}
"""What is so from the verb's start, and how it is put right."""
STRIKES: dict[str, tuple[Strike, Strike]] = {
    "cache deleted": (cache_deleted, nothing),
    "cache garbled": (cache_garbled, nothing),
    "tapes away": (tapes_away, tapes_back),
    "other tapes": (other_tapes, tapes_back),
}
"""What happens at one moment, and how it is put right."""


def strained(base: Path, verb: str, strain: str) -> dict[str, Any]:
    stage, (strike, mend) = Stage(base, verb), STRAINS[strain]
    there = base.with_name("there")
    for folder in (there, stage.here):
        copied(stage.fresh, folder)

    def work() -> tuple[int, str, str, int]:
        run(there, WRITING[verb])  # loads what a program without rights might not read
        strike(stage.here)
        ran = run(stage.here, WRITING[verb])
        return ran.code, ran.out, ran.err, run(stage.here, "list FILE tapes").code

    *given, looked = in_a_child(work)
    ran = Ran(*given)
    mend(stage.here)
    assert looked == 0, "what only looks needs nothing of the place"
    return _judged(stage, ran, (verb, strain, ran))


def struck(base: Path, verb: str, what: str, most: int, rng: random.Random) -> list[dict[str, Any]]:
    """Strike at `most` moments, and at more until one is felt; at every moment when `most` is 0."""
    stage, (strike, mend) = Stage(base, verb), STRIKES[what]
    seen: list[dict[str, Any]] = []
    for moment in rng.sample(range(1, stage.moments + 1), stage.moments):
        if most and len(seen) >= most and any(run["code"] for run in seen):
            break
        copied(stage.fresh, stage.here)
        given = verb_in(stage.here, verb, moment, strike)
        assert given is not None
        mend(stage.here)
        seen.append(_judged(stage, given[1], (verb, what, moment, stage.moments, given[1])) | {"moment": moment})
    return seen


def _judged(stage: Stage, ran: Ran, where: object) -> dict[str, Any]:
    """What holds after anything: nothing lost, said well, and the same verb goes on once all is put right."""
    assert said_well(ran), where
    assert text_in(stage.here) in (stage.before_text, stage.after_text), where
    assert not half_made(stage.here, stage.before, stage.after), (where, half_made(stage.here, stage.before, stage.after))
    assert stage.before.keys() <= given_in(stage.here).keys(), where
    if not stage.done() or ran.code:
        stage.goes_on(where)
    return {"verb": stage.verb, "code": ran.code, "said": ran.err[-600:]}


def main(root: Path, most: int, seed: int, asked: list[str]) -> None:
    """Do what is asked, written `full:set`: a strain or a strike, and the verb."""
    base, rng = base_in(root), random.Random(seed)
    for what, verb in (one.split(":") for one in asked):

        def look(what: str = what, verb: str = verb) -> dict[str, Any]:
            seen = [strained(base, verb, what)] if what in STRAINS else struck(base, verb, what, most, rng)
            return {"what": what, "verb": verb, "seen": seen}

        told(look, f"{what}:{verb}")


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]), sys.argv[4:])
