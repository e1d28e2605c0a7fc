"""Pinch points, widths and narrowing passages in words and as rows; what they are is found in `clearance`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import ceil

from previs.document.floor import LineKind
from previs.exchange.lists import Row, moves_text
from previs.floor.clearance import Clearance, Pinch, Width
from previs.floor.clearance_width import Narrowing
from previs.floor.routes import metres

REACH_NOTE = (
    "A reach counts to all sides of the middle of the body and is an estimate; published lengths help to make one, such as a foil of "
    "110 cm at most (FIE Material Rules) or a six-foot staff of 182 cm (rokushakubo), less the grip, plus the arm."
)
"""How a reach is meant; said where pinches are shown."""
CAUTION = (
    "Figures of a drawing: no step, no turn of the body and no error of the tape is in them. Whether a weapon may be used in a place "
    "is for the stunt coordinator and local codes to decide; a place that is not listed may be too narrow all the same."
)
"""Stands wherever pinches are shown."""


def pinch_rows(found: Clearance) -> list[Row]:
    """A row for each pinch; lengths in centimetres, x and y in metres."""
    return [
        {
            "what": pinch.what,
            "missing cm": ceil(pinch.missing_mm / 10),
            "clearance cm": int(pinch.clearance_mm // 10),
            "reach cm": round(pinch.reach_mm / 10, 1),
            "weapon": pinch.weapon,
            "role": pinch.role,
            "free width cm": None if pinch.free_width_mm is None else int(pinch.free_width_mm // 10),
            "x": round(pinch.at[0] / 1000, 3),
            "y": round(pinch.at[1] / 1000, 3),
            "near": pinch.near,
            "moves": _moves(pinch.moves),
        }
        for pinch in found.pinches
    ]


def width_rows(widths: Iterable[Width]) -> list[Row]:
    """A row for each role and phrase: the narrowest free width that it passes, and where."""
    return [
        {
            "role": width.role,
            "phrase": width.phrase,
            "narrowest cm": None if width.narrowest_mm is None else int(width.narrowest_mm // 10),
            "x": round(width.at[0] / 1000, 3),
            "y": round(width.at[1] / 1000, 3),
            "near": width.near if width.narrowest_mm is not None else "",
        }
        for width in widths
    ]


def narrowing_rows(narrowings: Iterable[Narrowing]) -> list[Row]:
    """A row for each passage that narrows; metres."""
    return [
        {
            "from": round(one.from_mm / 1000, 3),
            "to": round(one.to_mm / 1000, 3),
            "over": round(one.over_mm / 1000, 3),
            "wide x": round(one.wide_at[0] / 1000, 3),
            "wide y": round(one.wide_at[1] / 1000, 3),
            "narrow x": round(one.narrow_at[0] / 1000, 3),
            "narrow y": round(one.narrow_at[1] / 1000, 3),
        }
        for one in narrowings
    ]


def pinch_told(pinch: Pinch) -> str:
    """One pinch as a sentence."""
    thing = f"the jamb of the {pinch.what}" if pinch.kind is LineKind.DOOR else f"the {pinch.what}"
    stands = "stand" if pinch.kind is LineKind.WALL else "stands"
    near = f", near {pinch.near}" if pinch.near and pinch.near != pinch.what else ""
    missing, free = ceil(pinch.missing_mm / 10), int(pinch.clearance_mm // 10)
    return (
        f"At {metres(pinch.at)}{near}, {thing} {stands} {free} cm from {pinch.role}'s way: {missing} cm are missing for a {pinch.weapon} "
        f"that reaches {pinch.reach_mm / 1000:.2f} m. It matters for {_moves(pinch.moves)}."
    )


def narrowing_told(one: Narrowing) -> str:
    """One passage that narrows as a sentence."""
    return (
        f"The passage narrows from {one.from_mm / 1000:.2f} m to {one.to_mm / 1000:.2f} m over {one.over_mm / 1000:.2f} m, from "
        f"{metres(one.wide_at)} to {metres(one.narrow_at)}."
    )


def left_out_told(found: Clearance) -> list[str]:
    """What could not be looked at for want of a reach."""
    told = []
    if found.without_reach:
        told.append(f"No reach is given for: {', '.join(found.without_reach)}. Where only these are used, nothing is compared.")
    for role in dict.fromkeys(role for role, _ in found.unchecked):
        phrases = moves_text(tuple(phrase for each, phrase in found.unchecked if each == role))
        told.append(
            f"{role} attacks with nothing that has a reach, so the way in phrase {phrases} is not compared; read a table weapon, reach."
        )
    return told


def _moves(moves: Mapping[str, tuple[int, ...]]) -> str:
    said = [f"{role} move{'' if len(numbers) == 1 else 's'} {moves_text(numbers)}" for role, numbers in moves.items() if numbers]
    return "; ".join(said) or "the way before the first move"
