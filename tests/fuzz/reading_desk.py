"""What the desk remembers: its settings file, whatever somebody or a crash has put into it."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from fuzz.judging import Unsound
from fuzz.readers import Reader, put
from PyQt6.QtCore import QByteArray

from previs.desk.memory import Memory

NAMES = ("window", "looks", "text size", "place", "file", "volume", "cut/columns")


def _memory(data: bytes, folder: Path) -> object:
    path = put(data, folder / "desk.ini")
    memory = Memory(path)
    for name in NAMES:
        if not isinstance(memory.text(name), str) or not isinstance(memory.state(name), QByteArray):
            raise Unsound(f"{name} is remembered as something else")
        if not math.isfinite(memory.number(name, 1.0)):
            raise Unsound(f"{name} is remembered as a number that is none")
    return memory


@cache
def memories() -> tuple[bytes, ...]:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "desk.ini"
        memory = Memory(path)
        for name in NAMES:
            memory.keep(name, QByteArray(b"\0\1\2 state") if name == "window" else 1.5 if name == "volume" else f"what {name} is")
        memory._kept.sync()
        return (path.read_bytes(),)


TOKENS = (
    "[General]",
    "volume=",
    "@ByteArray(",
    "@Variant(\\0\\0\\0\\x7f",
    "@Invalid()",
    "@Size(",
    "@Point(",
    "\\x",
    "%20",
    "nan",
    "inf",
    "1e999",
    '"',
    "\\",
    "=",
)
READERS = {"memory": Reader("memory", _memory, memories, TOKENS, pure=False)}
