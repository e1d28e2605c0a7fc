"""What was found in a plan while it was cleaned, as sentences with places; nothing is decided here."""

from __future__ import annotations

from collections.abc import Sequence

from previs.cut.wording import counted
from previs.document.floor import PointMm
from previs.floor.cleaning import Cleaned
from previs.floor.cleaning_findings import Finding, Odd

_MOST_PLACES = 6

_SENTENCES: dict[Odd, tuple[str, str]] = {
    Odd.SNAPPED: ("{ends} snapped, by {mm} mm at most: {places}.", "end"),
    Odd.DOUBLE: ("{ends} drawn twice, one of each kept: {places}.", "line"),
    Odd.OVERLAP: ("{ends} drawn over another, {mm} mm at most, taken once: {places}.", "piece"),
    Odd.CROSSING: ("{ends} where walls cross: {places}; look whether they should meet.", "spot"),
    Odd.SELF_CROSSING: ("{ends} where a line crosses itself: {places}; look at the drawing.", "spot"),
    Odd.ISLAND: ("{ends} not joined to the rest of the plan: {places}; leave out their layer, or draw what joins them.", "part"),
    Odd.OPEN_WALL: ("{ends} of walls that meet nothing: {places}; the set is open there, or the drawing is.", "end"),
    Odd.SHUT_DOOR: ("{ends} with a wall drawn through the opening: {places}; take the wall out there.", "door"),
    Odd.NO_HEIGHT: (
        "{ends} without a height: {places}; say how far down the real edge goes, as the sheets name it to those who rehearse.",
        "drop",
    ),
}


def findings_told(result: Cleaned) -> list[str]:
    """A sentence for each kind of thing found, with its number and the first places."""
    told = []
    for odd, (sentence, what) in _SENTENCES.items():
        found = result.of(odd)
        if found:
            most = max(finding.mm for finding in found)
            told.append(sentence.format(ends=counted(len(found), what), mm=most, places=_places(found)))
    return told


def finding_rows(result: Cleaned) -> list[dict[str, str | int | float | bool | None]]:
    """Every finding as a row: what, x and y in metres, millimetres, name."""
    return [
        {"found": str(finding.odd), "x": finding.at[0] / 1000, "y": finding.at[1] / 1000, "mm": finding.mm, "name": finding.name}
        for finding in result.findings
    ]


def at_told(at: PointMm) -> str:
    """A spot of the plan in metres: `x 5.000 y 0.850`."""
    return f"x {at[0] / 1000:.3f} y {at[1] / 1000:.3f}"


def _places(found: Sequence[Finding]) -> str:
    shown = [f"{finding.name} at {at_told(finding.at)}" if finding.name else at_told(finding.at) for finding in found[:_MOST_PLACES]]
    more = f" and {len(found) - _MOST_PLACES:,} more" if len(found) > _MOST_PLACES else ""
    return "; ".join(shown) + more
