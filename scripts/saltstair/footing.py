"""Ground tracks and steps: where each role stands when, and which foot is planted, lifted or in flight; no trunk, no arms."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .story import floor_height
from .tracks import LINEAR, SMOOTH, Track

GRAVITY = 9.80665
STANCE = {"left": (0.29, -0.11), "right": (-0.27, 0.11)}
_FOOT_TURN = {"left": 8.0, "right": -48.0}


@dataclass(frozen=True)
class Anchor:
    """Be at `x`, `y` by `at`, moving in the `window` seconds before."""

    at: float
    window: float
    x: float
    y: float
    flight_apex: float = 0.0
    tuck: float = 0.0


@dataclass(frozen=True)
class Step:
    """One foot on its way: from `begin` to `end`, landing at `spot`."""

    foot: str
    begin: float
    end: float
    spot: tuple[float, float, float]
    turn: float
    lift: float


@dataclass(frozen=True)
class Flight:
    """A moment with both feet off the floor; `apex` is the rise of the hips above take-off."""

    take_off: float
    landing: float
    bow: float
    rise: float
    tuck: float

    @property
    def apex(self) -> float:
        """Largest height over take-off of a parabola that also ends `rise` higher."""
        if self.bow <= 0:
            return max(self.rise, 0.0)
        u = min(1.0, 0.5 + self.rise / (8 * self.bow))
        return self.rise * u + 4 * self.bow * u * (1 - u)


def _spot(anchor_xy: np.ndarray, yaw: float, foot: str) -> tuple[float, float, float]:
    forward, right = STANCE[foot]
    f = np.array([np.cos(yaw), np.sin(yaw)])
    r = np.array([np.sin(yaw), -np.cos(yaw)])
    x, y = anchor_xy + f * forward + r * right
    return float(x), float(y), floor_height(float(x))


class Footing:
    """Feet and ground point of one role over a session."""

    def __init__(self, anchors: list[Anchor], yaw: Track) -> None:
        self.anchors = sorted(anchors, key=lambda a: a.at)
        self.yaw = yaw
        self.steps: list[Step] = []
        self.flights: list[Flight] = []
        first = self.anchors[0]
        times, rows, into = [first.at], [[first.x, first.y, 0.0]], [SMOOTH]
        self._start = {f: _spot(np.array([first.x, first.y]), self._yaw(first.at), f) for f in STANCE}
        rows[0][2] = self._level(first)
        for prev, now in zip(self.anchors, self.anchors[1:], strict=False):
            begin = max(prev.at + 0.02, now.at - now.window)
            level = self._level(now)
            times += [begin, now.at]
            rows += [rows[-1], [now.x, now.y, level]]
            into += [SMOOTH, LINEAR if now.flight_apex or now.tuck else SMOOTH]
            if now.flight_apex or now.tuck:
                self._fly(begin, now, rows[-1][2] - rows[-2][2])
            else:
                self._walk(begin, prev, now)
        self.ground = Track(times, rows, into)

    def _yaw(self, t: float) -> float:
        return float(self.yaw.at(np.array([t]))[0, 0])

    def _level(self, a: Anchor) -> float:
        return float(np.mean([_spot(np.array([a.x, a.y]), self._yaw(a.at), f)[2] for f in STANCE]))

    def _fly(self, begin: float, now: Anchor, rise: float) -> None:
        here = np.array([now.x, now.y])
        for n, foot in enumerate(("right", "left")):
            self.steps.append(
                Step(foot, begin + 0.03 * n, now.at + 0.03 * n, _spot(here, self._yaw(now.at), foot), self._yaw(now.at), now.tuck)
            )
        self.flights.append(Flight(begin, now.at, now.flight_apex, rise, now.tuck))

    def _walk(self, begin: float, prev: Anchor, now: Anchor) -> None:
        a, b = np.array([prev.x, prev.y]), np.array([now.x, now.y])
        distance = float(np.linalg.norm(b - a))
        turned = abs(self._yaw(now.at) - self._yaw(begin))
        if distance < 0.03 and turned < 0.2:
            return
        pairs = max(1, int(np.ceil(distance / 0.55)), int(np.ceil(turned / 1.8)))
        slot = (now.at - begin) / (2 * pairs)
        yaw = self._yaw(now.at)
        ahead = float((b - a) @ np.array([np.cos(yaw), np.sin(yaw)]))
        order = ("left", "right") if ahead > 0 else ("right", "left")
        lift = 0.05 + min(0.07, distance * 0.05)
        for i in range(2 * pairs):
            share = (i // 2 + 1) / pairs
            t0 = begin + i * slot
            t1 = min(t0 + 1.25 * slot, now.at + 0.04)
            y = self._yaw(t1)
            self.steps.append(Step(order[i % 2], t0, t1, _spot(a + (b - a) * share, y, order[i % 2]), y, lift))

    def feet_at(self, ts: np.ndarray) -> dict[str, tuple[np.ndarray, np.ndarray, np.ndarray]]:
        """For each foot: sole position, turn in radians, and pitch (toe down when pushing off), at the times `ts`."""
        out = {}
        for foot in STANCE:
            steps = [s for s in self.steps if s.foot == foot]
            turn0 = np.radians(_FOOT_TURN[foot])
            where = np.repeat(np.array(self._start[foot])[None], len(ts), axis=0)
            turn = np.full(len(ts), self._yaw(self.anchors[0].at) + turn0)
            pitch = np.zeros(len(ts))
            last, last_turn = np.array(self._start[foot]), turn[0] if len(ts) else 0.0
            for s in steps:
                on = ts >= s.begin
                u = np.clip((ts[on] - s.begin) / (s.end - s.begin), 0, 1)
                travel = u * u * (3 - 2 * u) if s.lift < 0.3 else u
                path = last + (np.array(s.spot) - last) * travel[:, None]
                # Climbing a step: the sole must clear the edge, hence more lift early on.
                climb = max(0.0, s.spot[2] - last[2]) * 0.5 if s.lift < 0.3 else 0.0
                path[:, 2] += (s.lift + climb) * 4 * u * (1 - u)
                where[on] = path
                turn[on] = last_turn + (s.turn + turn0 - last_turn) * travel
                pitch[on] = 0.5 * np.sin(np.pi * np.clip(u * 1.6, 0, 1)) * (u < 1)
                last, last_turn = np.array(s.spot), s.turn + turn0
            out[foot] = (where, turn, pitch)
        return out

    def rise_at(self, ts: np.ndarray) -> np.ndarray:
        """Extra height of the hips in flight; the steady climb is already in the ground track."""
        out = np.zeros(len(ts))
        for f in self.flights:
            u = np.clip((ts - f.take_off) / (f.landing - f.take_off), 0, 1)
            out += 4 * f.bow * u * (1 - u)
        return out

    def footfalls(self) -> list[tuple[float, tuple[float, float, float], float]]:
        """Time, place and weight of every sole that comes down."""
        return [(s.end, s.spot, 1.0 if s.lift > 0.3 else 0.25 + s.lift * 4) for s in self.steps]
