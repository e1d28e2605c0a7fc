"""Walks over the plan and their times: drawn and guessed routes, jumps, who is where on a frame; lengths checked with shapely."""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely
from floor.salt_fight import salt_fight
from floor.salt_plan import salt_floor
from hypothesis import given
from hypothesis import strategies as some
from msgspec.structs import replace

from previs.document.floor import Floor, NamedPlace, Route, RoutePoint
from previs.document.model import Cut, Footage, Sequence, Shot
from previs.floor.routes import metres, nearest_place, walks
from previs.floor.routes_guessed import homeless_moves
from previs.floor.routes_timed import timed_walks, where
from previs.floor.routes_words import jump_told, untimed_told

spots = some.tuples(some.integers(-20_000, 20_000), some.integers(-20_000, 20_000))


def drawn(fight: tuple[Sequence, Cut], *routes: Route) -> tuple[Sequence, Cut]:
    sequence, cut = fight
    assert sequence.floor is not None
    return replace(sequence, floor=replace(sequence.floor, routes=routes)), cut


@pytest.fixture(scope="module")
def fight(sample_media: Path) -> tuple[Sequence, Cut]:
    """Without a plan, so that nothing is guessed; move n lands n seconds into the cut."""
    return salt_fight(sample_media, Floor())


def route(role: str, phrase: int, *points: tuple[int, int, int | None]) -> Route:
    return Route(role, phrase, tuple(RoutePoint((x, y), move) for x, y, move in points))


@given(some.lists(spots, min_size=2, max_size=12), some.floats(0, 1))
def test_a_walk_is_as_long_as_its_line_and_its_spots_lie_on_it(
    fight: tuple[Sequence, Cut], points: list[tuple[int, int]], share: float
) -> None:
    sequence, _ = drawn(fight, route("Reeve", 1, *((x, y, None) for x, y in points)))
    (walk,) = walks(sequence)
    line = shapely.LineString(points)
    assert walk.length_mm == pytest.approx(line.length)
    expected = line.interpolate(share, normalized=True)
    assert walk.at(share * walk.length_mm) == pytest.approx((expected.x, expected.y), abs=1e-3)


@given(some.lists(spots, min_size=6, max_size=6), some.floats(0, 5))
def test_where_goes_evenly_along_the_way_between_two_hits(fight: tuple[Sequence, Cut], points: list[tuple[int, int]], after: float) -> None:
    """Moves 1 and 6 land 24 and 144 frames into the cut; between them are four bends."""
    moves = (1, None, None, None, None, 6)
    sequence, cut = drawn(fight, route("Odile", 1, *((x, y, move) for (x, y), move in zip(points, moves, strict=True))))
    expected = shapely.LineString(points).interpolate(after / 5, normalized=True)
    assert where(sequence, cut, "Odile", 24 * (1 + after)) == pytest.approx((expected.x, expected.y), abs=1e-3)


def test_before_the_first_hit_and_after_the_last_a_role_stands(fight: tuple[Sequence, Cut]) -> None:
    sequence, cut = drawn(fight, route("Odile", 1, (0, 0, None), (1000, 0, 1), (2000, 0, 6), (5000, 0, None)))
    assert where(sequence, cut, "Odile", 0) == (1000, 0)
    assert where(sequence, cut, "Odile", 24) == (1000, 0)
    assert where(sequence, cut, "Odile", 1000) == (2000, 0)
    assert where(sequence, cut, "Reeve", 24) is None
    assert where(sequence, None, "Odile", 24) is None


def test_one_phrase_after_the_other_is_one_walk(fight: tuple[Sequence, Cut]) -> None:
    sequence, cut = drawn(fight, route("Odile", 2, (1500, 0, 7)), route("Odile", 1, (0, 0, 6)))
    (walk,) = walks(sequence)
    assert [(step.phrase, step.move, step.along_mm, step.jumps) for step in walk.steps] == [(1, 6, 0, False), (2, 7, 1500, True)]
    assert walk.legs == ((walk.steps[0],) * 2, (walk.steps[1],) * 2)
    # A jump is no way, but the desk still has to show something on the frames between.
    assert where(sequence, cut, "Odile", 6.5 * 24) == (750, 0)
    near, _ = drawn(fight, route("Odile", 2, (1000, 0, 7)), route("Odile", 1, (0, 0, 6)))
    assert not walks(near)[0].jumps


def test_a_jump_is_told_with_both_its_ends(fight: tuple[Sequence, Cut]) -> None:
    sequence, _ = drawn(fight, route("Odile", 1, (0, 500, 6)), route("Odile", 3, (1000, 2500, 12)))
    (told,) = jump_told(walks(sequence)[0])
    assert told == (
        "Odile jumps: phrase 1 ends at x 0.00 m, y 0.50 m, and phrase 3 begins 2.24 m away, at x 1.00 m, y 2.50 m; "
        "draw the way between, or move a spot."
    )


def test_moves_on_no_shot_are_skipped_and_said(sample_media: Path) -> None:
    fight = salt_fight(sample_media, Floor(), unseen=(2, 3))
    sequence, cut = drawn(fight, route("Odile", 1, (0, 0, 1), (9000, 0, 2), (1000, 0, 3), (2000, 0, 4)))
    (timed,) = timed_walks(sequence, cut)
    assert [mark.step.move for mark in timed.marks] == [1, 4]
    assert untimed_told(timed) == ["Odile: no shot of the cut shows moves 2-3, so no time is told there."]


def test_a_cut_in_another_order_is_told_and_goes_straight(fight: tuple[Sequence, Cut]) -> None:
    sequence, _ = drawn(fight, route("Odile", 1, (0, 0, 1), (0, 1000, None), (1000, 1000, 2)))
    cut = Cut("v2", (Shot("a", 24, Footage("W", 36)), Shot("b", 36, Footage("W", 0))), 60)
    (timed,) = timed_walks(sequence, cut)
    assert [(mark.step.move, mark.frame) for mark in timed.marks] == [(1, 48), (2, 12)]
    assert timed.frame_at(1000) is None
    assert timed.where(30) == (500, 500)
    assert untimed_told(timed) == ["Odile: the cut shows move 2 before what comes earlier on the way; no speed is told there."]


def test_without_a_table_each_role_stands_by_the_places(sample_media: Path) -> None:
    sequence, cut = salt_fight(sample_media, salt_floor())
    reeve, odile = walks(sequence)
    assert (reeve.role, odile.role) == ("Reeve", "Odile")
    assert all(step.guessed for walk in (reeve, odile) for step in walk.steps)
    for walk, aside in ((reeve, -600), (odile, 600)):
        at = {step.move: step.at for step in walk.steps}
        assert at[1] == (2500 + aside, 1300) and at[7] == (5000 + aside, 1300) and at[33] == (11_800 + aside, 1300)
    assert not reeve.jumps
    assert where(sequence, cut, "Reeve", 24 * 7) == (4400, 1300)


def test_a_drawn_route_takes_the_guess_out_of_its_phrase_only(sample_media: Path) -> None:
    sequence, _ = drawn(salt_fight(sample_media, salt_floor()), route("Odile", 2, (4000, 1300, 7)))
    steps = next(walk for walk in walks(sequence) if walk.role == "Odile").steps
    assert {step.phrase: step.guessed for step in steps} == {1: True, 2: False, 3: True, 4: True, 5: True, 6: True}


def test_moves_at_no_place_of_the_plan_are_left_out_of_the_guess(sample_media: Path) -> None:
    floor = Floor(places=(NamedPlace("Stair", (0, 0)),))
    sequence, _ = salt_fight(sample_media, floor)
    assert {step.move for walk in walks(sequence) for step in walk.steps} == set(range(28, 34))
    assert homeless_moves(sequence, floor.places) == tuple(range(1, 28))
    # The only place there is gives no direction.
    assert {step.at for walk in walks(sequence) for step in walk.steps} == {(-600, 0), (600, 0)}


def test_what_is_gone_from_the_fight_is_left_out(fight: tuple[Sequence, Cut]) -> None:
    sequence, _ = drawn(fight, route("Odile", 77, (0, 0, 1)), route("Nobody", 1, (0, 0, 1)), route("Odile", 1, (0, 0, 30), (5, 0, None)))
    (walk,) = walks(sequence)
    assert [step.move for step in walk.steps] == [None, None]


def test_places_are_named_by_distance() -> None:
    places = (NamedPlace("door", (0, 0)), NamedPlace("stair", (4000, 0)))
    assert nearest_place(places, (1999, 0)) == "door" and nearest_place(places, (2001, 0)) == "stair" and not nearest_place((), (0, 0))
    assert metres((1500, -250)) == "x 1.50 m, y -0.25 m"
