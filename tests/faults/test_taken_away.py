"""A full disk, a closed folder, a cache or a tape that goes under a running verb: one sentence, nothing lost, and it goes on."""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from faults.test_killed import EVERY, lines_of
from faults.verbs import WRITING

SAID = {
    "full:set": "make room on its disk",
    "full:undo": "the disk is full",
    "full:edl": "free some space",
    "full:shots": "free some space",
    "closed:new": "may not be written to",
    "closed:set": "check that its folder may be written to",
    "closed:edl": "allow writing there",
    "cache deleted:publish": "try again",
    "cache garbled:publish": "try again, and what is missing is made anew",
    "tapes away:ingest": "spare.mp4",
    "other tapes:ingest": "spare.mp4",
}
"""What happens to which verb, and what is said where it is felt."""

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="forks and limits")


def test_what_is_taken_away_from_a_verb_loses_nothing_and_is_gone_on_from() -> None:
    every = [f"{what}:{verb}" for what in dict.fromkeys(one.split(":")[0] for one in SAID) for verb in WRITING]
    # Not below pytest's own folder, into which a program without rights may not go.
    with TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        lines = lines_of("striking", Path(name), 0 if EVERY else 3, 3, *(every if EVERY else SAID))
    assert not [one for one in lines if "broken" in one]
    seen = {f"{one['what']}:{one['verb']}": one["seen"] for one in lines}
    for asked, words in SAID.items():
        felt = [run for run in seen[asked] if run["code"]]
        assert felt and all(words in run["said"] for run in felt), (asked, seen[asked])
