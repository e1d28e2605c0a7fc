"""Files and settings that are not what they say: pipes, pictures that are programs or huge, movies of many days, numbers of no process."""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path

import av
import pytest
from clips import make_clip
from fuzz.reading_kept import CARD, LASTS, RASTER
from PIL import Image

from previs import replacing
from previs.cli.showing import answer, show_text
from previs.desk.player.outputs import has_output
from previs.faults import UseFault
from previs.media.cards import card_picture
from previs.media.events import CardPicture
from previs.media.fingerprint import fingerprint
from previs.media.opening import MediaFault, opened
from previs.media.probe import probe


def test_a_pipe_in_the_place_of_a_tape_or_a_still_is_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "tape.mp4"
    os.mkfifo(pipe)
    with pytest.raises(UseFault, match="a pipe or a device"):
        fingerprint(pipe)
    with pytest.raises(UseFault, match="a pipe or a device"), opened(pipe):
        pass
    with pytest.raises(UseFault, match="a pipe or a device"):
        card_picture(CardPicture(CARD.title, "", Path("/dev/zero")), LASTS, RASTER, tmp_path)


def test_a_still_that_is_a_program_is_not_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(subprocess, "Popen", lambda *given, **more: pytest.fail(f"started {given}"))
    still = tmp_path / "leap.png"
    still.write_bytes(b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 40 40\n%%EndComments\n(hurt) print\nshowpage\n%%EOF\n")
    with pytest.raises(UseFault, match="not a picture that a card can show"):
        card_picture(CardPicture(CARD.title, "", still), LASTS, RASTER, tmp_path)


def test_a_still_of_a_hundred_million_pixels_is_not_unpacked(tmp_path: Path) -> None:
    still = tmp_path / "leap.png"
    Image.new("1", (15_000, 7000)).save(still)
    assert still.stat().st_size < 100_000
    with pytest.raises(UseFault, match="more than 89 million pixels"):
        card_picture(CardPicture(CARD.title, "", still), LASTS, RASTER, tmp_path)


def test_a_movie_that_says_it_lasts_for_days_is_refused(tmp_path: Path) -> None:
    sound = make_clip(tmp_path / "sound.mp4", frames=10, size=(64, 48), codec="mjpeg", pixel_format="yuvj420p").path
    tape = tmp_path / "tape.mkv"
    with av.open(str(sound)) as movie, av.open(str(tape), "w") as longer:
        stream = longer.add_stream_from_template(movie.streams.video[0])
        for number, packet in enumerate(movie.demux(movie.streams.video[0])):
            if packet.pts is not None and packet.time_base is not None:
                packet.pts = packet.dts = packet.pts + (int(48 * 3600 / packet.time_base) if number > 5 else 0)
                packet.stream = stream
                longer.mux(packet)
    with pytest.raises(MediaFault, match="no tape lasts a day"):
        probe(tape)


def test_a_leftover_of_a_process_that_cannot_be_is_cleared_away(tmp_path: Path) -> None:
    left = tmp_path / f".a.{replacing._MACHINE}-9999999999-00000000.part.edl"
    left.touch()
    replacing.write_whole(tmp_path / "a.edl", b"x")
    assert not left.exists()


def test_a_sound_server_at_a_port_that_cannot_be_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("PULSE_SERVER", "tcp:localhost:99999 tcp:localhost:x tcp:")
    assert not has_output()


def test_results_steer_no_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    hostile = {"na\x9b31mme": ["\x7f\u202e", "plain Élodie \U0001f642"]}
    answer(hostile)
    said = capsys.readouterr().out
    assert all(letter.isprintable() or letter == "\n" for letter in said) and "Élodie \U0001f642" in said
    assert json.loads(said) == hostile
    show_text("a,b\x1b[2J\r\n\x9bc,d\r\n")
    assert capsys.readouterr().out == "a,b\ufffd[2J\n\ufffdc,d\n"
