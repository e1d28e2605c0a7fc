"""One of several programs that write one file, or into one folder of pulls, at once: each adds what is its own, and tells it."""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path

from msgspec.structs import replace

from previs.cli.sessions import edit
from previs.faults import Fault
from previs.handoff.pull_log import Entry, read_log, write_log
from previs.handoff.pull_turn import filled_alone
from previs.progress import silent

TIMES = 12


def add_to_document(path: Path, mark: str) -> list[str]:
    edit(path, lambda sequence: replace(sequence, title=f"{sequence.title} {mark}"), f"add {mark}")
    return [mark]


def add_to_pulls(folder: Path, mark: str) -> list[str]:
    with filled_alone(folder, silent):
        log = read_log(folder, "The Salt Stair")
        time.sleep(0.005)  # while another could write
        write_log(folder, log.with_entry(Entry(mark, f"SALT_{mark}_v001", 1, "0" * 32, treated=True)))
    return [mark]


def main(what: str, place: Path, name: str) -> None:
    go = place.parent / "go"
    while not go.exists():
        time.sleep(0.001)
    done: list[str] = []
    said: list[str] = []
    for number in range(TIMES):
        try:
            done += {"document": add_to_document, "pulls": add_to_pulls}[what](place, f"{name}{number}")
        except Fault as fault:
            said.append(str(fault))
            time.sleep(0.01)
    print(json.dumps({"done": done, "said": said}))


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), sys.argv[3])
