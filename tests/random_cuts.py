"""Sequences and cuts drawn at random for tests of lists that go out and come back; nothing is asserted here."""

from __future__ import annotations

from fractions import Fraction

import fights
from hypothesis import strategies as st
from msgspec.structs import replace

from previs.clock import Rate, Timebase
from previs.cut.edit_rules import lacks
from previs.document.model import Black, Card, Cut, Footage, Kind, Sequence, Shot, Transition, TransitionKind

TIMEBASES = [("23.976", False), ("24", False), ("25", False), ("29.97", True), ("59.94", True), ("60", False)]
SPEEDS = [
    Fraction(1),
    Fraction(1, 2),
    Fraction(2),
    Fraction(-1),
    Fraction(-2, 3),
    Fraction(0),
    Fraction(2, 7),
    Fraction(-7, 5),
    Fraction(9),
]


def sequence(rate: str = "24", drop: bool = False) -> Sequence:
    """Tapes that count as the sequence does and otherwise, one with a reel name that no list can hold; overlapping takes."""
    timebase = Timebase(Rate.parse(rate), drop)
    return fights.sequence(
        rate_name=rate,
        drop=drop,
        start_frame=timebase.frame("00:59:58:00"),
        phrases=(fights.phrase(1, range(1, 3)), fights.phrase(2, range(3, 5))),
        tapes=(
            fights.tape("LOUD", rate=rate, drop=drop, start_frame=timebase.frame("00:59:50:10")),
            fights.tape("cam-b.1", rate="29.97", start_frame=1234, sound=False),
        ),
        takes=(
            fights.take("1A", {1: 6, 2: 14, 3: 20, 4: 21}, reel="LOUD", phrases=(1, 2)),
            fights.take("Übung – sehr lang " * 6, {1: 5, 2: 9}, reel="LOUD", end=30),
            fights.take("1B", {1: 6, 2: 14}, reel="cam-b.1"),
        ),
        treatments=(fights.treatment(8, 20, reel="LOUD", kind=Kind.RIG_REMOVAL),),
    )


def _footage(draw: st.DrawFn, value: Sequence) -> Footage:
    take = draw(st.sampled_from(value.takes))
    return Footage(take.name, draw(st.integers(650, 700)), draw(st.sampled_from(SPEEDS)))


CARDS = st.builds(Card, st.text(max_size=120), st.none(), st.none(), st.sampled_from(["", "stills/fall.png"])) | st.sampled_from(
    [Card("not shot", 2, 3), Card("the fall", 4)]
)


@st.composite
def cuts(draw: st.DrawFn, value: Sequence) -> Cut:
    """A cut that an edit list can hold."""
    shots = []
    for number in range(1, draw(st.integers(2, 12))):
        frames = draw(st.integers(1, 40))
        kind = draw(st.sampled_from([None, None, *TransitionKind]))
        change = None
        if kind is not None:
            change = Transition(kind, draw(st.integers(1, frames)), draw(st.integers(0, 999)) if kind is TransitionKind.WIPE else 0)
        footage = draw(st.integers(0, 3)) > 0
        picture = _footage(draw, value) if footage else draw(CARDS | st.just(Black()))
        shots.append(Shot(f"s{number}", frames, picture, change, locked=draw(st.booleans())))
    return Cut("v1", tuple(shots), 240)


@st.composite
def with_leads(draw: st.DrawFn, value: Sequence, drawn: st.SearchStrategy[Cut]) -> Cut:
    """A cut whose sounds begin early and late wherever tapes and neighbours have room for it."""
    cut = draw(drawn)
    shots = list(cut.shots)
    for at, shot in enumerate(shots):
        shots[at] = replace(shot, sound_lead_frames=draw(st.integers(-8, 8)))
        if any(lack.what.startswith("sound") for lack in lacks(value, shots)):
            shots[at] = shot
    return replace(cut, shots=tuple(shots))
