"""Units of a drawing: the codes of its $INSUNITS and the names a person may give, in millimetres; it reads no drawing."""

from __future__ import annotations

from fractions import Fraction

from previs.faults import UseFault

_INCH = Fraction(254, 10)
_SURVEY_FOOT = Fraction(1_200_000, 3937)
_AU = Fraction(149_597_870_700_000)
_METRE = Fraction(1000)

MM_PER_CODE: dict[int, Fraction] = {
    1: _INCH,
    2: 12 * _INCH,
    3: 5280 * 12 * _INCH,
    4: Fraction(1),
    5: Fraction(10),
    6: _METRE,
    7: 1000 * _METRE,
    8: _INCH / 10**6,
    9: _INCH / 1000,
    10: 36 * _INCH,
    11: _METRE / 10**10,
    12: _METRE / 10**9,
    13: _METRE / 10**6,
    14: Fraction(100),
    15: 10 * _METRE,
    16: 100 * _METRE,
    17: 10**9 * _METRE,
    18: _AU,
    19: Fraction(9_460_730_472_580_800) * 1000,
    20: _AU * 206_265,
    21: _SURVEY_FOOT,
    22: _SURVEY_FOOT / 12,
    23: 3 * _SURVEY_FOOT,
    24: 5280 * _SURVEY_FOOT,
}
"""Millimetres in one unit, by the code of $INSUNITS in the DXF reference; 0, no unit, is not among them.

The international inch is 25.4 mm exactly, the US survey foot 1200/3937 m, the astronomical unit 149,597,870,700 m (IAU 2012,
resolution B2), the light year 365.25 days of light, the parsec 206,265 astronomical units (rounded to the nearest).
"""

UNIT_NAMES: dict[str, int] = {"mm": 4, "cm": 5, "dm": 14, "m": 6, "km": 7, "in": 1, "ft": 2, "yd": 10}
"""The names that `--unit` takes, with their codes."""

_CODE_NAMES = {code: name for name, code in UNIT_NAMES.items()} | {
    3: "mile",
    8: "microinch",
    9: "mil",
    11: "ångström",
    12: "nanometre",
    13: "micrometre",
    15: "decametre",
    16: "hectometre",
    17: "gigametre",
    18: "astronomical unit",
    19: "light year",
    20: "parsec",
    21: "US survey foot",
    22: "US survey inch",
    23: "US survey yard",
    24: "US survey mile",
}


def unit_given(written: str) -> int:
    """The code of a unit's name, such as mm or in. Raises `UseFault` for another."""
    code = UNIT_NAMES.get(written.strip().casefold())
    if code is None:
        raise UseFault(f"'{written}' is not a unit that a plan is drawn in; write one of {', '.join(UNIT_NAMES)}.")
    return code


def unit_name(code: int) -> str:
    """A unit's short name, such as mm; for the rare ones its English name."""
    return _CODE_NAMES[code]


def sizes_told(width: float, depth: float) -> str:
    """How large the set would be if its numbers were metres, millimetres or inches, so that a person can tell which they are."""
    sizes = [
        f"{_far(width * MM_PER_CODE[UNIT_NAMES[name]])} x {_far(depth * MM_PER_CODE[UNIT_NAMES[name]])} in {name}"
        for name in ("m", "mm", "in")
    ]
    return ", ".join(sizes)


def _far(mm: float) -> str:
    """A length for judging by eye: three digits of metres, kilometres from a thousand on, millimetres below a tenth."""
    if mm >= 1_000_000:
        return f"{mm / 1_000_000:,.4g} km"
    return f"{mm / 1000:.3g} m" if mm >= 100 else f"{mm:.3g} mm"
