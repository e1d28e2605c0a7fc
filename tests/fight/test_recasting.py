"""What if only the actor may do it, or the actor cannot: on a fight of four moves and six takes, and for every size."""

from __future__ import annotations

from fractions import Fraction

import pytest
from fights import phrase, sequence, take, tape, treatment
from msgspec.structs import replace

from previs.document.model import Casting, Cut, Face, Footage, Framing, Kind, Role, Sequence, Shot, Shows, Size, Take
from previs.faults import UseFault
from previs.fight.checks import checks
from previs.fight.doubling import Way
from previs.fight.findings import Code
from previs.fight.recasting import actor_only, cannot, ways_out_of_replacement

ACTOR, DOUBLE = "Juno Vale", "Pim Oster"


def filmed(name: str, performer: str, size: Size, face: Shows, hits: dict[int, float], reel: str = "A1") -> Take:
    return replace(
        take(name, hits, reel=reel),
        framings=(Framing(Fraction(0), size, faces=(Face("Odile", face),)),),
        performers=(Casting("Odile", performer), Casting("Reeve", "Abel Quist")) if performer else (Casting("Reeve", "Abel Quist"),),
    )


def day(*takes: Take, cast: bool = True, shots: tuple[Shot, ...] | None = None) -> tuple[Sequence, Cut]:
    made = shots or tuple(Shot(f"s{number}", 24, Footage(takes[0].name, 24 * number - 12)) for number in range(1, 5))
    cut = Cut("v1", made, 96)
    people = (Role("Odile", ACTOR, (DOUBLE,)), Role("Reeve", "Abel Quist")) if cast else ()
    tapes = tuple(tape(reel) for reel in dict.fromkeys(one.reel for one in takes))
    return sequence(phrases=(phrase(1, range(1, 5)),), tapes=tapes, takes=takes, cuts=(cut,), cast=people), cut


ALL = {1: 1.0, 2: 2.0, 3: 3.0, 4: 4.0}
DOUBLED = filmed("D", DOUBLE, Size.WIDE, Shows.PART, ALL)


def test_actor_alone_names_moves_shots_takes_and_what_is_impossible() -> None:
    made, cut = day(DOUBLED, filmed("J", ACTOR, Size.FULL, Shows.FULL, {1: 1, 3: 3}, "B1"))
    found = actor_only(made, cut, "Odile")
    assert [(one.part.shot, one.part.move.number, one.takes, one.impossible) for one in found] == [
        (1, 1, ("J",), False),
        (2, 2, (), True),
        (3, 3, ("J",), False),
        (4, 4, (), True),
    ]
    assert found[0].ways_out == ("use take J, where Juno Vale does it", "Juno Vale learns move 1 and it is taken again")
    assert found[1].ways_out == ("Juno Vale learns move 2 and it is taken again",)


@pytest.mark.parametrize("size", Size)
@pytest.mark.parametrize("tighter", Size)
def test_from_a_size_on_only_that_size_and_tighter_change(size: Size, tighter: Size) -> None:
    made, cut = day(filmed("D", DOUBLE, size, Shows.PART, ALL), filmed("W", DOUBLE, Size.EXTREME_WIDE, Shows.HIDDEN, {2: 2}, "B1"))
    found = actor_only(made, cut, "Odile", tighter)
    sizes = list(Size)
    if sizes.index(size) < sizes.index(tighter):
        assert found == ()
        return
    assert [one.part.move.number for one in found] == [1, 2, 3, 4]
    # A wider take of move 2 is a way out wherever there is something wider than the size that was named.
    assert [not one.impossible for one in found] == [False, tighter is not Size.EXTREME_WIDE, False, False]
    assert any("stay wider with take W" in way for way in found[1].ways_out) is (tighter is not Size.EXTREME_WIDE)


def test_what_the_actor_does_already_is_not_told() -> None:
    made, cut = day(filmed("J", ACTOR, Size.CLOSE, Shows.FULL, ALL))
    assert actor_only(made, cut, "Odile") == ()


@pytest.mark.parametrize("size", Size)
@pytest.mark.parametrize("face", Shows)
def test_a_double_stands_in_hidden_or_with_a_face_replaced_where_that_holds(size: Size, face: Shows) -> None:
    made, cut = day(filmed("J", ACTOR, Size.CLOSE, Shows.FULL, ALL), filmed("D", DOUBLE, size, face, {2: 2}, "B1"))
    found = cannot(made, cut, "Odile", frozenset({2, 3}))
    assert [one.part.move.number for one in found] == [2, 3]
    usable = face is Shows.HIDDEN or size in (Size.EXTREME_WIDE, Size.WIDE, Size.FULL, Size.MEDIUM_WIDE)
    assert (found[0].takes, found[0].impossible) == ((("D",), False) if usable else ((), True))
    if usable:
        assert found[0].ways_out[0] == "use take D: a double, " + ("face hidden" if face is Shows.HIDDEN else "with the face replaced")
    assert found[1].takes == () and found[1].impossible
    assert found[1].ways_out == ("mark it for a digital double", "stage move 3 another way")


def test_a_double_whose_replaced_face_holds_leaves_nothing_to_change() -> None:
    # The move was told as one that must change, though the actor has no part in it.
    made, cut = day(DOUBLED)
    replaced = replace(made, treatments=(treatment(0, 2.5, kind=Kind.FACE_REPLACEMENT),))
    found = cannot(replaced, cut, "Odile", frozenset({1, 2, 3}))
    assert [(one.part.move.number, one.part.way) for one in found] == [(3, Way.DOUBLE)]


def test_a_face_replaced_on_the_actors_own_take_does_not_help_who_cannot() -> None:
    made, cut = day(filmed("J", ACTOR, Size.WIDE, Shows.FULL, ALL))
    replaced = replace(made, treatments=(treatment(0, 4.5, kind=Kind.FACE_REPLACEMENT),))
    assert [one.part.move.number for one in cannot(replaced, cut, "Odile", frozenset({4}))] == [4]
    digital = replace(made, treatments=(treatment(0, 4.5, kind=Kind.DIGITAL_DOUBLE),))
    assert cannot(digital, cut, "Odile", frozenset({4})) == ()


def test_many_takes_are_named_by_their_first_four() -> None:
    more = [filmed(f"J{number}", ACTOR, Size.WIDE, Shows.FULL, {1: 1}, "B1") for number in range(6)]
    made, cut = day(DOUBLED, *more)
    assert actor_only(made, cut, "Odile")[0].ways_out[0] == "use take J0, J1, J2 or J3 (and 2 more), where Juno Vale does it"


def test_strangers_are_refused_with_what_is_known() -> None:
    made, cut = day(DOUBLED)
    with pytest.raises(UseFault, match=r"no role 'Odil'; known: Odile, Reeve"):
        actor_only(made, cut, "Odil")
    with pytest.raises(UseFault, match="no part in move 9"):
        cannot(made, cut, "Odile", frozenset({9}))
    nobody, cut = day(DOUBLED, cast=False)
    with pytest.raises(UseFault, match="Nobody is cast as Odile; cast the role first"):
        actor_only(nobody, cut, "Odile")


def test_ways_out_of_a_face_too_close_name_the_takes_that_there_are() -> None:
    one = sequence(
        phrases=(phrase(1, range(1, 3)),),
        tapes=(tape("A1"), tape("B1"), tape("C1")),
        cast=(Role("Odile", "Juno Vale", ("Pim Oster",)),),
        takes=(
            replace(take("close", {1: 2}, size=Size.CLOSE), performers=(Casting("Odile", "Pim Oster"),)),
            replace(take("wide", {1: 2}, reel="B1", size=Size.WIDE), performers=(Casting("Odile", "Pim Oster"),)),
            replace(take("actor", {1: 2}, reel="C1", size=Size.CLOSE), performers=(Casting("Odile", "Juno Vale"),)),
        ),
        treatments=(treatment(Fraction(1), Fraction(3), kind=Kind.FACE_REPLACEMENT),),
        cuts=(Cut("v1", (Shot("a", 48, Footage("close", 30)),), 48),),
    )
    ways = ways_out_of_replacement(one, 1, "Odile")
    assert ways == (
        "show move 1 wider, with take wide",
        "use take actor, where Juno Vale does it",
        "Juno Vale learns move 1",
        "mark it for a digital double",
        "stage it another way",
    )
    (told,) = [found for found in checks(one, one.cut()) if found.code is Code.FACE_TOO_CLOSE]
    assert told.mend.startswith("Show move 1 wider, with take wide; or use take actor")
    assert ways_out_of_replacement(one, 2, "Odile")[0] == "Juno Vale learns move 2"
