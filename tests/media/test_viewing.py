"""What is looked at is what is published: every frame of a busy cut against the movie's."""

from __future__ import annotations

import shutil
from fractions import Fraction
from pathlib import Path

import msgspec
import numpy as np
import pytest
from small_fight import small_fight

from previs.cut.edits import insert
from previs.cut.retimes import retime_to_speed
from previs.cut.transitions import add_transition
from previs.document.model import Black, Card, Sequence, Tape, Transition, TransitionKind
from previs.document.paths import cache_folder
from previs.document.store import open_document
from previs.media import FrameReader, frame_index, publish
from previs.media.from_cut import events_of, raster_of
from previs.media.viewing import Viewing


@pytest.fixture(scope="module")
def document(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_fight(tmp_path_factory.mktemp("viewing"))


def busy(sequence: Sequence) -> Sequence:
    sequence = retime_to_speed(sequence, "v1", 1, Fraction(7, 8))
    sequence = insert(sequence, "v1", 2, Card("The leap", 5, 5), 12)
    sequence = insert(sequence, "v1", 3, Black(), 6)
    last = len(sequence.cut("v1").shots)
    sequence = add_transition(sequence, "v1", last, Transition(TransitionKind.DISSOLVE, 8))
    return add_transition(sequence, "v1", 2, Transition(TransitionKind.WIPE, 6, 1))


def test_every_frame_looked_at_is_the_frame_published(document: Path, tmp_path: Path) -> None:
    sequence = busy(open_document(document).sequence)
    cut, cache, out = sequence.cut("v1"), cache_folder(document), tmp_path / "cut.mp4"
    publish(
        events_of(sequence, cut, document),
        sequence.timebase,
        sequence.start_frame,
        out,
        cache_dir=cache,
        quality="draft",
        raster=raster_of(sequence),
    )
    with Viewing(document, cache, (960, 540)) as viewing, FrameReader(out, frame_index(out)) as reader:
        for frame in range(cut.frames):
            looked_at = viewing.cut_picture(sequence, cut, frame).astype(int)
            published = reader.picture(frame).astype(int)
            assert np.abs(looked_at - published).mean() < 3, frame


def test_beyond_the_tape_stands_its_last_picture_and_beyond_the_cut_nothing(document: Path) -> None:
    sequence = open_document(document).sequence
    with Viewing(document, cache_folder(document), (320, 180)) as viewing:
        last = viewing.tape_picture(sequence, "FILM", 199)
        assert np.array_equal(viewing.tape_picture(sequence, "FILM", 5000), last)
        assert last.shape == (180, 320, 3)
        with pytest.raises(IndexError):
            viewing.cut_picture(sequence, sequence.cut("v1"), sequence.cut("v1").frames)


def test_more_tapes_than_are_held_open_are_opened_in_turn(document: Path, tmp_path: Path) -> None:
    sequence = open_document(document).sequence
    film = sequence.tape("FILM")
    tapes: list[Tape] = []
    for number in range(9):
        copied = tmp_path / f"{number}.mp4"
        shutil.copy(document.parent / film.path, copied)
        tapes.append(msgspec.structs.replace(film, reel=f"R{number}", path=str(copied), fingerprint=f"{number}" * 32))
    many = msgspec.structs.replace(sequence, tapes=tuple(tapes), takes=(), treatments=(), cuts=())
    with Viewing(document, tmp_path / "cache", (320, 180)) as viewing:
        pictures = [viewing.tape_picture(many, f"R{number % 9}", 20) for number in range(18)]
        assert len(viewing._open) == 6
    assert all(np.array_equal(picture, pictures[0]) for picture in pictures)
