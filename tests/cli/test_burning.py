"""publish --burn-in: the words of the cut on its own frames, read back from the movie."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from burnt_reading import read_time_code
from cli_types import Job, Run
from clips import Rgb

from previs.document.store import open_document
from previs.media import FrameReader, frame_index


@pytest.fixture
def cut(job: Job, run: Run) -> Job:
    assert run("set", job.file, "--raster", "640x360").code == 0
    assert run("assemble", job.file).code == 0
    return job


def pictures(path: Path, frames: list[int]) -> list[Rgb]:
    with FrameReader(path, frame_index(path)) as reader:
        return [reader.picture(frame) for frame in frames]


def dark_strip(picture: Rgb) -> bool:
    """Whether words stand at the bottom right: light ink on a dark strip."""
    part = picture[322:340, 560:600].mean(axis=2)
    return bool(part.max() > 165 and np.median(part) < 60)


def test_the_movie_carries_the_cut_s_own_time_code(cut: Job, run: Run) -> None:
    out = cut.folder / "burnt.mp4"
    ran = run("publish", cut.file, "-o", out, "--burn-in", "--json")
    assert ran.code == 0, ran.err
    value = open_document(cut.file).sequence
    answer = json.loads(ran.out)
    assert (answer["frames"], answer["burnt_in"], answer["quality"]) == (value.cut().frames, True, "final")
    last = value.cut().frames - 1
    first, middle, end = pictures(out, [0, 60, last])
    assert [read_time_code(picture) for picture in (first, middle, end)] == [
        "01:00:00:00",
        "01:00:02:12",
        value.timebase.label(86400 + last),
    ]
    assert dark_strip(first) and dark_strip(end)
    plain = cut.folder / "plain.mp4"
    assert run("publish", cut.file, "-o", plain, "--burn-in", "--no-confidential").code == 0
    (shown,) = pictures(plain, [60])
    assert read_time_code(shown) == "01:00:02:12"
    assert not dark_strip(shown)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--burn-in", "--quality", "draft"), "A draft is not coded anew"),
        (("--no-confidential",), "Without --burn-in nothing is written on the picture"),
    ],
)
def test_what_is_refused(cut: Job, run: Run, options: tuple[str, ...], said: str) -> None:
    ran = run("publish", cut.file, "-o", cut.folder / "x.mp4", *options)
    assert ran.code == 2
    assert said in ran.err
    assert not (cut.folder / "x.mp4").exists()
