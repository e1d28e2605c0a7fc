"""The committed routes, reaches and truth of the sample's floor are those that their generator makes, and tell one story."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest
from floor.salt_fight import salt_fight
from floor.salt_plan import salt_floor

from previs.floor.routes import walks
from previs.floor.routes_table import read_ways
from previs.floor.speeds import Gait, legs

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))

from saltstair.footways import reaches_table, routes_table, truth


def test_what_is_committed_is_what_the_generator_makes(sample_media: Path) -> None:
    assert (sample_media / "floor" / "routes.csv").read_text(encoding="utf-8") == routes_table()
    assert (sample_media / "floor" / "reaches.csv").read_text(encoding="utf-8") == reaches_table()
    assert json.loads((sample_media / "truth" / "floor.json").read_text(encoding="utf-8")) == json.loads(json.dumps(truth()))


def test_the_story_holds_together(sample_media: Path) -> None:
    """Every move has a spot for both, nobody jumps, and at a move a second nobody has to sprint."""
    fight, cut = salt_fight(sample_media, salt_floor())
    sequence = read_ways([sample_media / "floor" / "routes.csv"], fight).sequence
    lengths = json.loads((sample_media / "truth" / "floor.json").read_text(encoding="utf-8"))["length_metres"]
    for walk in walks(sequence):
        assert [step.move for step in walk.steps if step.move is not None] == list(range(1, 34))
        assert not walk.jumps and not any(step.guessed for step in walk.steps)
        assert walk.length_mm / 1000 == pytest.approx(lengths[walk.role], abs=1e-5)
    assert {leg.gait for leg in legs(sequence, cut)} <= {Gait.STANDS, Gait.WALKS, Gait.BRISKLY, Gait.RUNS}
