"""Heads on pictures made here, which grow, turn, are hidden and leave, and one on a sample take; and heads by arithmetic."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from previs.analysis.head_heights import head_height_by_framing, head_height_by_lens, in_raster
from previs.analysis.heads import follow_head
from previs.document.model import Size
from previs.faults import UseFault
from previs.media.frames import FrameReader
from previs.media.index import frame_index
from previs.media.probe import probe

WIDTH, HEIGHT = 480, 270
Picture = NDArray[np.uint8]


def textured(width: int, height: int, seed: int, blur: float = 3.0) -> Picture:
    noise = np.random.default_rng(seed).normal(size=(height, width, 3)).astype(np.float32)
    smooth = cv2.GaussianBlur(noise, (0, 0), blur)
    return np.clip(120 + 90 * smooth / np.abs(smooth).max(), 0, 255).astype(np.uint8)


ROOM = textured(WIDTH, HEIGHT, 1, 6.0)
FACE = np.clip(textured(76, 100, 2) + np.array([60.0, 10.0, -20.0]), 0, 255).astype(np.uint8)
OVAL = np.asarray(cv2.ellipse(np.zeros((100, 76), np.float32), (38, 50), (37, 49), 0, 0, 360, 1, -1))


def with_head(x: float, y: float, height: float) -> Picture:
    """The room with a head of that height in px, its middle at (x, y)."""
    scale = height / 100
    place = np.array([[scale, 0, x - 38 * scale], [0, scale, y - 50 * scale]])
    face = cv2.warpAffine(FACE, place, (WIDTH, HEIGHT), flags=cv2.INTER_AREA)
    share = cv2.GaussianBlur(np.asarray(cv2.warpAffine(OVAL, place, (WIDTH, HEIGHT))), (3, 3), 0)[:, :, None]
    return np.asarray(ROOM * (1 - share) + face * share, np.uint8)


def box_of(x: float, y: float, height: float) -> tuple[float, float, float, float]:
    return x - 0.38 * height, y - height / 2, 0.76 * height, height


def errors(found: NDArray[np.float64], true: NDArray[np.float64]) -> NDArray[np.float64]:
    known = ~np.isnan(found)
    return np.asarray(np.abs(found[known] / true[known] - 1))


def test_a_head_that_comes_nearer_is_followed_in_height_both_ways() -> None:
    n = np.arange(50)
    heights, xs = 40 * 1.01**n, 120 + 4.0 * n
    pictures = [with_head(x, 130, height) for x, height in zip(xs, heights, strict=True)]
    track = follow_head(pictures, 20, box_of(xs[20], 130, heights[20]))
    assert not track.lost.any()
    assert errors(track.heights_px, heights).max() < 0.04
    assert np.abs(track.boxes[:, 0] + track.boxes[:, 2] / 2 - xs).max() < 4
    assert track.confidence.min() > 0.6
    assert len(track.matches) == len(track.points) == 50


def test_grey_pictures_serve_as_well() -> None:
    pictures = [np.asarray(cv2.cvtColor(with_head(150 + 2 * n, 120, 50), cv2.COLOR_RGB2GRAY), np.uint8) for n in range(12)]
    track = follow_head(pictures, 0, box_of(150, 120, 50))
    assert errors(track.heights_px, np.full(12, 50.0)).max() < 0.04


def test_a_hidden_head_is_lost_and_found_again_where_it_comes_back() -> None:
    pictures = [with_head(150, 130, 50) for _ in range(15)] + [ROOM] * 15 + [with_head(330, 120, 50) for _ in range(15)]
    track = follow_head(pictures, 0, box_of(150, 130, 50))
    assert not track.lost[:15].any()
    assert track.lost[15:30].all()
    assert (track.confidence[15:30] == 0).all()
    assert np.isnan(track.boxes[15:30]).all()
    assert not track.lost[35:].any()
    assert errors(track.heights_px, np.full(45, 50.0)).max() < 0.05


def test_a_head_that_leaves_the_picture_is_lost() -> None:
    xs = 380 + 6.0 * np.arange(30)
    track = follow_head([with_head(x, 130, 50) for x in xs], 0, box_of(xs[0], 130, 50))
    assert not track.lost[:10].any()
    assert track.lost[xs > WIDTH].all()


def test_black_pictures_and_a_single_picture_are_answered() -> None:
    black = np.zeros((HEIGHT, WIDTH, 3), np.uint8)
    alone = follow_head([with_head(150, 130, 50)], 0, box_of(150, 130, 50))
    assert alone.heights_px.tolist() == [50.0]
    gone = follow_head([with_head(150, 130, 50), *[black] * 10], 0, box_of(150, 130, 50))
    assert gone.lost.tolist() == [False] + [True] * 10


def test_a_box_or_start_that_is_not_there_is_refused() -> None:
    with pytest.raises(UseFault, match="mark it again"):
        follow_head([ROOM], 0, (WIDTH + 5.0, 0.0, 20.0, 20.0))
    with pytest.raises(UseFault, match="no picture 3"):
        follow_head([ROOM], 3, (10.0, 10.0, 20.0, 20.0))
    with pytest.raises(UseFault, match="no picture 0"):
        follow_head([], 0, (10.0, 10.0, 20.0, 20.0))


# Where a person would mark the head of Odile on frame 96 of SSA02, in px of the tape.
MARKED = (640.0, 226.0, 34.0, 45.0)


def test_heads_of_a_sample_take_are_within_eight_percent(sample_media: Path) -> None:
    tape = json.loads((sample_media / "truth" / "truth.json").read_text(encoding="utf-8"))["tapes"]["SSA02"]
    path = sample_media / tape["file"]
    start, count = 96, 72
    index = frame_index(path)
    with FrameReader(path, index, rotation=probe(path).rotation, threads=1) as reader:
        pictures = list(reader.pictures(range(start, start + count)))
    found = follow_head(pictures, 0, MARKED).heights_px[::6]
    true = np.array(tape["head_px_every_6th_frame"]["Odile"][start // 6 : (start + count) // 6], np.float64)
    assert np.isnan(found).mean() < 0.1
    assert np.median(errors(found, true)) < 0.03
    assert (errors(found, true) > 0.08).mean() < 0.05


def test_the_pinhole_agrees_with_its_worked_example_and_with_opencv() -> None:
    height = head_height_by_lens(0.232, 50, 14, 1080, 4)
    assert height == pytest.approx(223.7, abs=0.05)
    focal_px = 50 / 14 * 1080
    camera = np.array([[focal_px, 0, 960], [0, focal_px, 540], [0, 0, 1]])
    ends = np.array([[0, -0.116, 4], [0, 0.116, 4]])
    seen, _ = cv2.projectPoints(ends, np.zeros(3), np.zeros(3), camera, np.zeros(4))
    assert np.linalg.norm(seen[1] - seen[0]) == pytest.approx(height)
    with pytest.raises(UseFault):
        head_height_by_lens(0.232, 50, 14, 1080, 0)


def test_closer_sizes_have_larger_heads_and_their_limits_meet() -> None:
    told = [head_height_by_framing(size, 540) for size in Size]
    assert all(least < likely < most for least, likely, most in told)
    assert all(wider[2] == pytest.approx(closer[0]) for wider, closer in pairwise(told))
    # A whole figure in 540 px has a head of 23.2 in 175.5 or 21.8 in 162.6.
    assert head_height_by_framing(Size.FULL, 540)[1] == pytest.approx(540 * 0.133)


@pytest.mark.parametrize(
    ("tape", "expected"),
    [((1920, 1080), 50.0), ((1280, 720), 75.0), ((1080, 1920), 28.125), ((720, 480), 112.5), ((1920, 800), 50.0)],
    ids=["half", "720", "upright", "3:2 by height", "wide by width"],
)
def test_a_head_is_scaled_as_the_tape_is_fitted_into_the_raster(tape: tuple[int, int], expected: float) -> None:
    assert in_raster(100, tape[1], (960, 540), tape) == pytest.approx(expected)
    assert in_raster(50, tape[1] // 2, (960, 540), tape) == pytest.approx(expected)
