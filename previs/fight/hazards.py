"""Which moves of a written fight hang on a wire, and in which a body may come down, as far as its words tell.

Words are all it reads: a move that is written without them is not found, and one that is found may need nothing. It never
says how anything is to be rigged or padded.
"""

from __future__ import annotations

import re

from previs.document.model import Move

WIRE = "wire"
"""What the fight table calls a wire in its column `weapon`."""

_WIRE = re.compile(r"\bwire[sd]?\b", re.IGNORECASE)
_LANDING = re.compile(
    r"\b(?:(fall)(?:s|en|ing)?|(land)(?:s|ed|ing)|(vault)(?:s|ed|ing)?|(leap)(?:s|t|ed|ing)?|(throw)[ns]?)\b", re.IGNORECASE
)


def on_wire(move: Move) -> bool:
    """True when the move's weapon is a wire, or its label or note names one."""
    return move.weapon.strip().casefold() == WIRE or bool(_WIRE.search(f"{move.label} {move.note}"))


def landing_words(move: Move) -> tuple[str, ...]:
    """Which of fall, land, vault, leap and throw the move's label holds, in any of their forms, each once."""
    return tuple(dict.fromkeys(found.lower() for match in _LANDING.finditer(move.label) for found in match.groups() if found))


def who_comes_down(move: Move) -> tuple[str, ...]:
    """The roles that the words let come down: of a throw the defender, of a vault or leap the attacker, else both."""
    words = landing_words(move)
    if not words:
        return ()
    if "throw" in words:
        return (move.defender,)
    return (move.attacker,) if {"vault", "leap"} & set(words) else tuple(dict.fromkeys((move.attacker, move.defender)))
