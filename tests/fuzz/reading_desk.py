"""What the desk remembers in its settings file, and what is dropped on it, whatever somebody or a crash has put into them."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from fuzz.judging import Unsound
from fuzz.readers import Reader, put
from PyQt6.QtCore import QByteArray, QMimeData, QPointF, Qt
from PyQt6.QtGui import QDropEvent, QGuiApplication

from previs.desk.dropping import files_in
from previs.desk.memory import Memory
from previs.desk.start import page as start
from previs.document.store import open_document
from previs.media.ingest import tape_from_file
from previs.review.notes_file import notes_from_file

NAMES = ("window", "looks", "text size", "place", "file", "volume", "cut/columns")


def _memory(data: bytes, folder: Path) -> object:
    path = put(data, folder / "desk.ini")
    memory = Memory(path)
    for name in NAMES:
        if not isinstance(memory.text(name), str) or "\0" in memory.text(name) or not isinstance(memory.state(name), QByteArray):
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


def _dropped(data: bytes, folder: Path) -> object:
    """A list of addresses as a file browser hands it over; what is taken of it is read or refused."""
    mime = QMimeData()
    mime.setData("text/uri-list", data)
    event = QDropEvent(QPointF(), Qt.DropAction.CopyAction, mime, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)
    sequence = start._sequence_in(event)
    if sequence is not None:
        open_document(sequence)
    for number, path in enumerate(files_in(event)):
        tape_from_file(path, "tape.mp4", (), folder / "cache") if number % 2 else notes_from_file(path)
    return None


@cache
def drops() -> tuple[bytes, ...]:
    # Without one the library ends the program.
    drops.desk = QGuiApplication.instance() or QGuiApplication([])  # type: ignore[attr-defined]
    return (
        b"file:///nowhere/salt_stair.previs\r\n",
        b"# from the set\r\nfile:///nowhere/a.mp4\r\nfile:///nowhere/b.mov\r\n",
        b"https://hurt.invalid/x.mp4\r\n",
    )


ADDRESSES = (
    "file://", "file:///", "%00", "%0A", "%ff", "%2e%2e/", "//host/share/", "/dev/null", "/proc/self/mem", ".previs", "http://", "\r\n",
)  # fmt: skip
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
READERS = {
    "memory": Reader("memory", _memory, memories, TOKENS, pure=False),
    "dropped": Reader("dropped", _dropped, drops, ADDRESSES, pure=False, seconds=10),
}
