"""Arcs and bulges against the formula of the DXF reference, the library's own and shapely's lengths; placings against the library's."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import ezdxf
import pytest
from ezdxf.math import bulge_center, bulge_radius
from floor.raw_dxf import entity, light_polyline, polyline, write
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point

from previs.document.floor import PlanLine
from previs.floor.drawing import read_drawing
from previs.floor.drawing_curves import Arc, bulged

SPOT = st.tuples(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4))


@given(SPOT, SPOT, st.one_of(st.floats(0.001, 50), st.floats(-50, -0.001)))
def test_a_bulge_is_the_tangent_of_a_quarter_of_the_angle(start: tuple[float, float], end: tuple[float, float], bulge: float) -> None:
    """SOURCES section 12: bulge = sagitta / half-chord = tan(angle / 4); centre and radius as the library has them."""
    chord = math.dist(start, end)
    if chord < 1:
        return
    arc = bulged(start, end, bulge)
    assert arc is not None
    assert math.tan(arc.sweep / 4) == pytest.approx(bulge)
    assert math.dist(arc.end, end) < 1e-6 * max(chord, arc.radius)
    assert arc.radius == pytest.approx(bulge_radius(start, end, bulge))
    assert math.dist(arc.centre, tuple(bulge_center(start, end, bulge))[:2]) < 1e-6 * max(chord, arc.radius)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    assert math.dist(arc.at(0.5), middle) == pytest.approx(abs(bulge) * chord / 2, rel=1e-6)


def test_a_bulge_of_one_is_a_half_circle_on_the_right() -> None:
    """Above nothing it turns counter-clockwise from start to end, so from left to right it hangs below."""
    arc = bulged((0, 0), (2000, 0), 1.0)
    assert arc is not None
    assert arc.centre == pytest.approx((1000, 0))
    assert arc.at(0.5) == pytest.approx((1000, -1000))
    assert bulged((0, 0), (2000, 0), 0.0) is None


@given(st.floats(1, 50_000), st.floats(0.05, math.tau), st.floats(0.2, 5))
def test_chords_lie_within_the_distance(radius: float, sweep: float, within: float) -> None:
    arc = Arc((0, 0), (radius, 0), sweep)
    spots = arc.flattened(within)
    for one, other in pairwise(spots):
        middle = ((one[0] + other[0]) / 2, (one[1] + other[1]) / 2)
        assert radius - math.hypot(*middle) <= within + 1e-6 or radius <= within
    assert LineString(spots).length <= radius * sweep + 1e-6


ARC_LENGTH = [(0.25, 1), (0.5, 3), (1.0, 1), (-1.0, 2), (3.0, 5)]


@pytest.mark.parametrize(("bulge", "radius_m"), ARC_LENGTH)
@pytest.mark.parametrize("make", [light_polyline, polyline])
def test_a_polyline_with_a_bulge_by_hand_has_the_length_of_its_arc(tmp_path: Path, make: object, bulge: float, radius_m: int) -> None:
    angle = 4 * math.atan(abs(bulge))
    chord = 2000 * radius_m * math.sin(angle / 2)
    release = "AC1015" if make is light_polyline else "AC1009"
    path = write(tmp_path / "a.dxf", make("WALL", [(0, 0, bulge), (chord, 0, 0), (chord, 5000, 0)]), release=release)  # type: ignore[operator]
    (line,) = read_drawing(path).lines
    length = LineString(line.points).length
    assert length == pytest.approx(1000 * radius_m * angle + 5000, rel=4e-3)
    assert length <= 1000 * radius_m * angle + 5000 + 2


def _off(line: PlanLine, centre: tuple[float, float], radius: float) -> float:
    """How far the line strays from a circle, its corners and its chords."""
    shape = LineString([*line.points, line.points[0]] if line.closed else line.points)
    ring = Point(centre).buffer(radius, quad_segs=4000).exterior
    return float(shape.hausdorff_distance(ring)) if line.closed else max(Point(at).distance(ring) for at in _along(shape))


def _along(shape: LineString) -> list[tuple[float, float]]:
    return [tuple(shape.interpolate(share / 997, normalized=True).coords[0]) for share in range(998)]  # type: ignore[misc]


@pytest.mark.parametrize("radius", [5, 200, 3000, 12_000])
def test_circles_and_arcs_are_flattened_within_two_millimetres(tmp_path: Path, radius: int) -> None:
    circle = entity("CIRCLE", "WALL", (10, 70), (20, -30), (30, 0), (40, radius))
    arc = entity("ARC", "WALL", (10, 70), (20, -30), (30, 0), (40, radius), (50, 350), (51, 100))
    whole, part = read_drawing(write(tmp_path / "a.dxf", circle, arc)).lines
    assert whole.closed and not part.closed
    assert _off(whole, (70, -30), radius) < 2
    assert _off(part, (70, -30), radius) < 2
    assert part.points[0] == (round(70 + radius * math.cos(math.radians(350))), round(-30 + radius * math.sin(math.radians(350))))
    assert part.points[-1] == (round(70 + radius * math.cos(math.radians(100))), round(-30 + radius * math.sin(math.radians(100))))


def test_a_closed_polyline_bulges_on_its_last_piece_too(tmp_path: Path) -> None:
    path = write(tmp_path / "a.dxf", light_polyline("WALL", [(0, 0, 1), (2000, 0, 1)], closed=True), release="AC1015")
    (line,) = read_drawing(path).lines
    assert line.closed and _off(line, (1000, 0), 1000) < 2


def test_what_is_drawn_seen_from_below_is_mirrored(tmp_path: Path) -> None:
    """DXF reference, arbitrary axis algorithm: with the extrusion 0, 0, -1 x is counted to the left."""
    arc = entity("ARC", "WALL", (10, -1000), (20, 0), (30, 0), (40, 500), (50, 0), (51, 90), (210, 0), (220, 0), (230, -1))
    (line,) = read_drawing(write(tmp_path / "a.dxf", arc)).lines
    assert {line.points[0], line.points[-1]} == {(500, 0), (1000, 500)}
    upright = entity("ARC", "WALL", (10, 0), (20, 0), (30, 0), (40, 500), (50, 0), (51, 90), (210, 1), (220, 0), (230, 0))
    drawn = read_drawing(write(tmp_path / "b.dxf", arc, upright))
    assert len(drawn.lines) == 1 and any("upright" in remark for remark in drawn.remarks)


def test_ellipses_and_free_curves_are_lines_too(tmp_path: Path) -> None:
    made = ezdxf.new("R2010", units=4)
    made.modelspace().add_ellipse((0, 0), (2000, 0), 0.5, dxfattribs={"layer": "WALL"})
    made.modelspace().add_spline([(0, 0), (1000, 800), (3000, -400), (5000, 0)], dxfattribs={"layer": "WALL"})
    made.saveas(tmp_path / "a.dxf")
    ellipse, spline = read_drawing(tmp_path / "a.dxf").lines
    for x, y in ellipse.points:
        assert abs(math.hypot(x / 2000, y / 1000) - 1) < 0.003
    assert spline.points[0] == (0, 0) and spline.points[-1] == (5000, 0) and len(spline.points) > 10
