"""Checks that the committed rehearsal tapes, tables and truth agree with each other; it renders nothing and judges no picture."""

from __future__ import annotations

import csv
import json
import sys
from fractions import Fraction
from functools import cache
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
import pytest

REPO = Path(__file__).resolve().parent.parent
MEDIA = REPO / "sample_media"
sys.path.insert(0, str(REPO / "scripts"))

from saltstair.body import BONES  # noqa: E402
from saltstair.choreography import Choreography  # noqa: E402
from saltstair.session import SESSION_OF, SESSIONS, TAPES  # noqa: E402
from saltstair.staffplay import STAFF_RADIUS  # noqa: E402
from saltstair.tables import FIGHT_COLUMNS, FLIGHT_COLUMNS, HIT_COLUMNS, TAKE_COLUMNS, TREATMENT_COLUMNS  # noqa: E402

REELS = [t.reel for t in TAPES]
ROLES = ("Odile", "Reeve")
SIZES = {"extreme wide", "wide", "full", "medium wide", "medium", "medium close", "close", "extreme close"}


@cache
def truth() -> dict:
    return json.loads((MEDIA / "truth" / "truth.json").read_text(encoding="utf-8"))


@cache
def table(name: str) -> list[dict[str, str]]:
    with (MEDIA / "marks" / f"{name}.csv").open(encoding="utf-8", newline="") as f:
        return list(csv.DictReader(f))


@cache
def show(name: str) -> Choreography:
    return Choreography(SESSION_OF[name], truth()["seed"])


def tape(reel: str) -> dict:
    return truth()["tapes"][reel]


def mark_seconds(mark: str, reel: str) -> float:
    """A mark of the tables as tape seconds, read here on its own and not with the generator's code."""
    t = tape(reel)
    rate = Fraction(t["rate"])
    if mark.startswith("f"):
        return t["frame_seconds"][int(mark[1:])]
    if mark.endswith("s"):
        return float(mark[:-1])
    base = -(-rate.numerator // rate.denominator)

    def count(label: str) -> int:
        h, m, s, f = map(int, label.split(":"))
        assert f < base
        return ((h * 60 + m) * 60 + s) * base + f

    return float((count(mark) - count(t["start"] or "00:00:00:00")) / rate)


def frame_on_show(seconds: float, reel: str) -> int:
    return int(np.searchsorted(np.array(tape(reel)["frame_seconds"]), seconds + 1e-6, side="right")) - 1


@cache
def packet_seconds(reel: str) -> list[float]:
    with av.open(str(MEDIA / tape(reel)["file"])) as c:
        video = c.streams.video[0]
        pts = sorted(p.pts for p in c.demux(video) if p.pts is not None and p.size)
        return [float((p - pts[0]) * video.time_base) for p in pts]


@cache
def sound(reel: str) -> np.ndarray:
    with av.open(str(MEDIA / tape(reel)["file"])) as c:
        parts = []
        for frame in c.decode(audio=0):
            parts.append((float(frame.time), frame.to_ndarray()[0]))
            rate = frame.sample_rate
    assert rate == 48000
    out = np.zeros(int(parts[-1][0] * rate) + len(parts[-1][1]) + rate, np.float32)
    for at, x in parts:
        n = round(at * rate)
        out[max(n, 0) : n + len(x)] = x[max(-n, 0) :]
    return out


def test_everything_is_small_enough_to_commit() -> None:
    sizes = {p.name: p.stat().st_size for p in MEDIA.rglob("*") if p.is_file()}
    assert sum(sizes.values()) < 30_000_000, sizes
    assert {Path(tape(r)["file"]).name for r in REELS} <= sizes.keys()


@pytest.mark.parametrize("reel", REELS)
def test_frames_are_counted_and_stamped_as_the_truth_says(reel: str) -> None:
    found, t = packet_seconds(reel), tape(reel)
    assert len(found) == t["frames"] == len(t["frame_seconds"])
    assert np.abs(np.array(found) - np.array(t["frame_seconds"])).max() < 1e-4
    gaps = np.diff(t["frame_seconds"])
    if t["variable"]:
        late = np.mean(np.abs(gaps - 1001 / 30000) > 1e-3)
        assert 0.08 < late < 0.35, "a phone's frames must not be regular"
    else:
        assert np.abs(gaps - float(1 / Fraction(t["rate"]))).max() < 1e-5


@pytest.mark.parametrize("reel", REELS)
def test_file_carries_its_time_code_sound_and_turn(reel: str) -> None:
    t = tape(reel)
    with av.open(str(MEDIA / t["file"])) as c:
        codes = [m["timecode"] for m in (c.metadata, *(s.metadata for s in c.streams)) if "timecode" in m]
        assert ({t["start"]} if t["start"] else set()) == set(codes)
        assert bool(c.streams.audio) == t["sound"]
        frame = next(c.decode(video=0))
        assert [frame.width, frame.height] == t["stored_px"]
        assert frame.rotation % 360 == (-t["rotation"]) % 360 or frame.rotation % 360 == t["rotation"] == 180


def upright(reel: str) -> np.ndarray:
    with av.open(str(MEDIA / tape(reel)["file"])) as c:
        frame = next(c.decode(video=0))
        return np.rot90(frame.to_ndarray(format="rgb24"), (frame.rotation % 360) // 90)


@pytest.mark.parametrize("reel", ["SSA01", "SSB01", "SSB02"])
def test_turned_by_its_flag_the_bright_wall_is_above_the_dark_floor(reel: str) -> None:
    img = upright(reel)
    assert [img.shape[1], img.shape[0]] == tape(reel)["upright_px"]
    third = img.shape[0] // 3
    assert img[:third].mean() > img[-third:].mean() + 15


@pytest.mark.parametrize("reel", [t.reel for t in TAPES if t.sound])
def test_clacks_and_claps_are_heard_within_a_frame(reel: str) -> None:
    x, t = sound(reel), tape(reel)
    frame = float(1 / Fraction(t["rate"]))
    high = np.diff(x, prepend=0.0) ** 2
    energy = np.sqrt(np.convolve(high, np.ones(96) / 96, "same"))
    expected = [h["heard_at"] for k in t["takes"].values() for h in k["hits"] if h["sound"] == "clack"]
    assert expected
    missed = []
    for at in [*expected, *(c["at"] + 0.016 for c in t["claps"] if c["at"] > 0.2)]:
        a = int((at - 0.12) * 48000)
        near = energy[a : a + int(0.24 * 48000)]
        floor = np.median(energy[max(a - 48000, 0) : a + 48000])
        loud = np.flatnonzero(near > max(6 * floor, 0.35 * near.max()))
        if not len(loud) or abs(loud[0] / 48000 - 0.12) > frame:
            missed.append(at)
    assert not missed


def test_tables_have_the_agreed_columns() -> None:
    agreed = {
        "fight": FIGHT_COLUMNS,
        "takes": TAKE_COLUMNS,
        "hits": HIT_COLUMNS,
        "treatments": TREATMENT_COLUMNS,
        "flights": FLIGHT_COLUMNS,
    }
    for name, columns in agreed.items():
        assert list(table(name)[0]) == columns
    assert len({r["take"] for r in table("takes")}) == len(table("takes"))
    assert {r["size"] for r in table("takes")} <= SIZES


def test_the_written_fight_is_complete() -> None:
    rows = table("fight")
    assert [int(r["move"]) for r in rows] == list(range(1, len(rows) + 1))
    assert 32 <= len(rows) <= 34
    assert sorted({int(r["phrase"]) for r in rows}) == [1, 2, 3, 4, 5, 6]
    assert 3 <= sum(r["optional"] == "yes" for r in rows) <= 4
    for row, after in pairwise([*rows, {"phrase": "end"}]):
        assert bool(row["breath"]) == (row["phrase"] != after["phrase"])
        assert {row["attacker"], row["defender"]} == set(ROLES)


def test_marked_hits_are_the_frame_on_show_at_the_true_hit() -> None:
    by_take = {r["take"]: r["tape"] for r in table("takes")}
    marked = {(r["take"], int(r["move"])): r["at"] for r in table("hits")}
    true = {(name, h["move"]): h["at"] for reel in REELS for name, k in tape(reel)["takes"].items() for h in k["hits"]}
    assert marked.keys() == true.keys()
    for key, at in true.items():
        reel = by_take[key[0]]
        assert frame_on_show(mark_seconds(marked[key], reel), reel) == frame_on_show(at, reel), key


def test_takes_hold_their_hits_and_stay_on_the_tape() -> None:
    for row in table("takes"):
        t = tape(row["tape"])
        begin, end = mark_seconds(row["in"], row["tape"]), mark_seconds(row["out"], row["tape"])
        assert 0 <= begin < end <= t["frame_seconds"][-1] + 0.05
        for h in t["takes"][row["take"]]["hits"]:
            assert begin < h["at"] < end


def test_every_phrase_can_be_cut() -> None:
    moves = {p: {int(r["move"]) for r in table("fight") if r["phrase"] == str(p)} for p in range(1, 7)}
    rows = {r["take"]: r for r in table("takes")}
    for phrase, wanted in moves.items():
        full = [name for name in rows if wanted <= {int(h["move"]) for h in table("hits") if h["take"] == name}]
        assert len(full) >= 3, phrase
        assert len({rows[n]["camera"] for n in full}) >= 2, phrase
        assert any(float(rows[n]["tempo"]) >= 0.95 for n in full), phrase


def test_treatments_name_known_tapes_and_the_leap_is_flagged_wherever_it_is_seen() -> None:
    rows = table("treatments")
    assert {r["kind"] for r in rows} == {"digital double", "face replacement", "rig removal"}
    for r in rows:
        assert mark_seconds(r["in"], r["tape"]) < mark_seconds(r["out"], r["tape"])
    for reel in REELS:
        for a in tape(reel)["air"]:
            kind = {"leap": "rig removal", "vault": "digital double"}[a["kind"]]
            spans = [(mark_seconds(r["in"], reel), mark_seconds(r["out"], reel)) for r in rows if r["tape"] == reel and r["kind"] == kind]
            if kind == "rig removal" or SESSION_OF[tape(reel)["session"]].cast["Odile"] == "Juno Vale":
                assert any(a0 < (a["take_off"] + a["landing"]) / 2 < a1 for a0, a1 in spans), (reel, a)


def test_flights_are_the_frames_on_show_at_the_true_take_off_and_landing() -> None:
    told = [(reel, a) for reel in REELS for a in tape(reel)["air"]]
    rows = table("flights")
    assert len(rows) == len(told) == 11
    for reel, a in told:
        row = next(r for r in rows if r["tape"] == reel and abs(mark_seconds(r["take_off"], reel) - a["take_off"]) < 0.1)
        for mark, moment in ((row["take_off"], a["take_off"]), (row["landing"], a["landing"])):
            assert frame_on_show(mark_seconds(mark, reel) + 1e-4, reel) == frame_on_show(moment, reel), (reel, mark)
        assert (float(row["height"]), float(row["rise"] or 0)) == (a["apex_metres"], a["rise_metres"])


def test_doubles_are_flagged_only_where_a_double_performs() -> None:
    takes = {r["tape"]: r["performers"] for r in table("takes")}
    for r in table("treatments"):
        if r["kind"] == "face replacement":
            assert any(f"{r['role']}={d}" in takes[r["tape"]] for d in ("Pim Oster", "Rika Thorn"))


def test_a_vault_falls_as_bodies_fall() -> None:
    for reel in REELS:
        for a in tape(reel)["air"]:
            if a["kind"] == "vault":
                assert a["apex_metres"] == pytest.approx(9.80665 * (a["landing"] - a["take_off"]) ** 2 / 8, rel=2e-3)
            else:
                # The line carries her: she stays up longer than a free leap of that height would.
                assert a["landing"] - a["take_off"] > 1.15 * (
                    (2 * a["apex_metres"] / 9.80665) ** 0.5 + (2 * (a["apex_metres"] - a["rise_metres"]) / 9.80665) ** 0.5
                )


def closest(a: tuple[np.ndarray, np.ndarray], b: tuple[np.ndarray, np.ndarray]) -> float:
    u = np.linspace(0, 1, 600)[:, None]
    p, q = a[0] + u * (a[1] - a[0]), b[0] + u * (b[1] - b[0])
    return float(np.sqrt(((p[:, None] - q[None]) ** 2).sum(-1)).min())


@pytest.mark.parametrize("session", [s.name for s in SESSIONS])
def test_staffs_touch_at_contact_and_are_apart_before_it(session: str) -> None:
    s = show(session)
    for contact in [c for c in s.contacts if c.sound == "clack"]:
        now, before = ({r: s.poses(r, np.array([t])).pick(0) for r in ROLES} for t in (contact.at, contact.at - 0.13))
        assert closest(now["Odile"].staff, now["Reeve"].staff) == pytest.approx(2 * STAFF_RADIUS, abs=0.004), contact.number
        assert closest(before["Odile"].staff, before["Reeve"].staff) > 0.06, contact.number
        assert max(float(now[r].grip_gap) for r in ROLES) < 0.04, contact.number


@pytest.mark.parametrize("session", [s.name for s in SESSIONS])
def test_limbs_keep_their_length(session: str) -> None:
    s = show(session)
    ts = np.arange(s.passes[0].begin, s.passes[-1].end, 0.05)
    for r in ROLES:
        joints = s.poses(r, ts).joints
        for bone, (a, b) in BONES.items():
            length = np.linalg.norm(joints[a] - joints[b], axis=1)
            assert np.ptp(length) < 1e-3, (r, bone)


def test_planted_feet_do_not_slide() -> None:
    s = show("afternoon one")
    foot = s.footing["Reeve"]
    ts = np.arange(s.passes[0].begin, s.passes[0].end, 0.02)
    for name, (where, _, _) in foot.feet_at(ts).items():
        moving = np.zeros(len(ts), bool)
        for step in (x for x in foot.steps if x.foot == name):
            moving |= (ts > step.begin - 0.03) & (ts < step.end + 0.03)
        still = ~moving[1:] & ~moving[:-1]
        assert still.any()
        assert np.abs(np.diff(where, axis=0)[still]).max() < 1e-6


def test_head_heights_follow_distance() -> None:
    for reel in REELS:
        t = tape(reel)
        for role in ROLES:
            heads = t["head_px_every_6th_frame"][role]
            assert len(heads) == -(-t["frames"] // 6)
            assert all(h is None or 8 < h < t["upright_px"][1] for h in heads)
