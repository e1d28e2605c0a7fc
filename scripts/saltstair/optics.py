"""Pinhole cameras on a head that pans: projection, what a framing is called, and which face shows; no drawing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter1d

from .choreography import Choreography
from .session import Tape
from .story import ROLES
from .timeline import PlayedPass, rng_for

# Borders between shot sizes, as the share of the body that is above the lower frame line. They lie midway between
# the usual cuts: chest .265, waist .398, knee .72, whole figure 1.
_SIZE_BORDERS = ((0.12, "extreme close"), (0.205, "close"), (0.33, "medium close"), (0.56, "medium"), (0.86, "medium wide"))
_FULL_FROM, _WIDE_FROM = 0.62, 0.33
_FACE_FULL, _FACE_PART = 65.0, 105.0
_GRID = 1 / 60


@dataclass(frozen=True)
class View:
    """A camera at one instant: rows of `axes` are screen right, screen down and forward in the hall."""

    position: np.ndarray
    axes: np.ndarray
    focal_px: float
    size_px: tuple[int, int]

    def project(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Pixel positions and depths of points in the hall."""
        points = np.asarray(points)
        p = (points - self.position.astype(points.dtype)) @ self.axes.T.astype(points.dtype)
        depth = np.maximum(p[..., 2], 0.05)
        centre = np.array([self.size_px[0] / 2, self.size_px[1] / 2], points.dtype)
        return p[..., :2] / depth[..., None] * self.focal_px + centre, p[..., 2]


def axes_from(pan: float, tilt: float, roll: float) -> np.ndarray:
    """Pan clockwise from +y seen from above, tilt upwards, roll; all in radians."""
    forward = np.array([np.sin(pan) * np.cos(tilt), np.cos(pan) * np.cos(tilt), np.sin(tilt)])
    right = np.array([np.cos(pan), -np.sin(pan), 0.0])
    down = np.cross(forward, right)
    c, s = np.cos(roll), np.sin(roll)
    return np.stack([right * c + down * s, down * c - right * s, forward])


def board_place(show: Choreography, p: PlayedPass) -> np.ndarray:
    """Where the slate hand stands: beside the pair, off their line."""
    x = np.mean([show.footing[r].ground.at(np.array([p.clap]))[0, 0] for r in ROLES])
    return np.array([x, 1.05, 0.0])


class Operator:
    """One camera through one session: where it looks at each hall time."""

    def __init__(self, tape: Tape, show: Choreography, seed: int) -> None:
        self.tape, self.show = tape, show
        self.position = np.array(tape.position)
        self.grid = np.arange(-1.0, show.end + 1.0, _GRID)
        rows = self._targets()
        lag = 0.20 if tape.camera == "A" else 0.24
        smooth = gaussian_filter1d(rows, lag / _GRID, axis=0, mode="nearest")
        self.rows = np.concatenate([smooth, np.zeros((len(smooth), 1))], 1)
        if tape.shake:
            self.rows[:, [0, 1, 3]] += self._shake(rng_for(seed, tape.reel, "shake")) * tape.shake

    def _targets(self) -> np.ndarray:
        t = self.grid
        rows = np.zeros((len(t), 3))
        feet = {r: self.show.footing[r].ground.at(t) for r in ROLES}
        for p in self.show.passes:
            framing = self.tape.framings[p.index]
            on = t >= (p.reset_from + 0.25 if p.index else -9.0)
            if framing.aim == "both":
                slow = gaussian_filter1d((feet["Odile"] + feet["Reeve"]) / 2, 0.5 / _GRID, axis=0, mode="nearest")
                where = slow + np.array([0.0, 0.0, framing.aim_height])
                if framing.fixed_x is not None:
                    where = np.tile([framing.fixed_x, 0.0, framing.aim_height], (len(t), 1))
            else:
                lift = gaussian_filter1d(self.show.footing[framing.aim].rise_at(t), 0.13 / _GRID) * 0.95
                where = gaussian_filter1d(feet[framing.aim], 0.22 / _GRID, axis=0, mode="nearest")
                lean = self._head_lead(framing.aim, t)
                where = where + lean
                where[:, 2] += framing.aim_height * self.show.performers[framing.aim].stature + lift
                # The operator shows the board first, then finds the performer.
                early = t < p.clap + 0.42
                where[early] = board_place(self.show, p) + np.array([0.0, -0.40, 1.30])
            ray = where - self.position
            flat = np.linalg.norm(ray[:, :2], axis=1)
            pan, tilt = np.arctan2(ray[:, 0], ray[:, 1]), np.arctan2(ray[:, 2], flat)
            rows[on] = np.stack([np.unwrap(pan), tilt, np.full(len(t), np.log(framing.focal_mm))], 1)[on]
        return rows

    def _head_lead(self, role: str, t: np.ndarray) -> np.ndarray:
        """An operator leaves room on the side where the blows come from."""
        rival = ROLES[role == "Odile"]
        line = self.show.footing[rival].ground.at(t) - self.show.footing[role].ground.at(t)
        line[:, 2] = 0
        return gaussian_filter1d(line, 0.5 / _GRID, axis=0, mode="nearest") * 0.10

    def _shake(self, rng: np.random.Generator) -> np.ndarray:
        n = len(self.grid)
        slow = gaussian_filter1d(rng.normal(size=(n, 3)), 0.40 / _GRID, axis=0)
        fast = gaussian_filter1d(rng.normal(size=(n, 3)), 0.045 / _GRID, axis=0)
        slow, fast = slow / slow.std(0), fast / fast.std(0)
        return np.radians(slow * [0.65, 0.45, 0.7] + fast * [0.05, 0.055, 0.05])

    def view(self, at: float) -> View:
        """The camera at a hall time, upright."""
        pan, tilt, log_focal, roll = (np.interp(at, self.grid, self.rows[:, i]) for i in range(4))
        size = self.tape.upright_px
        focal_px = float(np.exp(log_focal)) / self.tape.upright_sensor_mm[1] * size[1]
        return View(self.position, axes_from(pan, tilt, roll), focal_px, size)


def size_name(share: float, of_frame: float) -> str:
    """Shot size from the visible share of the body and, once whole, from its height in the frame."""
    for border, name in _SIZE_BORDERS:
        if share < border:
            return name
    if of_frame >= _FULL_FROM:
        return "full"
    return "wide" if of_frame >= _WIDE_FROM else "extreme wide"


def face_name(degrees: float) -> str:
    """How much of a face shows when it is turned `degrees` away from the lens."""
    return "full" if degrees <= _FACE_FULL else "part" if degrees <= _FACE_PART else "hidden"


class Framed:
    """What one camera sees of the bodies at a row of hall times; everything measured from the projection."""

    def __init__(self, operator: Operator, ts: np.ndarray) -> None:
        self.ts, self.operator = ts, operator
        self.views = [operator.view(t) for t in ts]
        show = operator.show
        self.poses = {r: show.poses(r, ts) for r in ROLES}
        self.px: dict[str, dict[str, np.ndarray]] = {}
        for r in ROLES:
            j = self.poses[r].joints
            soles = show.footing[r].ground.at(ts)
            named = {"crown": j["crown"], "chin": j["chin"], "head": j["head"], "sole": soles, "pelvis": j["pelvis"]}
            self.px[r] = {k: np.array([v.project(p)[0] for v, p in zip(self.views, q, strict=True)]) for k, q in named.items()}

    def head_px(self, role: str) -> np.ndarray:
        """Crown to chin in pixels."""
        return np.linalg.norm(self.px[role]["crown"] - self.px[role]["chin"], axis=1)

    def in_frame(self, role: str, margin: float = 0.0) -> np.ndarray:
        """Whether the middle of the head is in the picture."""
        w, h = self.operator.tape.upright_px
        x, y = self.px[role]["head"].T
        return (x > -margin) & (x < w + margin) & (y > -margin) & (y < h + margin)

    def face_degrees(self, role: str) -> np.ndarray:
        """Angle between the face and the lens."""
        j, f = self.poses[role].joints["head"], self.poses[role].frames["head_forward"]
        to = self.operator.position - j
        to /= np.linalg.norm(to, axis=1, keepdims=True)
        return np.degrees(np.arccos(np.clip((to * f).sum(1), -1, 1)))

    def size(self, roles: tuple[str, ...]) -> str:
        """Shot size over the span, from the roles that the camera holds."""
        h = self.operator.tape.upright_px[1]
        share, part = [], []
        for r in roles:
            crown, sole = self.px[r]["crown"][:, 1], self.px[r]["sole"][:, 1]
            share.append(np.clip((h - crown) / (sole - crown), 0, 1))
            part.append((sole - crown) / h)
        visible = float(np.median(np.mean(share, axis=0)))
        return size_name(visible if visible < 0.97 else 1.0, float(np.median(np.mean(part, axis=0))))

    def angle(self) -> int:
        """Bearing of the lens around the pair; 0 = square on, Odile screen left; positive clockwise from above."""
        ground = {r: self.operator.show.footing[r].ground.at(self.ts)[:, :2] for r in ROLES}
        line = (ground["Reeve"] - ground["Odile"]).mean(0)
        to = self.operator.position[:2] - (ground["Reeve"] + ground["Odile"]).mean(0) / 2
        square = np.array([line[1], -line[0]])
        degrees = -np.degrees(np.arctan2(to[1], to[0]) - np.arctan2(square[1], square[0]))
        return int((round(degrees) + 180) % 360 - 180)

    def screen_left(self) -> str:
        """The role whose hips are further left in the picture."""
        x = {r: float(np.median(self.px[r]["pelvis"][:, 0])) for r in ROLES}
        return min(x, key=lambda r: x[r])
