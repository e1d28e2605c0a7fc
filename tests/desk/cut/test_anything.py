"""Somebody does anything at random in the Cut place: the document stays sound, is what is on disk, and can be undone."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from person import Person
from pytestqt.qtbot import QtBot
from two_cuts import with_v2

from previs.desk.window import Window
from previs.document.invariants import faults_in
from previs.document.store import open_document

_STEPS = 200
_CUT = 3


@pytest.mark.parametrize("seed", [3, 305])
def test_whatever_is_done_in_it_the_document_stays_sound(
    seed: int, window: Window, document: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    assert window.file and window.file.edit(with_v2, "a second cut")
    dice = random.Random(seed)
    person = Person(window, dice, tmp_path, monkeypatch)
    try:
        for _ in range(_STEPS):
            window.show_place(_CUT)
            dice.choice((person._trigger, person._trigger, person._press, person._click, person._drag, person._type))()
            qtbot.wait(1)
            assert faults_in(window.file.sequence) == ()
    except BaseException:
        print("\n".join(person.done[-30:]))
        raise
    assert open_document(document).sequence == window.file.sequence
