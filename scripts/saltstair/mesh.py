"""Turns solved bodies and props into small shaded quads in the hall; it neither projects nor paints."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from .body import Poses
from .staffplay import STAFF_RADIUS
from .tracks import unit
from .wardrobe import COSTUMES, HEADS, PROFILES, Colour, Costume, Head

# Ceiling lamps in front of the windows' side, daylight from the windows, bounce from the floor.
_KEY_TINT, _DAY_TINT, _BOUNCE_TINT = np.array([0.60, 0.63, 0.66]), np.array([0.32, 0.28, 0.24]), np.array([0.05, 0.07, 0.09])
_KEY, _DAY = unit(np.array([-0.35, -0.55, 0.80])), unit(np.array([0.15, 0.88, 0.42]))


@dataclass
class Quads:
    """Corners (samples x n x 4 x 3) and shaded colours (samples x n x 3); `nearer` moves a quad forward when sorting."""

    corners: np.ndarray
    colours: np.ndarray
    nearer: np.ndarray
    two_sided: np.ndarray

    @staticmethod
    def join(parts: list[Quads]) -> Quads:
        """All quads in one."""
        samples = max(len(p.corners) for p in parts)

        def spread(x: np.ndarray) -> np.ndarray:
            return np.broadcast_to(x, (samples, *x.shape[1:]))

        return Quads(
            np.concatenate([spread(p.corners) for p in parts], 1, dtype=np.float32),
            np.concatenate([spread(p.colours) for p in parts], 1, dtype=np.float32),
            np.concatenate([p.nearer for p in parts]),
            np.concatenate([p.two_sided for p in parts]),
        )


def cross(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Cross product along the last axis, without the general one's reshuffling, which costs more than the sums."""
    ax, ay, az, bx, by, bz = a[..., 0], a[..., 1], a[..., 2], b[..., 0], b[..., 1], b[..., 2]
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], -1)


def direction(v: np.ndarray) -> np.ndarray:
    """Length one along the last axis."""
    return v / np.sqrt(np.maximum((v * v).sum(-1, keepdims=True), 1e-18))


def level(ref: np.ndarray, axis: np.ndarray) -> np.ndarray:
    """`ref` made square to `axis`."""
    return direction(ref - axis * (ref * axis).sum(-1, keepdims=True))


def shade(normals: np.ndarray, colours: np.ndarray, gloss: float = 0.0) -> np.ndarray:
    """Soft light on cloth: wrapped key, cool daylight, floor bounce."""
    key = np.clip((normals @ _KEY + 0.35) / 1.35, 0, 1)[..., None]
    day = np.clip((normals @ _DAY + 0.15) / 1.15, 0, 1)[..., None]
    up = normals[..., 2:3]
    light = (0.35 + 0.05 * up) + key * _KEY_TINT + day * _DAY_TINT + np.clip(-up, 0, 1) * _BOUNCE_TINT
    out = colours * light
    if gloss:
        out = out + gloss * 255 * key**12
    return np.clip(out, 0, 255)


def tube(
    centres: np.ndarray,
    n1: np.ndarray,
    n2: np.ndarray,
    r1: np.ndarray,
    r2: np.ndarray,
    sides: int,
    colours: np.ndarray,
    nearer: float = 0.0,
    gloss: float = 0.0,
) -> Quads:
    """A tube through rings (samples x k x 3) with elliptic sections; `colours` is (k-1 x 3) or (k-1 x sides x 3)."""
    angle = np.arange(sides) * (2 * np.pi / sides)
    across, along = (r1[..., None] * np.cos(angle))[..., None], (r2[..., None] * np.sin(angle))[..., None]
    ring = centres[..., None, :] + across * n1[..., None, :] + along * n2[..., None, :]
    nxt = np.concatenate([ring[:, :, 1:], ring[:, :, :1]], 2)
    corners = np.stack([ring[:, :-1], nxt[:, :-1], nxt[:, 1:], ring[:, 1:]], axis=3)
    corners = corners.reshape(len(corners), -1, 4, 3)
    normals = direction(cross(corners[:, :, 2] - corners[:, :, 0], corners[:, :, 3] - corners[:, :, 1]))
    if colours.ndim == 2:
        colours = np.repeat(colours[:, None], sides, axis=1)
    n = corners.shape[1]
    return Quads(corners, shade(normals, colours.reshape(-1, 3), gloss), np.full(n, nearer), np.zeros(n, bool))


@cache
def _profile(name: str, rings: int) -> np.ndarray:
    p = np.array(PROFILES[name])
    s = np.linspace(0, 1, rings)
    # Rings crowd where the profile was drawn densely, at the rounded ends.
    along = np.interp(s, np.linspace(0, 1, len(p)), p[:, 0])
    return np.stack([along, np.interp(along, p[:, 0], p[:, 1]), np.interp(along, p[:, 0], p[:, 2])], 1)


class Figure:
    """Builds the quads of one performer at one instant."""

    def __init__(self, performer: str, costume: str, stature: float, detail: int = 0) -> None:
        self.head: Head = HEADS[performer]
        self.costume: Costume = COSTUMES[costume]
        self.h = stature
        self.rings, self.sides = ((9, 12), (12, 18), (16, 28))[detail]
        self.head_rings, self.head_sides = ((12, 16), (20, 28), (32, 44))[detail]
        self.fine = detail > 0

    def limb(
        self, name: str, a: np.ndarray, b: np.ndarray, ref: np.ndarray, bands: list[tuple[float, Colour]], nearer: float = 0.0
    ) -> Quads:
        """A straight limb from a to b; `bands` give the colour from a share of its length onwards."""
        p = _profile(name, self.rings)
        axis = direction(b - a)
        n1 = level(ref, axis)
        centres = a[:, None] + (b - a)[:, None] * p[:, :1]
        mid = (p[1:, 0] + p[:-1, 0]) / 2
        colours = np.array([[c for at, c in bands if m >= at or at == bands[0][0]][-1] for m in mid], float)
        return tube(centres, n1[:, None], cross(axis, n1)[:, None], p[:, 1] * self.h, p[:, 2] * self.h, self.sides, colours, nearer)

    def quads(self, pose: Poses) -> Quads:
        """Everything that belongs to the performer, staff included."""
        j, f, c, h = pose.joints, pose.frames, self.costume, self.h
        parts = [self._torso(j, f)]
        for side, _sign in (("left", -1.0), ("right", 1.0)):
            right = f["chest_right"]
            parts += [
                self.limb("upper_arm", j[f"shoulder_{side}"], j[f"elbow_{side}"], right, [(-1, c.coat if c.skirt_to > 0.5 else c.sleeve)]),
                self.limb(
                    "forearm",
                    j[f"elbow_{side}"],
                    j[f"hand_{side}"],
                    right,
                    [(-1, c.sleeve), (0.74, c.coat_trim), (0.82, self.head.skin)],
                    nearer=0.06,
                ),
                self._hand(j[f"elbow_{side}"], j[f"hand_{side}"], right),
                self.limb("thigh", j[f"hip_{side}"], j[f"knee_{side}"], f["hip_right"], [(-1, c.trousers)]),
                self.limb("shin", j[f"knee_{side}"], j[f"ankle_{side}"], f["hip_right"], [(-1, c.trousers), (0.30, c.boots)]),
                self._foot(j[f"ankle_{side}"], j[f"toe_{side}"]),
            ]
        parts += self._skirt(j, f)
        parts.append(
            self.limb(
                "neck",
                j["chest"] + f["trunk"] * 0.02 * h,
                j["head"] - f["head_up"] * 0.02 * h,
                f["chest_right"],
                [(-1, c.coat_trim), (0.18, self.head.skin)],
            )
        )
        parts += self._head(j, f)
        if pose.staff is not None:
            parts.append(staff_quads(*pose.staff, c.staff, c.band, 8 if self.fine else 6, 24))
        return Quads.join(parts)

    def _torso(self, j: dict[str, np.ndarray], f: dict[str, np.ndarray]) -> Quads:
        c, p = self.costume, _profile("torso", self.rings + 4)
        k = len(p)
        bow = np.sin(np.pi * np.clip(p[:, :1], 0, 1)) * -0.012 * self.h
        centres = j["pelvis"][:, None] + (j["chest"] - j["pelvis"])[:, None] * p[:, :1] + f["chest_forward"][:, None] * bow
        mix = np.clip(p[:, :1], 0, 1)
        axis = np.repeat(direction(j["chest"] - j["pelvis"])[:, None], k, 1)
        n1 = level(f["hip_right"][:, None] * (1 - mix) + f["chest_right"][:, None] * mix, axis)
        n2 = cross(axis, n1)
        mid = (p[1:, 0] + p[:-1, 0]) / 2
        colours = np.repeat(np.array([c.coat])[None], k - 1, 0).repeat(self.sides, 1).astype(float)
        colours[(mid > 0.22) & (mid < 0.33)] = c.belt
        colours[mid > 1.02] = c.coat_trim
        # A row of lighter cloth down the front: it shows which way the chest is turned.
        front = round(self.sides * 0.25)
        colours[(mid > 0.33) & (mid < 1.02), front] = np.array(c.coat) * 0.72
        if c.skirt_to > 0.5:
            # The Reeve's chalk facing: seen from afar it tells his front from his back.
            turn = (np.arange(self.sides) + 0.5) / self.sides
            colours[np.ix_((mid > 0.33) & (mid < 1.04), np.abs(turn - 0.25) < 0.062)] = c.coat_trim
            colours[np.ix_((mid > 0.33) & (mid < 1.04), np.abs(turn - 0.25) < 0.018)] = np.array(c.coat_trim) * 0.62
        return tube(centres, n1, n2, p[:, 1] * self.h, p[:, 2] * self.h, self.sides, colours)

    def _skirt(self, j: dict[str, np.ndarray], f: dict[str, np.ndarray]) -> list[Quads]:
        c, p = self.costume, _profile("skirt", 6)
        knees = (j["knee_left"] + j["knee_right"]) / 2
        top = j["pelvis"] + (j["chest"] - j["pelvis"]) * 0.26
        hem = j["pelvis"] + (knees - j["pelvis"]) * c.skirt_to
        apart = j["knee_left"] - j["knee_right"]
        spread = np.linalg.norm(apart[:, :2], axis=1, keepdims=True) * 0.30 * c.skirt_to
        along = direction(apart + 1e-6)
        axis = direction(hem - top)
        sense = np.where((along * f["hip_right"]).sum(-1, keepdims=True) < 0, -1.0, 1.0)
        n1 = level(along * 0.9 + f["hip_right"] * 0.1 * sense, axis)
        centres = top[:, None] + (hem - top)[:, None] * p[:, :1]
        wide = p[:, 1] * self.h * 0.94 + p[:, 0] ** 1.5 * spread
        colours = np.repeat(np.array([c.coat], float), len(p) - 1, 0) * np.linspace(1.0, 0.9, len(p) - 1)[:, None]
        return [tube(centres, n1[:, None], cross(axis, n1)[:, None], wide, p[:, 2] * self.h, self.sides, colours, nearer=0.09)]

    def _hand(self, elbow: np.ndarray, hand: np.ndarray, ref: np.ndarray) -> Quads:
        along = direction(hand - elbow)
        return self.limb("hand", hand - along * 0.035 * self.h, hand + along * 0.016 * self.h, ref, [(-1, self.head.skin)], nearer=0.11)

    def _foot(self, ankle: np.ndarray, toe: np.ndarray) -> Quads:
        drop = np.array([[0, 0, -0.012 * self.h]])
        forward = direction(toe - ankle)
        ref = direction(cross(forward, np.broadcast_to([0, 0, 1.0], forward.shape)))
        return self.limb("foot", ankle + drop, toe + drop * 0.3, ref, [(-1, self.costume.boots)])

    def _head(self, j: dict[str, np.ndarray], f: dict[str, np.ndarray]) -> list[Quads]:
        h, up, fw = self.h, f["head_up"], f["head_forward"]
        right = cross(fw, up)
        k, sides = self.head_rings, self.head_sides
        p = _profile("head", k)
        mid = (p[1:, 0] + p[:-1, 0]) / 2
        # Side 0 points right, a quarter turn points forward.
        theta = (np.arange(sides) + 0.5) * 2 * np.pi / sides
        front = np.sin(theta)
        hd = self.head
        colours = np.empty((k - 1, sides, 3))
        skin, hair = np.array(hd.skin), np.array(hd.hair)
        soft = 0.05 if self.fine else 0.12
        for n, m in enumerate(mid):
            # The hair line runs from the temples back over the ear and down to the nape.
            line = float(
                np.interp(m, [0.0, 0.22, 0.40, 0.55, 0.70, 0.80, 0.86], [-1.2, -1.1 + hd.hair_low * -0.6, -0.25, 0.02, 0.20, 0.55, 1.3])
            )
            face = np.clip((front - line) / soft + 0.5, 0, 1)[:, None]
            flush = 1 + 0.05 * np.exp(-(((m - 0.36) / 0.10) ** 2)) * np.clip(front, 0, 1)[:, None] * np.array([-0.8, -0.5, 1.0])
            colours[n] = skin * flush * face + hair * (1 - face)
            if hd.beard is not None:
                low = np.clip((float(np.interp(m, [0.0, 0.26, 0.34], [1.0, 1.0, 0.0])) - 0.5) / 0.3 + 0.5, 0, 1)
                side = np.clip((np.interp(m, [0.0, 0.3, 0.5], [-0.5, -0.1, 0.5]) < front) & (np.abs(front) < 2), 0, 1)[:, None]
                colours[n] = colours[n] * (1 - low * side) + np.array(hd.beard) * low * side
            if hd.cap is not None and m > 0.76:
                colours[n] = np.array(hd.cap) * (0.8 if m < 0.81 else 1.0)
            if hd.band is not None and (0.76 if self.fine else 0.72) < m < (0.83 if self.fine else 0.86):
                colours[n] = hd.band
        shift = 0.011 * h * np.clip(1 - p[:, :1] / 0.34, 0, 1)
        centres = j["chin"][:, None] + (j["crown"] - j["chin"])[:, None] * p[:, :1] + fw[:, None] * shift
        grow = np.where((p[:, 0] > 0.72), 1.07 if hd.cap is not None else 1.02, 1.0)
        base = tube(centres, right[:, None], fw[:, None], p[:, 1] * h * grow, p[:, 2] * h * grow, sides, colours)
        parts = [base, *self._features(j, up, fw, right)]
        for s in (-1, 1):
            ear = j["head"] + right * 0.043 * s * h - fw * 0.004 * h - up * 0.006 * h
            parts.append(
                self.limb(
                    "ear",
                    ear - up * 0.016 * h,
                    ear + up * 0.018 * h - fw * 0.004 * h,
                    right,
                    [(-1, tuple(0.94 * v for v in hd.skin))],
                    nearer=0.004,
                )
            )
        back = j["head"] - fw * 0.050 * h
        if hd.braid:
            sway = -np.array([0, 0, 1.0]) * 0.22 * h + (j["chest"] - f["chest_forward"] * 0.07 * h - back) * 0.25
            parts.append(self.limb("braid", back, back + sway, right, [(-1, hd.hair)]))
        if hd.bun:
            parts.append(self.limb("bun", back + up * 0.02 * h, back + up * 0.02 * h - fw * 0.04 * h, right, [(-1, hd.hair)]))
        return parts

    def _features(self, j: dict[str, np.ndarray], up: np.ndarray, fw: np.ndarray, right: np.ndarray) -> list[Quads]:
        h, hd = self.h, self.head
        centre = j["head"]

        def patch(x: float, y: float, z: float, w: float, t: float, colour: Colour, nearer: float) -> tuple[np.ndarray, Colour, float]:
            o = centre + (right * x + up * y + fw * z) * h
            # Patches bend back with the face so that they vanish in profile as they should.
            r, u = direction(right - fw * np.sign(x) * 0.55 * min(1.0, abs(x) * 50)) * w * h, up * t * h
            return np.stack([o + r - u, o - r - u, o - r + u, o + r + u], 1), colour, nearer

        dark = tuple(0.28 * c for c in hd.hair)
        shadow = tuple(0.72 * c for c in hd.skin)
        brow = tuple(0.7 * c for c in hd.hair)
        items = []
        for s in (-1, 1):
            if not self.fine:
                # From afar an eye is one soft dark spot; the full drawing would turn into spectacles.
                items.append(patch(0.0172 * s, 0.008, 0.0500, 0.0050, 0.0030, tuple(0.5 * c for c in hd.skin), 0.010))
                continue
            items += [
                patch(0.0172 * s, 0.0065, 0.0500, 0.0082, 0.0046, shadow, 0.010),
                patch(0.0172 * s, 0.0045, 0.0503, 0.0062, 0.0021, (196, 204, 210), 0.012),
                patch(0.0168 * s, 0.0047, 0.0506, 0.0026, 0.0024, dark, 0.014),
                patch(0.0172 * s, 0.0072, 0.0505, 0.0070, 0.0007, dark, 0.013),
                patch(0.0178 * s, 0.0145, 0.0498, 0.0092, 0.0015, brow, 0.012),
            ]
        items += [
            patch(0.0, -0.0340, 0.0478, 0.0110, 0.0016, tuple(0.62 * c + d for c, d in zip(hd.skin, (0, 0, 26), strict=True)), 0.012),
            patch(0.0, -0.0380, 0.0474, 0.0070, 0.0010, shadow, 0.011),
        ]
        corners = np.stack([i[0] for i in items], 1)
        colours = np.array([i[1] for i in items], float)
        flat = Quads(corners, shade(fw[:, None], colours), np.array([i[2] for i in items]), np.zeros(len(items), bool))
        bridge, tip = centre + (up * 0.008 + fw * 0.053) * h, centre + (up * -0.018 + fw * 0.0655) * h
        wing = [centre + (up * -0.021 + fw * 0.053 + right * 0.010 * s) * h for s in (-1, 1)]
        nose = np.stack(
            [np.stack(q, 1) for q in ((bridge, wing[0], tip, bridge), (bridge, tip, wing[1], bridge), (wing[0], wing[1], tip, tip))], 1
        )
        # A quad with a doubled corner has no diagonal cross product, so the nose gets its normals by hand.
        n = direction(np.stack([fw - right * 0.9, fw + right * 0.9, -up + fw * 0.3], 1))
        nose_q = Quads(nose, shade(n, np.repeat(np.array([hd.skin], float), 3, 0)), np.full(3, 0.008), np.ones(3, bool))
        return [flat, nose_q]


def staff_quads(butt: np.ndarray, tip: np.ndarray, wood: Colour, band: Colour, sides: int, rings: int) -> Quads:
    """A turned staff with tape bands at a quarter, the middle and three quarters, and capped ends."""
    s = np.concatenate([[0.0], np.linspace(0, 1, rings + 1), [1.0]])
    axis = direction(tip - butt)
    n1 = direction(cross(axis, np.broadcast_to([0.31, 0.17, 0.93], axis.shape)))
    n2 = cross(axis, n1)
    mid = (s[1:] + s[:-1]) / 2
    banded = (np.abs(mid - 0.14) < 0.022) | (np.abs(mid - 0.86) < 0.022) | (np.abs(mid - 0.5) < 0.022)
    colours = np.where(banded[:, None], np.array(band, float), np.array(wood, float))
    colours[:2] = colours[-2:] = np.array(wood) * 0.55
    r = np.full(rings + 3, STAFF_RADIUS)
    r[0] = r[-1] = 0.001
    return tube(butt[:, None] + (tip - butt)[:, None] * s[:, None], n1[:, None], n2[:, None], r, r, sides, colours, 0.06, gloss=0.12)


def wire_quads(low: np.ndarray, high: np.ndarray) -> Quads:
    """The pick line as a thin tube cut short, so that a body in front of it hides it."""
    s = np.linspace(0, 1, 31)
    axis = direction(high - low)
    n1 = direction(cross(axis, np.broadcast_to([1.0, 0.0, 0.0], axis.shape)))
    r = np.full(31, 0.0035)
    return tube(low[:, None] + (high - low)[:, None] * s[:, None], n1[:, None], cross(axis, n1)[:, None], r, r, 4, np.full((30, 3), 62.0))


def fixed_quads(corners: np.ndarray, colours: np.ndarray) -> Quads:
    """Props whose colours already carry their light."""
    n = len(corners)
    return Quads(corners[None], colours[None], np.zeros(n), np.zeros(n, bool))
