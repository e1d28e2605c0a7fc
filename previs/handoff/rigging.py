"""Rows for riggers: where a wire is in the picture or in the fight, who hangs on it, and in which order places come up."""

from __future__ import annotations

from dataclasses import dataclass, field

from previs.clock import Span
from previs.cut.pace import shot_places
from previs.cut.placing import Placed, place, treatments_seen
from previs.document.model import Cut, Kind, Sequence
from previs.exchange.lists import moves_text, record_label
from previs.fight.hazards import on_wire, who_comes_down
from previs.handoff.played import NOT_NOTED, NOT_SHOT, Played, listed, played, shot_name, shot_names
from previs.handoff.sheets import Table, Value

_SHOTS = ("shot", "place", "phrase", "move", "what", "role", "performer", "record in", "record out", "take", "note")


@dataclass(slots=True)
class _Wired:
    """What is known of one role on a wire in one shot."""

    placed: Placed
    role: str
    place: str
    moves: list[Played] = field(default_factory=list)
    marked: list[Span] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def performer(self) -> str:
        if self.placed.source is None:
            return NOT_SHOT
        return self.placed.source.take.performer_of(self.role) or NOT_NOTED

    @property
    def frames(self) -> tuple[int, int]:
        """First and last record frame that this is about, the last one itself; of a card the whole card."""
        if self.placed.source is None:
            return self.placed.record.start, self.placed.record.end_exclusive - 1
        ends = [(span.start, span.end_exclusive - 1) for span in self.marked] + [(one.record_frame, one.record_frame) for one in self.moves]
        return min(first for first, _ in ends), max(last for _, last in ends)


def rigging_tables(sequence: Sequence, cut: Cut) -> tuple[Table, ...]:
    """Wires shot by shot, then the places in the order of the fight, then wire moves that the cut does not show."""
    wired = _wired(sequence, cut)
    shown = {one.move.number for one in played(sequence, cut)}
    rows: list[tuple[Value, ...]] = []
    for phrase in sequence.phrases:
        rows += [
            (phrase.number, move.number, move.label, move.attacker, move.defender, move.place, move.note)
            for move in phrase.moves
            if on_wire(move) and move.number not in shown
        ]
    return (
        Table(
            "wires",
            "Wires in the cut",
            _SHOTS,
            tuple(_row(sequence, one) for one in wired),
            "No shot of this cut is marked for rig removal, and no move in it names a wire.",
            "Found by rig removal marks, and by moves whose weapon is wire or whose words name one. An out is the frame after the last.",
        ),
        Table(
            "places",
            "Set-up order, by place in the order of the fight",
            ("order", "place", "shots", "moves", "roles", "performers"),
            tuple(_place_rows(sequence, wired)),
            "No place to set up.",
        ),
        Table(
            "unseen",
            "Wire moves of the fight that this cut does not show",
            ("phrase", "move", "what", "attacker", "defender", "place", "note"),
            tuple(rows),
            "None.",
        ),
    )


def _wired(sequence: Sequence, cut: Cut) -> list[_Wired]:
    placed = place(sequence, cut)
    places = shot_places(sequence, placed)
    found: dict[tuple[int, str], _Wired] = {}

    def of(one: Placed, role: str, where: str) -> _Wired:
        return found.setdefault((one.number, role), _Wired(one, role, where))

    for move in played(sequence, cut):
        if on_wire(move.move):
            for role in who_comes_down(move.move) or (move.move.attacker,):
                wired = of(move.placed, role, move.move.place or places[move.placed.number])
                wired.moves.append(move)
                wired.notes.append(move.move.note)
    for seen in treatments_seen(sequence, placed):
        if seen.treatment.kind is Kind.RIG_REMOVAL:
            wired = of(seen.placed, seen.treatment.role, places[seen.placed.number])
            wired.marked.append(seen.record)
            wired.notes.append(seen.treatment.note)
    return [found[key] for key in sorted(found)]


def _row(sequence: Sequence, one: _Wired) -> tuple[Value, ...]:
    phrases = tuple(dict.fromkeys(sequence.phrase_of(move.move.number).number for move in one.moves))
    what = listed([*(move.move.label for move in one.moves), *("rig removal" for _ in one.marked)])
    first, last = one.frames
    source = one.placed.source
    return (
        shot_name(one.placed),
        one.place,
        moves_text(phrases),
        moves_text(tuple(dict.fromkeys(move.move.number for move in one.moves))),
        what,
        one.role,
        one.performer,
        record_label(sequence, first),
        record_label(sequence, last + 1),
        source.take.name if source else "card",
        "; ".join(dict.fromkeys(note for note in one.notes if note)),
    )


def _place_rows(sequence: Sequence, wired: list[_Wired]) -> list[tuple[Value, ...]]:
    order = [*dict.fromkeys(move.place for move in sequence.moves), ""]
    there = sorted({one.place for one in wired}, key=order.index)
    rows: list[tuple[Value, ...]] = []
    for number, where in enumerate(there, start=1):
        here = [one for one in wired if one.place == where]
        moves = tuple(sorted({move.move.number for one in here for move in one.moves}))
        rows.append(
            (
                number,
                where or "place not noted",
                shot_names(one.placed for one in here),
                moves_text(moves),
                listed(one.role for one in here),
                listed(one.performer for one in here),
            )
        )
    return rows
