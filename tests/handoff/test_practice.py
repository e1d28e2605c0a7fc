"""Practice: who learns what, from which take, and when each count lands at each speed, recomputed from cut x marks."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from fights import phrase, sequence, take, tape
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from previs.clock import first_grid_frame, frame_played
from previs.document.model import Casting, Cut, Face, Footage, Framing, Role, Sequence, Shot, Shows, Size
from previs.faults import UseFault
from previs.handoff.practice import SPEEDS, learners, lessons, move_list, played

MOVES = {1: 2, 2: 3, 3: 4}
DOUBLED = (Casting("Odile", "Pim Oster"), Casting("Reeve", "Abel Quist"))


def fight(**parts: object) -> Sequence:
    """Two phrases: the first on a take where Odile is doubled with her face hidden, the second where the actor plays."""
    hidden = (Face("Odile", Shows.HIDDEN), Face("Reeve", Shows.FULL))
    given = {
        "cast": (Role("Odile", "Juno Vale", ("Pim Oster",)), Role("Reeve", "Abel Quist", ("Rika Thorn",))),
        "phrases": (phrase(1, range(1, 4)), phrase(2, range(4, 6))),
        "tapes": (tape("A1"), tape("B1")),
        "takes": (
            replace(take("T1", MOVES), performers=DOUBLED, framings=(Framing(Fraction(0), Size.FULL, 0, faces=hidden),)),
            take("T2", {4: 12, 5: 13}, phrases=(2, 2), start=10),
        ),
        "cuts": (Cut("v1", (Shot("a", 72, Footage("T1", 36)), Shot("b", 48, Footage("T2", 276))), 120),),
    }
    return sequence(**(given | parts))


def test_actors_learn_what_nobody_does_for_them_and_doubles_what_they_do() -> None:
    one = fight()
    known = {performer: [part.move.number for part in those] for performer, those in learners(one, one.cut()).items()}
    assert known == {"Juno Vale": [4, 5], "Abel Quist": [1, 2, 3, 4, 5], "Pim Oster": [1, 2, 3]}


def test_a_face_that_shows_makes_the_actor_learn() -> None:
    shown = replace(fight().takes[0], framings=(Framing(Fraction(0), Size.FULL, 0, faces=(Face("Odile", Shows.FULL),)),))
    one = fight(takes=(shown, fight().takes[1]))
    assert [part.move.number for part in learners(one, one.cut())["Juno Vale"]] == [1, 2, 3, 4, 5]


def test_the_take_to_learn_from_holds_the_most_and_shows_the_body() -> None:
    one = fight()
    close = replace(take("close", {**MOVES}, reel="B1", rating=5), framings=(Framing(Fraction(0), Size.CLOSE, 0),))
    short = take("short", {1: 2, 2: 3}, reel="B1", rating=5)
    better = take("better", {**MOVES}, reel="B1", rating=4)
    (lesson,) = lessons(replace(one, takes=(*one.takes, close, short, better)), one.cut(), "Pim Oster")
    # T1 has the performer, which counts for more than a star.
    assert (lesson.take.name, lesson.phrase, lesson.moves) == ("T1", 1, (1, 2, 3))
    elsewhere = replace(one, takes=(replace(one.takes[0], framings=close.framings), one.takes[1], close, short, better))
    assert [one.take.name for one in lessons(elsewhere, fight().cut(), "Abel Quist")] == ["better", "T2"]


@given(st.sampled_from(SPEEDS), st.integers(50, 130), st.lists(st.integers(10, 60), min_size=1, max_size=5))
def test_every_count_lands_on_the_frame_that_shows_its_hit(share: Fraction, tempo: int, steps: list[int]) -> None:
    moments, at = {}, Fraction(2)
    for number, step in enumerate(steps, start=1):
        moments[number] = at
        at += Fraction(step, 24)
    one = fight(
        phrases=(phrase(1, range(1, len(steps) + 1)),),
        takes=(replace(take("T1", moments, tempo=Fraction(tempo, 100)), performers=DOUBLED),),
        cuts=(Cut("v1", (Shot("a", 24 * 20, Footage("T1", 24)),), 480),),
    )
    (lesson,) = lessons(one, one.cut(), "Abel Quist")
    run = played(one, lesson, share)
    for landing, count in zip(run.landings, lesson.counts, strict=True):
        hit = first_grid_frame(count.at, Fraction(24))
        # The frame shows the hit or, where the speed steps over it, the first one after it; the frame before does not yet.
        assert hit <= frame_played(run.first_frame, run.speed, landing) < hit + max(1, run.speed.__ceil__())
        assert frame_played(run.first_frame, run.speed, landing - 1) < hit
    assert run.landings[-1] < run.frames


def test_a_learning_take_is_practised_at_a_share_of_performance() -> None:
    one = fight(takes=(replace(take("T1", MOVES, tempo=Fraction(7, 10)), performers=DOUBLED), fight().takes[1]))
    (lesson,) = lessons(one, one.cut(), "Pim Oster")
    full, half = played(one, lesson, Fraction(1)), played(one, lesson, Fraction(1, 2))
    assert float(full.speed) == pytest.approx(1 / 0.7, rel=0.003)
    assert half.speed * 2 == full.speed
    assert half.frames == pytest.approx(2 * full.frames, abs=2)


def test_the_move_list_tells_what_is_new_since_an_earlier_cut() -> None:
    one = fight()
    two = replace(one, cuts=(Cut("v0", one.cut().shots[:1], 72), *one.cuts))
    sheet = move_list(two, two.cut("v1"), "Abel Quist", date(2026, 11, 25), two.cut("v0"))
    head = dict(sheet.head)
    assert (head["Moves to learn"], head["New since v0"], head["No longer since v0"]) == ("5", "4, 5", "none")
    rows = [row for table in sheet.tables for row in table.rows]
    assert [row[1] for row in rows] == [1, 2, 3, 4, 5]
    assert [row[-1] for row in rows] == ["learn", "learn", "learn", "new: learn", "new: learn"]
    assert [row[3] for row in rows] == ["defend", "attack", "defend", "attack", "defend"]
    assert any("Learn with the fight coordinator" in caution for caution in sheet.cautions)


def test_who_has_nothing_to_learn_is_told_who_has() -> None:
    one = fight()
    with pytest.raises(UseFault, match="Rika Thorn has nothing to learn in cut v1; those who have: Juno Vale, Abel Quist, Pim Oster"):
        lessons(one, one.cut(), "Rika Thorn")
