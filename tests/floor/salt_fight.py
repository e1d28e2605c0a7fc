"""The sample's fight on the sample's set, with a cut that shows every move, one a second; no tapes, no pictures."""

from __future__ import annotations

from pathlib import Path

from fights import phrase, sequence, take, tape
from msgspec.structs import replace

from previs.document.floor import Floor
from previs.document.model import Cut, Footage, Sequence, Shot
from previs.exchange.tables import read_fight

SECONDS = 60


def salt_fight(sample_media: Path, floor: Floor, *, step_seconds: float = 1.0, unseen: tuple[int, ...] = ()) -> tuple[Sequence, Cut]:
    """The fight, with move n landing n steps into the one shot of the cut; `unseen` moves are on no take."""
    fight = read_fight(sample_media / "marks" / "fight.csv", sequence(phrases=(phrase(1, range(1, 2)),), tapes=(), takes=()))
    hits = {move.number: move.number * step_seconds for move in fight.moves if move.number not in unseen}
    cut = Cut("v1", (Shot("s1", SECONDS * 24, Footage("W", 0)),), SECONDS * 24)
    made = replace(fight, tapes=(tape(seconds=SECONDS),), takes=(take("W", hits, phrases=(1, 6)),), cuts=(cut,), floor=floor)
    return made, cut
