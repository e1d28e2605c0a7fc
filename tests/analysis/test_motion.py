"""Motion on pictures made here: squares that move and stop, a camera that shakes, cuts, flashes, and one sample take."""

from __future__ import annotations

import json
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import cv2
import mir_eval
import numpy as np
import pytest
from numpy.typing import NDArray

from previs.analysis.motion import camera_breaks, motion_curve, still_spans, sudden_stops
from previs.media.frames import FrameReader
from previs.media.index import frame_index
from previs.media.probe import probe

RATE = Fraction(24)
WIDTH, HEIGHT = 192, 108
Picture = NDArray[np.uint8]


def textured(width: int, height: int, seed: int, contrast: float = 90) -> Picture:
    noise = np.random.default_rng(seed).normal(size=(height, width)).astype(np.float32)
    smooth = cv2.GaussianBlur(noise, (0, 0), 2.5)
    return np.clip(110 + contrast * smooth / np.abs(smooth).max(), 0, 255).astype(np.uint8)


ROOM = textured(WIDTH + 80, HEIGHT + 80, 1)
SQUARE = textured(22, 22, 2, 120)


def picture(x: float, shake: tuple[float, float] = (0, 0), room: Picture = ROOM) -> Picture:
    """A room with a bright square at `x`, seen by a camera that is off by `shake` px."""
    whole = room.copy()
    left = round(40 + x)
    whole[80:102, left : left + 22] = np.clip(SQUARE.astype(int) + 70, 0, 255)
    shift = np.array([[1, 0, -40 - shake[0]], [0, 1, -40 - shake[1]]], np.float64)
    return np.asarray(cv2.warpAffine(whole, shift, (WIDTH, HEIGHT)), np.uint8)


def strokes(stops: tuple[int, ...], count: int) -> list[float]:
    """Where the square is: it gathers speed for eight pictures and stands still from each stop on."""
    at = np.full(count, 20.0)
    for number, stop in enumerate(stops):
        way = 60 * (1 if number % 2 == 0 else -1)
        share = np.clip((np.arange(count) - stop + 8) / 8, 0, 1) ** 2
        at += way * share
    return at.tolist()


STOPS = (40, 80, 120)


@pytest.mark.parametrize("shaken", [False, True])
def test_a_stroke_that_stops_dead_is_found_to_the_picture_locked_or_hand_held(shaken: bool) -> None:
    sway = cv2.GaussianBlur(np.random.default_rng(3).normal(size=(150, 2)), (1, 9), 2.0) * (4 if shaken else 0)
    curve = motion_curve((picture(x, tuple(off)) for x, off in zip(strokes(STOPS, 150), sway, strict=True)), RATE)
    found = sudden_stops(curve)
    assert [stop.at_seconds for stop in found] == pytest.approx([stop / 24 for stop in STOPS], abs=1.1 / 24)
    assert all(stop.confidence > 0.5 for stop in found)


def test_shake_and_pan_alone_are_next_to_no_motion() -> None:
    sway = cv2.GaussianBlur(np.random.default_rng(4).normal(size=(60, 2)), (1, 9), 2.0) * 5
    shaken = motion_curve((picture(30, tuple(off)) for off in sway), RATE)
    panned = motion_curve((picture(60, (n * 0.9 - 27, 0)) for n in range(60)), RATE)
    stroke = motion_curve((picture(x) for x in strokes((40,), 60)), RATE)
    for calm in (shaken, panned):
        assert np.percentile(calm.energy, 95) < 0.15 * stroke.energy.max()
        assert sudden_stops(calm) == () or max(stop.drop for stop in sudden_stops(calm)) < 0.15 * stroke.energy.max()


def test_noise_and_flickering_light_are_next_to_no_motion() -> None:
    random = np.random.default_rng(5)
    base = picture(30).astype(float)
    lit = [base * (1 + 0.15 * np.sin(n)) + random.normal(0, 2, base.shape) for n in range(40)]
    curve = motion_curve((np.clip(one, 0, 255).astype(np.uint8) for one in lit), RATE)
    stroke = motion_curve((picture(x) for x in strokes((40,), 60)), RATE)
    assert np.percentile(curve.energy, 95) < 0.15 * stroke.energy.max()


def test_pictures_shown_twice_do_not_hide_a_stop() -> None:
    twice = [x for x in strokes((40,), 60)[::2] for _ in range(2)]
    found = sudden_stops(motion_curve((picture(x) for x in twice), RATE))
    assert len(found) == 1
    assert found[0].at_seconds == pytest.approx(40 / 24, abs=2.1 / 24)


def test_rest_between_strokes_is_a_still_span() -> None:
    curve = motion_curve((picture(x) for x in strokes((30, 100), 140)), RATE)
    spans = still_spans(curve, 1.0)
    assert any(span.start_seconds <= 34 / 24 and span.end_seconds >= 90 / 24 and span.confidence > 0.9 for span in spans)
    assert not any(span.start_seconds < 97 / 24 < span.end_seconds for span in spans)
    assert still_spans(curve, 60.0) == ()


def test_a_camera_stop_is_found_and_a_flash_or_a_whip_pan_is_not() -> None:
    other = textured(WIDTH + 80, HEIGHT + 80, 9)
    stopped = motion_curve([picture(20) for _ in range(20)] + [picture(20, room=other) for _ in range(20)], RATE)
    breaks = camera_breaks(stopped)
    assert [found.frame for found in breaks] == [20]
    assert breaks[0].confidence > 0.8
    flash = [picture(20) for _ in range(30)]
    flash[12:14] = [np.full((HEIGHT, WIDTH), 255, np.uint8), np.clip(flash[13].astype(int) + 120, 0, 255).astype(np.uint8)]
    assert camera_breaks(motion_curve(flash, RATE)) == ()
    wide = textured(WIDTH + 700, HEIGHT, 11)
    ways = np.concatenate([np.zeros(10), np.cumsum([4, 12, 30, 55, 70, 70, 70, 55, 30, 12, 4]), np.full(10, 412)])
    whip = [wide[:, round(x) : round(x) + WIDTH] for x in ways]
    assert camera_breaks(motion_curve(whip, RATE)) == ()


@pytest.mark.parametrize(
    "pictures",
    [
        [],
        [np.zeros((HEIGHT, WIDTH), np.uint8)],
        [np.zeros((HEIGHT, WIDTH), np.uint8)] * 30,
        [np.full((HEIGHT, WIDTH, 3), 128, np.uint8)] * 30,
        [np.zeros((2, 2), np.uint8)] * 5,
    ],
    ids=["none", "one", "black", "grey", "tiny"],
)
def test_nothing_to_see_is_answered(pictures: list[Picture]) -> None:
    curve = motion_curve(pictures, RATE)
    assert len(curve) == len(curve.energy) == len(curve.change) == len(pictures)
    assert not curve.energy.any()
    assert curve.energy.dtype == curve.change.dtype == np.float32
    assert sudden_stops(curve) == camera_breaks(curve) == ()
    assert len(still_spans(curve, 0.5)) == (1 if len(pictures) == 30 else 0)


def take_pictures(tape: Path, start: float, end: float) -> Iterator[Picture]:
    index = frame_index(tape)
    with FrameReader(tape, index, rotation=probe(tape).rotation, size_px=(192, 108), threads=1) as reader:
        yield from reader.pictures(index.frame_shown(n, RATE) for n in range(round(start * 24), round(end * 24)))


def test_blows_of_a_silent_hand_held_take_are_seen(sample_media: Path) -> None:
    truth = json.loads((sample_media / "truth" / "truth.json").read_text(encoding="utf-8"))["tapes"]["SSB03"]
    take = truth["takes"]["B3-2"]
    first = round(take["begin"] * 24)
    stops = sudden_stops(motion_curve(take_pictures(sample_media / truth["file"], take["begin"], take["end"]), RATE))
    hits = np.array([hit["at"] for hit in take["hits"]])
    f, _, _ = mir_eval.onset.f_measure(hits, np.array([first / 24 + stop.at_seconds for stop in stops]), window=0.05)
    assert f >= 0.75
