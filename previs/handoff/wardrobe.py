"""Rows for wardrobe: which roles are doubled in a cut, by whom, whether the face shows, and who must be dressed alike."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from previs.cut.pace import framing_of, shot_places
from previs.cut.placing import Placed, place, treatments_seen
from previs.document.model import Cut, Kind, Sequence, Shows
from previs.handoff.played import NOT_NOTED, listed, shot_names
from previs.handoff.sheets import Table, Value

_FACES = {Shows.FULL: "shown", Shows.PART: "partly shown", Shows.HIDDEN: "not shown"}


@dataclass(frozen=True, slots=True)
class _Dressed:
    """One performer in one role in one shot; `face` is the most that the shot shows of it, `treated` what is marked."""

    placed: Placed
    role: str
    performer: str
    face: Shows
    place: str
    treated: str


def wardrobe_tables(sequence: Sequence, cut: Cut) -> tuple[Table, ...]:
    """Doubles by role, performer and face, then how many are dressed alike for each role."""
    dressed = _dressed(sequence, cut)
    actors = {one.role: one.actor for one in sequence.cast}
    groups: dict[tuple[str, str, Shows, str], list[_Dressed]] = defaultdict(list)
    for one in dressed:
        # A wire taken out of the picture makes nobody a double.
        if one.performer != actors.get(one.role) or one.treated not in ("", Kind.RIG_REMOVAL.value):
            groups[one.role, one.performer, one.face, one.treated].append(one)
    rows = [
        _double_row(actors, key, groups[key]) for key in sorted(groups, key=lambda key: (key[0], key[1], list(Shows).index(key[2]), key[3]))
    ]
    return (
        Table(
            "doubled",
            "Who is doubled where",
            ("role", "actor", "in the costume", "face", "shots", "places", "frames", "marked for"),
            tuple(rows),
            "Every role is played by its actor in this cut, as far as performers are noted.",
            "Shots of footage with the performers noted on their takes; the face is the most that the shot shows of it. "
            "Cards are not shot yet, so nobody is dressed for them here.",
        ),
        Table(
            "costumes",
            "Matching costumes",
            ("role", "dressed alike", "people", "spares"),
            tuple(_costume_rows(sequence, dressed, actors)),
            "The fight has no roles yet.",
            "People who are on screen in the role in this cut, and the actor; aged and padded versions come on top.",
        ),
    )


def _dressed(sequence: Sequence, cut: Cut) -> list[_Dressed]:
    placed = place(sequence, cut)
    places = shot_places(sequence, placed)
    treated: dict[tuple[int, str], list[str]] = defaultdict(list)
    for seen in treatments_seen(sequence, placed):
        treated[seen.placed.number, seen.treatment.role].append(seen.treatment.kind.value)
    found: list[_Dressed] = []
    for one in placed:
        if one.source is None:
            continue
        framings = {framing_of(sequence, one.source, k) for k in range(one.shot.frames)}
        for role in sequence.roles:
            performer = one.source.take.performer_of(role) or NOT_NOTED
            face = min((framing.face_of(role) for framing in framings), key=list(Shows).index)
            found.append(_Dressed(one, role, performer, face, places[one.number], listed(sorted(treated[one.number, role]))))
    return found


def _double_row(actors: dict[str, str], key: tuple[str, str, Shows, str], here: list[_Dressed]) -> tuple[Value, ...]:
    role, performer, face, treated = key
    return (
        role,
        actors.get(role, "") or "not cast",
        performer,
        _FACES[face],
        shot_names(one.placed for one in here),
        listed(one.place for one in here),
        sum(one.placed.shot.frames for one in here),
        treated,
    )


def _costume_rows(sequence: Sequence, dressed: list[_Dressed], actors: dict[str, str]) -> list[tuple[Value, ...]]:
    rows: list[tuple[Value, ...]] = []
    for role in sequence.roles:
        seen = [one.performer for one in dressed if one.role == role and one.performer != NOT_NOTED]
        people = list(dict.fromkeys(name for name in (actors.get(role, ""), *seen) if name))
        rows.append((role, listed(people) or "nobody noted", len(people), "wardrobe decides"))
    return rows
