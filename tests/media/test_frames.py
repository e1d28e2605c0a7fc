"""Frame access by number against a full linear decode."""

from __future__ import annotations

import random
from collections.abc import Iterator
from hashlib import blake2b
from pathlib import Path

import av
import numpy as np
import pytest
from av.video.frame import VideoFrame
from clips import Clip, read_number, run_ffmpeg

from previs.media import FrameReader, frame_index, probe


def _digest(frame: VideoFrame) -> bytes:
    return blake2b(np.ascontiguousarray(frame.to_ndarray(format="yuv444p")).tobytes()).digest()


def _linear(path: Path) -> Iterator[bytes]:
    with av.open(str(path)) as movie:
        for frame in movie.decode(video=0):
            yield _digest(frame)


def _check_against_linear(path: Path, tries: int) -> None:
    linear = list(_linear(path))
    index = frame_index(path)
    assert len(linear) == index.frames
    order = list(range(index.frames))
    random.Random(path.name).shuffle(order)
    with FrameReader(path, index) as reader:
        for number in [*order[:tries], index.frames - 1, 0, 0, 1, index.frames - 1]:
            assert _digest(reader.frame(number)) == linear[number], number
    with FrameReader(path, index) as reader:
        assert [_digest(reader.frame(number)) for number in range(index.frames)] == linear


def test_any_order_gives_the_frames_of_a_full_decode(clip: Clip) -> None:
    _check_against_linear(clip.path, tries=25)


def test_the_clips_of_a_library_too(library_clips: list[Path]) -> None:
    for path in library_clips:
        _check_against_linear(path, tries=8)


def test_every_picture_is_upright_and_carries_its_number(clip: Clip) -> None:
    facts, index = probe(clip.path), frame_index(clip.path)
    numbers = [round(time * clip.rate) + clip.first_number for time in clip.times]
    with FrameReader(clip.path, index, rotation=facts.rotation) as reader:
        seen = [read_number(picture) for picture in reader.pictures(range(index.frames))]
    assert seen == numbers


def test_pictures_have_the_upright_shape_and_can_be_scaled(clips: dict[str, Clip]) -> None:
    clip = clips["turned_90"]
    index = frame_index(clip.path)
    with FrameReader(clip.path, index, rotation=90) as reader:
        assert reader.picture(0).shape == (320, 240, 3)
    with FrameReader(clip.path, index, rotation=90, size_px=(120, 160)) as reader:
        picture = reader.picture(17)
        assert picture.shape == (160, 120, 3)
        assert read_number(picture) == 17


def test_the_turn_is_the_one_that_players_make(clips: dict[str, Clip], tmp_path: Path) -> None:
    for name in ("turned_90", "turned_180", "turned_270"):
        clip = clips[name]
        run_ffmpeg("-i", str(clip.path), "-frames:v", "1", "-f", "rawvideo", "-pix_fmt", "rgb24", str(tmp_path / "played"))
        facts = probe(clip.path)
        played = np.fromfile(tmp_path / "played", np.uint8).reshape(facts.height, facts.width, 3)
        with FrameReader(clip.path, frame_index(clip.path), rotation=facts.rotation) as reader:
            ours = reader.picture(0)
        assert np.abs(ours.astype(int) - played).mean() < 3, name


def test_untagged_colours_are_read_as_players_read_them(tmp_path: Path) -> None:
    red = av.VideoFrame.from_ndarray(np.full((64, 64, 3), (255, 0, 0), np.uint8), "rgb24")
    with av.open(str(tmp_path / "red.mp4"), "w") as movie:
        stream = movie.add_stream("libx264", rate=25)
        stream.width = stream.height = 64
        stream.pix_fmt = "yuv420p"
        movie.mux(stream.encode(red))
        movie.mux(stream.encode(None))
    with FrameReader(tmp_path / "red.mp4", frame_index(tmp_path / "red.mp4")) as reader:
        middle = reader.picture(0)[32, 32].astype(int)
    assert np.abs(middle - (255, 0, 0)).max() < 8


def test_a_frame_outside_the_tape_is_refused(clips: dict[str, Clip]) -> None:
    path = clips["silent"].path
    with FrameReader(path, frame_index(path)) as reader:
        for number in (-1, 60):
            with pytest.raises(IndexError):
                reader.picture(number)


def test_a_damaged_stretch_does_not_shift_the_frames_after_it(clips: dict[str, Clip], tmp_path: Path) -> None:
    whole = bytearray(clips["mjpeg_avi"].path.read_bytes())
    hurt = tmp_path / "hurt.avi"
    third = len(whole) // 3
    whole[third : third + 9000] = bytes(9000)
    hurt.write_bytes(bytes(whole))
    index = frame_index(clips["mjpeg_avi"].path)
    with FrameReader(hurt, index) as reader:
        assert read_number(reader.picture(55)) == 55
        assert read_number(reader.picture(2)) == 2
        assert reader.picture(20).shape == (180, 320, 3)
        assert read_number(reader.picture(59)) == 59
