"""What a tape is, and what is said about files that are none."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import cv2
import numpy as np
import pytest
from clips import Clip, make_clip, run_ffmpeg

from previs.faults import Fault, UseFault
from previs.media import MediaFault, probe


def test_codecs_and_sizes(clips: dict[str, Clip]) -> None:
    found = {name: probe(clip.path) for name, clip in clips.items()}
    assert {name: found[name].codec for name in ("h264_b_frames", "hevc_24", "mjpeg_avi", "mpeg4_b_frames_avi", "prores")} == {
        "h264_b_frames": "h264",
        "hevc_24": "hevc",
        "mjpeg_avi": "mjpeg",
        "mpeg4_b_frames_avi": "mpeg4",
        "prores": "prores",
    }
    assert (found["ten_bit"].bit_depth, found["prores"].bit_depth, found["silent"].bit_depth) == (10, 10, 8)
    assert (found["turned_90"].stored_width, found["turned_90"].stored_height) == (320, 240)
    assert (found["turned_90"].width, found["turned_90"].height, found["turned_90"].rotation) == (240, 320, 90)
    assert (found["turned_270"].rotation, found["turned_180"].rotation) == (270, 180)
    assert (found["wide_samples"].width, found["wide_samples"].sample_aspect) == (427, Fraction(4, 3))
    assert not any(facts.interlaced for facts in found.values())


def test_rates(clips: dict[str, Clip]) -> None:
    rates = {name: probe(clip.path) for name, clip in clips.items()}
    assert rates["mkv_23976"].rate.name == "23.976"
    assert rates["ntsc_50_frames_apart"].rate.name == "29.97"
    assert rates["fifty"].rate.name == "50"
    assert not rates["late_start_ts"].variable
    assert rates["phone_mp4"].variable
    assert rates["phone_mp4"].average_fps == Fraction(52) / Fraction(60, 30)
    assert rates["phone_mp4"].frames == 52


def test_sound(clips: dict[str, Clip]) -> None:
    assert probe(clips["silent"].path).sound is None
    mono = probe(clips["mono_44100"].path).sound
    assert mono is not None
    assert (mono.sample_rate, mono.channels) == (44100, 1)
    assert abs(probe(clips["late_sound"].path).sound_offset - Fraction(1, 2)) < Fraction(2, 1000)
    assert probe(clips["h264_b_frames"].path).sound_offset == 0


def test_interlaced_is_seen(tmp_path: Path) -> None:
    run_ffmpeg("-f", "lavfi", "-i", "testsrc=s=160x128:r=25:d=0.4", "-c:v", "mpeg2video", "-flags", "+ildct+ilme", f"{tmp_path}/i.mpg")
    assert probe(tmp_path / "i.mpg").interlaced


@pytest.mark.parametrize(("suffix", "label", "drop"), [(".mov", "01:02:03:04", False), (".mp4", "10:00:00;02", True)])
def test_time_code_in_the_file(tmp_path: Path, suffix: str, label: str, drop: bool) -> None:
    clip = make_clip(tmp_path / f"a{suffix}", rate=Fraction(30000, 1001), frames=5, metadata={"timecode": label}, sound="")
    facts = probe(clip.path)
    assert (facts.start_label, facts.start_drop) == (label, drop)


def test_no_time_code_is_none(clips: dict[str, Clip]) -> None:
    assert probe(clips["silent"].path).start_label is None


def _text(folder: Path, clips: dict[str, Clip]) -> Path:
    (folder / "notes.mp4").write_text("Take 3, tail slate\n" * 40)
    return folder / "notes.mp4"


def _plain_text(folder: Path, clips: dict[str, Clip]) -> Path:
    (folder / "notes.txt").write_text("Take 3, tail slate\n" * 40)
    return folder / "notes.txt"


def _empty(folder: Path, clips: dict[str, Clip]) -> Path:
    (folder / "a.mov").touch()
    return folder / "a.mov"


def _sound_only(folder: Path, clips: dict[str, Clip]) -> Path:
    with av.open(str(folder / "a.m4a"), "w") as movie:
        stream = movie.add_stream("aac", rate=48000)
        frame = av.AudioFrame.from_ndarray(np.zeros((2, 4800), np.float32), "fltp", "stereo")
        frame.sample_rate = 48000
        movie.mux(stream.encode(frame))
        movie.mux(stream.encode(None))
    return folder / "a.m4a"


def _still(folder: Path, clips: dict[str, Clip]) -> Path:
    cv2.imwrite(str(folder / "a.jpg"), np.zeros((64, 64, 3), np.uint8))
    return folder / "a.jpg"


def _no_table(folder: Path, clips: dict[str, Clip]) -> Path:
    whole = clips["h264_b_frames"].path.read_bytes()
    (folder / "a.mp4").write_bytes(whole[: len(whole) * 6 // 10])
    return folder / "a.mp4"


def _half(source: str, folder: Path, clips: dict[str, Clip]) -> Path:
    whole = folder / f"whole{clips[source].path.suffix}"
    fast = ["-movflags", "+faststart"] if whole.suffix in (".mp4", ".mov") else []
    run_ffmpeg("-i", str(clips[source].path), "-c", "copy", *fast, str(whole))
    half = folder / f"half{whole.suffix}"
    half.write_bytes(whole.read_bytes()[: whole.stat().st_size // 2])
    return half


REFUSED: dict[str, tuple[Callable[[Path, dict[str, Clip]], Path], type[Fault], str]] = {
    "missing": (lambda folder, clips: folder / "none.mov", UseFault, "There is no file"),
    "folder": (lambda folder, clips: folder, UseFault, "is a folder"),
    "empty": (_empty, UseFault, "is empty"),
    "text": (_text, UseFault, "is not a movie"),
    "plain_text": (_plain_text, UseFault, "is not a movie"),
    "still": (_still, UseFault, "is not a movie"),
    "sound_only": (_sound_only, UseFault, "has no picture"),
    "no_table": (_no_table, MediaFault, "the table of its frames is missing"),
    "half_a_mov": (lambda folder, clips: _half("prores", folder, clips), MediaFault, " of 60 frames can be read"),
    "half_an_avi": (lambda folder, clips: _half("mjpeg_avi", folder, clips), MediaFault, " of 60 frames can be read"),
    "half_a_matroska": (lambda folder, clips: _half("late_start_mkv", folder, clips), MediaFault, "frames can be read"),
}


@pytest.mark.parametrize("kind", REFUSED)
def test_what_is_refused_and_how(kind: str, clips: dict[str, Clip], tmp_path: Path) -> None:
    make, fault, words = REFUSED[kind]
    path = make(tmp_path, clips)
    with pytest.raises(Fault) as caught:
        probe(path)
    said = str(caught.value)
    assert isinstance(caught.value, fault)
    assert words in said
    assert str(path) in said
    assert said.endswith(".") and "\n" not in said
