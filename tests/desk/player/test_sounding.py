"""What is heard: the tape's own samples, in step with the picture, on an output that only the tests have."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from enum import Enum
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from previs.clock import Span
from previs.cut.edits import trim_tail
from previs.desk.open_file import OpenFile
from previs.desk.player import sound
from previs.desk.player.outputs import has_output
from previs.desk.player.sound import BYTES_A_SAMPLE, Feed
from previs.desk.player.strips import CutStrip, Strip, TapeStrip
from previs.desk.player.view import Player
from previs.document.paths import locate
from previs.media.from_cut import events_of
from previs.media.sound import Samples, sample_at, tape_sound
from previs.media.soundtrack import lay_sound

FILM_24 = Fraction(24)
NOISE: Samples = np.random.default_rng(1).uniform(-1, 1, (5000, 2)).astype(np.float32)


class State(Enum):
    ActiveState = 0
    StoppedState = 1


class Output:
    """In the place of the library's output: keeps what it was given, and has played what the test says."""

    def __init__(self) -> None:
        self.feed: Feed | None = None
        self.played_samples = 0
        self.now = State.ActiveState

    def start(self, feed: Feed) -> None:
        self.feed = feed

    def stop(self) -> None:
        self.now = State.StoppedState

    def state(self) -> State:
        return self.now

    def processedUSecs(self) -> int:  # noqa: N802
        return self.played_samples * 1_000_000 // 48_000

    def deleteLater(self) -> None:  # noqa: N802
        pass

    def heard(self, samples: int) -> np.ndarray:
        assert self.feed is not None
        return in_numbers(self.feed.readData(samples * BYTES_A_SAMPLE))


def in_numbers(data: bytes) -> np.ndarray:
    return np.frombuffer(data, "<i2").reshape(-1, 2)


def coded(samples: Samples) -> np.ndarray:
    return (np.clip(samples, -1, 1) * 32767).astype("<i2")


class HandClock:
    def __init__(self) -> None:
        self.now = Fraction(0)

    def __call__(self) -> Fraction:
        return self.now


@pytest.fixture
def outputs(monkeypatch: pytest.MonkeyPatch) -> list[Output]:
    opened: list[Output] = []

    def one() -> Output:
        opened.append(Output())
        return opened[-1]

    monkeypatch.setattr(sound, "_output", one)
    return opened


@pytest.fixture
def clock() -> HandClock:
    return HandClock()


@pytest.fixture
def player(file: OpenFile, qtbot: QtBot, clock: HandClock, outputs: list[Output], monkeypatch: pytest.MonkeyPatch) -> Iterator[Player]:
    monkeypatch.setattr("previs.desk.player.sounding.has_output", lambda: True)
    made = Player(file, clock=clock)
    qtbot.addWidget(made)
    made.show()
    yield made
    made.close_down()


def sound_of(file: OpenFile, reel: str) -> Samples:
    tape = file.sequence.tape(reel)
    return tape_sound(locate(file.path, tape), file.cache, tape.fingerprint)


def laid(file: OpenFile) -> Samples:
    events = events_of(file.sequence, file.sequence.cut("v1"), file.path)
    return np.concatenate(list(lay_sound(events, FILM_24, lambda tape: tape_sound(tape.path, file.cache, tape.fingerprint))))


def play(player: Player, qtbot: QtBot, outputs: list[Output], strip: Strip, frame: int = 0) -> Output:
    """Play until something sounds."""
    opened = len(outputs)
    player.look_at(strip, frame)
    player.play(Fraction(1))
    qtbot.waitUntil(lambda: len(outputs) > opened, timeout=20_000)
    return outputs[-1]


def test_a_feed_gives_the_samples_from_its_place_on_then_silence() -> None:
    heard = in_numbers(Feed(NOISE, 4000).readData(4 * 1500))
    assert np.array_equal(heard[:1000], coded(NOISE[4000:]))
    assert not heard[1000:].any()


@pytest.mark.parametrize("block", [1, 7, 333, 4000])
def test_a_feed_goes_round_a_loop_without_a_gap(block: int) -> None:
    feed = Feed(NOISE, 900, Span(1000, 1250))
    heard = np.concatenate([in_numbers(feed.readData(4 * block)) for _ in range(-(-2000 // block))])[:2000]
    places = [900 + n if n < 350 else 1000 + (n - 350) % 250 for n in range(2000)]
    assert np.array_equal(heard, coded(NOISE[places]))


def test_a_loop_that_was_passed_is_no_loop() -> None:
    assert np.array_equal(in_numbers(Feed(NOISE, 1250, Span(1000, 1250)).readData(4 * 500)), coded(NOISE[1250:1750]))


def test_a_tape_sounds_from_the_frame_shown(player: Player, file: OpenFile, qtbot: QtBot, outputs: list[Output]) -> None:
    output = play(player, qtbot, outputs, TapeStrip("FILM", 20, 100), 11)
    first = sample_at(20 + player.frame, FILM_24)
    assert player.frame == 11
    assert np.array_equal(output.heard(3000), coded(sound_of(file, "FILM")[first : first + 3000]))


def test_a_cut_sounds_as_it_is_published_and_an_edit_is_heard_at_once(
    player: Player, file: OpenFile, qtbot: QtBot, outputs: list[Output]
) -> None:
    output = play(player, qtbot, outputs, CutStrip("v1"), 30)
    assert np.array_equal(output.heard(9000), coded(laid(file)[sample_at(30, FILM_24) :][:9000]))
    before = len(outputs)
    assert file.edit(lambda one: trim_tail(one, "v1", 1, -6), "trim")
    qtbot.waitUntil(lambda: len(outputs) > before, timeout=20_000)
    assert np.array_equal(outputs[-1].heard(9000), coded(laid(file)[sample_at(30, FILM_24) :][:9000]))


def test_the_picture_follows_what_has_sounded(player: Player, qtbot: QtBot, clock: HandClock, outputs: list[Output]) -> None:
    output = play(player, qtbot, outputs, TapeStrip("FILM"))
    output.played_samples = 48_000
    clock.now += Fraction(1, 10)
    qtbot.waitUntil(lambda: player.frame == 24)
    output.stop()  # unplugged: it goes on in silence from there
    qtbot.waitUntil(lambda: player._lead is not None and player._lead.lost)
    clock.now += Fraction(1, 2)
    qtbot.waitUntil(lambda: player.frame == 36)
    assert player.playing


def test_a_looped_sound_is_begun_once(player: Player, file: OpenFile, qtbot: QtBot, clock: HandClock, outputs: list[Output]) -> None:
    player.look_at(TapeStrip("FILM"))
    player.loop(24, 36)
    output = play(player, qtbot, outputs, TapeStrip("FILM"), 24)
    for played, frame in ((10_100, 29), (24_100, 24), (26_100, 25)):
        output.played_samples = played
        clock.now += Fraction(1, 10)
        qtbot.waitUntil(lambda frame=frame: player.frame == frame)
    assert outputs == [output]
    half = sound_of(file, "FILM")[48_000:72_000]
    assert np.array_equal(output.heard(40_000), coded(np.concatenate([half, half])[:40_000]))


def test_dragging_while_it_plays_opens_no_output_for_each_place(
    player: Player, file: OpenFile, qtbot: QtBot, outputs: list[Output]
) -> None:
    play(player, qtbot, outputs, TapeStrip("FILM"))
    for frame in range(10, 110):
        player.seek(frame)
    assert len(outputs) == 1
    qtbot.waitUntil(lambda: len(outputs) == 2)
    first = sample_at(109, FILM_24)
    assert player.frame == 109
    assert np.array_equal(outputs[-1].heard(500), coded(sound_of(file, "FILM")[first : first + 500]))


@pytest.mark.parametrize("speed", [Fraction(1, 8), Fraction(1, 2), Fraction(2)])
def test_other_speeds_are_silent(player: Player, qtbot: QtBot, outputs: list[Output], speed: Fraction) -> None:
    play(player, qtbot, outputs, TapeStrip("FILM"))
    player.play(speed)
    assert len(outputs) == 1 and outputs[0].now is State.StoppedState


def test_a_tape_without_sound_or_out_of_reach_plays_in_silence(player: Player, file: OpenFile, qtbot: QtBot, clock: HandClock) -> None:
    for folder in ("copies", "sound"):
        for kept in (file.cache / folder).iterdir():
            kept.unlink()
    locate(file.path, file.sequence.tape("FILM")).unlink()
    for reel in ("PAL", "FILM"):
        clock.now = Fraction(0)
        player.look_at(TapeStrip(reel))
        player.play(Fraction(1))
        qtbot.waitUntil(lambda: not file.work.running)
        clock.now = Fraction(1)
        qtbot.waitUntil(lambda: player.frame == 24)
    assert not [line for line in file.log if line.tone == "fault"]


def test_only_a_sound_server_that_answers_is_an_output(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = tmp_path / "s"
    monkeypatch.delenv("XDG_RUNTIME_DIR", raising=False)
    for name in (f"unix:{place}", str(place), f"{{0123}}unix:{place}"):
        monkeypatch.setenv("PULSE_SERVER", name)
        assert not has_output()
        with socket.socket(socket.AF_UNIX) as server:
            server.bind(str(place))
            server.listen()
            assert has_output()
        assert place.exists() and not has_output(), "a server that has gone leaves its place behind"
        place.unlink()
    monkeypatch.setenv("PULSE_SERVER", "tcp:127.0.0.1:what")
    assert not has_output()
    monkeypatch.delenv("PULSE_SERVER")
    assert not has_output()
