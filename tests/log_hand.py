"""What a test does at the Log place: press keys, read hits, say what is heard on a tape."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from PyQt6.QtCore import Qt
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QApplication

from previs.analysis.onsets import Impulse
from previs.desk.log.place import LogPlace
from previs.document import mark_edits
from previs.document.model import SURE, Hit, Sequence, Take
from previs.media.signals import Signals

KEY, HELD = Qt.Key, Qt.KeyboardModifier
NOTHING = HELD.NoModifier


class HandClock:
    """A clock that the test turns."""

    def __init__(self) -> None:
        self.now = Fraction(0)

    def __call__(self) -> Fraction:
        return self.now


def press(place: LogPlace, key: Qt.Key, held: Qt.KeyboardModifier = NOTHING) -> None:
    target = QApplication.focusWidget()
    assert target is not None and (place is target or place.isAncestorOf(target))
    QTest.keyClick(target, key, held)


def take(place: LogPlace, name: str = "A1") -> Take:
    return place.file.sequence.take(name)


def hits(place: LogPlace, name: str = "A1") -> list[tuple[int, Fraction]]:
    return [(hit.move, hit.at) for hit in take(place, name).hits]


def heard(place: LogPlace, reel: str, *strikes: Impulse, slates: tuple[Impulse, ...] = ()) -> Signals:
    """Let the place hear these on a tape and nothing else."""
    signals = place.hearing.of(reel)
    assert signals is not None
    now = replace(signals, strikes=strikes, slates=slates, landings=(), stops=())
    place.hearing._keep(place.file.sequence.tape(reel), now)
    return now


def clear(place: LogPlace, name: str = "A1") -> None:
    assert place.file.edit(lambda one: mark_edits.change_take(one, name, hits=()), "no hits")


def doubt(place: LogPlace, **sure: dict[int, int]) -> None:
    """Give hits of takes other confidences."""

    def change(sequence: Sequence) -> Sequence:
        for name, moves in sure.items():
            doubted = tuple(Hit(hit.move, hit.at, moves.get(hit.move, SURE)) for hit in sequence.take(name).hits)
            sequence = mark_edits.change_take(sequence, name, hits=doubted)
        return sequence

    assert place.file.edit(change, "doubt")
