from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from clips import read_number
from PyQt6.QtCore import Qt
from PyQt6.QtGui import QImage
from PyQt6.QtTest import QTest
from pytestqt.qtbot import QtBot

from previs.cut.edits import trim_tail
from previs.cut.placing import place
from previs.desk.open_file import OpenFile
from previs.desk.player.decoding import Decoder, Order, Pictured, View
from previs.desk.player.sound import Feed
from previs.desk.player.stills import Stills
from previs.desk.player.strips import CutStrip, TapeStrip, strip_frames, strip_label
from previs.desk.player.view import Player
from previs.document.paths import locate
from previs.media.index import frame_index


class HandClock:
    """A clock that the test turns."""

    def __init__(self) -> None:
        self.now = Fraction(0)

    def __call__(self) -> Fraction:
        return self.now


@pytest.fixture
def clock() -> HandClock:
    return HandClock()


@pytest.fixture
def player(file: OpenFile, qtbot: QtBot, clock: HandClock) -> Iterator[Player]:
    made = Player(file, clock=clock)
    qtbot.addWidget(made)
    made.resize(640, 420)
    made.show()
    yield made
    made.close_down()


def number_in(image: QImage | None) -> int:
    assert image is not None
    plain = image.convertToFormat(QImage.Format.Format_RGB888)
    bits = plain.constBits()
    assert bits is not None
    rows = np.frombuffer(bits.asarray(plain.sizeInBytes()), np.uint8).reshape(plain.height(), plain.bytesPerLine())
    rgb = rows[:, : 3 * plain.width()].reshape(plain.height(), plain.width(), 3)
    return read_number(_inner(rgb))


def _inner(rgb: np.ndarray) -> np.ndarray:
    """Without the bars that fit a tape of another shape into the picture."""
    lit = np.flatnonzero(rgb.max(axis=2).max(axis=0) > 24)
    return np.ascontiguousarray(rgb[:, lit[0] : lit[-1] + 1])


def shown(player: Player, qtbot: QtBot, frame: int) -> QImage | None:
    with qtbot.waitSignal(player.pictured, check_params_cb=lambda at: at == frame, timeout=10_000):
        player.seek(frame)
    pictured = player._picture.shown
    assert pictured is not None and pictured.order.main.frame == frame
    return pictured.images[0]


def tape_number(file: OpenFile, reel: str, grid_frame: int) -> int:
    tape = file.sequence.tape(reel)
    index = frame_index(locate(file.path, tape))
    return index.frame_shown(grid_frame, file.sequence.timebase.rate.fps)


@pytest.mark.parametrize("reel", ["FILM", "PAL"])
def test_the_frame_asked_for_is_the_frame_shown_in_any_order(player: Player, file: OpenFile, qtbot: QtBot, reel: str) -> None:
    player.look_at(TapeStrip(reel))
    frames = list(range(0, player.frames, 7))
    random.Random(4).shuffle(frames)
    for frame in frames[:20]:
        assert number_in(shown(player, qtbot, frame)) == tape_number(file, reel, frame)
        assert player._label.text() == strip_label(file.sequence, TapeStrip(reel), frame)


def test_the_cut_shows_what_its_shots_say(player: Player, file: OpenFile, qtbot: QtBot) -> None:
    assert file.cut
    player.look_at(CutStrip("v1"))
    for one in place(file.sequence, file.cut):
        if one.source is None or one.source.tape.reel == "PHONE":  # its numbers are those of pictures that were dropped
            continue
        for k in (0, one.shot.frames // 2, one.shot.frames - 1):
            image = shown(player, qtbot, one.record.start + k)
            assert number_in(image) == tape_number(file, one.source.tape.reel, one.source.frame(k))


def test_without_its_work_copy_a_tape_shows_the_same_picture(player: Player, file: OpenFile, qtbot: QtBot) -> None:
    for copy in (file.cache / "copies").iterdir():
        copy.unlink()
    player.look_at(TapeStrip("FILM"))
    assert number_in(shown(player, qtbot, 33)) == 33


def test_a_tape_that_is_away_is_said_in_the_picture(player: Player, file: OpenFile, qtbot: QtBot) -> None:
    for copy in (file.cache / "copies").iterdir():
        copy.unlink()
    locate(file.path, file.sequence.tape("FILM")).rename(file.path.parent / "elsewhere.mp4")
    player.look_at(TapeStrip("FILM"))
    assert shown(player, qtbot, 5) is None
    assert player._picture.shown and "FILM" in player._picture.shown.faults[0]
    assert "bring it back" in player._picture.shown.faults[0]


def test_playing_follows_the_clock_at_every_speed(player: Player, qtbot: QtBot, clock: HandClock) -> None:
    player.look_at(TapeStrip("FILM"))
    for speed, expected in ((Fraction(1, 8), 13), (Fraction(1, 2), 22), (Fraction(1), 34), (Fraction(2), 58)):
        player.seek(10)
        clock.now = Fraction(0)
        player.play(speed)
        clock.now = Fraction(1)
        qtbot.waitUntil(lambda expected=expected: player.frame == expected)
        player.pause()


def test_playing_ends_on_the_last_frame_and_begins_again(player: Player, qtbot: QtBot, clock: HandClock) -> None:
    player.look_at(TapeStrip("FILM", 20, 30))
    assert player.frames == 30
    player.play(Fraction(1))
    clock.now = Fraction(50)
    qtbot.waitUntil(lambda: not player.playing)
    assert player.frame == 29
    player.toggle()
    assert player.playing and player.frame == 0


def test_a_loop_comes_round(player: Player, qtbot: QtBot, clock: HandClock) -> None:
    player.look_at(TapeStrip("FILM"))
    player.loop(24, 48)
    player.play(Fraction(1))
    assert player.frame == 24
    clock.now = Fraction(3, 2)
    qtbot.waitUntil(lambda: player.frame == 36)


def test_keys_play_and_step(player: Player, qtbot: QtBot) -> None:
    player.addActions(player.actions())
    player.look_at(TapeStrip("FILM"), 50)
    player.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    player.activateWindow()
    player.setFocus()
    for key, held, frame in (
        (Qt.Key.Key_Right, Qt.KeyboardModifier.NoModifier, 51),
        (Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier, 41),
        (Qt.Key.Key_End, Qt.KeyboardModifier.NoModifier, 199),
        (Qt.Key.Key_Home, Qt.KeyboardModifier.NoModifier, 0),
    ):
        QTest.keyClick(player, key, held)
        assert player.frame == frame
    QTest.keyClick(player, Qt.Key.Key_Space)
    assert player.playing


def test_two_tapes_in_step_and_one_laid_over(player: Player, file: OpenFile, qtbot: QtBot) -> None:
    player.look_at(TapeStrip("FILM"))
    player.beside(TapeStrip("PAL"), 12)
    player.onion(TapeStrip("FILM"), 150)
    shown(player, qtbot, 40)
    pictured = player._picture.shown
    assert pictured is not None
    assert [number_in(image) for image in pictured.images] == [40, tape_number(file, "PAL", 52), 150]
    assert player._second.text() == strip_label(file.sequence, TapeStrip("PAL"), 52)


def test_an_edit_shows_the_new_cut(player: Player, file: OpenFile, qtbot: QtBot) -> None:
    player.look_at(CutStrip("v1"))
    before = player.frames
    with qtbot.waitSignal(player.pictured):
        assert file.edit(lambda one: trim_tail(one, "v1", 1, -2), "trim")
    assert player.frames == before - 2 == strip_frames(file.sequence, CutStrip("v1"))


def test_fast_scrubbing_ends_at_the_last_frame_asked_for(player: Player, qtbot: QtBot) -> None:
    player.look_at(TapeStrip("FILM"))
    dice = random.Random(2)
    for _ in range(200):
        player.seek(dice.randrange(200))
    assert number_in(shown(player, qtbot, 123)) == 123


def test_closing_while_it_decodes_never_hangs(file: OpenFile, qtbot: QtBot) -> None:
    for number in range(20):
        made = Player(file)
        made.look_at(TapeStrip("FILM"), number)
        made.play(Fraction(2))
        made.close_down()
        assert not made._decoder.isRunning()
        made.deleteLater()


def test_the_newest_order_wins(file: OpenFile, qtbot: QtBot) -> None:
    decoder, found = Decoder(file.path, file.cache), list[Pictured]()
    decoder.pictured.connect(found.append)
    for serial in range(60):
        decoder.ask(Order(serial, file.sequence, View(TapeStrip("FILM"), serial)))
    qtbot.waitUntil(lambda: bool(found) and found[-1].order.serial == 59)
    decoder.close()
    assert len(found) < 60


def test_the_sound_fed_is_the_tapes_own() -> None:
    samples = np.random.default_rng(1).uniform(-1, 1, (5000, 2)).astype(np.float32)
    heard = np.frombuffer(Feed(samples, 4000).readData(4 * 1500), "<i2").reshape(-1, 2)
    assert np.array_equal(heard[:1000], (samples[4000:] * 32767).astype("<i2"))
    assert not heard[1000:].any()


def test_stills_arrive_and_are_kept(file: OpenFile, qtbot: QtBot) -> None:
    stills = Stills(file)
    with qtbot.waitSignal(stills.arrived, timeout=10_000) as arrived:
        assert stills.still("FILM", 77, 320) is None
    assert arrived.args == ["FILM", 77]
    pixmap = stills.still("FILM", 77, 320)
    assert pixmap is not None and pixmap.width() == 320
    assert number_in(pixmap.toImage()) == 77
    stills.close_down()


def test_labels_are_of_the_tapes_own_time_code(document: Path, file: OpenFile) -> None:
    assert strip_label(file.sequence, TapeStrip("FILM"), 30) == "10:00:01:06"
    assert strip_label(file.sequence, TapeStrip("PAL"), 24) == "00:00:01:00"
    assert strip_label(file.sequence, CutStrip("v1"), 30) == "01:00:01:06"
    assert strip_label(file.sequence, CutStrip("v9"), 30) == ""
