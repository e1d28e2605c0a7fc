"""Cues as a performer reads them, and as rows for tables; which cues there are is found in `cues`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from previs.cut.wording import counted
from previs.document.model import Sequence
from previs.exchange.lists import Row, record_label
from previs.floor.cues import NEAR_MM, Cue, CueKind
from previs.floor.routes import metres
from previs.floor.routes_geometry import BACK_DEGREES, BEND_DEGREES

TAPED_DROP = "taped drop: no fall here"

WAY_NOTE = (
    f"Left and right are of the way that is gone, also where it is gone backwards. Told are turns of more than {BEND_DEGREES} degrees, of "
    f"more than {BACK_DEGREES} as back; steps and drops from {NEAR_MM / 1000:g} m on. Seconds take the pace between two hits to be even."
)
"""How cues were found; stands on every list of them."""
CAUTION = (
    "For finding the way on a taped floor only, and no word on whether a way may be gone, at that speed or at all; a drop or an obstacle "
    "that is not drawn is not told. Defer to the stunt coordinator and local codes."
)
"""Stands on every list of cues."""


@dataclass(frozen=True, slots=True)
class Call:
    """What a role is told at one time: everything that it meets after one move and before the next."""

    role: str
    cues: tuple[Cue, ...]

    @property
    def first(self) -> Cue:
        """What is met first."""
        return self.cues[0]

    @property
    def when(self) -> str:
        """`on move 31` or `after move 14`, and `before move 1` at the beginning."""
        return when(self.first)

    @property
    def said(self) -> str:
        """`left, then through the first door (0.7 s after the hit)`."""
        return ", then ".join(cue_said(cue) + _seconds(cue) for cue in self.cues)


def calls(cues: Iterable[Cue]) -> tuple[Call, ...]:
    """The cues by role and by the move that they come after; faults of a route are no cues and left out."""
    wanted = [cue for cue in cues if not cue.faulty]
    # What is met on the very spot of a move is told with what follows it, which is how it is counted in.
    return tuple(Call(role, tuple(of_it)) for (role, _), of_it in groupby(wanted, key=lambda cue: (cue.role, cue.after)))


def when(cue: Cue) -> str:
    """After, on or before which move a cue comes."""
    if cue.after is None:
        return "at the start" if cue.before is None else f"before move {cue.before}"
    return f"{'on' if cue.on else 'after'} move {cue.after}"


def cue_said(cue: Cue) -> str:
    """What a role is told: `left`, `through the first door`, `over the salt cart`, `steps ahead: 3 of 7 gone over`."""
    if cue.kind is CueKind.TURN:
        return "back" if abs(cue.degrees) > BACK_DEGREES else "left" if cue.degrees > 0 else "right"
    if cue.kind is CueKind.DOOR:
        leaf = (
            ""
            if cue.opens_left is None
            else ", which opens away from you"
            if cue.opens_left is cue.to_left
            else ", which opens towards you"
        )
        return f"through the {cue.name or 'door'}{leaf}"
    if cue.kind is CueKind.STEPS:
        gone = f"{cue.crossed} of {cue.lines} gone over" if cue.crossed else f"nearest {cue.nearest_mm / 1000:.2f} m"
        return f"{cue.name or 'steps'} ahead: {gone}"
    if cue.kind is CueKind.DROP:
        deep = "" if cue.height_mm is None else f" of {cue.height_mm / 1000:.2f} m"
        near = "over its edge" if cue.nearest_mm <= 0 else f"nearest {cue.nearest_mm / 1000:.2f} m"
        return f"drop{deep}{f' at the {cue.name}' if cue.name else ''}, {near} ({TAPED_DROP})"
    if cue.kind is CueKind.OVER:
        return f"over the {cue.name}"
    return f"through the {cue.name or ('wall' if cue.kind is CueKind.WALL else 'column')}"


def fault_said(cue: Cue) -> str:
    """What stands in a route's way, with its place, as a sentence with what to do."""
    what = f"the {cue.name}" if cue.name else "a wall" if cue.kind is CueKind.WALL else "a column"
    near = f", near {cue.near}" if cue.near else ""
    mend = "move a spot or add a bend" if cue.kind is CueKind.WALL else "add a bend around it, or name it in the move that goes over it"
    return f"{cue.role}'s way goes through {what} at {metres(cue.at)}{near}, {when(cue)}; {mend}."


def cue_rows(sequence: Sequence, cues: Iterable[Cue]) -> list[Row]:
    """A row for each cue; seconds after the hit, x and y in metres."""
    return [
        {
            "role": cue.role,
            "phrase": cue.phrase,
            "when": when(cue),
            "after move": cue.after,
            "count": cue.count,
            "seconds after": None if cue.seconds_after is None else round(cue.seconds_after, 2),
            "record": "" if cue.record_frame is None else record_label(sequence, int(cue.record_frame)),
            "kind": cue.kind.value,
            "cue": fault_said(cue) if cue.faulty else cue_said(cue),
            "x": round(cue.at[0] / 1000, 3),
            "y": round(cue.at[1] / 1000, 3),
            "near": cue.near,
            "guessed": "guessed" if cue.guessed else "",
        }
        for cue in cues
    ]


def call_lines(cues: Iterable[Cue]) -> list[str]:
    """The list as plain text: a heading for each role, and a line for each call."""
    lines: list[str] = []
    for role, of_role in groupby(calls(cues), key=lambda call: call.role):
        lines += [*([""] if lines else []), f"{role}:"]
        lines += [f"  {call.when}{_counted(call.first)}: {call.said}" for call in of_role]
    return lines


def _counted(cue: Cue) -> str:
    parts = [f"phrase {cue.phrase}, count {cue.count}"] if cue.after is not None else []
    if cue.guessed:
        parts.append("guessed")
    return f" ({', '.join(parts)})" if parts else ""


def _seconds(cue: Cue) -> str:
    return "" if cue.on or cue.seconds_after is None else f" ({cue.seconds_after:.1f} s after the hit)"


def summed(cues: Iterable[Cue]) -> str:
    """How many cues there are: `10 turns, 4 doors, 3 others`."""
    found = [cue for cue in cues if not cue.faulty]
    turns, doors = (sum(cue.kind is kind for cue in found) for kind in (CueKind.TURN, CueKind.DOOR))
    return f"{counted(turns, 'turn')}, {counted(doors, 'door')} passed, {counted(len(found) - turns - doors, 'other cue')}"
