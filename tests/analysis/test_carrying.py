"""Carrying hits: from one logged take to others at any tempo, broken off, with pauses and strays; marks of persons stay."""

from __future__ import annotations

import tracemalloc
from fractions import Fraction

import numpy as np
import pytest
from fights import phrase, sequence, take, tape
from heard_fights import evidence
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from previs.analysis.all_takes import carry_all, confirmed, doubtful, without_hits
from previs.analysis.carrying import Carried, Logged, carry
from previs.analysis.takes import proposed_takes
from previs.analysis.tempo import tempi, with_tempi
from previs.document.invariants import faults_in
from previs.document.model import SURE, Sequence, Sync
from previs.faults import UseFault

MOVES = [2.0, 3.1, 4.0, 5.4, 6.0, 7.3]


def logged(moments: list[float] = MOVES, soft: frozenset[int] = frozenset()) -> Logged:
    kinds = [[0.0, 0.5, 0.7] if number in soft else [1.0, 0.0, 0.7] for number in range(len(moments))]
    return Logged(np.array(moments), np.array(kinds))


def played(tempo: float, begin: float, moves: list[float] = MOVES) -> list[float]:
    return [begin + (at - moves[0]) / tempo for at in moves]


@given(tempo=st.floats(0.6, 1.3), begin=st.floats(1, 20), seed=st.integers(0, 999))
@settings(max_examples=40, deadline=None)
def test_any_tempo_is_followed(tempo: float, begin: float, seed: int) -> None:
    dice = np.random.default_rng(seed)
    there = [at + float(dice.normal() * 0.03) for at in played(tempo, begin)]
    found = carry(logged(), evidence(there), begin - 1, there[-1] + 2)
    assert found.at == pytest.approx(there, abs=1e-6)
    assert found.tempo == pytest.approx(tempo, rel=0.12)
    assert min(found.confidence) > 0.5


def test_a_soft_landing_between_blows_is_found_by_where_it_must_come() -> None:
    there = played(0.8, 5)
    found = carry(logged(soft=frozenset({2})), evidence([at for n, at in enumerate(there) if n != 2], soft=[there[2]]), 4, 14)
    assert found.at == pytest.approx(there, abs=1e-6)


@pytest.mark.parametrize("moves", [1, 2, 3, 5])
def test_a_take_that_is_broken_off_gets_the_moves_it_has(moves: int) -> None:
    there = played(1.0, 5)[:moves]
    found = carry(logged(), evidence(there), 4, 20)
    assert found.at == pytest.approx(there, abs=1e-6)
    assert f"broken off after {moves} of 6" in found.remarks[-1]


def test_a_pause_is_told_and_not_bent_over() -> None:
    there = [at + (2.0 if number >= 3 else 0.0) for number, at in enumerate(played(1.0, 5))]
    found = carry(logged(), evidence(there, strays={there[2] + 0.9: 0.16}), 4, 16)
    assert found.at == pytest.approx(there, abs=1e-6)
    assert "a pause before move 4" in found.remarks[0]


def test_stray_noises_are_passed_over() -> None:
    there = played(0.9, 5)
    found = carry(logged(), evidence(there, strays={5.4: 0.3, 7.0: 0.25, 9.1: 0.3}), 4, 14)
    assert found.at == pytest.approx(there, abs=1e-6)


def test_a_false_start_has_no_moves() -> None:
    found = carry(logged(), evidence([]), 4, 9)
    assert found == Carried((), (), (), 1.0, ("nothing lands on it: a false start",))
    assert carry(logged([]), evidence([3]), 0, 9).at == ()
    assert carry(logged(), evidence([3]), 9, 9).at == ()


def fight(**parts: object) -> Sequence:
    given = {
        "phrases": (phrase(1, range(1, 7)),),
        "tapes": (tape("A1"), tape("B1"), tape("C1")),
        "takes": (
            take("A1-1", dict(enumerate(MOVES, start=1)), start=1, end=10),
            take("A1-2", {}, start=20, end=34),
            take("B1-2", {}, reel="B1", start=17, end=30),
            take("C1-1", dict(enumerate(MOVES, start=1)), reel="C1", start=1, end=10),
        ),
        "syncs": (Sync("A1", "A1", Fraction(0)), Sync("B1", "A1", Fraction(3), confidence=90)),
    }
    return sequence(**(given | parts))


def test_one_pass_is_marked_once_and_read_off_for_every_camera() -> None:
    there = played(0.7, 22)
    found = carry_all(fight(), {"A1": evidence([*MOVES, *there]), "B1": evidence([])}, from_take="A1-1")
    hits = {one.name: one.hits for one in found.sequence.takes}
    assert [float(hit.at) for hit in hits["A1-2"]] == pytest.approx(there, abs=1e-5)
    assert [float(hit.at) for hit in hits["B1-2"]] == pytest.approx([at - 3 for at in there], abs=1e-5)
    assert all(hit.confidence <= 90 for hit in hits["B1-2"])
    assert hits["A1-1"] == fight().take("A1-1").hits
    assert [report.source for report in found.reports] == ["A1-1", "A1-2, the same pass"]
    assert found.reports[0].tempo == pytest.approx(0.7, rel=0.02)
    assert faults_in(found.sequence) == ()


def test_what_a_person_marked_is_never_changed_and_nothing_comes_of_nothing() -> None:
    everything = fight(takes=fight().takes[:1])
    assert carry_all(everything, {"A1": evidence(MOVES)}).sequence == everything
    bare = without_hits(fight(), frozenset())
    with pytest.raises(UseFault, match="No take is logged yet"):
        carry_all(bare, {})
    with pytest.raises(UseFault, match="has no hits that a person marked"):
        carry_all(fight(), {}, from_take="A1-2")


def test_doubtful_hits_are_listed_and_confirmed() -> None:
    there = played(0.7, 22)
    carried = carry_all(fight(), {"A1": evidence([*MOVES, *there[:4], there[5]]), "B1": evidence([])}, "A1-1").sequence
    assert {hit.move for one, hit in doubtful(carried) if one.name == "A1-2"} == {5}
    sure = confirmed(confirmed(carried, "A1-2", frozenset({5})), "B1-2")
    assert {hit.confidence for hit in sure.take("B1-2").hits} == {SURE}
    assert not [hit for one, hit in doubtful(sure) if one.name == "A1-2"]
    with pytest.raises(UseFault, match="no hit of move 9"):
        confirmed(carried, "A1-2", frozenset({9}))


def test_tempo_is_that_of_the_steps_and_a_stumble_does_not_count() -> None:
    slow = [at + (1.5 if number == 5 else 0) for number, at in enumerate(played(0.7, 22))]
    one = fight(takes=(*fight().takes[:1], take("A1-2", dict(enumerate(slow, start=1)), start=20, end=40, tempo=Fraction(1, 2))))
    (found,) = tempi(one)
    assert (found.take, found.reference, found.noted) == ("A1-2", "A1-1", Fraction(1, 2))
    assert float(found.found) == pytest.approx(0.7, abs=0.001)
    assert float(with_tempi(one).take("A1-2").tempo) == pytest.approx(0.7, abs=0.001)
    assert tempi(replace(one, takes=one.takes[1:])) == ()


def test_takes_are_proposed_from_slates() -> None:
    from previs.analysis.onsets import Impulse

    def at(moment: float) -> Impulse:
        return Impulse(moment, 50, 0.5, 0.005, 0.9)

    first, second = proposed_takes(40, [at(2), at(20)], [at(5), at(7), at(9)])
    assert (first.begin, first.end, first.hits) == (2.8, 11, (5, 7, 9))
    assert second.hits == ()
    assert "a false start" in second.why
    assert proposed_takes(0, [], []) == ()


def test_a_take_of_a_quarter_of_an_hour_takes_its_share_of_memory() -> None:
    """Every step between any two of its 11,000 moments would be 1 GB a table; steps within a longest pause are 70 MB."""
    blows = [600.0, 601.2, 602.1]
    tracemalloc.start()
    try:
        found = carry(logged([3.0, 4.2, 5.1]), evidence(blows), 0, 900)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert found.at == pytest.approx(blows, abs=0.05)
    assert peak < 500 * 2**20
