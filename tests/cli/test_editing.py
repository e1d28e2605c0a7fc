"""Edit, cuts, changes, undo and redo through the command line, on a file whose tapes need not be there."""

from __future__ import annotations

import csv
import io
import json
from fractions import Fraction
from pathlib import Path

import pytest
from cli_types import Run
from cut.small_cut import a_cut

from previs.document.history import history_folder
from previs.document.model import Black, Card, Footage, Shot, Transition, TransitionKind
from previs.document.store import create, open_document, save

VERBS = (
    *("insert", "remove", "trim-head", "trim-tail", "roll", "slip", "slide", "split", "join", "move", "take"),
    *("speed", "length", "reverse", "freeze", "dissolve", "wipe", "fade-in", "fade-out", "sound", "lock", "unlock"),
)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    create(tmp_path / "salt.previs", a_cut())
    return tmp_path / "salt.previs"


def shots(file: Path) -> tuple[Shot, ...]:
    return open_document(file).sequence.cut("v1").shots


@pytest.mark.parametrize("verb", VERBS)
def test_each_verb_shows_an_example_that_it_understands(run: Run, file: Path, verb: str) -> None:
    shown = run("edit", file, "v1", verb, "--help")
    assert shown.code == 0
    example = " ".join(shown.out.split()).split("Example: previs edit salt.previs v1 ")[1].split()
    assert example[0] == verb
    ran = run("edit", file, "v1", *example)
    # Its numbers may not suit this cut; but then the sentence is about the cut, and not about how it was written.
    assert ran.code == 0 or (ran.code == 2 and ran.err.count("\n") == 1), ran.err
    assert "Usage" not in ran.err


def test_the_verbs_are_listed_whole(run: Run) -> None:
    shown = run("edit", "--help").out
    listed = [line.split()[0] for line in shown.split("Commands:")[1].splitlines() if line.startswith("  ") and line[2:3].isalpha()]
    assert set(VERBS) <= set(listed)
    assert "..." not in shown.split("Commands:")[1]


DONE: tuple[tuple[str, dict[int, Shot]], ...] = (
    ("insert 2 10 --take T1 --from 00:00:01:06", {2: Shot("s7", 10, Footage("T1", 30))}),
    ("insert 2 00:00:01:00 --take T2", {2: Shot("s7", 24, Footage("T2", 0))}),
    ("insert 7 10 --card to_come --moves 2-3", {7: Shot("s7", 10, Card("to_come", 2, 3))}),
    ("insert 1 10 --black", {1: Shot("s7", 10, Black())}),
    ("remove 3", {3: Shot("s4", 40, Footage("T1", 120))}),
    ("remove 1 --leave-card again", {1: Shot("s1", 30, Card("again"))}),
    ("remove 1 --leave-black", {1: Shot("s1", 30, Black())}),
    ("trim-head 1 -6", {1: Shot("s1", 24, Footage("T1", 26))}),
    ("trim-tail 1 00:00:01:00", {1: Shot("s1", 54, Footage("T1", 20))}),
    ("trim-tail 1 -00:00:00:06", {1: Shot("s1", 24, Footage("T1", 20))}),
    ("trim-tail 1 1s", {1: Shot("s1", 54, Footage("T1", 20))}),
    ("trim-tail 1 -f6", {1: Shot("s1", 24, Footage("T1", 20))}),
    ("trim-tail 1 -0.25s", {1: Shot("s1", 24, Footage("T1", 20))}),
    ("speed 1 2x", {1: Shot("s1", 15, Footage("T1", 20, Fraction(2)))}),
    ("trim-tail 1 +6", {1: Shot("s1", 36, Footage("T1", 20))}),
    ("roll 4 -5", {3: Shot("s3", 15, Card("the fall", 3, 4)), 4: Shot("s4", 45, Footage("T1", 115))}),
    ("slip 1 -3", {1: Shot("s1", 30, Footage("T1", 17))}),
    ("slide 3 5", {3: Shot("s3", 20, Card("the fall", 3, 4)), 4: Shot("s4", 35, Footage("T1", 125))}),
    ("split 4 10", {4: Shot("s4", 10, Footage("T1", 120)), 5: Shot("s7", 30, Footage("T1", 130))}),
    # The cut begins at 01:00:00:00, and shot 4 74 frames later.
    ("split 4 01:00:03:12", {4: Shot("s4", 10, Footage("T1", 120)), 5: Shot("s7", 30, Footage("T1", 130))}),
    ("move 1 3", {3: Shot("s1", 30, Footage("T1", 20))}),
    ("take 1 T2", {1: Shot("s1", 30, Footage("T2", 43, Fraction(343, 240)))}),
    ("speed 1 50%", {1: Shot("s1", 60, Footage("T1", 20, Fraction(1, 2)))}),
    ("speed 1 3/2", {1: Shot("s1", 20, Footage("T1", 20, Fraction(3, 2)))}),
    ("speed 1 0.5", {1: Shot("s1", 60, Footage("T1", 20, Fraction(1, 2)))}),
    ("length 1 20", {1: Shot("s1", 20, Footage("T1", 20, Fraction(3, 2)))}),
    ("reverse 1", {1: Shot("s1", 30, Footage("T1", 49, Fraction(-1)))}),
    ("freeze 1", {1: Shot("s1", 30, Footage("T1", 20, Fraction(0)))}),
    ("freeze 1 25", {1: Shot("s1", 25, Footage("T1", 20)), 2: Shot("s7", 5, Footage("T1", 45, Fraction(0)))}),
    ("dissolve 4 12", {4: Shot("s4", 40, Footage("T1", 120), Transition(TransitionKind.DISSOLVE, 12))}),
    ("dissolve 5 0", {5: Shot("s5", 25, Footage("T2", 150, Fraction(-1, 2)))}),
    ("wipe 4 0.5s --pattern 21", {4: Shot("s4", 40, Footage("T1", 120), Transition(TransitionKind.WIPE, 12, 21))}),
    ("fade-in 1 12", {1: Shot("s1", 30, Footage("T1", 20), Transition(TransitionKind.DISSOLVE, 12))}),
    ("fade-out 6 12", {6: Shot("s6", 18, Footage("T1", 190)), 7: Shot("s7", 12, Black(), Transition(TransitionKind.DISSOLVE, 12))}),
    ("sound 4 6", {4: Shot("s4", 40, Footage("T1", 120), sound_lead_frames=6)}),
    ("sound 4 -6", {4: Shot("s4", 40, Footage("T1", 120), sound_lead_frames=-6)}),
    ("lock 1", {1: Shot("s1", 30, Footage("T1", 20), locked=True)}),
)


@pytest.mark.parametrize(("words", "wanted"), DONE)
def test_each_verb_does_its_edit_and_undo_takes_it_back_byte_for_byte(run: Run, file: Path, words: str, wanted: dict[int, Shot]) -> None:
    first = file.read_bytes()
    ran = run("edit", file, "v1", *words.split())
    assert ran.code == 0, ran.err
    assert {number: shots(file)[number - 1] for number in wanted} == wanted
    assert run("undo", file).err.startswith("undone: ")
    assert file.read_bytes() == first


def test_a_join_an_unlocking_and_fades_taken_away(run: Run, file: Path) -> None:
    first = shots(file)
    for words in ("split 4 10", "join 4", "lock 1", "unlock 1", "fade-out 4 6", "fade-out 4 0", "fade-in 1 6", "fade-in 1 0"):
        assert run("edit", file, "v1", *words.split()).code == 0, words
    # The fade out took the dissolve into shot 5 away, which stood where black does then.
    assert [shot.picture for shot in shots(file)] == [shot.picture for shot in first]
    assert [shot.frames for shot in shots(file)] == [shot.frames for shot in first]


def test_an_edit_says_what_was_done_and_how_long_the_cut_is_now(run: Run, file: Path) -> None:
    ran = run("edit", file, "v1", "trim-tail", 4, -6)
    assert (
        ran.err == "Done: trim the tail of shot 4 of v1. It has 6 shots and lasts 00:00:06:19, 37 frames under its target.\n"
        "Shot 4 is now 01:00:03:02 to 01:00:04:12: 34 frames of take T1.\n"
    )
    told = json.loads(run("edit", "--json", file, "v1", "trim-tail", 4, 43).out)
    assert told == {
        "done": "trim the tail of shot 4",
        "cut": "v1",
        "shots": 6,
        "frames": 206,
        "over_frames": 6,
        "told": ["Shot 4 is now 01:00:03:02 to 01:00:06:07: 77 frames of take T1."],
    }


WRONG: tuple[tuple[str, str], ...] = (
    ("trim-tail 9 3", "has shots 1 to 6, and no shot 9"),
    ("trim-tail 0 3", "no shot 0"),
    ("trim-tail 1 six", "'six' is no length"),
    ("trim-tail 1 1.5", "'1.5' is no length"),
    ("trim-tail 1 00:00:00:24", "frame 24"),
    ("trim-head 1 25", "5 frames before tape A1"),
    ("split 4 01:00:00:00", "split it after 1 to 39"),
    ("speed 1 fast", "'fast' is no speed"),
    ("speed 1 0", "cannot be played"),
    ("speed 1 1/0", "is no speed"),
    ("insert 1 10", "only one thing"),
    ("insert 1 10 --black --card x", "only one thing"),
    ("insert 1 10 --black --from 00:00:01:00", "--from goes with --take"),
    ("insert 1 10 --card x --moves all", "names no moves"),
    ("insert 1 10 --card x --image nowhere.png", "no drawing or still at nowhere.png"),
    ("insert 1 10 --take T9", "no take 'T9'"),
    ("remove 1 --leave-black --leave-card x", "not both"),
    ("dissolve 4 0", "cut to straight already"),
    ("insert 1 10 --card x --moves 77", "previs: There is no move 77; the fight has 1 to 4."),
    ("insert 1 10 --card x --moves 3-2", "run backwards"),
    ("speed 1 50", "'50'? Write 50% for that share of the speed as shot, or 50x"),
    ("wipe 4 12 --pattern 19", "Wipe 19 cannot be drawn"),
)


@pytest.mark.parametrize(("words", "sentence"), WRONG)
def test_what_cannot_be_is_one_sentence_and_changes_nothing(run: Run, file: Path, words: str, sentence: str) -> None:
    before = file.read_bytes()
    ran = run("edit", file, "v1", *words.split())
    assert (ran.code, ran.out) == (2, "")
    assert sentence in ran.err and ran.err.count("\n") == 1
    assert file.read_bytes() == before
    assert "nothing to undo" in run("undo", file).err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("move 1 4", "The dissolve of 8 frames into what is now shot 5 is gone."),
        ("insert 5 10 --black", "The dissolve of 8 frames into what is now shot 6 is gone."),
        ("remove 4", "The dissolve of 8 frames into what is now shot 4 is gone."),
        ("take 1 T2", "Shot 1 plays at speed 1.429 (was 1.000): take T2 was played at 70% of performance."),
        ("slide 3 5", "Shot 3 is now 01:00:02:11 to 01:00:03:07: 20 frames of the card 'the fall'."),
        ("move 1 5", "Shot 5 is now 01:00:04:13 to 01:00:05:19: 30 frames of take T1."),
    ],
)
def test_an_edit_says_what_went_along_with_it(run: Run, file: Path, words: str, said: str) -> None:
    assert said in run("edit", file, "v1", *words.split()).err.splitlines()


def test_what_was_asked_for_is_not_told_as_a_loss(run: Run, file: Path) -> None:
    assert "is gone" not in run("edit", file, "v1", "dissolve", 5, 0).err


def test_a_locked_shot_and_an_unknown_cut_are_refused(run: Run, file: Path) -> None:
    run("edit", file, "v1", "lock", 4)
    assert "Shot 4 of cut v1 is locked" in run("edit", file, "v1", "slip", 4, 2).err
    assert "no cut 'v7'" in run("edit", file, "v7", "slip", 4, 2).err


def test_undo_and_redo_say_what_and_go_on_after_the_program_was_closed(run: Run, file: Path) -> None:
    run("edit", file, "v1", "trim-tail", 4, -6)
    run("edit", file, "v1", "slip", 1, 2)
    both = file.read_bytes()
    assert run("undo", file).err == "undone: slip shot 1 of v1\n"
    assert run("undo", file).err == "undone: trim the tail of shot 4 of v1\n"
    assert run("undo", file).code == 2
    assert json.loads(run("redo", file, "--json").out) == {"redone": "trim the tail of shot 4 of v1", "more": 1}
    assert run("redo", file).err == "redone: slip shot 1 of v1\n"
    assert file.read_bytes() == both
    assert "nothing to redo" in run("redo", file).err


def test_a_file_changed_by_hand_is_edited_with_a_remark_and_undone_up_to_there(run: Run, file: Path) -> None:
    run("edit", file, "v1", "slip", 1, 2)
    opened = open_document(file)
    save(opened, a_cut("25"))
    ran = run("edit", file, "v1", "slip", 1, 3)
    assert ran.code == 0 and "begins anew from the document as it is" in ran.err
    run("undo", file)
    assert open_document(file).sequence == a_cut("25")
    assert run("undo", file).code == 2


def test_cuts_are_listed_copied_named_deleted_and_brought_back(run: Run, file: Path) -> None:
    assert [row["cut"] for row in json.loads(run("cuts", "--json", file).out)] == ["v1", "other"]
    assert run("cuts", file, "copy", "v1", "v2").code == 0
    assert run("cuts", file, "name", "other", "short").code == 0
    assert run("cuts", file, "delete", "v1").code == 0
    assert [line.split()[0] for line in run("cuts", file).out.splitlines()[1:]] == ["short", "v2"]
    assert run("undo", file).err == "undone: delete cut v1\n"
    assert [row["cut"] for row in json.loads(run("cuts", "--json", file).out)] == ["v1", "short", "v2"]
    taken = run("cuts", file, "copy", "v1", "v2")
    assert (taken.code, "a cut named 'v2' already" in taken.err) == (2, True)


def test_changes_are_steps_a_table_csv_or_json(run: Run, file: Path) -> None:
    run("cuts", file, "copy", "v1", "v2")
    assert run("changes", file, "v1", "v2").out == "v1 and v2 show and sound the same.\n"
    run("edit", file, "v2", "remove", 1)
    run("edit", file, "v2", "trim-tail", 3, -6)
    steps = run("changes", file, "v1", "v2").out.splitlines()
    assert [step for step in steps if step[:1].isdigit()] == [
        "1. At 01:00:00:00: Take out shot 1 of v1, 30 frames of take T1 (tape A1, in 00:00:00:20, out 00:00:02:02), and close up.",
        "2. At 01:00:01:20: Shot 3: make the tail 6 frames shorter; it is now 34 frames of take T1 (tape A1, in 00:00:05:00, "
        "out 00:00:06:10).",
    ]
    page, sheet = file.with_name("changes.txt"), file.with_name("changes.csv")
    assert (run("changes", file, "v1", "v2", "-o", page).out, page.read_text(encoding="utf-8").splitlines()) == ("", steps)
    assert run("changes", file, "v1", "v2", "-o", sheet).code == 0
    assert sheet.read_bytes().decode() == run("changes", file, "v1", "v2", "--csv").out.replace("\n", "\r\n").replace("\r\r", "\r")
    refused = run("changes", file, "v1", "v2", "-o", file.with_name("changes.pdf"))
    assert (refused.code, "name it changes.txt" in refused.err) == (2, True)
    program = json.loads(run("changes", file, "v1", "v2", "--json").out)
    table = list(csv.DictReader(io.StringIO(run("changes", file, "v1", "v2", "--csv").out)))
    assert [row["to do"] for row in table] == [row["to do"] for row in program]
    assert len(run("changes", file, "v1", "v2", "--table").out.splitlines()) == 3
    assert [(row["in before"], row["in after"]) for row in program] == [("01:00:00:00", ""), ("01:00:03:02", "01:00:01:20")]
    assert run("changes", file, "v1", "v9").code == 2


def test_the_history_is_a_folder_beside_the_file(run: Run, file: Path) -> None:
    run("edit", file, "v1", "slip", 1, 2)
    assert history_folder(file) == file.resolve().with_name("salt.previs.history")
    assert history_folder(file).is_dir()
