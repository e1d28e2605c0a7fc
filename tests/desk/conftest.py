"""The desk offscreen: one application, no message of Qt unnoticed, no memory kept, and a small fight on coded tapes."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot
from small_fight import small_fight

from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile
from previs.desk.window import Window, dress


@pytest.fixture
def memory(tmp_path: Path) -> Memory:
    return Memory(tmp_path / "desk.ini")


@pytest.fixture(scope="session")
def made_fight(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A document with three tapes, five moves and a cut v1, made once; tests work on copies of its folder."""
    return small_fight(tmp_path_factory.mktemp("fight"))


@pytest.fixture
def document(made_fight: Path, tmp_path: Path) -> Path:
    import shutil

    folder = tmp_path / "fight"
    shutil.copytree(made_fight.parent, folder)
    return folder / made_fight.name


@pytest.fixture
def file(qtbot: QtBot, document: Path) -> Iterator[OpenFile]:
    opened = OpenFile(document)
    yield opened
    opened.close()


@pytest.fixture
def window(qtbot: QtBot, memory: Memory, document: Path) -> Iterator[Window]:
    dress(memory)
    shown = Window(memory)
    qtbot.addWidget(shown)
    assert shown.open(document)
    shown.show()
    yield shown
    shown.close()
