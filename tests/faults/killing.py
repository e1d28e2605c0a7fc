"""Verbs killed at the moments of their file work; a program of its own, since it forks, that prints what it saw as JSON."""

from __future__ import annotations

import random
import sys
from pathlib import Path
from typing import Any

from faults.moments import Stage, base_in, copied, half_made, text_in, told, verb_in
from faults.verbs import DOCUMENT, WRITING

from previs.document.store import kept_versions, open_document

NOT_THE_SAME_TWICE = frozenset({"undo", "redo", "edit", "cuts", "assemble", "import-edl", "import-otio"})
"""Verbs that do another thing when they are called once more after they were done."""


def killed_at_moments(base: Path, verb: str, most: int, rng: random.Random) -> dict[str, Any]:
    """Kill the verb at `most` of its moments, 0 for all; asserts what must hold after each."""
    stage = Stage(base, verb)
    every = range(1, stage.moments + 1)
    # The last is after a save is made, which is to be met too.
    chosen = sorted({*rng.sample(every[:-1], most - 1), stage.moments}) if 0 < most < stage.moments else every
    turned = 0
    for moment in chosen:
        copied(stage.fresh, stage.here)
        where = (verb, moment, stage.moments)
        assert verb_in(stage.here, verb, moment) is None, where
        assert text_in(stage.here) in (stage.before_text, stage.after_text), where
        for version in kept_versions(stage.here / DOCUMENT):
            open_document(version.path)
        assert not half_made(stage.here, stage.before, stage.after), (*where, half_made(stage.here, stage.before, stage.after))
        done = stage.done()
        turned += done
        if not (done and verb in NOT_THE_SAME_TWICE):
            stage.goes_on(where)
    return {"verb": verb, "moments": stage.moments, "killed": len(chosen), "done already": turned}


def main(root: Path, most: int, seed: int, verbs: list[str]) -> None:
    base, rng = base_in(root), random.Random(seed)
    for verb in verbs or list(WRITING):
        told(lambda name=verb: killed_at_moments(base, name, most, rng), verb)  # type: ignore[misc]


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]), sys.argv[4:])
