"""The cautions that stand on every sheet for people who may get hurt, in one place; they advise, and size nothing."""

from __future__ import annotations

DEFER = "Defer to the stunt coordinator, qualified riggers and local codes; this sheet sizes nothing."
"""The last word of every sheet."""

_HSE = 'HSE Entertainment Information Sheet No 17, "Stunts, fights and other potentially hazardous production activities"'
_ONTARIO = 'Ontario, "Safety Guidelines for the Film and Television Industry in Ontario"'
_INDUSTRY = "Industry-Wide Labor-Management Safety Committee, Safety Bulletin"

GUIDANCE = (
    f"{_HSE}.",
    f"{_ONTARIO}, No. 4, 5 and 25.",
    f"{_INDUSTRY}s #4 (Stunts), #18 (air bags) and #30 (Edged and Piercing Props).",
)
"""Public guidance to read before the work, by its name."""

RIGGING = (
    "It says where a wire is in the picture, never how a line, a harness or a pick point is to be set. Qualified riggers decide that, "
    "test it and sign it off on the day."
)
PROPS = (
    "It counts what the fight needs; spares, doubles in soft material and the state of each piece are the props department's to decide. "
    "Every piece is looked over before each take and again after it."
)
WARDROBE = "It says who is seen in which role. Padding, harness room and footing under a costume are settled with the stunt coordinator."
MATS = (
    "It names moves in which a body may come down. Whether a pad, a mat or an air bag is used, which, and where it lies is never said "
    "here; a move that is not listed may still need one."
)
LOAD = (
    "These are counts of what is marked and cut, no judgement. They leave out rehearsals that nobody marked, rest, heat and pain. "
    "Ask the performers."
)
SET_UPS = "Where a camera stands near a fight, a wire or a fall is agreed with the stunt coordinator first."
FLIGHTS = (
    "Numbers for reading pictures: they tell an animator what a free flight would look like, air drag left out. "
    f"Never use them for rigging. {DEFER}"
)


def cautions(own: str) -> tuple[str, ...]:
    """A sheet's own caution, then the guidance to read, then who decides."""
    return (own, "Read first: " + " ".join(GUIDANCE), DEFER)
