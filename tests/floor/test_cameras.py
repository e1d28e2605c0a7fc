"""What the sample's cameras see, against its truth and shapely; and small plans by hand."""

from __future__ import annotations

import json
import sys
from fractions import Fraction
from math import hypot
from pathlib import Path
from typing import Any

import pytest
import shapely
from floor.salt_fight import salt_fight
from floor.salt_plan import LINES, salt_floor
from msgspec.structs import replace

from previs.document.floor import CameraPlace, Floor, LineKind, PlanLine, Route, RoutePoint
from previs.document.floor_edits import with_cameras, with_routes
from previs.document.model import Cut, Sequence
from previs.floor.cameras import Look, beyond_drops, changes, crossings, looks, stands, unplaced_moves
from previs.floor.cameras_lens import degrees_wide
from previs.floor.cameras_table import read_cameras
from previs.floor.cameras_wedge import wedge
from previs.floor.cameras_words import change_told, crossing_told, hidden_told, look_rows, out_told, remarks, run_rows
from previs.floor.routes_table import read_ways

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))

from saltstair.camplaces import cameras_table, truth


@pytest.fixture(scope="module")
def fight(sample_media: Path) -> tuple[Sequence, Cut]:
    return salt_fight(sample_media, salt_floor())


@pytest.fixture(scope="module")
def salt(fight: tuple[Sequence, Cut], sample_media: Path) -> Sequence:
    sequence = read_ways([sample_media / "floor" / "routes.csv"], fight[0]).sequence
    return with_cameras(sequence, read_cameras(sample_media / "floor" / "cameras.csv", sequence))


@pytest.fixture(scope="module")
def seen(salt: Sequence) -> tuple[Look, ...]:
    return looks(salt, None)


def test_what_is_committed_is_what_the_generator_makes(sample_media: Path) -> None:
    assert (sample_media / "floor" / "cameras.csv").read_text(encoding="utf-8") == cameras_table()
    assert json.loads((sample_media / "truth" / "cameras.json").read_text(encoding="utf-8")) == json.loads(json.dumps(truth()))


def test_the_sample_is_seen_as_its_truth_says(salt: Sequence, seen: tuple[Look, ...], sample_media: Path) -> None:
    true: dict[str, Any] = json.loads((sample_media / "truth" / "cameras.json").read_text(encoding="utf-8"))
    assert salt.floor is not None
    expected = [(camera, move) for camera in true["cameras"] for move in camera["moves"]]
    assert len(seen) == len(expected) == 3 * 33
    for look, (camera, move) in zip(seen, expected, strict=True):
        assert (look.camera.name, list(look.camera.phrases), look.move) == (camera["camera"], camera["phrases"], move["move"])
        assert degrees_wide(look.camera) == pytest.approx(camera["degrees"], abs=1e-5)
        assert look.left == move["left"]
        for one in look.framed:
            role = move[one.role]
            assert one.distance_mm / 1000 == pytest.approx(role["distance"], abs=1e-5)
            assert one.statures == pytest.approx(role["persons_high"], abs=1e-5)
            assert (one.size.value, one.in_frame, bool(one.behind)) == (role["size"], role["in_frame"], role["hidden"])


def test_who_is_hidden_is_outside_the_seen_part_of_the_wedge(salt: Sequence, seen: tuple[Look, ...]) -> None:
    """Sight and wedge are worked out in two ways; whoever is in frame and not hidden stands in what is seen, and nobody else."""
    assert salt.floor is not None
    for look in seen:
        pieces = shapely.union_all([shapely.Polygon(piece) for piece in wedge(salt.floor, look.camera).seen])
        for one in look.framed:
            assert shapely.Point(one.stand.at).within(pieces) == (one.in_frame and not one.behind), (look.camera, look.move, one.role)


def test_walls_in_the_way_are_those_of_shapely(seen: tuple[Look, ...]) -> None:
    """Walls as the plan draws them: no wall of the sample is drawn on through a door."""
    for look in seen:
        for one in look.framed:
            sight = shapely.LineString([look.camera.at, one.stand.at])
            there = {
                id(line)
                for line in LINES
                if line.kind in (LineKind.WALL, LineKind.COLUMN)
                and sight.intersects(shapely.LinearRing(line.points) if line.closed else shapely.LineString(line.points))
            }
            assert {id(line) for line in one.behind} == there


def test_the_sample_in_words(salt: Sequence, seen: tuple[Look, ...]) -> None:
    """A and B stand behind the corridor's wall on the real set; C over the quay sees all but the first moves, from the other side."""
    told = hidden_told(seen)
    assert "On the real set a wall hides Odile and Reeve from camera A at moves 1-33." in told
    assert "On the real set a wall hides Reeve from camera C at moves 1-27." in told
    assert told[-1].startswith("On the rehearsal floor that is only tape")
    crossed = [crossing_told(one) for one in crossings(seen)]
    assert len(crossed) == 2
    assert crossed[0].startswith(
        "Cameras A and C look from opposite sides of the line at moves 23-33: Odile is on the left from A, Reeve from C"
    )
    assert [change_told(one) for one in changes(seen)] == [
        "Between moves 22 and 23 camera C comes to the other side of the line: Odile is on the left, then Reeve."
    ]
    assert salt.floor is not None
    (beyond,) = remarks(salt, salt.floor.cameras, unplaced_moves(salt, None))
    assert beyond.startswith("Camera C at x 9.41 m, y -2.40 m looks across the drop of 2.40 m at the quay (taped drop: no fall here)")
    assert len(look_rows(seen)) == 2 * 99
    shown = run_rows(seen)
    # The pair goes past C from 0.21 m west of it to 0.19 m east, 3.7 m away: 3 degrees from square on to either side.
    assert [row["bearing"] for row in shown if row["camera"] == "C" and row["moves"] == "25-27"] == ["177 to -177"]
    assert sum(row["camera"] == "A" for row in shown) < 6 and {row["hidden on the set"] for row in shown} >= {"Odile, Reeve", "Reeve", ""}


def small(camera: CameraPlace, *, moves: dict[int, tuple[tuple[int, int], tuple[int, int]]], sequence: Sequence) -> Sequence:
    """The fight with Odile and Reeve on these spots at these moves of the first phrase."""
    ways = [
        Route(role, 1, tuple(RoutePoint(spots[at], move) for move, spots in moves.items())) for at, role in enumerate(("Odile", "Reeve"))
    ]
    return with_cameras(with_routes(replace(sequence, floor=Floor()), tuple(ways)), (camera,))


def test_one_camera_by_hand(fight: tuple[Sequence, Cut]) -> None:
    """90 degrees wide from 3 m north: 3 m to either side at the pair's distance; Odile at 1 m to the right of the axis, Reeve out of it."""
    camera = CameraPlace("A", (0, 3000), (0, 0), 875, Fraction(20), Fraction(40), (1,))
    made = small(camera, moves={1: ((-1000, 0), (3100, 0)), 2: ((2000, 0), (1000, 0))}, sequence=fight[0])
    first, second = looks(made, None)
    odile, reeve = (next(one for one in first.framed if one.role == role) for role in ("Odile", "Reeve"))
    assert odile.distance_mm == pytest.approx(hypot(1000, 3000))
    # The lens looks south, so what lies west of its axis is on the right of frame, and off the axis clockwise.
    assert odile.off_axis_degrees == pytest.approx(-18.4349, abs=1e-4)
    assert (odile.in_frame, reeve.in_frame) == (True, False)
    # 40 mm wide by 16:9 is 22.5 mm high: 3162 x 22.5 / 20 / 1750.
    assert odile.statures == pytest.approx(3162.27766 * 22.5 / 20 / 1750)
    assert (first.left, second.left) == ("Reeve", "Odile")
    assert [one.moves for one in changes((first, second))] == [(1, 2)]
    assert out_told((first, second)) == ["Camera A does not hold Reeve at move 1, unless it pans there from where it points."]
    assert hidden_told((first, second)) == []


def test_without_a_camera_or_a_way_nothing_is_seen(fight: tuple[Sequence, Cut]) -> None:
    assert looks(fight[0], None) == ()
    nowhere = replace(fight[0], floor=Floor(cameras=(CameraPlace("A", (0, 0), (1, 0), 0, Fraction(1), Fraction(1), (99,)),)))
    assert looks(nowhere, None) == ()
    assert unplaced_moves(nowhere, None) == tuple(range(1, 34))
    told = list(remarks(nowhere, nowhere.floor.cameras if nowhere.floor else (), unplaced_moves(nowhere, None)))
    assert told[0] == "Camera A at x 0.00 m, y 0.00 m is there for no phrase of this fight."
    assert "moves 1-33" in told[1]


def test_a_spot_between_two_marks_comes_from_the_cut(fight: tuple[Sequence, Cut]) -> None:
    """Moves land a second apart: at move 2 whoever walks evenly from move 1 to move 3 is half way."""
    sequence, cut = fight
    way = Route("Odile", 1, (RoutePoint((0, 0), 1), RoutePoint((2000, 0), 3)))
    still = Route("Reeve", 1, (RoutePoint((0, 1000), 1), RoutePoint((0, 1000), 2), RoutePoint((0, 1000), 3)))
    made = with_routes(replace(sequence, floor=Floor()), (way, still))
    assert ("Odile", 2) not in stands(made, None)
    assert 2 in unplaced_moves(made, None) and 1 not in unplaced_moves(made, None)
    there = stands(made, cut)["Odile", 2]
    assert there.at == pytest.approx((1000, 0)) and there.guessed
    assert stands(made, cut)["Reeve", 2].guessed is False
    assert 2 not in unplaced_moves(made, cut)


def test_a_drop_between_camera_and_aim_is_told() -> None:
    drop = PlanLine(LineKind.DROP, ((-1000, 500), (1000, 500)), name="quay", height_mm=2400)
    over, beside = (CameraPlace("A", (x, 0), (x, 1000), 1500, Fraction(50), Fraction(24)) for x in (0, 2000))
    floor = Floor(lines=(drop, *LINES))
    assert beyond_drops(floor, over) == (drop,)
    assert beyond_drops(floor, beside) == ()
