"""Pulls as files: every picture read back against a full count of the clip, and runs that make only what changed."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from clips import Clip, make_clip, read_number
from fights import phrase, sequence, take, treatment
from msgspec.structs import replace as changed
from PIL import Image

from previs.cut import edits
from previs.cut.codes import with_codes
from previs.document.model import Cut, Footage, Sequence, Settings, Shot, Tape
from previs.faults import UseFault
from previs.handoff.pull_files import Handed, Wanted, make_pulls
from previs.handoff.pull_log import FILE
from previs.media.fingerprint import fingerprint
from previs.media.opening import MediaFault
from previs.media.probe import probe
from previs.progress import Step, Stopped

PHONE = [n for n in range(150) if n % 9 not in (4, 7)]
BOTH = Wanted(stills=True)


@pytest.fixture(scope="session")
def clips(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Clip]:
    folder = tmp_path_factory.mktemp("pulled")
    return {
        "24": make_clip(folder / "film.mp4", frames=120, rate=Fraction(24), options={"g": "24"}),
        "25": make_clip(folder / "pal.mov", frames=125, rate=Fraction(25), options={"g": "25"}, sound=""),
        "29.97": make_clip(folder / "phone.mp4", frames=150, rate=Fraction(30000, 1001), kept=PHONE, rotation=270, size=(320, 182)),
        "odd": make_clip(folder / "odd.mkv", frames=50, rate=Fraction(24), codec="ffv1", size=(321, 181), pixel_format="yuv444p"),
    }


def fight(clip: Clip, *shots: Shot, rate: str = "24") -> Sequence:
    facts = probe(clip.path)
    tape = Tape(
        reel="A1",
        path=str(clip.path),
        fingerprint=fingerprint(clip.path),
        rate_name=facts.rate.name,
        frames=facts.frames,
        duration=facts.duration,
        width=facts.width,
        height=facts.height,
        codec=facts.codec,
        start_frame=1000,
    )
    given = {"phrases": (phrase(1, range(1, 3)),), "tapes": (tape,), "takes": (take("T1", {}, end=6),)}
    made = sequence(rate_name=rate, start_frame=86400, treatments=(treatment(0, 60),), cuts=(Cut("v1", shots, 100),), **given)
    return with_codes(made, "v1")


def pull(made: Sequence, folder: Path, wanted: Wanted = BOTH, **parts: object) -> Handed:
    return make_pulls(made, made.cut("v1"), folder / "s.previs", folder / "pulls", wanted, folder / "cache", **parts)  # type: ignore[arg-type]


def shown_by(clip: Clip, grid_frame: int, fps: Fraction) -> int:
    """The number of the last picture that has begun at that moment, counted from the clip's own times."""
    index = max(n for n, time in enumerate(clip.times) if time <= grid_frame / fps)
    return PHONE[index] if len(clip.times) == len(PHONE) else index


def movie_numbers(path: Path) -> tuple[list[int], tuple[int, int], str]:
    with av.open(str(path)) as movie:
        pictures = [frame.to_ndarray(format="rgb24") for frame in movie.decode(video=0)]
        label = movie.streams.video[0].metadata.get("timecode", "")
    return [read_number(picture) for picture in pictures[1:]], (pictures[0].shape[1], pictures[0].shape[0]), label


@pytest.mark.parametrize("rate", ["23.976", "24", "25", "29.97"])
@pytest.mark.parametrize("kind", ["24", "25", "29.97"])
def test_frame_k_shows_the_tape_frame_that_the_grid_says(clips: dict[str, Clip], kind: str, rate: str, tmp_path: Path) -> None:
    clip = clips[kind]
    made = fight(clip, Shot("s1", 14, Footage("T1", 30)), Shot("s2", 10, Footage("T1", 50, Fraction(-7, 5))), rate=rate)
    handed = pull(made, tmp_path)
    fps = made.timebase.rate.fps
    for one in handed.planned:
        wanted = [shown_by(clip, frame, fps) for frame in range(one.pull.tape.start, one.pull.tape.end_exclusive)]
        numbers, size, _ = movie_numbers(tmp_path / "pulls" / f"{one.entry.name}.mov")
        assert numbers == wanted
        assert size == ((182, 320) if kind == "29.97" else (320, 180))
        folder = tmp_path / "pulls" / one.entry.name
        names = [f"{one.entry.name}.{number}.png" for number in range(one.pull.first - 1, one.pull.last + 1)]
        assert sorted(file.name for file in folder.iterdir()) == names
        assert [read_number(np.asarray(Image.open(folder / name))) for name in names[1:]] == wanted


def test_an_odd_tape_is_pulled_in_even_numbers_and_the_slate_has_the_frame_before(clips: dict[str, Clip], tmp_path: Path) -> None:
    made = fight(clips["odd"], Shot("s1", 14, Footage("T1", 20)))
    pull(made, tmp_path, Wanted(stills=True, ending=".mp4"))
    numbers, size, label = movie_numbers(tmp_path / "pulls" / "SALT_010_v001.mp4")
    assert numbers == list(range(12, 42))
    assert size == (322, 182)
    assert label == made.timebase.label(1000 + 12 - 1)
    with Image.open(tmp_path / "pulls" / "SALT_010_v001" / "SALT_010_v001.1000.png") as slate:
        assert slate.size == (322, 182)


THREE = tuple(Shot(f"s{n}", 10, Footage("T1", 25 * n)) for n in (1, 2, 3))


def states(handed: Handed) -> list[str]:
    return [f"{one.state} {one.entry.name}" for one in handed.planned]


def test_a_second_run_makes_only_what_changed(clips: dict[str, Clip], tmp_path: Path) -> None:
    made = fight(clips["24"], *THREE)
    assert states(pull(made, tmp_path)) == ["new SALT_010_v001", "new SALT_020_v001", "new SALT_030_v001"]
    before = {path: path.stat().st_mtime_ns for path in (tmp_path / "pulls").rglob("*") if path.is_file()}
    again = pull(made, tmp_path)
    assert states(again) == ["kept SALT_010_v001", "kept SALT_020_v001", "kept SALT_030_v001"]
    assert again.made == ()
    assert {path: path.stat().st_mtime_ns for path in (tmp_path / "pulls").rglob("*") if path.is_file()} == before

    trimmed = edits.remove(edits.trim_tail(made, "v1", 2, -3), "v1", 1)
    third = pull(trimmed, tmp_path)
    assert states(third) == ["changed SALT_020_v002", "kept SALT_030_v001"]
    assert [path.name for path in third.made] == ["SALT_020_v002.mov", "SALT_020_v002"]
    assert [entry.name for entry in third.fell_out] == ["SALT_010_v001"]
    # Everything from before is still there, untouched, except the log.
    now = {path: path.stat().st_mtime_ns for path in before}
    assert {path for path in before if now[path] != before[path]} == {tmp_path / "pulls" / FILE}
    # The shot that fell out comes back as it was, under its old name.
    assert states(pull(made, tmp_path)) == ["kept SALT_010_v001", "changed SALT_020_v003", "kept SALT_030_v001"]


def test_a_shot_that_only_moves_in_the_cut_is_not_pulled_again(clips: dict[str, Clip], tmp_path: Path) -> None:
    made = fight(clips["24"], *THREE)
    pull(made, tmp_path, Wanted())
    moved = pull(edits.move(made, "v1", 3, 1), tmp_path, Wanted())
    assert states(moved) == ["kept SALT_030_v001", "kept SALT_010_v001", "kept SALT_020_v001"]
    assert moved.made == ()


def test_what_is_lacking_is_made_under_the_same_version(clips: dict[str, Clip], tmp_path: Path) -> None:
    made = fight(clips["24"], *THREE)
    pull(made, tmp_path, Wanted())
    (tmp_path / "pulls" / "SALT_020_v001.mov").unlink()
    handed = pull(made, tmp_path, BOTH)
    assert [path.name for path in handed.made] == ["SALT_010_v001", "SALT_020_v001.mov", "SALT_020_v001", "SALT_030_v001"]


def test_a_lost_log_never_lets_a_version_be_written_over(clips: dict[str, Clip], tmp_path: Path) -> None:
    made = fight(clips["24"], *THREE)
    pull(made, tmp_path, Wanted())
    (tmp_path / "pulls" / FILE).unlink()
    assert states(pull(made, tmp_path, Wanted()))[0] == "new SALT_010_v002"


def test_stills_of_a_code_with_a_stop_in_it_are_not_written_over_either(clips: dict[str, Clip], tmp_path: Path) -> None:
    made = fight(clips["24"], changed(THREE[0], code="1.5"))
    assert states(pull(made, tmp_path, Wanted(stills=True, movies=False))) == ["new SALT_1.5_v001"]
    (tmp_path / "pulls" / FILE).unlink()
    assert states(pull(made, tmp_path, Wanted(stills=True, movies=False))) == ["new SALT_1.5_v002"]


def test_pulls_from_frame_0_leave_no_number_for_the_slate(clips: dict[str, Clip], tmp_path: Path) -> None:
    made = changed(fight(clips["24"], *THREE), settings=Settings(first_pull_frame=0))
    with pytest.raises(UseFault, match="no number for the slate"):
        pull(made, tmp_path)


def test_a_stop_keeps_what_was_finished_and_leaves_nothing_half_made(clips: dict[str, Clip], tmp_path: Path) -> None:
    made = fight(clips["24"], *THREE)

    def report(step: Step) -> None:
        # In the stills of the second pull: 26 frames of movie and as many stills each.
        if step.done == 90:
            raise Stopped

    with pytest.raises(Stopped):
        pull(made, tmp_path, report=report)
    assert sorted(path.name for path in (tmp_path / "pulls").iterdir()) == [
        "SALT_010_v001",
        "SALT_010_v001.mov",
        "SALT_020_v001.mov",
        FILE,
    ]
    handed = pull(made, tmp_path)
    assert states(handed) == ["kept SALT_010_v001", "kept SALT_020_v001", "new SALT_030_v001"]
    assert [path.name for path in handed.made] == ["SALT_020_v001", "SALT_030_v001.mov", "SALT_030_v001"]


def test_a_folder_of_another_sequence_or_with_a_damaged_log_is_refused(clips: dict[str, Clip], tmp_path: Path) -> None:
    made = fight(clips["24"], *THREE)
    pull(made, tmp_path, Wanted())
    with pytest.raises(UseFault, match="holds the pulls of 'The Salt Stair', not of 'Quay'"):
        pull(changed(made, title="Quay"), tmp_path)
    (tmp_path / "pulls" / FILE).write_text('{"title": ', encoding="utf-8")
    with pytest.raises(UseFault, match=r"pulls\.json is damaged"):
        pull(made, tmp_path)


def test_a_tape_that_is_away_or_another_one_is_refused_before_anything_is_made(clips: dict[str, Clip], tmp_path: Path) -> None:
    made = fight(clips["24"], *THREE)
    (tape,) = made.tapes
    with pytest.raises(UseFault, match=r"Tape A1 is not at .*previs relink"):
        pull(changed(made, tapes=(changed(tape, path="gone.mp4"),)), tmp_path)
    with pytest.raises(MediaFault, match="is not the tape that was logged"):
        pull(changed(made, tapes=(changed(tape, fingerprint="f" * 32),)), tmp_path)
    assert not (tmp_path / "pulls").exists()


def test_a_cut_without_treatments_says_what_to_do(clips: dict[str, Clip], tmp_path: Path) -> None:
    made = changed(fight(clips["24"], *THREE), treatments=())
    with pytest.raises(UseFault, match="pull every shot with footage"):
        pull(made, tmp_path)
    assert len(pull(made, tmp_path, Wanted(untreated=True)).planned) == 3
