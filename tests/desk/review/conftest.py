"""The Review place on the small fight, and reviewers' files on its cut."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from msgspec.structs import replace
from pytestqt.qtbot import QtBot
from review.making_notes import file_text, note_at

from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile
from previs.desk.review.place import ReviewPlace
from previs.document.notes import Drawing, Note, NoteKind, Shape

CIRCLE = Drawing(Shape.CIRCLE, 250, 250, 750, 750)
Save = Callable[..., Path]


@pytest.fixture
def place(qtbot: QtBot, file: OpenFile, memory: Memory) -> Iterator[ReviewPlace]:
    shown = ReviewPlace(file, memory)
    qtbot.addWidget(shown)
    shown.resize(1160, 660)
    shown.show()
    shown.came()
    yield shown
    file.work.close()
    shown.close_down()


@pytest.fixture
def mara(file: OpenFile) -> tuple[Note, ...]:
    """A circle on a frame, a range, a hit, and a safety worry about the whole, all on cut v1."""
    sequence = file.sequence
    cut = sequence.cut("v1")
    return (
        note_at(sequence, cut, 30, "mara-1", kind=NoteKind.ANGLE, text="Closer here.", drawings=(CIRCLE,)),
        note_at(sequence, cut, 40, "mara-2", kind=NoteKind.LONGER, text="Hold the look.", frames=6),
        note_at(sequence, cut, 60, "mara-3", kind=NoteKind.UNCLEAR, text="Does it land?", move=3),
        replace(note_at(sequence, cut, 0, "mara-4", kind=NoteKind.SAFETY, text="Who spots the leap?"), shot="", reel="", tape_frame=None),
    )


@pytest.fixture
def save(file: OpenFile) -> Save:
    """Write a reviewer's file as the page does."""

    def write(name: str, *notes: Note, cut: str = "v1", title: str = "") -> Path:
        path = file.path.parent / name
        path.write_bytes(file_text(title or file.sequence.title, cut, notes))
        return path

    return write


def idle(qtbot: QtBot, place: ReviewPlace) -> None:
    """Wait until everything asked for has been worked out and shown."""
    qtbot.waitUntil(lambda: not place.file.work.running and not place.file.looking.running and not place._quiet.running, timeout=60_000)


@pytest.fixture
def noted(place: ReviewPlace, mara: tuple[Note, ...], save: Save, qtbot: QtBot) -> ReviewPlace:
    """The place after Mara's file was taken in."""
    place.take_in_these((save("mara.json", *mara),))
    idle(qtbot, place)
    return place
