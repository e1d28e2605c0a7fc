"""Where each staff goes: wind-up, contact, recoil and guard as keys in time; bodies follow it in `body`, not here."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from .timeline import Hit
from .tracks import ACCELERATE, LINEAR, SETTLE, SMOOTH, slerp, unit

STAFF_LENGTH = 1.50
STAFF_RADIUS = 0.016
UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Key:
    """One pose of staff and trunk; `centre` is relative to the ground point of the role, angles in degrees."""

    at: float
    centre: np.ndarray
    direction: np.ndarray
    twist: float = 0.0
    lean: float = 4.0
    crouch: float = 0.05
    push: float = 0.0
    free_hand: float = 0.0
    rear_grip: float = -0.27
    front_grip: float = 0.23
    into: int = SMOOTH

    def row(self) -> list[float]:
        return [*self.centre, self.twist, self.lean, self.crouch, self.push, self.free_hand, self.rear_grip, self.front_grip]


@dataclass
class Contact:
    """The instant two staffs (or a staff and a body) meet, in hall coordinates."""

    at: float
    number: int
    point: np.ndarray
    sound: str
    strength: float = 1.0


@dataclass(frozen=True)
class Stand:
    """Where a role stands at a hit: ground point, unit vector to the opponent, stature."""

    ground: np.ndarray
    forward: np.ndarray
    stature: float

    @property
    def right(self) -> np.ndarray:
        return np.cross(self.forward, UP)

    def local(self, f: float, r: float, u: float) -> np.ndarray:
        return self.forward * f + self.right * r + UP * u * self.stature / 1.75

    def turn(self, f: float, r: float, u: float) -> np.ndarray:
        return unit(self.forward * f + self.right * r + UP * u)


# line -> (height of contact for a defender of 1.75 m, sideways to the attacker's right, metres in front of the defender)
_TARGETS = {
    "head": (1.70, 0.02, 0.40),
    "left shoulder": (1.36, 0.30, 0.46),
    "right shoulder": (1.36, -0.28, 0.46),
    "left hip": (0.98, 0.33, 0.44),
    "right hip": (0.98, -0.32, 0.44),
    "legs": (0.46, 0.26, 0.52),
    "thrust": (1.22, 0.03, 0.58),
}


def _side(line: str) -> float:
    return -1.0 if line.startswith("right") else 1.0


def _windup(line: str, s: Stand, at: float, rng: np.random.Generator) -> Key:
    sd = _side(line)
    if line == "head":
        k = Key(at, s.local(0.10, 0.08, 1.60), s.turn(-0.55, 0.18, 0.80), -16, -5, 0.03, -0.06, into=SMOOTH)
    elif line.endswith("shoulder"):
        k = Key(at, s.local(0.10, 0.24 * sd, 1.40), s.turn(-0.30, 0.62 * sd, 0.72), -34 * sd, -2, 0.05, -0.07)
    elif line.endswith("hip"):
        k = Key(at, s.local(0.12, 0.27 * sd, 1.10), s.turn(-0.18, 0.93 * sd, 0.22), -36 * sd, 2, 0.08, -0.07)
    elif line == "legs":
        k = Key(at, s.local(0.16, 0.27, 0.98), s.turn(0.10, 0.93, -0.10), -36, 8, 0.12, -0.05)
    elif line == "ribs":
        k = Key(at, s.local(0.16, 0.16, 1.20), s.turn(-0.45, 0.25, 0.80), -30, 0, 0.06, -0.08)
    else:
        k = Key(at, s.local(0.06, 0.20, 1.08), s.turn(0.97, -0.12, 0.14), -30, -2, 0.09, -0.09)
    wobble = rng.normal(0, 0.022, 3)
    return replace(k, centre=k.centre + wobble, twist=k.twist + float(rng.normal(0, 3)))


def _velocity(line: str, a: Stand) -> np.ndarray:
    """Direction in which the attacking staff travels as it arrives."""
    if line == "head":
        return a.turn(0.35, 0.0, -1.0)
    if line == "thrust":
        return a.forward
    if line == "legs":
        return a.turn(0.2, -0.9, -0.3)
    return a.turn(0.25, -_side(line), -0.35 if line.endswith("shoulder") else -0.05)


def _attack_contact(line: str, a: Stand, point: np.ndarray, at: float) -> Key:
    heights = {"head": 1.40, "legs": 0.92, "thrust": 1.14}
    height = heights.get(line, 1.22 if line.endswith("shoulder") else 1.04)
    sideways = float((point - a.ground) @ a.right)
    hub = a.ground + a.local(0.42, 0.35 * sideways + 0.04, height)
    reach = 0.60 if line == "thrust" else 0.63
    direction = unit(point - hub)
    lean, crouch, push = {"head": (14, 0.07, 0.09), "legs": (22, 0.19, 0.08), "thrust": (13, 0.12, 0.14)}.get(line, (11, 0.08, 0.08))
    twist = 20 * _side(line) if line not in ("head", "thrust") else 14
    return Key(at, point - direction * reach - a.ground, direction, twist, lean, crouch, push, into=ACCELERATE)


def _parry(line: str, d: Stand, a: Stand, attack: Key, point: np.ndarray, at: float) -> tuple[Key, np.ndarray]:
    across = float((point - d.ground) @ d.right)
    side = np.sign(across) or 1.0
    rear, front = -0.29, 0.16
    if line == "head":
        direction, along, rear, front = d.turn(0.05, -1.0, 0.10), 0.0, -0.34, 0.34
    elif line.endswith("shoulder"):
        direction, along = d.turn(0.18, 0.16 * side, 0.95), 0.34
    elif line.endswith("hip"):
        direction, along = d.turn(0.12, 0.10 * side, -0.97), 0.42
    elif line == "legs":
        direction, along = d.turn(0.30, 0.12 * side, -0.93), 0.57
    else:
        direction, along = d.turn(0.35, 0.42 * side, 0.82), 0.36
    normal = unit(np.cross(attack.direction, direction))
    # A thrust is beaten outwards, so the parrying staff comes from the inside of it.
    away = _velocity(line, a) if line != "thrust" else -d.right * side
    if normal @ away < 0:
        normal = -normal
    touch = point + normal * 2 * STAFF_RADIUS
    crouch = {"head": 0.10, "legs": 0.17}.get(line, 0.08)
    lean = {"head": -3, "legs": 14}.get(line, 1)
    twist = {"head": 10, "legs": -12 * side}.get(line, -16 * side)
    return Key(at, touch - direction * along - d.ground, direction, twist, lean, crouch, -0.06, 0.0, rear, front, into=SETTLE), normal


@dataclass
class Play:
    """Keys of one role and the contacts of the pair, gathered over a session."""

    keys: dict[str, list[Key]] = field(default_factory=lambda: {"Odile": [], "Reeve": []})
    contacts: list[Contact] = field(default_factory=list)

    def ease_stand(self, role: str, s: Stand, at: float) -> None:
        """Standing at ease: staff upright beside the body, left hand hanging."""
        self.keys[role].append(Key(at, s.local(0.20, 0.30, 0.80), s.turn(0.03, 0.04, 1.0), 6, 1, 0.012, 0.0, 1.0, 0.24, 0.42))

    def guard(self, role: str, s: Stand, at: float, tired: float = 0.0) -> None:
        """On guard: tip towards the opponent's throat."""
        self.keys[role].append(
            Key(at, s.local(0.33, 0.06, 1.05 - 0.10 * tired), s.turn(0.80, -0.16, 0.52), -4, 5 + 9 * tired, 0.06 + 0.02 * tired)
        )

    def exchange(self, hit: Hit, stands: dict[str, Stand], rng: np.random.Generator) -> None:
        """Staff against staff: the attack drives the point, the parry is built to touch it."""
        move, tau, t = hit.move, 1.0 / hit.tempo, hit.at
        a, d = stands[move.attacker], stands[move.defender]
        height, sideways, before = _TARGETS[move.line]
        jitter = rng.normal(0, 0.02, 3)
        point = d.ground + d.local(before, 0, height) + a.right * sideways + jitter
        strike = _attack_contact(move.line, a, point, t)
        wind = _windup(move.line, a, t - 0.25 * tau, rng)
        back = -_velocity(move.line, a)
        parry, normal = _parry(move.line, d, a, strike, point, t)
        if move.line == "thrust":
            aside = normal * 0.11
            recoil = replace(strike, at=t + 0.12 * tau, centre=strike.centre - aside, push=strike.push * 0.8, into=SETTLE)
            ready = replace(parry, at=t - 0.16 * tau, centre=parry.centre + normal * 0.27, push=-0.03, twist=-parry.twist, into=SMOOTH)
            parry = replace(parry, into=ACCELERATE)
            give = replace(parry, at=t + 0.12 * tau, centre=parry.centre - aside, push=-0.08, into=SETTLE)
        else:
            recoil = replace(
                strike,
                at=t + 0.09 * tau,
                centre=strike.centre + back * 0.09,
                direction=slerp(strike.direction, wind.direction, np.array(0.14)),
                push=strike.push * 0.8,
                into=SETTLE,
            )
            ready = replace(parry, at=t - 0.07 * tau, centre=parry.centre + back * 0.05, push=-0.03, into=SMOOTH)
            parry = replace(parry, into=LINEAR)
            give = replace(
                parry, at=t + 0.10 * tau, centre=parry.centre - back * 0.035, crouch=parry.crouch + 0.02, push=-0.10, into=SETTLE
            )
        self.keys[move.attacker] += [wind, strike, recoil]
        self.keys[move.defender] += [ready, parry, give]
        if move.note.endswith("bent knees"):
            self.keys[move.defender].append(replace(give, at=t + 0.30 * tau, crouch=0.30, centre=give.centre - UP * 0.20, into=SMOOTH))
        self.contacts.append(Contact(t, move.number, point, "clack", float(rng.uniform(0.75, 1.0))))

    def checked_butt(self, hit: Hit, stands: dict[str, Stand], rng: np.random.Generator) -> None:
        """A butt that stops short of the body; the defender's staff has been carried wide."""
        move, tau, t = hit.move, 1.0 / hit.tempo, hit.at
        a, d = stands[move.attacker], stands[move.defender]
        point = d.ground + d.local(0.21, 0.03, 1.16)
        hub = a.ground + a.local(0.30, 0.10, 1.10)
        direction = unit(hub - point)
        wind = _windup("ribs", a, t - 0.26 * tau, rng)
        strike = Key(
            t, point + direction * (STAFF_LENGTH / 2 - 0.02) - a.ground, direction, 24, 9, 0.10, 0.12, 0, -0.35, 0.10, into=ACCELERATE
        )
        hold = replace(strike, at=t + 0.16 * tau, centre=strike.centre - a.forward * 0.03, into=SETTLE)
        self.keys[move.attacker] += [wind, strike, hold]
        wide = Key(t - 0.10 * tau, d.local(0.26, -0.24, 1.12), d.turn(0.45, -0.80, 0.40), 14, -2, 0.05, -0.02)
        fold = replace(
            wide, at=t + 0.15 * tau, lean=24, crouch=0.12, push=-0.13, centre=wide.centre - UP * 0.06 - d.forward * 0.04, into=SETTLE
        )
        self.keys[move.defender] += [wide, fold]
        self.contacts.append(Contact(t, move.number, point, "thud", 0.8))

    def flight(self, hit: Hit, take_off: float, stands: dict[str, Stand]) -> None:
        """Vault or leap: gather, fly, land; the opponent waits on guard."""
        move, s = hit.move, stands[hit.move.attacker]
        ks = self.keys[move.attacker]
        if move.kind == "vault":
            # She has turned her back by now, so the carried staff is keyed in hall directions, not by her forward.
            ahead = -s.forward
            carry = ahead * 0.10 - s.right * 0.34 + UP * 0.98
            ks.append(Key(take_off - 0.55, carry, unit(ahead * 0.9 + UP * 0.35), 0, 8, 0.07, 0, 0.6, -0.05, 0.25))
            ks.append(Key(take_off - 0.10, carry, unit(ahead * 0.95 + UP * 0.2), 0, 22, 0.22, 0, 1.0, -0.05, 0.25))
            ks.append(Key((take_off + hit.at) / 2, carry + UP * 0.12, unit(ahead + UP * 0.12), 0, 28, 0.02, 0, 1.0, -0.05, 0.25))
            ks.append(Key(hit.at, carry, unit(ahead * 0.9 + UP * 0.3), 0, 14, 0.06, 0, 0.6, -0.05, 0.25))
            ks.append(Key(hit.at + 0.14, carry - UP * 0.12, unit(ahead * 0.6 + UP * 0.7), 0, 22, 0.26, 0, 0.3, -0.10, 0.25, into=SETTLE))
        else:
            low, open_ = s.local(0.30, 0.02, 0.90), s.local(0.30, 0.0, 1.12)
            ks.append(Key(take_off - 0.12, low, s.turn(0.70, -0.5, 0.3), 0, 20, 0.26, 0.0))
            ks.append(Key(take_off + 0.12, open_, s.turn(0.45, -0.85, 0.25), 4, -4, 0.0, -0.03, into=SETTLE))
            ks.append(Key(hit.at - 0.12, open_, s.turn(0.55, -0.80, 0.2), 4, 6, 0.04))
            ks.append(Key(hit.at + 0.13, low, s.turn(0.72, -0.5, 0.35), 0, 20, 0.27, into=SETTLE))
        self.contacts.append(Contact(hit.at, move.number, s.ground, "landing", 1.0))
