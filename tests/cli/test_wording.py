"""Commands that are written wrong: our own sentence, what may have been meant, and an example of it right."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli_types import Job, Run
from cut.small_cut import a_cut

from previs.cli import showing
from previs.document.store import create
from previs.progress import Step

LIBRARY = ("Usage:", "Input should", "Value error", "No such", "Invalid value", "Got unexpected", "Missing ")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("frob", "There is no verb 'frob'; 'previs --help' lists them all."),
        ("asemble salt.previs", "There is no verb 'asemble'; did you mean 'assemble'?"),
        ("trim 4", "'trim' is an edit; write previs edit FILE CUT trim-tail or trim-head"),
        ("why salt.previs x", "SHOT must be a whole number. Example: previs why salt.previs 7"),
        ("list salt.previs frob", "WHAT cannot be 'frob'; it is one of tapes, takes,"),
        ("publish salt.previs", "--output is missing. Example: previs publish"),
        ("publish salt.previs -o", "-o needs something after it."),
        ("publish salt.previs -o x.mp4 --quality good", "--quality cannot be 'good'; it is one of draft, final, originals."),
        ("assemble salt.previs --traget 3", "There is no option --traget here; did you mean --target?"),
        ("info salt.previs The Stair", "'The Stair' is more than was expected"),
        ("info salt", "salt.previs is there; give its whole name."),
        ("edit salt.previs v1 retime 4 50%", "There is no edit 'retime'; write speed or length."),
        ("edit salt.previs v1 trim 4 -6", "write trim-tail or trim-head."),
        ("edit salt.previs v1 replace 4 B1", "write take."),
        ("edit salt.previs v1 lift 4", "write remove."),
        ("edit salt.previs v1 swap 4 5", "write take or move."),
        ("edit salt.previs v1 disolve 4 5", "did you mean 'dissolve'?"),
        ("edit salt.previs v1", "The verb is missing."),
        ("edit salt.previs v1 speed", "SHOT is missing. Example: previs edit salt.previs v1 speed 4 80%."),
        (
            "edit salt.previs trim-tail 4 -6",
            "The cut's name is missing before 'trim-tail'; write previs edit salt.previs CUT trim-tail 4 -6",
        ),
        ("edit salt.previs undo", "The verb is missing."),
        ("edit salt.previs lock", "The cut's name is missing before 'lock'"),
        ("cuts salt.previs frob", "There is no verb 'frob'."),
    ],
)
def test_what_was_written_wrong_is_said_in_our_words(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: str, said: str
) -> None:
    create(tmp_path / "salt.previs", a_cut())
    monkeypatch.chdir(tmp_path)
    ran = run(*words.split())
    assert (ran.code, ran.out, ran.err.count("\n")) == (2, "", 1), ran.err
    assert ran.err.startswith("previs: ") and said in ran.err
    assert not [wording for wording in LIBRARY if wording in ran.err]


def test_help_and_bare_groups_still_show_their_help(run: Run) -> None:
    assert run("--help").code == 0
    for words in ((), ("edit",)):
        ran = run(*words)
        assert ran.code in (0, 2) and "Usage: previs" in ran.out + ran.err


def test_publishing_says_that_it_begins_and_what_it_replaces(job: Job, run: Run) -> None:
    run("assemble", job.file)
    movie = job.folder / "cut.mp4"
    first, second = (run("publish", job.file, "-o", movie, "--quality", "draft").err.splitlines() for _ in range(2))
    assert first[0] == second[0] == f"Publishing cut v1, draft, to {movie} ..."
    assert first[-1] == f"{movie} is written: 132 frames, 00:00:05:12, draft."
    assert second[-1] == f"{movie} is replaced by this cut: 132 frames, 00:00:05:12, draft."


def test_long_work_tells_how_far_it_is_where_no_bar_can_be_drawn(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    now = 0.0
    monkeypatch.setattr(showing, "monotonic", lambda: now)
    with showing.reporting("Publishing") as report:
        for second in range(12):
            now = float(second)
            report(Step(second, 12, "rendering"))
    assert capsys.readouterr().err.splitlines() == ["Publishing: rendering, 5 of 12.", "Publishing: rendering, 10 of 12."]
