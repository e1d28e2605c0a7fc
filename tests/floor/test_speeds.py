"""Speeds between hits: distance and time against a count of its own, and the words against the published speeds."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
import shapely
from floor.salt_fight import salt_fight
from hypothesis import given
from hypothesis import strategies as some
from msgspec.structs import replace

from previs.document.floor import Floor, Route, RoutePoint
from previs.document.model import Cut, Sequence
from previs.floor.routes_words import leg_rows, leg_told
from previs.floor.speeds import Gait, gait_of, legs

spots = some.tuples(some.integers(-20_000, 20_000), some.integers(-20_000, 20_000))


@pytest.fixture(scope="module")
def fight(sample_media: Path) -> tuple[Sequence, Cut]:
    return salt_fight(sample_media, Floor())


def drawn(sequence: Sequence, *routes: Route) -> Sequence:
    return replace(sequence, floor=Floor(routes=routes))


@given(some.lists(some.tuples(spots, some.booleans()), min_size=6, max_size=6))
def test_speed_times_time_is_the_length_of_the_way(fight: tuple[Sequence, Cut], points: list[tuple[tuple[int, int], bool]]) -> None:
    """Spots at moves 1 to 6, of which some are mere bends; the cut shows a move each second."""
    sequence, cut = fight
    marked = [number if has else None for number, (_, has) in enumerate(points, start=1)]
    route = Route("Reeve", 1, tuple(RoutePoint(at, move) for (at, _), move in zip(points, marked, strict=True)))
    found = legs(drawn(sequence, route), cut)
    numbers = [move for move in marked if move is not None]
    assert [(leg.start.move, leg.end.move) for leg in found] == list(pairwise(numbers))
    for leg, (start, end) in zip(found, pairwise(numbers), strict=True):
        line = shapely.LineString([at for at, _ in points[start - 1 : end]])
        assert leg.metres_a_second is not None
        assert leg.metres_a_second * (end - start) == pytest.approx(line.length / 1000)


@pytest.mark.parametrize(
    ("speed", "gait"),
    [
        # SOURCES section 10: walking 1.42 preferred (Browning et al.), jogging from 1.8, ordinary sprint 4.5 to 6.7 m/s.
        (0.4, Gait.WALKS),
        (1.42, Gait.WALKS),
        (1.43, Gait.BRISKLY),
        (1.8, Gait.BRISKLY),
        (1.81, Gait.RUNS),
        (4.5, Gait.RUNS),
        (4.51, Gait.SPRINTS),
        (6.7, Gait.SPRINTS),
        (6.71, Gait.TOO_FAST),
        (None, Gait.TOO_FAST),
    ],
)
def test_a_speed_is_told_beside_published_ones(speed: float | None, gait: Gait) -> None:
    assert gait_of(speed) is gait


def test_a_way_is_told_in_words(fight: tuple[Sequence, Cut]) -> None:
    sequence, cut = fight
    route = Route("Reeve", 1, tuple(RoutePoint((x, 0), move) for x, move in ((0, 1), (300, 2), (1300, 3), (9000, 4))))
    stands, walks, flies = legs(drawn(sequence, route), cut)
    assert leg_told(stands) == "Reeve from move 1 to move 2: 0.30 m in 1.00 s, 0.3 m/s, stands."
    assert leg_told(walks) == "Reeve from move 2 to move 3: 1.00 m in 1.00 s, 1.0 m/s, walks."
    assert leg_told(flies).endswith("7.7 m/s, faster than a sprint: cannot be; check the two spots, or give it more time.")
    assert [row["gait"] for row in leg_rows((stands, walks, flies))] == ["stands", "walks", "faster than a sprint: cannot be"]


def test_two_hits_on_one_frame_have_no_speed(sample_media: Path) -> None:
    sequence, cut = salt_fight(sample_media, Floor(), step_seconds=0.01)
    (leg,) = legs(drawn(sequence, Route("Reeve", 1, (RoutePoint((0, 0), 1), RoutePoint((500, 0), 2)))), cut)
    assert (leg.frames, leg.metres_a_second, leg.gait) == (0, None, Gait.TOO_FAST)


def test_a_way_over_a_jump_says_so(fight: tuple[Sequence, Cut]) -> None:
    sequence, cut = fight
    routes = (Route("Reeve", 1, (RoutePoint((0, 0), 6),)), Route("Reeve", 2, (RoutePoint((2000, 0), 7),)))
    (leg,) = legs(drawn(sequence, *routes), cut)
    assert leg.jumps and leg_rows([leg])[0]["remark"] == "a part of the way is not drawn"
