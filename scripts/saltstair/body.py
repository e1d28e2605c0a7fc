"""A jointed body solved over time from feet, trunk keys and a staff; limb lengths never change, and nothing is drawn here."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .tracks import unit

UP = np.array([0.0, 0.0, 1.0])
# Shares of stature, from the usual figure-drawing proportions; hip height over the sole is thigh + shin + ankle.
SHARE = {
    "thigh": 0.245,
    "shin": 0.246,
    "ankle": 0.042,
    "hip": 0.052,
    "spine": 0.288,
    "shoulder": 0.112,
    "upper_arm": 0.176,
    "forearm": 0.200,
    "neck": 0.118,
    "crown": 0.065,
    "foot": 0.110,
}
BONES = {
    "spine": ("pelvis", "chest"),
    "neck": ("chest", "head"),
    **{
        f"{n}_{s}": (f"{a}_{s}" if a not in ("pelvis", "chest") else a, f"{b}_{s}")
        for s in ("left", "right")
        for n, a, b in (
            ("clavicle", "chest", "shoulder"),
            ("upper_arm", "shoulder", "elbow"),
            ("forearm", "elbow", "hand"),
            ("pelvis", "pelvis", "hip"),
            ("thigh", "hip", "knee"),
            ("shin", "knee", "ankle"),
            ("foot", "ankle", "toe"),
        )
    },
}


@dataclass
class Poses:
    """Joint positions (frames x 3) by name, plus the frames of reference that the drawing needs."""

    joints: dict[str, np.ndarray]
    frames: dict[str, np.ndarray]
    staff: tuple[np.ndarray, np.ndarray] | None
    grip_gap: np.ndarray

    def pick(self, i: int | slice) -> Poses:
        """One time, or some times, of the poses."""
        return Poses(
            {k: v[i] for k, v in self.joints.items()},
            {k: v[i] for k, v in self.frames.items()},
            None if self.staff is None else (self.staff[0][i], self.staff[1][i]),
            self.grip_gap[i],
        )


def two_bone(a: np.ndarray, target: np.ndarray, l1: float, l2: float, pole: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Middle and end joint of a limb from `a` towards `target`; an unreachable target is approached, never stretched to."""
    reach = target - a
    d = np.linalg.norm(reach, axis=1, keepdims=True)
    axis = reach / np.maximum(d, 1e-9)
    d = np.clip(d, abs(l1 - l2) + 1e-3, (l1 + l2) * 0.9995)
    along = (l1 * l1 - l2 * l2 + d * d) / (2 * d)
    out = np.sqrt(np.maximum(l1 * l1 - along * along, 0.0))
    side = pole - axis * (pole * axis).sum(1, keepdims=True)
    return a + axis * along + unit(side) * out, a + axis * d


def _turned(yaw: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    zero = np.zeros_like(yaw)
    return np.stack([np.cos(yaw), np.sin(yaw), zero], 1), np.stack([np.sin(yaw), -np.cos(yaw), zero], 1)


@dataclass
class Controls:
    """Everything a body is solved from, one row per time. Angles in radians."""

    ground: np.ndarray
    rise: np.ndarray
    yaw: np.ndarray
    twist: np.ndarray
    lean: np.ndarray
    crouch: np.ndarray
    push: np.ndarray
    feet: dict[str, tuple[np.ndarray, np.ndarray, np.ndarray]]
    staff_centre: np.ndarray
    staff_direction: np.ndarray
    grips: np.ndarray
    free_hand: np.ndarray
    free_target: np.ndarray
    look_at: np.ndarray
    breath: np.ndarray
    half_length: float
    stance_turn: float = -0.38


def _legs(c: Controls, h: float, pelvis: np.ndarray, hip_right: np.ndarray, joints: dict[str, np.ndarray]) -> np.ndarray:
    """Lower the pelvis until both planted legs reach, then bend them; returns the pelvis used."""
    thigh, shin, ankle_h = SHARE["thigh"] * h, SHARE["shin"] * h, SHARE["ankle"] * h
    ankles = {}
    for foot, sign in (("left", -1.0), ("right", 1.0)):
        sole, turn, pitch = c.feet[foot]
        f, _ = _turned(turn)
        heel_up = (np.sin(pitch) * 0.10 * h)[:, None]
        ankles[foot] = sole + UP * (ankle_h + heel_up) - f * 0.03
        level = ankles[foot] - (pelvis + hip_right * sign * SHARE["hip"] * h)
        flat = np.linalg.norm(level[:, :2], axis=1)
        top = ankles[foot][:, 2] + np.sqrt(np.maximum((0.992 * (thigh + shin)) ** 2 - flat**2, 0.05))
        pelvis[:, 2] -= np.log1p(np.exp((pelvis[:, 2] - top) / 0.012)) * 0.012
    for foot, sign in (("left", -1.0), ("right", 1.0)):
        sole, turn, pitch = c.feet[foot]
        f, r = _turned(turn)
        hip = pelvis + hip_right * sign * SHARE["hip"] * h
        knee, ankle = two_bone(hip, ankles[foot], thigh, shin, f + r * 0.15 * sign + UP * 0.1)
        down = np.sin(pitch)[:, None]
        joints[f"hip_{foot}"], joints[f"knee_{foot}"], joints[f"ankle_{foot}"] = hip, knee, ankle
        joints[f"toe_{foot}"] = ankle + unit(f - UP * (0.28 + 0.8 * down)) * SHARE["foot"] * h
    return pelvis


def solve(c: Controls, stature: float, with_staff: bool = True) -> Poses:
    """All joints for all times at once."""
    h = stature
    joints: dict[str, np.ndarray] = {}
    forward, _right = _turned(c.yaw)
    hip_f, hip_r = _turned(c.yaw + c.stance_turn + 0.35 * c.twist)
    _chest_f, chest_r = _turned(c.yaw + 0.8 * c.stance_turn + c.twist)
    stand = (SHARE["thigh"] + SHARE["shin"] + SHARE["ankle"]) * h
    pelvis = c.ground + forward * c.push[:, None] + UP * (stand - c.crouch * h / 1.75 + c.rise)[:, None]
    upper, fore, spine = SHARE["upper_arm"] * h, SHARE["forearm"] * h, SHARE["spine"] * h
    butt, tip = c.staff_centre - c.staff_direction * c.half_length, c.staff_centre + c.staff_direction * c.half_length
    trunk = unit(UP * np.cos(c.lean)[:, None] + forward * np.sin(c.lean)[:, None])
    grips = c.grips.copy()
    held = np.ones((len(c.yaw), 2))
    held[:, 0] = 1.0 - c.free_hand
    for _ in range(8):
        chest = pelvis + trunk * spine
        pull = np.zeros_like(chest)
        for n, (sign, lag) in enumerate(((-1.0, held[:, 0]), (1.0, held[:, 1]))):
            shoulder = chest + chest_r * sign * SHARE["shoulder"] * h
            at = c.staff_centre + c.staff_direction * grips[:, n : n + 1]
            over = np.linalg.norm(at - shoulder, axis=1) - 0.985 * (upper + fore)
            nearest = ((shoulder - c.staff_centre) * c.staff_direction).sum(1)
            slide = np.clip(nearest - grips[:, n], -1, 1) * np.clip(over, 0, None) * 0.9
            grips[:, n] = np.clip(grips[:, n] + slide * lag, -0.68, 0.55)
            pull += unit(at - shoulder) * (np.clip(over, 0, None) * lag)[:, None]
        trunk = unit(trunk * spine + pull * 0.6)
        pelvis = pelvis + pull * np.array([0.35, 0.35, 0.0])
    pelvis = _legs(c, h, pelvis, hip_r, joints)
    chest = pelvis + trunk * spine
    side = unit(chest_r - trunk * (chest_r * trunk).sum(1, keepdims=True))
    facing = np.cross(trunk, side)
    lift = trunk * (c.breath * 0.006)[:, None]
    joints["pelvis"], joints["chest"] = pelvis, chest
    gap = np.zeros(len(c.yaw))
    for n, (name, sign) in enumerate((("left", -1.0), ("right", 1.0))):
        shoulder = chest + unit(side * sign + lift * 6) * SHARE["shoulder"] * h
        grip = c.staff_centre + c.staff_direction * grips[:, n : n + 1]
        target = grip if n else grip + (c.free_target - grip) * (1.0 - held[:, :1])
        pole = -UP * 0.75 + side * sign * 0.62 - facing * 0.25
        elbow, hand = two_bone(shoulder, target, upper, fore, pole)
        joints[f"shoulder_{name}"], joints[f"elbow_{name}"], joints[f"hand_{name}"] = shoulder, elbow, hand
        off = np.linalg.norm(hand - target, axis=1)
        gap = np.maximum(gap, off)
    sight = unit(c.look_at - (chest + UP * 0.2))
    # A neck turns about 75 degrees; beyond that the chest decides where the face goes.
    cos = (sight * facing).sum(1, keepdims=True)
    toward = unit(sight * np.clip(0.9 + cos, 0.0, 1.0) + facing * (0.25 + np.clip(-cos, 0, 1)))
    neck = unit(trunk * 0.7 + UP * 0.3 + toward * 0.22)
    head_up = unit(UP * 0.8 + trunk * 0.2)
    head_f = unit(toward - head_up * (toward * head_up).sum(1, keepdims=True) * 0.6)
    head_up = unit(head_up - head_f * (head_up * head_f).sum(1, keepdims=True))
    joints["head"] = chest + neck * SHARE["neck"] * h
    joints["crown"] = joints["head"] + head_up * SHARE["crown"] * h
    joints["chin"] = joints["head"] - head_up * SHARE["crown"] * h
    frames = {
        "hip_right": hip_r,
        "hip_forward": hip_f,
        "chest_right": side,
        "chest_forward": facing,
        "trunk": trunk,
        "head_forward": head_f,
        "head_up": head_up,
        "forward": forward,
        "grips": grips,
    }
    return Poses(joints, frames, (butt, tip) if with_staff else None, gap)
