"""The person with the clap board: stands in, claps, steps out; has no part in the fight."""

from __future__ import annotations

import itertools
from functools import lru_cache

import cv2
import numpy as np

from .body import Controls, Poses, solve
from .choreography import Choreography
from .footing import Anchor, Footing
from .mesh import Figure, Quads, shade
from .optics import board_place
from .timeline import PlayedPass
from .tracks import Track, unit

UP = np.array([0.0, 0.0, 1.0])
_STATURE, _W, _H = 1.72, 0.40, 0.30
_COLS, _ROWS = 132, 96


@lru_cache(maxsize=64)
def _face(slate: str, date_line: str) -> tuple[np.ndarray, np.ndarray]:
    """The board's face as runs of one colour: (row, from, to) and colours, dark with chalk writing."""
    big = np.full((_ROWS * 6, _COLS * 6), 40, np.uint8)

    def write(words: str, x: int, y: int, scale: float, thick: int) -> None:
        cv2.putText(big, words, (x, y), cv2.FONT_HERSHEY_DUPLEX, scale, 235, thick, cv2.LINE_AA)

    phrases, take = slate.split("/")
    write("THE SALT STAIR", 40, 110, 2.6, 7)
    cv2.line(big, (0, 150), (big.shape[1], 150), 200, 5)
    write("PHRASE", 36, 215, 1.5, 5)
    write("TAKE", 500, 215, 1.5, 5)
    write(phrases, 50, 430, 7.0 if len(phrases) < 3 else 5.2, 20)
    write(take, 520, 430, 7.0, 20)
    cv2.line(big, (0, 470), (big.shape[1], 470), 200, 5)
    write(date_line, 40, 545, 1.7, 5)
    small = cv2.resize(big, (_COLS, _ROWS), interpolation=cv2.INTER_AREA)
    levels = (small // 40 * 40).astype(int) + 20
    runs, colours = [], []
    for r in range(_ROWS):
        edges = np.concatenate([[0], np.flatnonzero(np.diff(levels[r])) + 1, [_COLS]])
        for a, b in itertools.pairwise(edges):
            runs.append((r, a, b))
            v = levels[r, a]
            colours.append((v * 0.95, v, v))
    return np.array(runs), np.array(colours, float)


class SlateHand:
    """One board for the whole session, ready before every pass."""

    def __init__(self, show: Choreography) -> None:
        self.show = show
        out = np.array(show.session.slate_leaves)
        first = board_place(show, show.passes[0])
        anchors = [Anchor(-2.0, 0.1, first[0], first[1] + 0.02)]
        for p in show.passes:
            x, y, _ = board_place(show, p)
            if p.index:
                anchors.append(Anchor(p.clap - 0.35, min(2.1, p.clap - 0.4 - p.reset_from), x, y))
            anchors.append(Anchor(p.clap + 0.62 + float(np.hypot(*out)) / 1.9, float(np.hypot(*out)) / 1.9, x + out[0], y + out[1]))
        self.footing = Footing(anchors, Track([-3.0, show.end + 3], [[-np.pi / 2], [-np.pi / 2]]))
        self.figures = [Figure("slate hand", "slate", _STATURE, d) for d in range(3)]
        times = [-3.0] + [t for p in show.passes for t in (p.clap - 0.75, p.clap - 0.35, p.clap + 0.42, p.clap + 0.85)] + [show.end + 3]
        raised = [[1.0]] + [v for p in show.passes for v in ([0.0] if p.index else [1.0], [1.0], [1.0], [0.0])] + [[0.0]]
        self.raised = Track(times, raised)

    def _pass_at(self, t: float) -> PlayedPass:
        """The pass whose board is being shown; the next one's numbers go on once he has stepped out."""
        current = self.show.passes[0]
        for p in self.show.passes[1:]:
            if t > p.reset_from - 0.5:
                current = p
        return current

    def at(self, ts: np.ndarray) -> Poses:
        """His pose at hall times."""
        ground, n = self.footing.ground.at(ts), len(ts)
        up = self.raised.at(ts)[:, 0]
        zero = np.zeros(n)
        centre = ground + np.stack([zero, -0.26 - 0.16 * up, 0.70 + 0.49 * up], 1)
        across = np.repeat(unit(np.array([[1.0, 0.0, 0.0]])), n, 0)
        look = ground + np.array([0.0, -4.0, 1.35])
        feet = self.footing.feet_at(ts)
        c = Controls(
            ground,
            zero,
            zero - np.pi / 2,
            zero,
            zero + 0.03,
            zero + 0.012,
            zero,
            feet,
            centre,
            across,
            np.tile([[0.15, -0.15]], (n, 1)),
            zero,
            ground,
            look,
            np.sin(ts * 2.4),
            0.2,
            stance_turn=0.0,
        )
        pose = solve(c, _STATURE, with_staff=False)
        pose.frames["board"] = centre
        return pose

    def opening(self, t: float) -> float:
        """Angle of the clap stick in radians; shut exactly at the clap."""
        p = self._pass_at(t)
        before = p.clap - t
        if before <= 0:
            return 0.0
        return 0.62 * float(np.clip(before / 0.11, 0, 1)) if before < 0.11 else 0.62

    def quads(self, pose: Poses, ts: np.ndarray, detail: int) -> Quads:
        """Person, board and stick at the samples of one frame."""
        right, tilt = np.array([1.0, 0.0, 0.0]), unit(UP + np.array([0.0, 0.10, 0.0]))
        corner = pose.frames["board"] + np.array([0.0, -0.055, 0.0]) - right * _W / 2
        slate = self._pass_at(float(ts[0])).plan.slate
        still = np.zeros(len(ts))
        moving = np.array([self.opening(float(t)) for t in ts])
        return Quads.join(
            [
                self.figures[detail].quads(pose),
                self._panel(corner, right, tilt, slate),
                self._stick(corner + tilt * (_H + 0.022), right, tilt, still),
                self._stick(corner + tilt * (_H + 0.066), right, tilt, moving),
            ]
        )

    def _panel(self, corner: np.ndarray, right: np.ndarray, up: np.ndarray, slate: str) -> Quads:
        runs, colours = _face(slate, self.show.session.name.upper())
        x0, x1 = runs[:, 1] / _COLS * _W, runs[:, 2] / _COLS * _W
        y1, y0 = _H - runs[:, 0] / _ROWS * _H, _H - (runs[:, 0] + 1) / _ROWS * _H

        def at(x: np.ndarray, y: np.ndarray) -> np.ndarray:
            return x[:, None] * right + y[:, None] * up

        flat = np.stack([at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)], 1)
        n = len(flat)
        front = Quads(corner[:, None, None] + flat, np.broadcast_to(colours, (len(corner), n, 3)), np.full(n, 0.12), np.zeros(n, bool))
        rear = np.array([[right * 0, up * _H, up * _H + right * _W, right * _W]]) + np.array([0, 0.012, 0])
        back = Quads(corner[:, None, None] + rear, np.broadcast_to([[70.0, 84, 96]], (len(corner), 1, 3)), np.zeros(1), np.zeros(1, bool))
        return Quads.join([front, back])

    @staticmethod
    def _stick(corner: np.ndarray, right: np.ndarray, up: np.ndarray, angle: np.ndarray) -> Quads:
        cos, sin = np.cos(angle)[:, None], np.sin(angle)[:, None]
        along, across = right * cos + up * sin, up * cos - right * sin
        quads, colours = [], []
        for k in range(8):
            a, b = corner + along * _W * k / 8, corner + along * _W * (k + 1) / 8
            slant = along * 0.018
            quads.append(
                np.stack([a - across * 0.02 - slant, b - across * 0.02 - slant, b + across * 0.02 + slant, a + across * 0.02 + slant], 1)
            )
            colours.append((225, 232, 234) if k % 2 else (44, 44, 46))
        lit = shade(np.tile([[[0.0, -1.0, 0.2]]], (len(angle), 8, 1)), np.array(colours, float))
        return Quads(np.stack(quads, 1), lit, np.full(8, 0.14), np.ones(8, bool))
