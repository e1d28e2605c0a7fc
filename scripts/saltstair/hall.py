"""The rehearsal hall as a lit, painted box with the set's plan in tape on its floor; people and props come later."""

from __future__ import annotations

from functools import lru_cache

import cv2
import numpy as np

from .optics import View
from .story import CART_CENTRE, CART_SIZE, FIRST_DOOR_X, LANDING_HEIGHT, NARROW_FROM_X, SECOND_DOOR_X, STAIR_EDGE_X, STEP_GO

X0, X1, Y0, Y1, TOP = -10.0, 8.2, -8.6, 4.6, 4.8
PX = 150
# Colours are blue, green, red, as OpenCV wants them.
PAPER, CHALK = (196, 212, 220), (226, 234, 236)
TAPE_YELLOW, TAPE_RED, TAPE_BLUE, TAPE_ORANGE, TAPE_GREEN = (70, 196, 238), (66, 66, 206), (186, 122, 40), (52, 132, 236), (110, 160, 70)
WINDOW_CENTRES = (-7.6, -4.5, -1.4, 1.7, 4.8)


def _noise(h: int, w: int, cell: int, seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    small = rng.normal(size=(max(2, h // cell), max(2, w // cell))).astype(np.float32)
    return cv2.resize(small, (w, h), interpolation=cv2.INTER_CUBIC)


class _Floor:
    """Draws on the floor texture in metres."""

    def __init__(self) -> None:
        self.w, self.h = int((X1 - X0) * PX), int((Y1 - Y0) * PX)
        self.img = np.empty((self.h, self.w, 3), np.uint8)
        self.img[:] = (112, 128, 140)

    def at(self, x: float, y: float) -> tuple[int, int]:
        return round((x - X0) * PX), round((Y1 - y) * PX)

    def line(self, a: tuple[float, float], b: tuple[float, float], colour: tuple[int, int, int], width: float = 0.05) -> None:
        cv2.line(self.img, self.at(*a), self.at(*b), colour, max(1, int(width * PX)), cv2.LINE_AA)

    def text(self, words: str, x: float, y: float, size: float, colour: tuple[int, int, int]) -> None:
        scale = size * PX / 21.0
        cv2.putText(self.img, words, self.at(x, y), cv2.FONT_HERSHEY_SIMPLEX, scale, colour, max(1, int(scale * 2.2)), cv2.LINE_AA)


def _boards(f: _Floor) -> None:
    rng = np.random.default_rng(3)
    for row in range(0, f.h, 18):
        x = -int(rng.integers(0, 300))
        while x < f.w:
            length = int(rng.integers(260, 420))
            shade = 1 + rng.normal(0, 0.035)
            tint = np.array([104, 126, 146]) * shade
            cv2.rectangle(f.img, (max(x, 0), row), (x + length, row + 18), tint.tolist(), -1)
            cv2.line(f.img, (x + length, row), (x + length, row + 18), (84, 100, 116), 1)
            x += length
        cv2.line(f.img, (0, row), (f.w, row), (88, 106, 122), 1)


def _plan(f: _Floor) -> None:
    wide, narrow = 1.40, 1.08
    for s in (-1, 1):
        f.line((7.2, s * wide), (FIRST_DOOR_X, s * wide), TAPE_YELLOW)
        f.line((FIRST_DOOR_X, s * wide), (NARROW_FROM_X, s * narrow), TAPE_YELLOW)
        f.line((NARROW_FROM_X, s * narrow), (SECOND_DOOR_X, s * narrow), TAPE_YELLOW)
        for x, half in ((FIRST_DOOR_X, wide), (SECOND_DOOR_X, narrow)):
            f.line((x, s * half), (x, s * 0.62), TAPE_RED, 0.07)
            f.line((x - 0.12, s * 0.62), (x + 0.12, s * 0.62), TAPE_RED, 0.05)
        f.line((SECOND_DOOR_X, s * 0.95), (STAIR_EDGE_X - 1.6, s * 0.95), TAPE_BLUE)
    for x in (FIRST_DOOR_X, SECOND_DOOR_X):
        centre, r = f.at(x, 0.62), int(1.24 * PX)
        for a in range(180, 270, 9):
            cv2.ellipse(f.img, centre, (r, r), 0, a - 90, a - 85, TAPE_RED, 4, cv2.LINE_AA)
    for x in (STAIR_EDGE_X, STAIR_EDGE_X + STEP_GO):
        f.line((x, -0.95), (x, 0.95), TAPE_BLUE)
    for x in np.arange(SECOND_DOOR_X - 0.2, STAIR_EDGE_X - 1.6, -0.42):
        # The drop to the quay: hatching outside the stair, so that nobody steps there.
        f.line((x, -1.05), (x - 0.3, -1.45), TAPE_ORANGE, 0.045)
    cx, cy = CART_CENTRE
    w, d = CART_SIZE[0] / 2 + 0.05, CART_SIZE[1] / 2 + 0.05
    for a, b in (((-w, -d), (w, -d)), ((w, -d), (w, d)), ((w, d), (-w, d)), ((-w, d), (-w, -d))):
        f.line((cx + a[0], cy + a[1]), (cx + b[0], cy + b[1]), TAPE_GREEN, 0.04)
    f.text("CORRIDOR", 4.6, -1.95, 0.26, CHALK)
    f.text("DOOR 1", FIRST_DOOR_X - 0.5, -1.95, 0.26, CHALK)
    f.text("NARROW", -1.3, -1.70, 0.26, CHALK)
    f.text("DOOR 2", SECOND_DOOR_X - 0.4, -1.70, 0.26, CHALK)
    f.text("STAIR", STAIR_EDGE_X + 0.35, -1.85, 0.26, CHALK)
    f.text("QUAY -2.4 m", STAIR_EDGE_X - 1.6, -2.25, 0.26, TAPE_ORANGE)
    for x in range(-8, 8):
        f.line((x, -2.62), (x, -2.52), CHALK, 0.025)
    f.line((-8, -2.57), (7, -2.57), CHALK, 0.012)


@lru_cache(maxsize=1)
def _textures() -> list[np.ndarray]:
    """Floor, ceiling, back wall, front wall, left wall, right wall, light already on them."""
    f = _Floor()
    _boards(f)
    worn = 1 + 0.035 * _noise(f.h, f.w, 90, 5) + 0.02 * _noise(f.h, f.w, 12, 6)
    f.img = np.clip(f.img * worn[..., None], 0, 255).astype(np.uint8)
    _plan(f)
    yy, xx = np.mgrid[0 : f.h, 0 : f.w].astype(np.float32)
    x, y = xx / PX + X0, Y1 - yy / PX
    light = 0.60 + 0.30 * np.exp(-(((x + 1) / 8.5) ** 2) - ((y + 0.3) / 4.5) ** 2)
    for cx in WINDOW_CENTRES:
        light += 0.22 * np.exp(-(((x - cx - 0.25 * (Y1 - y)) / 0.85) ** 4) - ((y - 2.7) / 1.1) ** 4)
    floor = np.clip(f.img * light[..., None], 0, 255).astype(np.uint8)
    return [cv2.GaussianBlur(floor, (0, 0), 0.7), _ceiling(f.w, f.h), _back_wall(), _front_wall(), _side_wall(7), _side_wall(8)]


def _ceiling(w: int, h: int) -> np.ndarray:
    img = np.full((h // 4, w // 4, 3), (92, 100, 106), np.uint8)
    for x in range(0, w // 4, 75):
        cv2.rectangle(img, (x, 0), (x + 10, h // 4), (60, 68, 76), -1)
    for y in (h // 14, h // 7, h // 5):
        cv2.rectangle(img, (40, y), (w // 4 - 40, y + 5), (225, 240, 245), -1)
    return img


def _plaster(w_m: float, seed: int) -> np.ndarray:
    w, h = int(w_m * PX), int(TOP * PX)
    img = np.empty((h, w, 3), np.float32)
    img[:] = (172, 188, 196)
    dado = int((TOP - 1.15) * PX)
    img[dado:] = (128, 142, 132)
    img *= (1 + 0.018 * _noise(h, w, 60, seed) + 0.010 * _noise(h, w, 9, seed + 20))[..., None]
    img[dado - 9 : dado + 2] = (96, 112, 110)
    img[h - int(0.16 * PX) :] = (88, 98, 100)
    img[h - int(0.16 * PX) : h - int(0.145 * PX)] = (116, 126, 128)
    yy = np.linspace(0.72, 1.0, h, dtype=np.float32)[:, None, None]
    xx = (1 - 0.22 * (np.abs(np.linspace(-1, 1, w, dtype=np.float32)) ** 3))[None, :, None]
    return img * yy * xx


def _back_wall() -> np.ndarray:
    img = _plaster(X1 - X0, 11)
    for cx in WINDOW_CENTRES:
        x0, x1 = int((cx - 0.75 - X0) * PX), int((cx + 0.75 - X0) * PX)
        y0, y1 = int((TOP - 3.95) * PX), int((TOP - 1.65) * PX)
        cv2.rectangle(img, (x0 - 14, y0 - 14), (x1 + 14, y1 + 14), (150, 164, 168), -1)
        sky = np.linspace(0, 1, y1 - y0, dtype=np.float32)[:, None, None]
        img[y0:y1, x0:x1] = np.array([238, 232, 222]) * (1 - sky) + np.array([222, 226, 226]) * sky
        for i in range(1, 3):
            x = x0 + (x1 - x0) * i // 3
            cv2.line(img, (x, y0), (x, y1), (140, 152, 156), 6, cv2.LINE_AA)
        for i in range(1, 4):
            y = y0 + (y1 - y0) * i // 4
            cv2.line(img, (x0, y), (x1, y), (140, 152, 156), 6, cv2.LINE_AA)
        cv2.rectangle(img, (x0 - 22, y1 + 10), (x1 + 22, y1 + 24), (176, 188, 190), -1)
        for x in range(x0 - 10, x1 + 10, 15):
            # Radiator under the window.
            cv2.line(img, (x, int((TOP - 0.95) * PX)), (x, int((TOP - 0.25) * PX)), (158, 170, 170), 9, cv2.LINE_AA)
    glow = cv2.GaussianBlur(np.clip(img - 200, 0, 60), (0, 0), 40)
    return np.clip(img + glow * 0.8, 0, 255).astype(np.uint8)


def _front_wall() -> np.ndarray:
    img = _plaster(X1 - X0, 13)
    rng = np.random.default_rng(17)
    for n in range(26):
        x, y = int(rng.uniform(3, 14) * PX), int(rng.uniform(TOP - 2.3, TOP - 1.4) * PX)
        w, h = int(rng.uniform(0.2, 0.34) * PX), int(rng.uniform(0.22, 0.42) * PX)
        shade = [(205, 222, 228), (190, 206, 216), (150, 190, 214), (196, 200, 170)][n % 4]
        cv2.rectangle(img, (x, y), (x + w, y + h), shade, -1, cv2.LINE_AA)
        for k in range(4):
            cv2.line(img, (x + 5, y + 9 + 8 * k), (x + w - 6, y + 9 + 8 * k), (120, 132, 140), 1, cv2.LINE_AA)
    for x in (int(1.2 * PX), int(15.2 * PX)):
        cv2.rectangle(img, (x, int((TOP - 2.15) * PX)), (x + int(1.7 * PX), int((TOP - 0.02) * PX)), (92, 104, 84), -1)
        cv2.line(img, (x + int(0.85 * PX), int((TOP - 2.15) * PX)), (x + int(0.85 * PX), int(TOP * PX)), (60, 70, 58), 4)
    return np.clip(img * 0.92, 0, 255).astype(np.uint8)


def _side_wall(seed: int) -> np.ndarray:
    img = _plaster(Y1 - Y0, seed)
    for k in range(12):
        y = int((TOP - 0.35 - 0.19 * k) * PX)
        cv2.line(img, (int(2.0 * PX), y), (int(6.0 * PX), y), (96, 138, 170), 8, cv2.LINE_AA)
    for x in np.linspace(2.0, 6.0, 5):
        cv2.line(img, (int(x * PX), int((TOP - 2.6) * PX)), (int(x * PX), int((TOP - 0.2) * PX)), (80, 116, 146), 10, cv2.LINE_AA)
    return np.clip(img * 0.95, 0, 255).astype(np.uint8)


def raycast(view: View, oversample: float = 1.0) -> np.ndarray:
    """The empty hall as this camera sees it."""
    w, h = (round(s * oversample) for s in view.size_px)
    u = (np.arange(w, dtype=np.float32) + 0.5) / oversample - view.size_px[0] / 2
    v = (np.arange(h, dtype=np.float32) + 0.5) / oversample - view.size_px[1] / 2
    a = (view.axes / [[view.focal_px], [view.focal_px], [1.0]]).astype(np.float32)
    ray = [a[0, i] * u[None, :] + a[1, i] * v[:, None] + a[2, i] for i in range(3)]
    ox, oy, oz = (np.float32(c) for c in view.position)
    # A ray exactly along a wall would never meet it; a hair's breadth is enough to avoid dividing by nothing.
    ray = [np.where(np.abs(r) < 1e-7, np.float32(1e-7), r) for r in ray]
    with np.errstate(divide="ignore"):
        tx = np.where(ray[0] > 0, (X1 - ox) / ray[0], (X0 - ox) / ray[0])
        ty = np.where(ray[1] > 0, (Y1 - oy) / ray[1], (Y0 - oy) / ray[1])
        tz = np.where(ray[2] > 0, (TOP - oz) / ray[2], (0 - oz) / ray[2])
    t = np.minimum(np.minimum(tx, ty), tz)
    px, py, pz = ox + ray[0] * t, oy + ray[1] * t, oz + ray[2] * t
    out = np.zeros((h, w, 3), np.uint8)
    tex = _textures()
    faces = (
        ((t == tz) & (ray[2] < 0), tex[0], (px - X0) * PX, (Y1 - py) * PX),
        ((t == tz) & (ray[2] >= 0), tex[1], (px - X0) * PX / 4, (Y1 - py) * PX / 4),
        ((t == ty) & (ray[1] > 0), tex[2], (px - X0) * PX, (TOP - pz) * PX),
        ((t == ty) & (ray[1] <= 0), tex[3], (X1 - px) * PX, (TOP - pz) * PX),
        ((t == tx) & (ray[0] <= 0), tex[4], (py - Y0) * PX, (TOP - pz) * PX),
        ((t == tx) & (ray[0] > 0), tex[5], (Y1 - py) * PX, (TOP - pz) * PX),
    )
    for mask, texture, mx, my in faces:
        rows = np.flatnonzero(mask.any(1))
        if len(rows):
            part = slice(rows[0], rows[-1] + 1)
            seen = cv2.remap(
                texture, mx[part].astype(np.float32), my[part].astype(np.float32), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
            )
            np.copyto(out[part], seen, where=mask[part][..., None])
    return out


def box_quads(
    x0: float, x1: float, y0: float, y1: float, z0: float, z1: float, colour: tuple[int, int, int], cell: float = 0.16, planks: float = 0.06
) -> tuple[np.ndarray, np.ndarray]:
    """A box as small quads (n x 4 x 3) with colours (n x 3); small, so that sorting by depth holds."""
    rng = np.random.default_rng(int(abs(x0) * 97 + z1 * 1000))
    quads, colours = [], []

    def grid(origin: np.ndarray, a: np.ndarray, b: np.ndarray, shade: float) -> None:
        na, nb = max(1, round(np.linalg.norm(a) / cell)), max(1, round(np.linalg.norm(b) / cell))
        row_shade = 1 + rng.normal(0, planks, nb)
        for i in range(na):
            for j in range(nb):
                p = origin + a * i / na + b * j / nb
                quads.append([p, p + a / na, p + a / na + b / nb, p + b / nb])
                colours.append(np.array(colour) * shade * row_shade[j])

    dx, dy, dz = np.array([x1 - x0, 0, 0]), np.array([0, y1 - y0, 0]), np.array([0, 0, z1 - z0])
    o = np.array([x0, y0, z0])
    grid(o + dz, dx, dy, 1.08)
    grid(o, dx, dz, 0.88)
    grid(o + dy, dz, dx, 0.66)
    grid(o + dx, dy, dz, 0.80)
    grid(o, dz, dy, 0.72)
    return np.array(quads), np.clip(np.array(colours), 0, 255)


def rostra() -> tuple[np.ndarray, np.ndarray]:
    """The rehearsal stair: one step and the landing, painted plywood with a taped edge."""
    parts = [
        box_quads(STAIR_EDGE_X, STAIR_EDGE_X + STEP_GO, -0.95, 0.95, 0, LANDING_HEIGHT / 2, (104, 132, 158)),
        box_quads(STAIR_EDGE_X - 1.7, STAIR_EDGE_X, -0.95, 0.95, 0, LANDING_HEIGHT, (110, 138, 162)),
        box_quads(STAIR_EDGE_X - 0.05, STAIR_EDGE_X + 0.001, -0.95, 0.95, LANDING_HEIGHT, LANDING_HEIGHT + 0.003, TAPE_BLUE, planks=0),
        box_quads(
            STAIR_EDGE_X + STEP_GO - 0.05,
            STAIR_EDGE_X + STEP_GO + 0.001,
            -0.95,
            0.95,
            LANDING_HEIGHT / 2,
            LANDING_HEIGHT / 2 + 0.003,
            TAPE_BLUE,
            planks=0,
        ),
    ]
    corners, colours = np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts])
    # Where the two boxes touch nobody can look, but sorting by depth could bring those faces out in front of the tread.
    inner = (np.abs(corners[:, :, 0] - STAIR_EDGE_X).max(1) < 0.01) & (corners[:, :, 2].mean(1) < LANDING_HEIGHT / 2)
    return corners[~inner], colours[~inner]


def cart() -> tuple[np.ndarray, np.ndarray]:
    """The salt cart as it is at a rehearsal: a padded box on a trestle, green tape round it."""
    cx, cy = CART_CENTRE
    w, d, h = CART_SIZE[0] / 2, CART_SIZE[1] / 2, CART_SIZE[2]
    parts = [
        box_quads(cx - w, cx + w, cy - d, cy + d, 0.34, h, (98, 140, 176), 0.13),
        box_quads(cx - w, cx + w, cy - d, cy + d, h - 0.13, h - 0.07, TAPE_GREEN, 0.13, 0.0),
    ]
    for sx in (-1, 1):
        for sy in (-1, 1):
            parts.append(
                box_quads(
                    cx + sx * (w - 0.05) - 0.035,
                    cx + sx * (w - 0.05) + 0.035,
                    cy + sy * (d - 0.06) - 0.035,
                    cy + sy * (d - 0.06) + 0.035,
                    0,
                    0.36,
                    (70, 100, 128),
                    0.2,
                )
            )
    return np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts])
