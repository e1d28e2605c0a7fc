"""What a fitting found, in sentences for a person and as plain facts for programs; nothing is decided here."""

from __future__ import annotations

from math import floor

from previs.document.floor import Laid
from previs.floor.fitting import Fitting, Lacking, Miss
from previs.floor.sections import OVERLAP_MM

ONLY_TAPING = "This is for taping a floor to rehearse on, never for building or rigging; keep the room's ways out free."


def fitting_told(fitting: Fitting, margin_mm: int) -> tuple[str, ...]:
    """The finding, one sentence after the other."""
    if fitting.fits:
        (laid,) = fitting.laid
        return (
            f"All of the plan fits, {_lies(laid)}. The nearest wall or column is {_metres(fitting.clearance_mm)} away; "
            f"{_metres(margin_mm)} were asked for.",
            ONLY_TAPING,
        )
    missed = f"The plan does not fit as one. {_missed(fitting, margin_mm)}."
    if any(miss.lacking is Lacking.COLUMN for miss in fitting.misses):
        missed += " No column is let stand inside the outline drawn tight around all of the plan's lines."
    if len(fitting.laid) == 1:
        share = f"{floor(fitting.share * 100)} % of its lines"
        return missed, f"The largest part that was found to fit, {share}, is laid {_lies(fitting.laid[0])}.", ONLY_TAPING
    cut = f"It is cut into {len(fitting.laid)} sections, to be rehearsed one after the other."
    overlap = f"Each shows {_metres(OVERLAP_MM)} or more of the next."
    sections = (f"{laid.name.capitalize()}: {_lies(laid)}." for laid in fitting.laid)
    return missed, cut, overlap, *sections, ONLY_TAPING


def fitting_facts(fitting: Fitting) -> dict[str, object]:
    """The finding for programs; lengths in millimetres, turns in degrees."""
    return {
        "fits": fitting.fits,
        "clearance_mm": fitting.clearance_mm,
        "share": round(fitting.share, 4),
        "missing": [_miss_facts(miss) for miss in fitting.misses],
        "missing_at_turn": fitting.missed_turn_millidegrees / 1000 if fitting.misses else None,
        "laid": [
            {
                "name": laid.name,
                "turn": laid.turn_millidegrees / 1000,
                "shift_x_mm": laid.shift_x_mm,
                "shift_y_mm": laid.shift_y_mm,
                "part": [list(corner) for corner in laid.part],
            }
            for laid in fitting.laid
        ],
    }


def _missed(fitting: Fitting, margin_mm: int) -> str:
    missing = " and ".join(_missing(miss) for miss in fitting.misses)
    turn = _turned(fitting.missed_turn_millidegrees).capitalize()
    return f"{turn}, and with {_metres(margin_mm)} kept free, {missing}"


def _missing(miss: Miss) -> str:
    short = f"{miss.missing_mm / 10:.1f} cm"
    if miss.lacking is Lacking.LENGTH:
        return f"the room is {short} too short"
    if miss.lacking is Lacking.WIDTH:
        return f"the room is {short} too narrow"
    return f"column {(miss.column or 0) + 1} stands {short} too near"


def _miss_facts(miss: Miss) -> dict[str, object]:
    column = {} if miss.column is None else {"column": miss.column + 1}
    return {"lacking": miss.lacking.value, "missing_mm": miss.missing_mm, **column}


def _lies(laid: Laid) -> str:
    return f"{_turned(laid.turn_millidegrees)}, the plan's origin at x {_metres(laid.shift_x_mm)}, y {_metres(laid.shift_y_mm)} of the room"


def _turned(millidegrees: int) -> str:
    return f"turned left by {millidegrees / 1000:g} degrees" if millidegrees else "not turned"


def _metres(millimetres: int) -> str:
    return f"{millimetres / 1000:.3f}".rstrip("0").rstrip(".") + " m"
