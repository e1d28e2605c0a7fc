"""The words of the written fight and what they may be: names of roles, labels, notes; pure, no files."""

from __future__ import annotations

import unicodedata

from msgspec.structs import replace

from previs.document.model import LEVEL, Move, Sequence
from previs.faults import UseFault

_TEXTS = ("label", "attacker", "defender", "upper_hand", "line", "weapon", "place", "note")
_NEEDED = {"label": "a label", "attacker": "an attacker", "defender": "a defender", "upper_hand": f"an upper hand, a role or '{LEVEL}'"}
_TURNING = frozenset({"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"})
"""Classes of signs that make text show in another order than it is read."""


def rename_role(sequence: Sequence, role: str, name: str) -> Sequence:
    """The sequence with another name for a role, in the fight, the cast and every mark.

    Raises `UseFault` for a role that is not in the fight, and for a name that no role can have or another one has.
    """
    if role not in sequence.roles:
        raise UseFault(f"The fight has no role '{role}'; known: {', '.join(sequence.roles) or 'none yet'}.")
    new = legible(name)
    _check_role(new, "role")
    for one in (*sequence.roles, *(one.role for one in sequence.cast)):
        if one != role and one.casefold() == new.casefold():
            raise UseFault(f"There is a role '{one}' already; choose another name.")

    def named(one: str) -> str:
        return new if one == role else one

    def of_move(move: Move) -> Move:
        return replace(move, attacker=named(move.attacker), defender=named(move.defender), upper_hand=named(move.upper_hand))

    takes = tuple(
        replace(
            take,
            performers=tuple(replace(one, role=named(one.role)) for one in take.performers),
            framings=tuple(
                replace(
                    framing,
                    screen_left=named(framing.screen_left),
                    faces=tuple(replace(face, role=named(face.role)) for face in framing.faces),
                )
                for framing in take.framings
            ),
        )
        for take in sequence.takes
    )
    return replace(
        sequence,
        phrases=tuple(replace(phrase, moves=tuple(map(of_move, phrase.moves))) for phrase in sequence.phrases),
        cast=tuple(replace(one, role=named(one.role)) for one in sequence.cast),
        takes=takes,
        treatments=tuple(replace(mark, role=named(mark.role)) for mark in sequence.treatments),
        heads=tuple(replace(mark, role=named(mark.role)) for mark in sequence.heads),
        flights=tuple(replace(mark, role=named(mark.role)) for mark in sequence.flights),
    )


def legible(text: str) -> str:
    """The text without blanks around it; raises `UseFault` for signs that cannot be read or written, such as a line end."""
    text = text.strip()
    if sentence := unreadable(text):
        raise UseFault(f"In what was typed, {sentence}; delete it and type the text again.")
    return text


def unreadable(text: str, *, line_ends: bool = False) -> str:
    """Which sign of a text cannot be read or written, in words; empty for a text that can. Line ends and tabs may be allowed."""
    # Nearly every text; sign by sign, a megabyte of one would take a fifth of a second.
    if text.isprintable():
        return ""
    for place, letter in enumerate(text, start=1):
        wrong = unicodedata.category(letter) in ("Cc", "Cs") or unicodedata.bidirectional(letter) in _TURNING
        if wrong and not (line_ends and letter in "\n\t"):
            return f"sign {place} cannot be read (U+{ord(letter):04X})"
    return ""


def tidy_move(sequence: Sequence, move: Move, before: Move | None) -> Move:
    """The move as it may stand in the fight, in which it takes the place of `before`; only what differs from that is judged.

    Blanks around its words fall away, and a role is spelled as it is elsewhere. Raises `UseFault` for what no move can be.
    """
    changed = [name for name in _TEXTS if before is None or getattr(move, name) != getattr(before, name)]
    texts = {name: _note(move.note) if name == "note" else legible(getattr(move, name)) for name in changed}
    for name in _NEEDED:
        if texts.get(name) == "":
            raise UseFault(f"Move {move.number} needs {_NEEDED[name]}; nothing was changed.")
    others = tuple(one for one in sequence.moves if before is None or one.number != before.number)
    roles = {role.casefold(): role for one in (*others, move) for role in (one.attacker, one.defender)}
    roles |= {role.casefold(): role for one in reversed(others) for role in (one.attacker, one.defender)}
    for name in ("attacker", "defender", "upper_hand"):
        if name not in texts:
            continue
        texts[name] = roles.get(texts[name].casefold(), texts[name])
        if name == "upper_hand" and texts[name].casefold() == LEVEL:
            texts[name] = LEVEL
        elif name != "upper_hand":
            _check_role(texts[name], name)
    tidy = replace(move, **texts)
    known = [LEVEL, *dict.fromkeys(role for one in (*others, tidy) for role in (one.attacker, one.defender))]
    if "upper_hand" in texts and tidy.upper_hand not in known:
        # Roles of a file that something else wrote may have any sign in their names.
        told = ", ".join(" ".join(role.split()) for role in known)
        raise UseFault(f"Move {move.number}, upper hand: there is no role '{tidy.upper_hand}' in the fight; known: {told}.")
    if tidy.attacker == tidy.defender and {"attacker", "defender"} & set(changed):
        raise UseFault(f"Move {move.number}: '{' '.join(tidy.attacker.split())}' would attack and defend; a move needs two roles.")
    return tidy


def _note(text: str) -> str:
    """A note, which may have several lines."""
    return "\n".join(legible(line.replace("\t", " ")) for line in text.strip().splitlines())


def _check_role(name: str, column: str) -> None:
    if not name or name.casefold() == LEVEL or set(name) & {"=", ";"}:
        raise UseFault(f"'{name}' cannot be the name of a role ({column}); choose one other than '{LEVEL}' and without = and ;.")
