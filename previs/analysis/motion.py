"""How much moves in a row of pictures, where it stops dead, where it rests and where the camera was stopped; opens no file.

The camera's own movement is taken out first: corners are followed from one picture to the next, and the shift, turn
and zoom that most of them share is undone before the two pictures are compared.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import cast

import cv2
import numpy as np
import scipy
from numpy.typing import NDArray

Grey = NDArray[np.uint8]
Picture = NDArray[np.uint8]
Floats = NDArray[np.float32]

# Larger pictures are made this wide: finer ones cost time and show no more of a body's movement.
_MOST_WIDTH_PX = 240
_WORKING_WIDTH_PX = 192

# Corners for the camera's movement. Fewer than eight shared by both pictures are no vote on a movement of four unknowns.
_CORNERS = 120
_LEAST_CORNERS = 8
_CORNER_QUALITY = 0.02
_CORNER_APART_PX = 6
_FLOW_WINDOW_PX = 13
_FLOW_LEVELS = 3
_AGREE_PX = 0.7
# Corners lie on fighters too, so not all agree on the camera; below this share the vote is not the room's.
_LEAST_AGREEING = 0.3
_BORDER_PX = 3

# A weapon is thin: what counts is the share of the picture that changes most, not the mean of the whole.
_LIVELY_SHARE = 0.05
# An edge that is off by a tenth of a pixel after the camera's movement is undone differs by a tenth of its slope.
_EDGE_ALLOWANCE = 0.1
# Of normally spread noise the mean of the strongest twentieth is 3.5 times the median, in absolute values (2.34 / 0.674).
_NOISE_PEAK = 3.5
# More than this is no noise in pictures made small by averaging, but movement of more than half the picture.
_MOST_NOISE_LEVELS = 3.0
# A lively twentieth that changes by a quarter of the range from white to black is called 1.
_FULL_ENERGY_LEVELS = 64.0

# Whole pictures are compared as thumbnails, blurred enough that a body's step does not count as a new picture.
_THUMB_PX = (48, 27)
_THUMB_BLUR = 1.5
# Contrast in levels below which a thumbnail is flat: correlation would measure noise.
_FLAT_LEVELS = 2.0
# A photographer's flash or a passing hand is over within this many frames, and the old picture is back.
_COMES_BACK_FRAMES = 3
# Below this a picture is like the last one anyhow, and looking for one that comes back is time lost.
_WORTH_LOOKING_ROUND = 0.01

# A blow is fast for about an eighth of a second before it lands, and what follows is looked at a little longer, since
# weapons spring back. The sequence's rate turns both into pictures.
_BLOW_SECONDS = 0.125
_REST_SECONDS = 0.165
_LEAST_DROP = 0.35
_MOST_LEFT = 0.3
# Less than two levels in the lively twentieth is no blow in any framing.
_LEAST_DROP_ENERGY = 2 / _FULL_ENERGY_LEVELS
_STOPS_APART_SECONDS = 0.35
_MOST_REPEATS = 2
# What counts as fast: nearly the most that moves within these seconds on either side.
_LIVELY_PERCENTILE = 95
_LEVEL_SECONDS = 20.0
_LEAST_OF_WHOLE = 0.35

_STILL_OF_LIVELY = 0.1
_STILL_ENERGY = 1 / _FULL_ENERGY_LEVELS
_CALM_SECONDS = 0.2

# The correlation of thumbnails falls with the square of a pan's step: one picture that the sequence's grid leaves out of
# a pan shows as a change four times its neighbours, so a break must stand out by five.
_BREAK_CHANGE = 0.15
_SURE_CHANGE = 0.5
_BREAK_APART_FRAMES = 5
_LEAST_ALONE = 0.8


@dataclass(frozen=True, slots=True, eq=False)
class MotionCurve:
    """How much each picture differs from the one before; `rate` in pictures a second.

    `energy` (float32, (n,)) is the change left when the camera's movement, noise and exposure are taken out, 0 to about
    1; `energy[0]` is 0. `change` (float32, (n,)) is how far the picture as a whole is another one than before, as 1 less
    the correlation of thumbnails, 0 to 1; a picture that comes back within three frames has not changed.
    """

    rate: Fraction
    energy: Floats
    change: Floats

    def __len__(self) -> int:
        return len(self.energy)


@dataclass(frozen=True, slots=True)
class Stop:
    """Fast movement that stopped dead: seconds from the first picture, confidence 0 to 1, and the fall of energy that shows it."""

    at_seconds: float
    confidence: float
    drop: float


@dataclass(frozen=True, slots=True)
class StillSpan:
    """A stretch in which next to nothing moves, in seconds from the first picture, with a confidence 0 to 1."""

    start_seconds: float
    end_seconds: float
    confidence: float


@dataclass(frozen=True, slots=True)
class CameraBreak:
    """A picture before which the camera was stopped: its number and time, confidence 0 to 1, and the change that shows it."""

    frame: int
    at_seconds: float
    confidence: float
    change: float


def motion_curve(pictures: Iterable[Picture], rate: Fraction) -> MotionCurve:
    """The motion of small pictures, grey (height, width) or RGB (height, width, 3), `rate` a second.

    160 to 240 px of width are right; wider ones are made small. Pictures are looked at once, in order, none is kept.
    """
    energy: list[float] = []
    thumbs: list[Floats] = []
    before: Grey | None = None
    for now in _small_grey(pictures):
        energy.append(0.0 if before is None else _left_over(before, now))
        thumbs.append(_thumbnail(now))
        before = now
    return MotionCurve(rate, np.array(energy, np.float32), _changes(thumbs))


def _small_grey(pictures: Iterable[Picture]) -> Iterator[Grey]:
    size: tuple[int, int] | None = None
    for picture in pictures:
        grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY) if picture.ndim == 3 else picture
        height, width = grey.shape
        if size is None:
            narrowed = _WORKING_WIDTH_PX if width > _MOST_WIDTH_PX else width
            size = narrowed, max(round(height * narrowed / width), 1)
        yield cast(Grey, grey if (width, height) == size else cv2.resize(grey, size, interpolation=cv2.INTER_AREA))


def _left_over(before: Grey, now: Grey) -> float:
    """What differs when the camera's movement is undone, 0 to about 1."""
    if np.array_equal(before, now):
        return 0.0
    height, width = now.shape
    camera = _camera_movement(before, now)
    carried = cv2.warpAffine(before, camera, (width, height), borderMode=cv2.BORDER_REPLICATE)
    seen = cv2.warpAffine(np.ones_like(before), camera, (width, height))
    return _energy(cast(Grey, carried), now, seen.astype(bool))


def _camera_movement(before: Grey, now: Grey) -> NDArray[np.float64]:
    """The 2 x 3 matrix of shift, turn and zoom that most corners share; standing still when there is no majority."""
    still = np.eye(2, 3)
    corners = cv2.goodFeaturesToTrack(before, _CORNERS, _CORNER_QUALITY, _CORNER_APART_PX)
    if corners is None or len(corners) < _LEAST_CORNERS:
        return still
    window = (_FLOW_WINDOW_PX, _FLOW_WINDOW_PX)
    criteria = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_COUNT, 12, 0.03)
    went, found, _ = cv2.calcOpticalFlowPyrLK(
        before, now, corners, np.empty_like(corners), winSize=window, maxLevel=_FLOW_LEVELS, criteria=criteria
    )
    kept = found.ravel() == 1
    if np.count_nonzero(kept) < _LEAST_CORNERS:
        return still
    matrix, agreeing = cv2.estimateAffinePartial2D(corners[kept], went[kept], ransacReprojThreshold=_AGREE_PX, maxIters=200)
    if matrix is None or np.count_nonzero(agreeing) < max(_LEAST_CORNERS, _LEAST_AGREEING * np.count_nonzero(kept)):
        return still
    return cast(NDArray[np.float64], matrix)


def _energy(carried: Grey, now: Grey, seen: NDArray[np.bool_]) -> float:
    old, new = (cast(Floats, cv2.GaussianBlur(picture.astype(np.float32), (3, 3), 0)) for picture in (carried, now))
    seen[:_BORDER_PX] = seen[-_BORDER_PX:] = False
    seen[:, :_BORDER_PX] = seen[:, -_BORDER_PX:] = False
    if not seen.any():
        return 0.0
    # Exposure that flickers changes most pixels by the same factor; a fighter changes few.
    difference = new - _same_exposure(old, new, seen)
    slope = cv2.morphologyEx(new, cv2.MORPH_GRADIENT, np.ones((3, 3), np.uint8)) / 2
    size = np.maximum(np.abs(difference) - _EDGE_ALLOWANCE * slope, 0)[seen]
    count = max(round(len(size) * _LIVELY_SHARE), 1)
    lively = float(np.partition(size, len(size) - count)[-count:].mean())
    noise = min(float(np.median(size)), _MOST_NOISE_LEVELS)
    return max(lively - _NOISE_PEAK * noise, 0.0) / _FULL_ENERGY_LEVELS


def _same_exposure(old: Floats, new: Floats, seen: NDArray[np.bool_]) -> Floats:
    """`old` with brightness scaled and shifted as most of the picture was, from the quartiles of both."""
    (low, middle, high), (low_new, middle_new, high_new) = (np.percentile(one[seen][::7], (25, 50, 75)) for one in (old, new))
    gain = (high_new - low_new) / (high - low) if high - low > _FLAT_LEVELS else 1.0
    # Beyond a stop up or down it is not exposure any more but another picture.
    gain = min(max(gain, 0.5), 2.0)
    return cast(Floats, (old - np.float32(middle)) * np.float32(gain) + np.float32(middle_new))


def _thumbnail(grey: Grey) -> Floats:
    small = cv2.resize(grey, _THUMB_PX, interpolation=cv2.INTER_AREA).astype(np.float32)
    blurred = cv2.GaussianBlur(small, (0, 0), _THUMB_BLUR)
    return cast(Floats, blurred - blurred.mean())


def _changes(thumbs: list[Floats]) -> Floats:
    """For each picture, how unlike the one before it is, unless a picture soon after is like one shortly before."""
    change = np.zeros(len(thumbs), np.float32)
    for at in range(1, len(thumbs)):
        unlike = _unlike(thumbs[at - 1], thumbs[at])
        if unlike > _WORTH_LOOKING_ROUND:
            olds = thumbs[max(at - _COMES_BACK_FRAMES, 0) : at]
            news = thumbs[at : at + _COMES_BACK_FRAMES]
            unlike = min(_unlike(old, new) for old in olds for new in news)
        change[at] = unlike
    return change


def _unlike(one: Floats, other: Floats) -> float:
    """1 less the correlation of two thumbnails, 0 to 1, so that exposure does not count; two flat ones are alike."""
    floor = _FLAT_LEVELS * np.sqrt(one.size)
    lengths = [float(np.linalg.norm(thumb)) for thumb in (one, other)]
    if max(lengths) < floor:
        return 0.0
    if min(lengths) < floor:
        return 1.0
    return min(max(1.0 - float(np.vdot(one, other)) / (lengths[0] * lengths[1]), 0.0), 1.0)


def sudden_stops(curve: MotionCurve) -> tuple[Stop, ...]:
    """Moments at which fast movement stops dead, in order of time: blows that land, with or without a sound.

    A blow gathers speed until it lands, then next to nothing moves: energy before the moment is compared with energy
    after it. The moment is set midway between the last picture that still moved and the next.
    """
    energy = _without_repeats(curve)
    if len(energy) < 3 or not energy.any():
        return ()
    rate = float(curve.rate)
    before, after = _mean_before(energy, rate), _mean_after(energy, rate)
    level = _lively_level(energy, rate)
    drop = before - after
    falls = (drop >= _LEAST_DROP * level) & (after <= _MOST_LEFT * before) & (drop > _LEAST_DROP_ENERGY)
    apart = max(round(_STOPS_APART_SECONDS * rate), 1)
    kept: list[int] = []
    for at in sorted(np.flatnonzero(falls).tolist(), key=lambda at: (-drop[at], at)):
        if all(abs(at - other) > apart for other in kept):
            kept.append(at)
    return tuple(
        Stop(max(at - 0.5, 0) / rate, _stop_confidence(drop[at] / level[at], after[at] / before[at]), float(drop[at]))
        for at in sorted(kept)
    )


def _without_repeats(curve: MotionCurve) -> NDArray[np.float64]:
    """The energy with each repeated picture's share taken from the picture after it.

    Tapes of a lower or an uneven rate show pictures twice on the sequence's grid: nothing moves, then twice as much.
    """
    energy = curve.energy.astype(np.float64)
    repeated = (curve.energy <= 0) & (curve.change <= 0)
    at = 1
    while at < len(energy):
        end = at
        while end < len(energy) and repeated[end]:
            end += 1
        if 0 < end - at <= _MOST_REPEATS and end < len(energy):
            energy[at : end + 1] = energy[end] / (end + 1 - at)
        at = end + 1
    return energy


def _mean_before(energy: NDArray[np.float64], rate: float) -> NDArray[np.float64]:
    """The mean of the pictures up to and with each one."""
    count = max(round(_BLOW_SECONDS * rate), 1)
    return np.convolve(energy, np.full(count, 1 / count))[: len(energy)]


def _mean_after(energy: NDArray[np.float64], rate: float) -> NDArray[np.float64]:
    """The mean of the pictures after each one; nothing moves after the last."""
    count = max(round(_REST_SECONDS * rate), 1)
    return np.append(np.convolve(energy[::-1], np.full(count, 1 / count))[: len(energy)][::-1][1:], 0.0)


def _lively_level(energy: NDArray[np.float64], rate: float) -> NDArray[np.float64]:
    """What fast movement is around each picture, so that a wide framing and a slow take have blows as well."""
    half = max(round(_LEVEL_SECONDS * rate), 1)
    step = max(round(rate), 1)
    marks = np.arange(0, len(energy), step)
    levels = [_high(energy[max(mark - half, 0) : mark + half]) for mark in marks]
    near = np.interp(np.arange(len(energy)), marks, levels)
    # A quiet stretch does not make its breathing a blow.
    return np.maximum(near, _LEAST_OF_WHOLE * _high(energy))


def _high(energy: NDArray[np.float64]) -> float:
    moving = energy[energy > 0]
    return float(np.percentile(moving, _LIVELY_PERCENTILE)) if len(moving) else 0.0


def _stop_confidence(drop: float, left: float) -> float:
    """From how much of the usual blow's energy fell away, and how little was left."""
    return float(np.clip(min(drop, 1.0) * (1.0 - left), 0.0, 1.0))


def still_spans(curve: MotionCurve, least_seconds: float) -> tuple[StillSpan, ...]:
    """Stretches of at least `least_seconds` in which next to nothing moves, in order of time."""
    if not len(curve):
        return ()
    rate = float(curve.rate)
    energy = _without_repeats(curve)
    limit = max(_STILL_OF_LIVELY * _high(energy), _STILL_ENERGY)
    # One picture's codec trouble does not end a rest.
    calm = scipy.ndimage.median_filter(energy, max(round(_CALM_SECONDS * rate) | 1, 1), mode="nearest")
    still = (calm <= limit) & (curve.change <= _BREAK_CHANGE)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], still, [False]]).astype(np.int8))).reshape(-1, 2)
    return tuple(
        StillSpan(first / rate, end / rate, float(np.clip(1.0 - calm[first:end].mean() / limit, 0.0, 1.0)))
        for first, end in edges.tolist()
        if end - first >= least_seconds * rate
    )


def camera_breaks(curve: MotionCurve) -> tuple[CameraBreak, ...]:
    """Pictures before which the camera was stopped and started again inside one file.

    The whole picture is another one at once, and hardly changes just before and after: a whip pan changes for many
    pictures on end, and after a flash the old picture is back. A locked camera that is started again soon, with the
    same room in frame, is not told from a performer's jump and not reported.
    """
    found: list[CameraBreak] = []
    for at in np.flatnonzero(curve.change >= _BREAK_CHANGE).tolist():
        around = np.concatenate([curve.change[max(at - _BREAK_APART_FRAMES, 0) : at], curve.change[at + 1 : at + 1 + _BREAK_APART_FRAMES]])
        alone = 1.0 - (float(around.max()) if len(around) else 0.0) / float(curve.change[at])
        if alone >= _LEAST_ALONE:
            strength = min(float(curve.change[at]) / _SURE_CHANGE, 1.0)
            found.append(CameraBreak(at, at / float(curve.rate), strength * alone, float(curve.change[at])))
    return tuple(found)
