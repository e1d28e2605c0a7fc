"""A tape's sound in step with its picture."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from clips import Clip, click_places, make_clip

from previs.media import sample_at, tape_sound
from previs.media import sound as sound_module
from previs.media.sound import stored

WITH_CLICKS = ("h264_b_frames", "mjpeg_avi", "prores", "fifty", "phone_mp4", "late_start_ts", "late_start_mkv", "mono_44100", "late_sound")


@pytest.mark.parametrize("name", WITH_CLICKS)
def test_clicks_sound_where_they_were_put(name: str, clips: dict[str, Clip], tmp_path: Path) -> None:
    clip = clips[name]
    places = click_places(tape_sound(clip.path, tmp_path))
    assert len(places) == len(clip.clicks)
    # The coded ones are smeared by a few samples; a container of milliseconds adds its rounding.
    assert all(abs(place - click) < 0.0016 for place, click in zip(places, clip.clicks, strict=True)), (places, clip.clicks)


@pytest.mark.parametrize("name", ["prores", "mjpeg_avi"])
def test_uncoded_sound_is_exact_to_the_sample(name: str, clips: dict[str, Clip], tmp_path: Path) -> None:
    clip = clips[name]
    sound = tape_sound(clip.path, tmp_path)
    first = int(np.flatnonzero(np.abs(sound).max(axis=1) > 0.3)[0])
    assert first == clip.clicks[0] * 48000
    assert abs(len(sound) - Fraction(60, 25) * 48000) <= 2


def test_mono_sounds_on_both_sides_at_full_level(clips: dict[str, Clip], tmp_path: Path) -> None:
    sound = tape_sound(clips["mono_44100"].path, tmp_path)[:]
    assert (sound[:, 0] == sound[:, 1]).all()
    assert sound.max() > 0.75


def test_a_tape_without_sound_has_no_samples_and_that_is_cached(
    clips: dict[str, Clip], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = clips["silent"].path
    assert tape_sound(path, tmp_path).shape == (0, 2)
    monkeypatch.setattr(sound_module, "_at_48k", lambda *_: pytest.fail("read again"))
    assert tape_sound(path, tmp_path).shape == (0, 2)


def test_a_gap_is_filled_with_silence(tmp_path: Path) -> None:
    """The middle half second of packets is missing; what follows must stay in step."""
    whole = make_clip(tmp_path / "whole.mkv", sound="pcm_s16le", click_frames=[5, 25, 50])
    holed = tmp_path / "holed.mkv"
    with av.open(str(whole.path)) as source, av.open(str(holed), "w") as movie:
        streams = {stream.index: movie.add_stream_from_template(stream) for stream in (source.streams.video[0], source.streams.audio[0])}
        for packet in source.demux():
            lost = packet.stream.type == "audio" and packet.pts is not None and 1200 < packet.pts < 1700
            if packet.size and not lost:
                packet.stream = streams[packet.stream.index]
                movie.mux(packet)
    sound = tape_sound(holed, tmp_path)
    places = click_places(sound)
    assert [round(place, 2) for place in places] == [0.2, 1.0, 2.0]
    assert not sound[int(1.3 * 48000) : int(1.6 * 48000)].any()


def test_hours_of_silence_take_no_room(clips: dict[str, Clip], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    second, click = np.zeros((48000, 2), np.float32), np.full((100, 2), 0.5, np.float32)
    monkeypatch.setattr(sound_module, "_at_48k", lambda *_: iter([click, *[second] * 3600, click, second]))
    sound = tape_sound(clips["prores"].path, tmp_path)
    assert len(sound) == 3601 * 48000 + 200
    assert (sound[:100] == 0.5).all() and not sound[100:48000].any()
    assert (sound[-48100:-48000] == 0.5).all() and not sound[-48000:].any()
    assert next((tmp_path / "sound").iterdir()).stat().st_blocks * 512 < 1e6


def test_the_cache_serves_and_is_made_anew_when_damaged(clips: dict[str, Clip], tmp_path: Path) -> None:
    path = clips["fifty"].path
    first = np.array(tape_sound(path, tmp_path))
    (cached,) = (tmp_path / "sound").iterdir()
    whole = cached.read_bytes()
    for junk in (b"", whole[:500], b"\x00" * len(whole), whole[: len(whole) // 2]):
        cached.write_bytes(junk)
        assert np.array_equal(tape_sound(path, tmp_path), first)
        assert cached.read_bytes() == whole


def test_sound_worked_out_in_blocks_is_read_from_a_file_that_nobody_else_sees(tmp_path: Path) -> None:
    rows = np.random.default_rng(5).uniform(-1, 1, (1000, 2)).astype(np.float32)
    kept = stored((rows[start : start + 300] for start in range(0, 1000, 300)), tmp_path / "cache")
    assert len(kept) == 1000 and np.array_equal(kept[:], rows) and np.array_equal(kept[290:310], rows[290:310])
    assert not list((tmp_path / "cache").iterdir())


def test_frames_begin_on_these_samples() -> None:
    assert [sample_at(n, Fraction(24)) for n in (0, 1, 24)] == [0, 2000, 48000]
    assert [sample_at(n, Fraction(30000, 1001)) for n in (1, 2, 3, 5)] == [1602, 3203, 4805, 8008]
    assert sample_at(1, Fraction(24000, 1001)) == 2002
