"""A second cut for the small fight, with a card, a dissolve and a locked shot, and the type of a fixture."""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace

from previs.document.model import Card, Cut, Footage, Sequence, Shot, Transition, TransitionKind

SHOTS = (
    Shot("s1", 30, Footage("A1", 30)),
    Shot("s2", 24, Footage("B1", 60), reasons=("It was the best.",)),
    Shot("s3", 20, Card("the thrust", 3, 3)),
    Shot("s4", 40, Footage("A1", 90)),
    Shot("s5", 30, Footage("C1", 60), Transition(TransitionKind.DISSOLVE, 8)),
    Shot("s6", 24, Footage("A1", 150), locked=True),
)
"""The cut v2: 168 frames against 132."""

Fill = Callable[[dict[str, str]], list[str]]


def with_v2(sequence: Sequence) -> Sequence:
    return replace(sequence, cuts=(*sequence.cuts, Cut("v2", SHOTS, 132)))
