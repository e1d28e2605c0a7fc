"""A small cut over two tapes, short ways to look into it, and every edit with random numbers, good and bad ones."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from random import Random

import pytest
from fights import phrase, sequence, take, tape, treatment

from previs.clock import frame_played
from previs.cut import edits, retimes, transitions
from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot, Transition, TransitionKind
from previs.faults import UseFault

Edit = Callable[[Sequence], Sequence]
CUT = "v1"
DISSOLVE = Transition(TransitionKind.DISSOLVE, 8)


def a_cut(rate: str = "24") -> Sequence:
    """Six shots on tapes of ten and eight seconds, so that random edits often meet the ends of a tape."""
    shots = (
        Shot("s1", 30, Footage("T1", 20)),
        Shot("s2", 24, Footage("T2", 60, Fraction(343, 240)), reasons=("rated best",)),
        Shot("s3", 20, Card("the fall", 3, 4)),
        Shot("s4", 40, Footage("T1", 120)),
        Shot("s5", 25, Footage("T2", 150, Fraction(-1, 2)), Transition(TransitionKind.DISSOLVE, 8)),
        Shot("s6", 30, Footage("T1", 190)),
    )
    return sequence(
        rate_name=rate,
        phrases=(phrase(1, range(1, 5)),),
        tapes=(tape("A1", seconds=10), tape("B1", seconds=8)),
        takes=(
            take("T1", {1: 1, 2: Fraction(7, 2), 3: 6, 4: Fraction(17, 2)}, end=10),
            take("T2", {1: 2, 2: Fraction(33, 10), 3: 5, 4: 7}, reel="B1", end=8, tempo=Fraction(7, 10)),
        ),
        treatments=(treatment(1, Fraction(13, 4)), treatment(2, 6, reel="B1", role="Reeve"), treatment(Fraction(31, 7), 9)),
        cuts=(Cut(CUT, shots, 200), Cut("other", shots[:3], 200)),
    )


def shots(one: Sequence) -> tuple[Shot, ...]:
    return one.cut(CUT).shots


def shot(one: Sequence, number: int) -> Shot:
    return shots(one)[number - 1]


def idents(one: Sequence) -> str:
    return " ".join(one.ident for one in shots(one))


def total(one: Sequence) -> int:
    return one.cut(CUT).frames


def footage(one: Shot) -> Footage:
    assert isinstance(one.picture, Footage)
    return one.picture


def tape_frames(one: Shot) -> list[int]:
    picture = footage(one)
    return [frame_played(picture.first_frame, picture.speed, k) for k in range(one.frames)]


def refused(sentence: str, edit: Callable[..., Sequence], *arguments: object) -> None:
    with pytest.raises(UseFault, match=sentence):
        edit(*arguments)


def random_edit(luck: Random, one: Sequence) -> tuple[str, Edit]:
    """The name of an edit, and the edit with numbers drawn for this sequence; about one in four asks for what cannot be."""
    cut = one.cut(CUT)
    number, other = luck.randint(1, len(cut.shots)), luck.randint(1, len(cut.shots) + 1)
    frames = luck.choice([-40, -9, -3, -1, 0, 1, 2, 5, 12, 60])
    length = luck.choice([1, 2, 6, 10, 24, 70, 0])
    own = luck.randrange(cut.shots[number - 1].frames + 1)
    speed = luck.choice([Fraction(1, 2), Fraction(9, 10), Fraction(1), Fraction(343, 240), Fraction(3), Fraction(0)])
    footage = Footage(
        luck.choice(["T1", "T2"]), luck.randint(0, 230), luck.choice([Fraction(1), Fraction(3, 2), Fraction(-1), Fraction(0)])
    )
    picture = luck.choice([footage, footage, Card("to come", 2), Black()])
    transition = Transition(TransitionKind.DISSOLVE, length) if luck.random() < 0.5 else Transition(TransitionKind.WIPE, length, 41)
    every: dict[str, Edit] = {
        "insert": lambda s: edits.insert(s, CUT, other, picture, length),
        "remove": lambda s: edits.remove(s, CUT, number),
        "remove leaving": lambda s: edits.remove(s, CUT, number, luck.choice([Card("gone"), Black()])),
        "trim head": lambda s: edits.trim_head(s, CUT, number, frames),
        "trim tail": lambda s: edits.trim_tail(s, CUT, number, frames),
        "roll": lambda s: edits.roll(s, CUT, number, frames),
        "slip": lambda s: edits.slip(s, CUT, number, frames),
        "slide": lambda s: edits.slide(s, CUT, number, frames),
        "split": lambda s: edits.split(s, CUT, number, own),
        "join": lambda s: edits.join(s, CUT, number),
        "split and join": lambda s: edits.join(edits.split(s, CUT, number, own), CUT, number),
        "move": lambda s: edits.move(s, CUT, number, other),
        "lock": lambda s: edits.lock(s, CUT, number, luck.random() < 0.2),
        "speed": lambda s: retimes.retime_to_speed(s, CUT, number, speed),
        "length": lambda s: retimes.retime_to_length(s, CUT, number, length),
        "reverse": lambda s: retimes.reverse(s, CUT, number),
        "freeze": lambda s: retimes.freeze(s, CUT, number, own),
        "take": lambda s: retimes.replace_take(s, CUT, number, luck.choice(["T1", "T2"])),
        "transition": lambda s: transitions.add_transition(s, CUT, number, transition),
        "straight": lambda s: transitions.remove_transition(s, CUT, number),
        "fade in": lambda s: transitions.fade_in(s, CUT, number, length),
        "no fade in": lambda s: transitions.remove_fade_in(s, CUT, number),
        "fade out": lambda s: transitions.fade_out(s, CUT, number, length),
        "no fade out": lambda s: transitions.remove_fade_out(s, CUT, number),
        "sound": lambda s: transitions.lead_sound(s, CUT, number, frames),
    }
    name = luck.choice(list(every))
    return name, every[name]
