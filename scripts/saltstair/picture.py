"""Paints one frame: the hall, soft shadows, then everybody's quads far to near, blurred over the open shutter."""

from __future__ import annotations

import cv2
import numpy as np

from .body import Poses
from .choreography import Choreography
from .hall import box_quads, cart, raycast, rostra
from .mesh import Figure, Quads, fixed_quads, wire_quads
from .optics import Operator, View
from .slatehand import SlateHand
from .story import ROLES, floor_height
from .wire import wire_ends, wire_on

_SHIFT = 4
_MARGIN, _EDGE = 160, 60
_JITTER = np.array(
    [[0.0, 0.0], [0.25, -0.25], [-0.25, 0.25], [0.375, 0.125], [-0.125, -0.375], [0.125, 0.375], [-0.375, -0.125], [0.3, 0.3], [-0.3, -0.3]]
)
_SHADOW_LIMBS = (
    ("pelvis", "chest", 0.16),
    ("chest", "head", 0.10),
    ("hip_left", "knee_left", 0.09),
    ("hip_right", "knee_right", 0.09),
    ("knee_left", "ankle_left", 0.07),
    ("knee_right", "ankle_right", 0.07),
    ("shoulder_left", "elbow_left", 0.06),
    ("shoulder_right", "elbow_right", 0.06),
    ("elbow_left", "hand_left", 0.05),
    ("elbow_right", "hand_right", 0.05),
)


class Projected:
    """Quads as a camera sees them, all samples of an open shutter at once."""

    def __init__(self, view: View, quads: Quads) -> None:
        self.quads = quads
        self.px, depth = view.project(quads.corners)
        # Four corners are added and compared by hand: a reduction over an axis of four is many times slower.
        self.near = np.minimum(np.minimum(depth[..., 0], depth[..., 1]), np.minimum(depth[..., 2], depth[..., 3])) > 0.15
        self.order = quads.nearer - (depth[..., 0] + depth[..., 1] + depth[..., 2] + depth[..., 3]) / 4
        d1, d2 = self.px[:, :, 2] - self.px[:, :, 0], self.px[:, :, 3] - self.px[:, :, 1]
        self.faces = (d1[..., 0] * d2[..., 1] - d1[..., 1] * d2[..., 0] < 0) | quads.two_sided

    def draw(self, img: np.ndarray, sample: int, origin: tuple[int, int], jitter: np.ndarray) -> None:
        """Painter's algorithm into a window of the frame whose upper left corner is `origin`."""
        h, w = img.shape[:2]
        keep = np.flatnonzero(self.near[sample] & self.faces[sample])
        local = self.px[sample, keep] - np.array(origin) + jitter
        # Quads are small, so one corner with a margin decides whether the rest can be in the window.
        x, y = local[:, 0, 0], local[:, 0, 1]
        inside = (x > -_MARGIN) & (y > -_MARGIN) & (x < w + _MARGIN) & (y < h + _MARGIN)
        keep, local = keep[inside], local[inside]
        order = np.argsort(self.order[sample, keep], kind="stable")
        points = np.round((local[order] - 0.5) * (1 << _SHIFT)).astype(np.int32)
        colours = self.quads.colours[sample, keep[order]].tolist()
        fill = cv2.fillConvexPoly
        for p, c in zip(points, colours, strict=True):
            fill(img, p, c, 8, _SHIFT)

    def window(self, size: tuple[int, int]) -> tuple[int, int, int, int] | None:
        """The part of the frame that anything is painted in."""
        seen = self.px[:, :, 0][self.near]
        if not len(seen):
            return None
        low, high = seen.min(0) - _EDGE, seen.max(0) + _EDGE
        x0, y0 = np.clip(np.floor(low), 0, size).astype(int)
        x1, y1 = np.clip(np.ceil(high), 0, size).astype(int)
        return (int(x0), int(y0), int(x1), int(y1)) if x1 - x0 > 2 and y1 - y0 > 2 else None


class Painter:
    """Paints the frames of one tape."""

    def __init__(self, show: Choreography, operator: Operator, board: SlateHand, blur_px: float) -> None:
        self.show, self.operator, self.board, self.blur_px = show, operator, board, blur_px
        self.figures = {(r, d): Figure(show.performers[r].name, r, show.performers[r].stature, d) for r in ROLES for d in range(3)}
        self.rostra, self.cart = fixed_quads(*rostra()), fixed_quads(*cart())
        # Tape lies on the boards: without a push forward it would lose the sorting against the plank below it.
        self.rostra.nearer[np.ptp(self.rostra.corners[0][:, :, 0], axis=1) < 0.06] = 0.10
        self._empty: tuple[bytes, np.ndarray] | None = None

    def empty_hall(self, view: View) -> np.ndarray:
        """Hall and fixed props without people; kept while the camera stands still."""
        key = view.axes.tobytes() + np.float64(view.focal_px).tobytes()
        if self._empty is not None and self._empty[0] == key:
            return self._empty[1]
        # A still camera pays for a sharp hall once; a long lens throws the hall out of focus anyway.
        over = {"A": 1.5, "B": 1.0, "C": 0.5}[self.operator.tape.camera]
        hall = raycast(view, over)
        if over != 1.0:
            hall = cv2.resize(hall, view.size_px, interpolation=cv2.INTER_AREA if over > 1 else cv2.INTER_CUBIC)
        if self.blur_px:
            hall = cv2.GaussianBlur(hall, (0, 0), self.blur_px)
        self._shade_rostra_foot(hall, view)
        props = Projected(view, Quads.join([self.rostra, self.cart]))
        if not props.faces[props.near].any() or props.window(view.size_px) is None:
            self._empty = (key, hall)
            return hall
        total = np.zeros(hall.shape, np.float32)
        for j in _JITTER[:4]:
            layer = hall.copy()
            props.draw(layer, 0, (0, 0), j)
            cv2.accumulate(layer, total)
        hall = np.clip(total / 4, 0, 255).astype(np.uint8)
        self._empty = (key, hall)
        return hall

    def _shade_rostra_foot(self, hall: np.ndarray, view: View) -> None:
        corners, _ = box_quads(-0.62, 0.12, 0.08, 0.98, 0, 0.002, (0, 0, 0), 2.0)
        self._darken(hall, view, list(corners[:1]), 0.35)

    def _darken(self, hall: np.ndarray, view: View, polygons: list[np.ndarray], strength: float) -> None:
        mask = np.zeros((hall.shape[0] // 4, hall.shape[1] // 4), np.uint8)
        for p in polygons:
            px, depth = view.project(p)
            if depth.min() > 0.2:
                cv2.fillPoly(mask, [np.round(px / 4).astype(np.int32)], 255)
        self._apply(hall, cv2.GaussianBlur(mask, (0, 0), 4), strength)

    @staticmethod
    def _apply(img: np.ndarray, mask: np.ndarray, strength: float) -> None:
        rows, cols = np.flatnonzero(mask.any(1)), np.flatnonzero(mask.any(0))
        if not len(rows):
            return
        y0, y1, x0, x1 = rows[0] * 4, min(rows[-1] * 4 + 4, img.shape[0]), cols[0] * 4, min(cols[-1] * 4 + 4, img.shape[1])
        full = cv2.resize(mask[rows[0] : rows[-1] + 1, cols[0] : cols[-1] + 1], (x1 - x0, y1 - y0), interpolation=cv2.INTER_LINEAR)
        keep = (255 - full.astype(np.float32) * strength).astype(np.uint8)
        img[y0:y1, x0:x1] = cv2.multiply(img[y0:y1, x0:x1], cv2.merge([keep] * 3), scale=1 / 255)

    def shadows(self, img: np.ndarray, view: View, poses: list[Poses]) -> None:
        """Soft light from above: limbs thrown on the floor, darker where a sole is close to it."""
        h, w = img.shape[0] // 4, img.shape[1] // 4
        soft, close = np.zeros((h, w), np.uint8), np.zeros((h, w), np.uint8)
        for pose in poses:
            j = pose.joints
            floor = floor_height(float(j["pelvis"][0]))
            segments = [(j[a], j[b], r) for a, b, r in _SHADOW_LIMBS]
            if pose.staff is not None:
                segments.append((*pose.staff, 0.025))
            for a, b, r in segments:
                ends = np.array([a, b])
                drop = np.maximum(ends[:, 2:3] - floor, 0)
                ends = np.concatenate([ends[:, :2] + drop * np.array([[0.16, 0.20]]), np.full((2, 1), floor)], 1)
                px, depth = view.project(ends)
                if depth.min() < 0.3:
                    continue
                width = max(1, int(2 * r * view.focal_px / depth.mean() / 4 * 0.8))
                (x0, y0), (x1, y1) = np.round(px / 4).astype(int).tolist()
                cv2.line(soft, (x0, y0), (x1, y1), 200, width)
            for foot in ("left", "right"):
                a, t = j[f"ankle_{foot}"], j[f"toe_{foot}"]
                under = floor_height(float(a[0]))
                gap = max(0.0, a[2] - under - 0.08)
                mid = (a + t) / 2
                px, depth = view.project(
                    np.array([[mid[0], mid[1], under], [mid[0] + 0.17, mid[1], under], [mid[0], mid[1] + 0.15, under]])
                )
                if depth.min() < 0.3 or gap > 0.4:
                    continue
                rx, ry = abs(px[1, 0] - px[0, 0]) / 4 + 1, abs(px[2, 1] - px[0, 1]) / 4 + 1
                cv2.ellipse(close, (int(px[0, 0] / 4), int(px[0, 1] / 4)), (int(rx), int(ry)), 0, 0, 360, int(255 * (1 - gap / 0.4)), -1)
        spread = max(1.2, view.focal_px / 900)
        self._apply(img, cv2.GaussianBlur(soft, (0, 0), 2.2 * spread), 0.34)
        self._apply(img, cv2.GaussianBlur(close, (0, 0), 1.0 * spread), 0.50)

    def frame(self, hall_time: float, shutter: float) -> np.ndarray:
        """The frame exposed from `hall_time` for `shutter` seconds."""
        view = self.operator.view(hall_time + shutter / 2)
        img = self.empty_hall(view).copy()
        probe = np.array([hall_time, hall_time + shutter])
        ends = {r: self.show.poses(r, probe) for r in ROLES}
        sub = self._samples(view, ends)
        times = hall_time + shutter * (np.arange(sub) + 0.5) / sub
        poses = {r: self.show.poses(r, times) for r in ROLES}
        slate = self.board.at(times)
        middle = [poses[r].pick(sub // 2) for r in ROLES] + [slate.pick(sub // 2)]
        self.shadows(img, view, middle)
        detail = {r: self._detail(view, poses[r]) for r in ROLES}
        wired = wire_on(self.show, times)
        lines = wire_ends(self.show, times) if wired.any() else None
        parts = [self.figures[r, detail[r]].quads(poses[r]) for r in ROLES if self._can_be_seen(view, poses[r])]
        parts.append(self.cart)
        if lines is not None:
            parts.append(wire_quads(*lines))
        if self._can_be_seen(view, slate):
            parts.append(self.board.quads(slate, times, self._detail(view, slate)))
        scene = Projected(view, Quads.join(parts))
        box = scene.window(view.size_px)
        if box:
            x0, y0, x1, y1 = box
            ground = img[y0:y1, x0:x1]
            total = np.zeros(ground.shape, np.float32)
            for i in range(sub):
                layer = ground.copy()
                scene.draw(layer, i, (x0, y0), _JITTER[i % len(_JITTER)])
                cv2.accumulate(layer, total)
            img[y0:y1, x0:x1] = np.clip(total / sub + 0.5, 0, 255).astype(np.uint8)
        return self._lens(img)

    @staticmethod
    def _can_be_seen(view: View, pose: Poses) -> bool:
        """Whether a body with arms and staff spread could reach into the frame."""
        px, depth = view.project(pose.joints["pelvis"][:1])
        if depth[0] < 0.4:
            return False
        reach = 2.1 * view.focal_px / float(depth[0])
        w, h = view.size_px
        return bool(-reach < px[0, 0] < w + reach and -reach < px[0, 1] < h + reach)

    @staticmethod
    def _detail(view: View, pose: Poses) -> int:
        """Finer meshes for larger heads; nobody sees the facets of a head of thirty pixels."""
        px, depth = view.project(pose.joints["head"][:1])
        head_px = view.focal_px * 0.23 / max(float(depth[0]), 0.3)
        if not (-200 < px[0, 0] < view.size_px[0] + 200):
            return 0
        return 0 if head_px < 48 else 1 if head_px < 110 else 2

    @staticmethod
    def _samples(view: View, ends: dict[str, Poses]) -> int:
        moved = 0.0
        for p in ends.values():
            points = (
                np.stack([p.staff[0], p.staff[1], p.joints["hand_left"], p.joints["head"]], 1) if p.staff else p.joints["head"][:, None]
            )
            px, depth = view.project(points)
            if depth.min() > 0.3:
                moved = max(moved, float(np.linalg.norm(px[1] - px[0], axis=-1).max()))
        # Large in the frame, a blur of twelve samples is already smooth.
        return int(np.clip(np.ceil(moved / (5.0 + view.focal_px / 2500)), 3, 18 if view.focal_px < 2500 else 12))

    def _lens(self, img: np.ndarray) -> np.ndarray:
        h, w = img.shape[:2]
        if getattr(self, "_fall", None) is None or self._fall.shape[:2] != (h, w):
            yy, xx = np.mgrid[0:h, 0:w].astype(np.float32)
            r2 = ((xx - w / 2) ** 2 + (yy - h / 2) ** 2) / ((w * w + h * h) / 4)
            tint = {"A": (1.0, 1.0, 1.0), "B": (0.97, 1.0, 1.035), "C": (1.03, 1.0, 0.985)}[self.operator.tape.camera]
            gain = 1 - 0.17 * r2
            self._fall = np.clip(cv2.merge([gain * t for t in tint]) * 212, 0, 255).astype(np.uint8)
        return cv2.multiply(img, self._fall, scale=1 / 188)
