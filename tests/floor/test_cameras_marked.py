"""Marked framings beside geometry: what is a difference and what is none, by hand."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from fights import take, tape
from floor.salt_fight import salt_fight
from msgspec.structs import replace

from previs.document.floor import CameraPlace, Floor, Route, RoutePoint
from previs.document.model import Framing, Sequence, Size
from previs.floor.cameras import looks
from previs.floor.cameras_marked import Compared, What, compared
from previs.floor.cameras_words import compared_told, difference_rows, difference_told

CAMERA = CameraPlace("A", (0, -5000), (0, 0), 875, Fraction(40), Fraction("24.8889"), (1,))
"""5 m south of the pair's middle; its picture is 14.0 mm high by 16:9, so that 1.75 m fill the frame there: a full shot."""


@pytest.fixture
def fight(sample_media: Path) -> Sequence:
    """Odile 0.6 m west and Reeve as far east at moves 1 to 3: she is left, the bearing 0."""
    sequence, _ = salt_fight(sample_media, Floor())
    ways = tuple(Route(role, 1, tuple(RoutePoint((x, 0), move) for move in (1, 2, 3))) for role, x in (("Odile", -600), ("Reeve", 600)))
    return replace(sequence, floor=Floor(routes=ways, cameras=(CAMERA,)))


def marked(fight: Sequence, *framings: Framing, picture: tuple[int, int] = (1280, 720), camera: str = "A") -> Compared:
    """A take of moves 1 to 3, a hit a second, with these framings."""
    made = replace(take("A1-2", {1: 1, 2: 2, 3: 3}), framings=framings, camera=camera)
    tapes = (replace(tape(), width=picture[0], height=picture[1]),)
    whole = replace(fight, tapes=tapes, takes=(made,))
    return compared(whole, looks(whole, None))


def framing(size: Size = Size.FULL, angle: int | None = 0, left: str = "Odile", at: int = 0) -> Framing:
    return Framing(Fraction(at), size, angle, screen_left=left)


def test_marks_that_geometry_bears_out_are_no_difference(fight: Sequence) -> None:
    found = marked(fight, framing())
    assert found == Compared(1, 3, ())
    assert compared_told(found) == "Marks of 1 take are compared at 3 hits; none differs."


def test_a_size_that_no_stature_explains(fight: Sequence) -> None:
    found = marked(fight, framing(Size.MEDIUM))
    (one,) = found.differences
    assert (one.what, one.moves) == (What.SIZE, (1, 2, 3))
    assert difference_told(one) == "Take A1-2 of camera A, moves 1-3: marked medium, by geometry full."
    assert difference_rows(found.differences) == [
        {"camera": "A", "take": "A1-2", "what": "size", "marked": "medium", "by geometry": "full", "moves": "1-3"}
    ]
    assert compared_told(found).startswith(
        "Marks of 1 take are compared at 3 hits; 1 take differs. A take may have been shot from elsewhere"
    )


@pytest.mark.parametrize(("away", "none", "differ"), [(4500, Size.MEDIUM_WIDE, Size.MEDIUM), (7300, Size.WIDE, Size.EXTREME_WIDE)])
def test_between_short_and_tall_either_size_will_do(fight: Sequence, away: int, none: Size, differ: Size) -> None:
    """At 4.5 m the pair is 4.54 m away: 0.908 of 1.75 m but 0.85 of 1.87 m, under the border at 0.861. At 7.3 m 1.465, of 1.525 m 1.681."""
    assert fight.floor is not None
    moved = replace(fight, floor=replace(fight.floor, cameras=(replace(CAMERA, at=(0, -away)),)))
    assert not marked(moved, framing(none)).differences
    assert not marked(moved, framing(Size.FULL)).differences
    assert [one.what for one in marked(moved, framing(differ)).differences] == [What.SIZE]


def test_sides_and_bearings(fight: Sequence) -> None:
    found = marked(fight, framing(left="Reeve", angle=175)).differences
    assert [difference_told(one) for one in found] == [
        "Take A1-2 of camera A, moves 1-3: Reeve is marked on the left, by geometry it is Odile.",
        "Take A1-2 of camera A, moves 1-3: bearing marked 175 degrees, by geometry 0 degrees.",
    ]
    assert not marked(fight, framing(angle=15)).differences
    assert [one.geometry for one in marked(fight, framing(angle=-16)).differences] == ["0 degrees"]
    assert not marked(fight, framing(angle=None, left="")).differences


def test_a_framing_counts_from_where_it_begins(fight: Sequence) -> None:
    found = marked(fight, framing(), framing(Size.CLOSE, at=2)).differences
    assert [(one.what, one.marked, one.moves) for one in found] == [(What.SIZE, "close", (2, 3))]


def test_a_camera_on_its_side_holds_its_width_from_top_to_bottom(fight: Sequence) -> None:
    """24.89 mm from top to bottom hold 1.78 as much: a wide shot."""
    assert [one.geometry for one in marked(fight, framing(), picture=(720, 1280)).differences] == ["wide"]
    assert not marked(fight, framing(Size.WIDE), picture=(720, 1280)).differences


def test_another_letter_is_not_compared(fight: Sequence) -> None:
    found = marked(fight, framing(Size.CLOSE), camera="B")
    assert found == Compared(0, 0, ())
    assert compared_told(found).startswith("No take has the letter of one of these cameras")


def test_a_take_without_a_letter_has_its_tapes(fight: Sequence) -> None:
    assert marked(fight, framing(Size.CLOSE), camera="").takes == 1
