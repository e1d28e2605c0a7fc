"""Brings story, timing, footing, staffs and bodies together for one session; it is asked for poses at hall times."""

from __future__ import annotations

import numpy as np

from .body import Controls, Poses, solve
from .footing import GRAVITY, Anchor, Flight, Footing
from .session import Session
from .staffplay import STAFF_LENGTH, Contact, Key, Play, Stand
from .story import CART_CENTRE, CART_SIZE, MOVES, PERFORMERS, PHRASES, ROLES
from .timeline import Hit, PlayedPass, play, rng_for
from .tracks import Track, unit

UP = np.array([0.0, 0.0, 1.0])
_VAULT_SECONDS, _LEAP_SECONDS, _LEAP_GRAVITY = 0.60, 0.86, 5.4
_HOME_YAW = {"Odile": 0.0, "Reeve": np.pi}
_SIGN = {"Odile": -0.5, "Reeve": 0.5}
_LANE = {15: 0.50, 16: -0.30}


def _place(role: str, number: int) -> tuple[float, float]:
    move = MOVES[number]
    return move.x + _SIGN[role] * move.gap, _LANE.get(number, 0.0)


def _opening(role: str, phrase: int) -> tuple[float, float]:
    """Where a role waits before a phrase: a step wider than the first hit."""
    first = next(p for p in PHRASES if p.number == phrase).moves[0]
    x = first.x + _SIGN[role] * (first.gap + 0.55) + (0.12 if first.attacker == "Reeve" else -0.05)
    return x, 0.0


class Choreography:
    """A session as it was played: ask it where everybody is at any hall time."""

    def __init__(self, session: Session, seed: int) -> None:
        self.session = session
        self.passes, self.end = play(session, seed)
        self.seed = seed
        self.play = Play()
        self._vault_windows: list[tuple[float, float]] = []
        self.performers = {r: PERFORMERS[session.cast[r]] for r in ROLES}
        anchors = {r: self._anchors(r) for r in ROLES}
        yaw = {r: self._yaw_track(r) for r in ROLES}
        self.footing = {r: Footing(anchors[r], yaw[r]) for r in ROLES}
        self._staff_keys()
        self.keys = {r: self._clean(self.play.keys[r]) for r in ROLES}
        self._tracks = {r: self._key_tracks(self.keys[r]) for r in ROLES}
        self.contacts: list[Contact] = sorted(self.play.contacts, key=lambda c: c.at)

    # --- where they stand -------------------------------------------------------------------------
    def _hits(self) -> list[tuple[PlayedPass, Hit]]:
        return [(p, h) for p in self.passes for h in p.hits]

    def _flight_times(self, hit: Hit) -> tuple[float, float, float]:
        """Take-off, bow of the parabola, tuck of the feet. A flight takes its own time whatever the tempo."""
        if hit.move.kind == "vault":
            return hit.at - _VAULT_SECONDS, GRAVITY * _VAULT_SECONDS**2 / 8, 0.98
        return hit.at - _LEAP_SECONDS, _LEAP_GRAVITY * _LEAP_SECONDS**2 / 8, 0.62

    def _anchors(self, role: str) -> list[Anchor]:
        x, y = _opening(role, self.session.passes[0].phrases[0])
        out = [Anchor(-1.0, 0.1, x, y)]
        for p in self.passes:
            x, y = _opening(role, p.plan.phrases[0])
            far = float(np.hypot(out[-1].x - x, out[-1].y - y))
            out.append(Anchor(p.begin - 0.35, min(p.begin - 0.45 - p.reset_from, 0.7 + far / 1.5), x, y))
            for i, hit in enumerate(p.hits):
                out += self._anchors_of(role, hit, p.hits[i - 1] if i else None)
        return out

    def _anchors_of(self, role: str, hit: Hit, before: Hit | None) -> list[Anchor]:
        m, tau = hit.move, 1 / hit.tempo
        x, y = _place(role, m.number)
        first = before is None or before.move.number + 1 != m.number
        window = (0.62 if first else 0.48) * tau
        if m.kind == "vault" and role == m.attacker:
            take_off, bow, tuck = self._flight_times(hit)
            return [Anchor(take_off - 0.05, 0.85, 0.62, y), Anchor(hit.at, _VAULT_SECONDS, x, y, bow, tuck)]
        if m.kind == "leap" and role == m.attacker:
            take_off, bow, tuck = self._flight_times(hit)
            return [Anchor(take_off - 0.08, 0.4, _place(role, 29)[0], y), Anchor(hit.at, _LEAP_SECONDS, x, y, bow, tuck)]
        if m.kind in ("vault", "leap"):
            return [Anchor(hit.at + 0.05, 0.7, x, 0.0)]
        if m.number == 16 and role == "Reeve" and before is not None:
            # He goes round the cart's end while she turns.
            return [Anchor(hit.at - 0.72 * tau, 0.6, 0.55, -0.36), Anchor(hit.at, 0.62 * tau, x, y)]
        return [Anchor(hit.at - (0.03 if role == m.attacker else -0.02), window, x, y)]

    def _yaw_track(self, role: str) -> Track:
        home = _HOME_YAW[role]
        times, rows = [-2.0, self.end + 2], [[home], [home]]
        for _, hit in self._hits():
            if hit.move.kind == "vault" and role == hit.move.attacker:
                take_off = self._flight_times(hit)[0]
                self._vault_windows.append((take_off, hit.at))
                away = home - np.pi * 0.94
                times += [take_off - 0.95, take_off - 0.35, hit.at + 0.10, hit.at + 0.72]
                rows += [[home], [away], [away], [home]]
        return Track(times, rows)

    # --- what the staffs do -----------------------------------------------------------------------
    def stand(self, role: str, at: float) -> Stand:
        """Ground point and line to the opponent at a time."""
        here = self.footing[role].ground.at(np.array([at]))[0]
        other = self.footing[ROLES[role == "Odile"]].ground.at(np.array([at]))[0]
        line = (other - here) * np.array([1.0, 1.0, 0.0])
        return Stand(here, unit(line), self.performers[role].stature)

    def _stands(self, at: float) -> dict[str, Stand]:
        return {r: self.stand(r, at) for r in ROLES}

    def _staff_keys(self) -> None:
        for r in ROLES:
            self.play.ease_stand(r, self.stand(r, -1.0), -1.0)
        for p in self.passes:
            rng = rng_for(self.seed, self.session.name, p.index, "staffs")
            for r in ROLES:
                self.play.ease_stand(r, self.stand(r, p.reset_from + 0.6), p.reset_from + 0.75)
                self.play.ease_stand(r, self.stand(r, p.begin), p.begin - 0.12 - float(rng.uniform(0, 0.25)))
            if p.plan.false_start:
                self.play.guard("Reeve", self.stand("Reeve", p.begin), p.begin + 0.45)
                self.play.guard("Odile", self.stand("Odile", p.begin), p.begin + 0.75)
            for i, hit in enumerate(p.hits):
                self._keys_of(p, i, hit, rng)

    def _keys_of(self, p: PlayedPass, i: int, hit: Hit, rng: np.random.Generator) -> None:
        tau, stands = 1 / hit.tempo, self._stands(hit.at)
        wait = hit.at - p.hits[i - 1].at if i else 9.0
        for r in ROLES:
            if not i or wait > 0.9:
                ready = hit.at - (0.52 * tau if not i else min(0.50 * tau, wait * 0.45))
                if hit.move.kind not in ("vault", "leap") or r != hit.move.attacker:
                    self.play.guard(r, self.stand(r, ready), ready)
        if hit.move.kind == "parry":
            self.play.exchange(hit, stands, rng)
        elif hit.move.kind == "body":
            self.play.checked_butt(hit, stands, rng)
        else:
            self.play.flight(hit, self._flight_times(hit)[0], stands)
        last = i + 1 == len(p.hits) or p.hits[i + 1].at - hit.at > 1.7
        if last:
            for r in ROLES:
                self.play.guard(
                    r, self.stand(r, hit.at + 0.6), hit.at + 0.62 * max(tau, 1.0), tired=0.7 if not i + 1 < len(p.hits) else 0.3
                )

    @staticmethod
    def _clean(keys: list[Key]) -> list[Key]:
        """Drop guards that come too close to a pose that matters: a fighter skips them too when pressed."""
        keys = sorted(keys, key=lambda k: k.at)
        fixed = [k.at for k in keys if k.into != 0]
        out: list[Key] = []
        for k in keys:
            if out and k.at - out[-1].at < 0.07 and k.into == 0:
                continue
            if k.into == 0 and out and out[-1].into != 0 and k.at - out[-1].at < 0.10 and fixed:
                continue
            out.append(k)
        return out

    @staticmethod
    def _key_tracks(keys: list[Key]) -> tuple[Track, Track]:
        times, into = [k.at for k in keys], [k.into for k in keys]
        return Track(times, [k.row() for k in keys], into), Track(times, [list(k.direction) for k in keys], into)

    # --- poses --------------------------------------------------------------------------------------
    def _free_target(self, role: str, ts: np.ndarray, ground: np.ndarray, yaw: np.ndarray) -> np.ndarray:
        h = self.performers[role].stature
        f = np.stack([np.cos(yaw), np.sin(yaw), 0 * yaw], 1)
        r = np.stack([np.sin(yaw), -np.cos(yaw), 0 * yaw], 1)
        swing = 0.03 * np.sin(ts * 1.9)[:, None]
        hang = ground + f * (0.10 + swing) - r * 0.30 + UP * 0.46 * h
        if role == "Odile":
            top = np.array([CART_CENTRE[0], CART_CENTRE[1] - 0.22, CART_SIZE[2] + 0.03])
            for begin, end in self._vault_windows:
                w = np.clip(1 - np.abs((ts - (begin + 0.42 * (end - begin))) / 0.42), 0, 1)
                w = (w * w * (3 - 2 * w))[:, None]
                hang = hang + (top - hang) * w
        return hang

    def controls(self, role: str, ts: np.ndarray) -> Controls:
        """What the body of a role is asked to do at hall times."""
        foot = self.footing[role]
        ground, yaw = foot.ground.at(ts), foot.yaw.at(ts)[:, 0]
        values, directions = self._tracks[role]
        row, direction = values.at(ts), directions.direction_at(ts)
        phase = {"Odile": 0.0, "Reeve": 1.3}[role]
        breath = np.sin(2 * np.pi * 0.42 * ts + phase)
        sway = 0.006 * np.sin(2 * np.pi * 0.23 * ts + 2 * phase)
        drift = (breath * 0.004 + sway * 0.5)[:, None] * UP
        calm = self._calm(ts)[:, None]
        centre = ground + row[:, :3] + drift * calm + UP * foot.rise_at(ts)[:, None]
        rival = ROLES[role == "Odile"]
        target = self.footing[rival].ground.at(ts) + UP * (0.93 * self.performers[rival].stature - 0.06)
        return Controls(
            ground,
            foot.rise_at(ts),
            yaw,
            np.radians(row[:, 3]),
            np.radians(row[:, 4]) + sway,
            row[:, 5] + breath * 0.003,
            row[:, 6] + sway,
            foot.feet_at(ts),
            centre,
            direction,
            np.stack([row[:, 9], row[:, 8]], 1),
            row[:, 7],
            self._free_target(role, ts, ground, yaw),
            target,
            breath,
            STAFF_LENGTH / 2,
        )

    def _calm(self, ts: np.ndarray) -> np.ndarray:
        """0 near a contact, 1 away from it: breathing must not move a staff off its parry."""
        if not self.play.contacts:
            return np.ones(len(ts))
        at = np.array([c.at for c in self.play.contacts])
        return np.clip((np.abs(ts[:, None] - at).min(1) - 0.12) / 0.3, 0, 1)

    def poses(self, role: str, ts: np.ndarray) -> Poses:
        """Solved joints of a role at hall times."""
        return solve(self.controls(role, np.asarray(ts, float)), self.performers[role].stature)

    def flights(self) -> list[tuple[Hit, Flight]]:
        """Vaults and leaps with their flight, in order of time."""
        hits = [h for _, h in self._hits() if h.move.kind in ("vault", "leap")]
        flights = sorted(self.footing["Odile"].flights, key=lambda f: f.landing)
        return list(zip(hits, flights, strict=True))
