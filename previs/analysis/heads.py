"""Follows one head through the pictures of a take from a box marked once, and says where it is lost; opens no file.

Points on the head are followed from picture to picture, checked forward and backward, and the change of their spread is
the change of height. That alone drifts, so the head is also matched, at several heights, with the views of it that are
known: the marked one first, and others as it turns. Where neither finds the head, it is looked for in the whole picture.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import erf
from typing import Protocol, cast

import cv2
import numpy as np
from numpy.typing import NDArray

from previs.analysis.head_heights import head_height_by_framing, head_height_by_lens, in_raster
from previs.faults import UseFault

__all__ = ["Box", "HeadTrack", "Pictures", "follow_head", "head_height_by_framing", "head_height_by_lens", "in_raster"]

Picture = NDArray[np.uint8]
Floats = NDArray[np.float32]
Box = tuple[float, float, float, float]
_Spot = tuple[float, float, float]
"""Correlation, and how far off the middle it is best, right and down."""

# Every head is looked at as if it were this high: smaller shows too little of a face, larger costs time.
_HEAD_PX = 48
# The surroundings that are cut out with it, in head heights to each side.
_AROUND_HEADS = 2.0
_MARGIN = 1.2

_POINTS = 60
_POINT_QUALITY = 0.01
_POINT_APART_PX = 3
# From the middle of the head to the sides and to chin and crown, at 48 px of head.
_POINTS_WITHIN_PX = (18, 24)
_FLOW_WINDOW_PX = 11
_FLOW_LEVELS = 3
_FORTH_AND_BACK_PX = 0.8
_AGREE_PX = 1.2
_LEAST_POINTS = 6

# Heights at which the known views are tried, as shares of the expected height; the best is refined between them.
_STEP = 0.06
_MOST_STEPS = 2
_TRIED_VIEWS = 2
_MOST_VIEWS = 10
_VIEW_EVERY_FRAMES = 5
_NEAR_PX = 9
_FAR_PX = 40
_OTHER_SIDE_PX = 4

# Correlations of colour patches: what scores below the first is another thing, above the second surely the head.
_LEAST_MATCH = 0.55
_SURE_MATCH = 0.85
_FOUND_AGAIN_MATCH = 0.72
_NEW_VIEW_BELOW = 0.85

# Spreads of the natural log of the height. One picture to the next: with points followed, and without.
_FLOW_SPREAD = 0.005
_BLIND_SPREAD = 0.010
# Points on a head that turns spread and close in as well, so that only a part of what they say is believed.
_FLOW_SHARE = 0.5
_MOST_GROWTH = 0.015
# One match, by its correlation: measured on 356 pairs of pictures of the sample tapes 20 and 100 pictures apart.
_MATCH_SPREADS = ((0.55, 0.060), (0.70, 0.055), (0.80, 0.040), (0.88, 0.024), (0.95, 0.012))
# The same view matched again errs the same way, so repeating it does not make the height surer than this share of it.
_SAME_ERROR = 0.7
# A view that was learnt on the way errs as the one did that it was measured with, and the head has turned since.
_HANDED_ON_SPREAD = 0.025
# The 8 % within which a height is worth telling, as a natural log.
_WITHIN = 0.08
_LEAST_CONFIDENCE = 0.55

_COAST_FRAMES = 6
_SEARCH_HEAD_PX = 20
_SEARCH_SHARES = (0.8, 0.9, 1.0, 1.11, 1.25)
_LEAST_INSIDE = 0.65


class Pictures(Protocol):
    """Pictures that can be had in any order, RGB (height, width, 3) or grey (height, width); a list will do."""

    def __len__(self) -> int: ...

    def __getitem__(self, index: int, /) -> Picture: ...


@dataclass(frozen=True, slots=True, eq=False)
class HeadTrack:
    """A head in each of n pictures. Where it is lost, `heights_px` and `boxes` are NaN and `confidence` is 0.

    `heights_px` (float64, (n,)) is chin to crown in px of the pictures; `boxes` (float32, (n, 4)) left, top, width, height;
    `confidence` (float32, (n,)) 0 to 1. Its evidence: `matches` (float32, (n,)) is the best correlation with a known
    view, `points` (int32, (n,)) how many points of the head could be followed from the picture before.
    """

    heights_px: NDArray[np.float64]
    boxes: Floats
    confidence: Floats
    matches: Floats
    points: NDArray[np.int32]

    @property
    def lost(self) -> NDArray[np.bool_]:
        """Where the head was not found, or its height is not known, (n,)."""
        return np.isnan(self.heights_px)


def follow_head(pictures: Pictures, start_index: int, box: Box) -> HeadTrack:
    """Follow the head in `box` (left, top, width, height in px) of picture `start_index` to both ends of `pictures`.

    Pictures are asked for from the start forward, then from the start backward. Raises `UseFault` for a box that does
    not lie in that picture.
    """
    count = len(pictures)
    if not 0 <= start_index < count:
        raise UseFault(f"There is no picture {start_index} among {count}; mark the head on a picture of the take.")
    marked = _colour(pictures[start_index])
    _refuse_outside(marked, box)
    seen = [_NOWHERE] * count
    for order in (range(start_index, count), range(start_index, -1, -1)):
        follower = _Follower(marked, box)
        seen[start_index] = follower.marked()
        for index in order[1:]:
            seen[index] = follower.next(_colour(pictures[index]))
    return _track(seen, box[2] / box[3])


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a head is: its middle and its height in px of the picture, and the variance of the height's natural log."""

    x: float
    y: float
    height: float
    variance: float = 0.0
    marked: bool = False

    def moved(self, x: float, y: float, by: float = 1.0, spread: float = 0.0) -> _Place:
        return _Place(self.x + x, self.y + y, self.height * by, self.variance + spread**2)

    def of_height(self, steps: int) -> _Place:
        """The same middle, `steps` taller."""
        return _Place(self.x, self.y, self.height * float(np.exp(steps * _STEP)))


@dataclass(frozen=True, slots=True)
class _Seen:
    """What is reported of one picture; no place where the head is lost."""

    place: _Place | None
    confidence: float
    match: float
    points: int


_NOWHERE = _Seen(None, 0.0, 0.0, 0)


@dataclass(frozen=True, slots=True)
class _Flow:
    """How followed points moved: in px at 48 px of head, times their spread grew, and how many agree."""

    x: float
    y: float
    grown: float
    points: int


@dataclass(frozen=True, slots=True)
class _View:
    """How the head looked once, and how sure its height was then, as the variance of its natural log."""

    patch: Picture
    surroundings: tuple[Picture, ...]
    variance: float


@dataclass(frozen=True, slots=True)
class _Match:
    """The best match with a known view: correlation, and the place with the variance of its height."""

    score: float
    place: _Place
    floor: float


class _Follower:
    """Walks along neighbouring pictures in one direction."""

    def __init__(self, marked: Picture, box: Box) -> None:
        left, top, width, height = box
        self._aspect = width / height
        self._place = _Place(left + width / 2, top + height / 2, height, marked=True)
        self._velocity = (0.0, 0.0)
        self._before = marked
        self._mask = _ellipse(self._aspect)
        self._views = [_view(marked, self._place, self._mask)]
        self._since_view = 0
        self._missing = 0

    def marked(self) -> _Seen:
        """The picture with the box."""
        return _Seen(self._place, 1.0, 1.0, 0)

    def next(self, picture: Picture) -> _Seen:
        """The head in the next picture."""
        seen = self._followed(picture) if self._missing <= _COAST_FRAMES else self._found_again(picture)
        self._before = picture
        return seen

    def _followed(self, picture: Picture) -> _Seen:
        flow = _flow(self._before, picture, self._place, self._velocity)
        if flow:
            scale = self._place.height / _HEAD_PX
            expected = self._place.moved(flow.x * scale, flow.y * scale, _believed(flow.grown), _FLOW_SPREAD)
        else:
            expected = self._place.moved(*self._velocity, 1.0, _BLIND_SPREAD)
        match = self._matched(picture, expected, _NEAR_PX if flow else _FAR_PX)
        if match.score < _LEAST_MATCH and flow:
            far = self._matched(picture, self._place.moved(*self._velocity), _FAR_PX)
            if far.score > _FOUND_AGAIN_MATCH:
                match, flow = far, None
                expected = far.place
        points = flow.points if flow else 0
        if match.score < _LEAST_MATCH or not _inside(picture, match.place, self._aspect):
            self._missing += 1
            self._place = expected
            return _Seen(None, 0.0, match.score, points)
        return self._accepted(picture, expected, match, points)

    def _accepted(self, picture: Picture, expected: _Place, match: _Match, points: int) -> _Seen:
        placed = _combined(expected, match)
        self._velocity = (placed.x - self._place.x, placed.y - self._place.y) if not self._missing else (0.0, 0.0)
        self._place, self._missing = placed, 0
        self._since_view += 1
        if points >= _LEAST_POINTS and match.score < _NEW_VIEW_BELOW and self._since_view >= _VIEW_EVERY_FRAMES:
            self._views = [self._views[0], *self._views[1:][-(_MOST_VIEWS - 2) :], _view(picture, placed, self._mask)]
            self._since_view = 0
        confidence = _confidence(match.score, placed.variance)
        # What is followed may well be the head still, but its height is no longer known: that counts as lost.
        sure = confidence >= _LEAST_CONFIDENCE
        return _Seen(placed if sure else None, confidence if sure else 0.0, match.score, points)

    def _matched(self, picture: Picture, expected: _Place, radius_px: int) -> _Match:
        reach = self._reach(radius_px)
        surroundings = _cut(picture, expected, reach)
        first = [_best(surroundings, view.patch, self._mask) for view in self._views]
        likely = sorted(range(len(first)), key=lambda at: self._views[at].variance + _spread(first[at][0]) ** 2)[:_TRIED_VIEWS]
        found = [self._at_its_height(picture, expected, reach, self._views[at], first[at]) for at in likely]
        return min(found, key=lambda match: match.place.variance)

    def _at_its_height(self, picture: Picture, expected: _Place, reach: tuple[int, int], view: _View, first: _Spot) -> _Match:
        """The match with one view at the height at which it is best, seen from both sides.

        A head drawn larger shows less of what is around it and is smoother, and so is matched too well. That errs one
        way when the view is laid over the picture, the other way when the picture is laid over the view: half the
        difference is the height.
        """

        def laid_over_picture(step: int) -> _Spot:
            return first if step == 0 else _best(_cut(picture, expected.of_height(step), reach), view.patch, self._mask)

        step, around = _climbed(laid_over_picture)
        score, x, y = around[1]
        scale = expected.of_height(step).height / _HEAD_PX
        place = expected.moved(x * scale, y * scale)
        patch = _patch(picture, place, self._mask)
        other, around_other = _climbed(lambda step: _best(view.surroundings[step + _MOST_STEPS], patch, self._mask))
        grown = (step + _vertex_of(around)) / 2 - (other + _vertex_of(around_other)) / 2
        height = expected.height * float(np.exp(grown * _STEP))
        score = (score + around_other[1][0]) / 2
        spread = _spread(score)
        return _Match(score, _Place(place.x, place.y, height, view.variance + spread**2), view.variance + (_SAME_ERROR * spread) ** 2)

    def _reach(self, radius_px: int) -> tuple[int, int]:
        height, width = self._mask.shape
        return width + 2 * radius_px, height + 2 * radius_px

    def _found_again(self, picture: Picture) -> _Seen:
        self._missing += 1
        place = _looked_for(picture, self._views, self._mask, self._place.height)
        if place is None:
            return _NOWHERE
        match = self._matched(picture, place, _NEAR_PX)
        if match.score < _FOUND_AGAIN_MATCH or not _inside(picture, match.place, self._aspect):
            return _Seen(None, 0.0, match.score, 0)
        # One look-alike is soon found; the next picture must bear it out before anything is reported.
        self._place, self._velocity = match.place, (0.0, 0.0)
        self._missing = 1
        return _Seen(None, 0.0, match.score, 0)


def _cut(picture: Picture, place: _Place, size_px: tuple[int, int]) -> Picture:
    """The surroundings of a head, `size_px` (width, height) large, with the head 48 px high in the middle."""
    ratio = place.height / _HEAD_PX
    shrink = max(int(ratio), 1)
    half_width, half_height = (size * ratio / 2 + 2 * shrink for size in size_px)
    left, top = int(np.floor(place.x - half_width)), int(np.floor(place.y - half_height))
    columns = -(-int(np.ceil(2 * half_width)) // shrink) * shrink
    rows = -(-int(np.ceil(2 * half_height)) // shrink) * shrink
    region = _region(picture, left, top, columns, rows)
    if shrink > 1:
        region = cast(Picture, cv2.resize(region, (columns // shrink, rows // shrink), interpolation=cv2.INTER_AREA))
    rest = ratio / shrink
    x, y = (place.x - left) / shrink, (place.y - top) / shrink
    width, height = size_px
    # Pixel n lies at n + 0.5.
    inverse = np.array([[rest, 0, x - rest * (width - 1) / 2 - 0.5], [0, rest, y - rest * (height - 1) / 2 - 0.5]])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    return cast(Picture, cv2.warpAffine(region, inverse, size_px, flags=flags, borderMode=cv2.BORDER_REPLICATE))


def _region(picture: Picture, left: int, top: int, columns: int, rows: int) -> Picture:
    """A part of the picture, its edge repeated where the part reaches beyond."""
    height, width = picture.shape[:2]
    if left >= 0 and top >= 0 and left + columns <= width and top + rows <= height:
        return picture[top : top + rows, left : left + columns]
    across = np.clip(np.arange(left, left + columns), 0, width - 1)
    return picture[np.ix_(np.clip(np.arange(top, top + rows), 0, height - 1), across)]


def _ellipse(aspect: float) -> NDArray[np.uint8]:
    height, width = round(_HEAD_PX * _MARGIN), max(round(_HEAD_PX * aspect * _MARGIN), 8)
    mask = np.zeros((height, width), np.uint8)
    axes = (int(_HEAD_PX * aspect * _MARGIN / 2), height // 2)
    return cast(NDArray[np.uint8], cv2.ellipse(mask, (width // 2, height // 2), axes, 0, 0, 360, 1, -1))


def _view(picture: Picture, place: _Place, mask: NDArray[np.uint8]) -> _View:
    height, width = mask.shape
    reach = width + 2 * _OTHER_SIDE_PX, height + 2 * _OTHER_SIDE_PX
    around = tuple(_cut(picture, place.of_height(step), reach) for step in range(-_MOST_STEPS, _MOST_STEPS + 1))
    return _View(_patch(picture, place, mask), around, place.variance + (0.0 if place.marked else _HANDED_ON_SPREAD**2))


def _patch(picture: Picture, place: _Place, mask: NDArray[np.uint8]) -> Picture:
    return _cut(picture, place, (mask.shape[1], mask.shape[0]))


def _best(surroundings: Picture, view: Picture, mask: NDArray[np.uint8]) -> _Spot:
    """The best correlation in the surroundings, and how far it lies off their middle, in px at 48 px of head."""
    masks = np.repeat(mask[:, :, None], 3, axis=2)
    scores = cv2.matchTemplate(surroundings, view, cv2.TM_CCOEFF_NORMED, mask=masks)
    scores = cast(Floats, np.nan_to_num(scores, nan=-1.0, posinf=-1.0, neginf=-1.0))
    _, score, _, (x, y) = cv2.minMaxLoc(scores)
    rows, columns = scores.shape
    return float(score), x + _vertex(scores[y], x) - (columns - 1) / 2, y + _vertex(scores[:, x], y) - (rows - 1) / 2


def _vertex(values: NDArray[np.float32], at: int) -> float:
    """Where between the neighbours of `at` the parabola through three values is highest."""
    if not 0 < at < len(values) - 1:
        return 0.0
    before, here, after = (float(value) for value in values[at - 1 : at + 2])
    bend = before - 2 * here + after
    return 0.0 if bend >= 0 else float(np.clip((before - after) / (2 * bend), -0.5, 0.5))


def _climbed(tried: Callable[[int], _Spot]) -> tuple[int, tuple[_Spot, _Spot, _Spot]]:
    """The step up or down in height at which a match is best, going on as long as it gets better, with its neighbours."""
    known = {step: tried(step) for step in (-1, 0, 1)}
    best = 0
    while True:
        best = max(known, key=lambda step: known[step][0])
        missing = [step for step in (best - 1, best + 1) if step not in known and abs(step) <= _MOST_STEPS]
        if not missing:
            break
        known |= {step: tried(step) for step in missing}
    nothing = (-1.0, 0.0, 0.0)
    return best, (known.get(best - 1, nothing), known[best], known.get(best + 1, nothing))


def _vertex_of(around: tuple[_Spot, _Spot, _Spot]) -> float:
    return _vertex(np.array([score for score, _, _ in around], np.float32), 1)


def _spread(score: float) -> float:
    """How far the height of a match of that correlation is off, as the spread of its natural log."""
    scores, spreads = zip(*_MATCH_SPREADS, strict=True)
    return float(np.interp(score, scores, spreads))


def _believed(grown: float) -> float:
    return float(np.exp(np.clip(_FLOW_SHARE * np.log(grown), -_MOST_GROWTH, _MOST_GROWTH)))


def _combined(expected: _Place, match: _Match) -> _Place:
    """The place of the match, its height weighed against the expected one by how far each may be off."""
    gain = expected.variance / (expected.variance + match.place.variance)
    height = expected.height * (match.place.height / expected.height) ** gain
    variance = max((1 - gain) * expected.variance, min(match.floor, expected.variance))
    return _Place(match.place.x, match.place.y, height, variance)


def _flow(before: Picture, now: Picture, place: _Place, velocity: tuple[float, float]) -> _Flow | None:
    """How the head's points moved between two pictures, or None when too few can be followed both ways."""
    size = round(_HEAD_PX * 2 * _AROUND_HEADS)
    between = place.moved(velocity[0] / 2, velocity[1] / 2)
    old, new = (cv2.cvtColor(_cut(picture, between, (size, size)), cv2.COLOR_RGB2GRAY) for picture in (before, now))
    shift = (np.array(velocity) * _HEAD_PX / place.height).astype(np.float32)
    middle = (size - shift) / 2
    mask = np.zeros((size, size), np.uint8)
    cv2.ellipse(mask, (round(float(middle[0])), round(float(middle[1]))), _POINTS_WITHIN_PX, 0, 0, 360, 255, -1)
    corners = cv2.goodFeaturesToTrack(old, _POINTS, _POINT_QUALITY, _POINT_APART_PX, mask=mask)
    if corners is None:
        return None
    start, end = _forth_and_back(cast(Picture, old), cast(Picture, new), cast(Floats, corners), shift)
    if len(start) < _LEAST_POINTS:
        return None
    matrix, agreeing = cv2.estimateAffinePartial2D(start, end, ransacReprojThreshold=_AGREE_PX)
    if matrix is None or np.count_nonzero(agreeing) < _LEAST_POINTS:
        return None
    x, y = matrix @ np.array([*middle, 1.0]) - middle
    return _Flow(float(x), float(y), float(np.hypot(matrix[0, 0], matrix[1, 0])), int(np.count_nonzero(agreeing)))


def _forth_and_back(old: Picture, new: Picture, corners: Floats, shift: Floats) -> tuple[Floats, Floats]:
    """The corners (n, 2) that come back to where they were when followed to the new picture and back, and where they went."""
    window, initial = (_FLOW_WINDOW_PX, _FLOW_WINDOW_PX), cv2.OPTFLOW_USE_INITIAL_FLOW
    criteria = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_COUNT, 30, 0.01)
    went, found, _ = cv2.calcOpticalFlowPyrLK(old, new, corners, corners + shift, None, None, window, _FLOW_LEVELS, criteria, initial)
    back, returned, _ = cv2.calcOpticalFlowPyrLK(new, old, went, corners.copy(), None, None, window, _FLOW_LEVELS, criteria, initial)
    off = np.linalg.norm(back - corners, axis=2).ravel()
    kept = (found.ravel() == 1) & (returned.ravel() == 1) & (off < _FORTH_AND_BACK_PX)
    return corners[kept].reshape(-1, 2), cast(Floats, went[kept].reshape(-1, 2))


def _inside(picture: Picture, place: _Place, aspect: float) -> bool:
    """Whether enough of the head lies in the picture to tell its height."""
    height, width = picture.shape[:2]
    half_width, half_height = place.height * aspect / 2, place.height / 2
    across = min(place.x + half_width, width) - max(place.x - half_width, 0)
    down = min(place.y + half_height, height) - max(place.y - half_height, 0)
    return bool(across >= _LEAST_INSIDE * 2 * half_width and down >= _LEAST_INSIDE * 2 * half_height)


def _confidence(score: float, variance: float) -> float:
    """That it is the head, times that its height is within 8 %, were errors normally spread."""
    head = np.interp(score, (_LEAST_MATCH, _SURE_MATCH), (0.5, 1.0))
    within = erf(_WITHIN / np.sqrt(2 * max(variance, 1e-8)))
    return float(head * within)


def _looked_for(picture: Picture, views: list[_View], mask: NDArray[np.uint8], height_px: float) -> _Place | None:
    """Where in the whole picture a view is matched best, coarsely, at heights around the last one known."""
    best: _Place | None = None
    best_score = _LEAST_MATCH
    small_mask = cv2.resize(mask, None, fx=_SEARCH_HEAD_PX / _HEAD_PX, fy=_SEARCH_HEAD_PX / _HEAD_PX, interpolation=cv2.INTER_NEAREST)
    masks = np.repeat(small_mask[:, :, None], 3, axis=2)
    chosen = views[:1] + views[1:][-3:]
    small_views = [cv2.resize(view.patch, (small_mask.shape[1], small_mask.shape[0]), interpolation=cv2.INTER_AREA) for view in chosen]
    for share in _SEARCH_SHARES:
        scale = _SEARCH_HEAD_PX / (height_px * share)
        small = cv2.resize(picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        if small.shape[0] < masks.shape[0] or small.shape[1] < masks.shape[1]:
            continue
        for view in small_views:
            scores = np.nan_to_num(cv2.matchTemplate(small, view, cv2.TM_CCOEFF_NORMED, mask=masks), nan=-1, posinf=-1, neginf=-1)
            _, score, _, (x, y) = cv2.minMaxLoc(scores)
            if score > best_score:
                best_score, best = score, _Place((x + masks.shape[1] / 2) / scale, (y + masks.shape[0] / 2) / scale, height_px * share)
    return best


def _colour(picture: Picture) -> Picture:
    return cast(Picture, cv2.cvtColor(picture, cv2.COLOR_GRAY2RGB)) if picture.ndim == 2 else picture


def _refuse_outside(picture: Picture, box: Box) -> None:
    left, top, width, height = box
    rows, columns = picture.shape[:2]
    if width <= 0 or height <= 0 or left + width <= 0 or top + height <= 0 or left >= columns or top >= rows:
        raise UseFault(f"The head box {box} does not lie in a picture of {columns} x {rows}; mark it again.")


def _track(seen: list[_Seen], aspect: float) -> HeadTrack:
    heights = np.array([one.place.height if one.place else np.nan for one in seen], np.float64)
    boxes = np.array([_box(one.place, aspect) if one.place else (np.nan,) * 4 for one in seen], np.float32)
    return HeadTrack(
        heights,
        boxes,
        np.array([one.confidence for one in seen], np.float32),
        np.array([one.match for one in seen], np.float32),
        np.array([one.points for one in seen], np.int32),
    )


def _box(place: _Place, aspect: float) -> Box:
    width = place.height * aspect
    return place.x - width / 2, place.y - place.height / 2, width, place.height
