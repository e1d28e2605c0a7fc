"""Who does what: every combination of casting, treatment, size and face against a second reading of the rules."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest
from fights import phrase, sequence, take, tape, treatment
from msgspec.structs import replace

from previs.document.model import Casting, Cut, Face, Footage, Framing, Kind, Role, Sequence, Settings, Shot, Shows, Size
from previs.fight.doubling import Holds, Way, parts, replacement_holds

ACTOR, DOUBLE = "Juno Vale", "Pim Oster"
CAST = (Role("Odile", ACTOR, (DOUBLE,)),)
COMMON = Settings()
MARKS = [(), (Kind.RIG_REMOVAL,), (Kind.FACE_REPLACEMENT,), (Kind.DIGITAL_DOUBLE,), (Kind.FACE_REPLACEMENT, Kind.DIGITAL_DOUBLE)]


def staged(
    performer: str, size: Size, face: Shows | None, marks: tuple[Kind, ...], cast: tuple[Role, ...] = CAST, settings: Settings = COMMON
) -> tuple[Sequence, Cut]:
    faces = () if face is None else (Face("Odile", face),)
    one = replace(
        take("A1-1", {1: 2}),
        framings=(Framing(Fraction(0), size, faces=faces),),
        performers=(Casting("Odile", performer),) if performer else (),
    )
    cut = Cut("v1", (Shot("s1", 48, Footage("A1-1", 24)),), 48)
    made = sequence(
        phrases=(phrase(1, range(1, 2)),),
        tapes=(tape(),),
        takes=(one,),
        treatments=tuple(treatment(1, 3, kind=kind) for kind in marks),
        cuts=(cut,),
        cast=cast,
        settings=settings,
    )
    return made, cut


def by_the_rules(performer: str, size: Size, face: Shows | None, marks: tuple[Kind, ...], cast: bool) -> tuple[str, str | None, bool]:
    """Way, hold and whether the actor learns it, written down a second time as a table would say it."""
    wide, look = {"extreme wide", "wide", "full"}, {"medium wide"}
    if "digital double" in marks:
        return "digital double", None, False
    if "face replacement" in marks:
        hold = "holds" if size in wide else "look closely" if size in look else "not recommended"
        return "face replacement", hold, hold == "not recommended"
    if not cast or not performer:
        # A role that is cast must be learnt by somebody, also where the take does not say by whom.
        return "not cast", None, cast
    if performer == ACTOR:
        return "actor", None, True
    return "stunt double", None, face in ("full", "part")


@pytest.mark.parametrize("cast", [True, False])
@pytest.mark.parametrize("performer", [ACTOR, DOUBLE, "Rika Thorn", ""])
def test_every_combination_is_read_by_the_rules(performer: str, cast: bool) -> None:
    for size, face, marks in product(Size, [*Shows, None], MARKS):
        made, cut = staged(performer, size, face, marks, CAST if cast else ())
        found = next(part for part in parts(made, cut) if part.role == "Odile")
        told = (found.way.value, found.holds.value if found.holds else None, found.must_learn)
        assert told == by_the_rules(performer, size, face, marks, cast), (size, face, marks)
        assert (found.size, found.performer, found.face) == (size, performer, face or Shows.HIDDEN)
        assert found.why


def test_where_a_replaced_face_holds_is_a_setting() -> None:
    common = Settings()
    told = {size: replacement_holds(common, size) for size in Size}
    assert [size for size in Size if told[size] is Holds.GOOD] == [Size.EXTREME_WIDE, Size.WIDE, Size.FULL]
    assert [size for size in Size if told[size] is Holds.CLOSELY] == [Size.MEDIUM_WIDE]
    bold = Settings(replaced_to=Size.MEDIUM, replaced_closely_to=Size.CLOSE)
    assert replacement_holds(bold, Size.MEDIUM) is Holds.GOOD
    assert replacement_holds(bold, Size.MEDIUM_CLOSE) is replacement_holds(bold, Size.CLOSE) is Holds.CLOSELY
    assert replacement_holds(bold, Size.EXTREME_CLOSE) is Holds.NOT
    made, cut = staged(DOUBLE, Size.MEDIUM, Shows.FULL, (Kind.FACE_REPLACEMENT,), settings=bold)
    assert next(part for part in parts(made, cut) if part.role == "Odile").must_learn is False


def test_a_mark_counts_only_for_its_role_its_tape_and_its_moment() -> None:
    made, cut = staged(DOUBLE, Size.WIDE, Shows.FULL, ())
    for other in (treatment(1, 3, role="Reeve"), treatment(1, 3, reel="B1"), treatment(1, 2), treatment(Fraction(49, 24), 3)):
        elsewhere = replace(made, tapes=(tape(), tape("B1")), treatments=(other,))
        assert next(part for part in parts(elsewhere, cut) if part.role == "Odile").way is Way.DOUBLE
    there = replace(made, treatments=(treatment(2, Fraction(49, 24)),))
    assert next(part for part in parts(there, cut) if part.role == "Odile").way is Way.DIGITAL_DOUBLE


def test_parts_come_in_running_order_attacker_first() -> None:
    made, _ = staged(ACTOR, Size.WIDE, Shows.FULL, ())
    longer = replace(made, phrases=(phrase(1, range(1, 3)),), takes=(replace(made.takes[0], hits=take("x", {1: 2, 2: 3}).hits),))
    cut = Cut("v2", (Shot("s1", 48, Footage("A1-1", 48)), Shot("s2", 48, Footage("A1-1", 24))), 96)
    told = [(part.shot, part.record_frame, part.move.number, part.role) for part in parts(longer, cut)]
    assert told == [
        (1, 0, 1, "Odile"), (1, 0, 1, "Reeve"), (1, 24, 2, "Reeve"), (1, 24, 2, "Odile"), (2, 72, 1, "Odile"), (2, 72, 1, "Reeve"),
    ]  # fmt: skip
