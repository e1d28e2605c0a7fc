from __future__ import annotations

import random
import shutil
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from time import monotonic

import msgspec
import numpy as np
import pytest
from clips import read_number
from PyQt6.QtCore import QRectF, QSize, Qt
from PyQt6.QtGui import QImage
from PyQt6.QtTest import QTest
from pytestqt.qtbot import QtBot

from previs.cut.edits import trim_tail
from previs.cut.placing import place
from previs.desk.open_file import OpenFile
from previs.desk.player.clockwork import SPEEDS
from previs.desk.player.decoding import Decoder, Order, Pictured, View
from previs.desk.player.picture import where
from previs.desk.player.stills import Stills
from previs.desk.player.strips import CutStrip, Strip, TapeStrip, strip_frames, strip_label
from previs.desk.player.view import Player
from previs.document.paths import locate
from previs.media.index import frame_index
from previs.media.viewing import Viewing


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
    """The number in the picture that is on at a frame of the tape's grid; the phone left pictures out when it recorded."""
    tape = file.sequence.tape(reel)
    number = frame_index(locate(file.path, tape)).frame_shown(grid_frame, file.sequence.timebase.rate.fps)
    return [n for n in range(210) if n % 9 not in (4, 7)][number] if reel == "PHONE" else number


@pytest.mark.parametrize("reel", ["FILM", "PAL", "PHONE"])
@pytest.mark.parametrize("from_copy", [True, False])
def test_the_frame_asked_for_is_the_frame_shown_in_any_order(
    player: Player, file: OpenFile, qtbot: QtBot, reel: str, from_copy: bool
) -> None:
    if not from_copy:
        shutil.rmtree(file.cache / "copies")
    player.look_at(TapeStrip(reel))
    frames = list(range(player.frames)) if from_copy else list(range(0, player.frames, 5))
    random.Random(4).shuffle(frames)
    for frame in frames:
        assert number_in(shown(player, qtbot, frame)) == tape_number(file, reel, frame)
        assert player._line.labels[0] == strip_label(file.sequence, TapeStrip(reel), frame)


def test_every_frame_of_the_cut_is_what_its_shot_says_in_any_order(player: Player, file: OpenFile, qtbot: QtBot) -> None:
    assert file.cut
    player.look_at(CutStrip("v1"))
    expected = {
        one.record.start + k: tape_number(file, one.source.tape.reel, one.source.frame(k))
        for one in place(file.sequence, file.cut)
        if one.source
        for k in range(one.shot.frames)
    }
    assert len(expected) == player.frames
    frames = list(expected)
    random.Random(6).shuffle(frames)
    for frame in frames:
        assert number_in(shown(player, qtbot, frame)) == expected[frame]
        assert player._line.labels[0] == strip_label(file.sequence, CutStrip("v1"), frame)


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
    for speed, expected in zip(SPEEDS, (13, 16, 22, 34, 58), strict=True):
        player.seek(10)
        clock.now = Fraction(0)
        player.play(speed)
        clock.now = Fraction(1)
        qtbot.waitUntil(lambda expected=expected: player.frame == expected)
        player.pause()


@pytest.mark.parametrize("speed", SPEEDS)
@pytest.mark.parametrize("strip", [TapeStrip("FILM", 5), CutStrip("v1")])
def test_whatever_picture_is_shown_while_it_plays_is_that_of_its_time_code(
    file: OpenFile, qtbot: QtBot, speed: Fraction, strip: Strip
) -> None:
    """On the machine's own clock: pictures may be left out, but none is shown under another's time code, or out of order."""
    made, seen = Player(file), list[tuple[int, int, str]]()
    qtbot.addWidget(made)
    made.resize(480, 330)
    made.show()
    made.look_at(strip, 20)
    shown(made, qtbot, 20)

    def look(frame: int) -> None:
        pictured = made._picture.shown
        assert pictured is not None
        seen.append((frame, number_in(pictured.images[0]), made._line.labels[0]))

    made.pictured.connect(look)
    made.play(speed)
    qtbot.waitUntil(lambda: len(seen) >= 6, timeout=20_000)
    made.close_down()
    places = place(file.sequence, file.sequence.cut("v1"))
    assert [frame for frame, _, _ in seen] == sorted(frame for frame, _, _ in seen)
    for frame, number, label in seen:
        if isinstance(strip, TapeStrip):
            assert number == 5 + frame
        else:
            one = next(one for one in places if one.record.holds(frame))
            assert one.source and number == tape_number(file, one.source.tape.reel, one.source.frame(frame - one.record.start))
        assert label == strip_label(file.sequence, strip, frame)


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
    assert player._line.labels[1] == strip_label(file.sequence, TapeStrip("PAL"), 52)


def test_beyond_the_end_of_the_second_tape_no_picture_of_it_is_shown(player: Player, file: OpenFile, qtbot: QtBot) -> None:
    player.look_at(TapeStrip("FILM"))
    player.beside(TapeStrip("PAL"), 12)
    last = strip_frames(file.sequence, TapeStrip("PAL")) - 1
    for frame, there in ((last - 12, True), (last - 11, False)):
        image = shown(player, qtbot, frame)
        assert number_in(image) == frame
        pictured = player._picture.shown
        assert pictured and (pictured.images[1] is not None) is there
        assert ("PAL" in pictured.faults[1]) is not there
        assert bool(player._line.labels[1]) is there


def test_an_edit_shows_the_new_cut(player: Player, file: OpenFile, qtbot: QtBot) -> None:
    player.look_at(CutStrip("v1"))
    before = player.frames
    with qtbot.waitSignal(player.pictured):
        assert file.edit(lambda one: trim_tail(one, "v1", 1, -2), "trim")
    assert player.frames == before - 2 == strip_frames(file.sequence, CutStrip("v1"))


def test_what_is_gone_from_the_file_is_said_and_comes_back_with_undo(player: Player, file: OpenFile, qtbot: QtBot) -> None:
    player.look_at(CutStrip("v1"), 7)
    shown(player, qtbot, 7)
    player.play()
    assert file.edit(lambda one: msgspec.structs.replace(one, cuts=()), "remove the cut")
    assert player._picture.shown is None and "v1" in player._picture.sentence
    qtbot.waitUntil(lambda: not player.playing)
    with qtbot.waitSignal(player.pictured):
        file.undo()


@pytest.mark.parametrize("damage", ["cut short", "noise", "empty"])
def test_a_damaged_tape_is_said_and_the_player_goes_on(player: Player, file: OpenFile, qtbot: QtBot, damage: str) -> None:
    path = locate(file.path, file.sequence.tape("PAL"))
    whole = path.read_bytes()
    path.write_bytes({"cut short": whole[: len(whole) // 2], "noise": bytes(range(256)) * 400, "empty": b""}[damage])
    shutil.rmtree(file.cache / "copies")
    shutil.rmtree(file.cache / "index")
    player.look_at(TapeStrip("PAL"))
    assert shown(player, qtbot, 30) is None
    assert player._picture.shown and "PAL" in player._picture.shown.faults[0]
    player.look_at(TapeStrip("FILM"))
    assert number_in(shown(player, qtbot, 31)) == 31


def test_a_fault_of_our_own_is_a_sentence_too(player: Player, file: OpenFile, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as broken:
        broken.setattr(Viewing, "tape_picture", lambda *_: 1 // 0)
        player.look_at(TapeStrip("FILM"))
        assert shown(player, qtbot, 3) is None
        assert player._picture.shown and "ZeroDivisionError" in player._picture.shown.faults[0]
    assert number_in(shown(player, qtbot, 4)) == 4


def size_of_order(player: Player) -> tuple[int, int]:
    return player._picture.shown.order.size_px if player._picture.shown else (0, 0)


def test_pictures_are_decoded_as_large_as_they_are_shown_and_painted_as_they_are(player: Player, qtbot: QtBot) -> None:
    player.look_at(TapeStrip("FILM"))
    for size in ((640, 420), (801, 399), (500, 700)):
        player.resize(*size)
        qtbot.waitUntil(lambda: player._picture.width() == player.width())
        player.seek(9)
        qtbot.waitUntil(lambda: size_of_order(player) == (player._picture.width(), player._picture.height()))
        assert player._picture.shown is not None
        image = player._picture.shown.images[0]
        assert image is not None
        box = player._picture.size()
        assert box.width() - image.width() < 4 or box.height() - image.height() < 4
        target = where(QRectF(player._picture.rect()), image.size(), 1.0)
        painted = player._picture.grab().toImage().copy(target.toRect()).convertToFormat(QImage.Format.Format_RGB888)
        assert target.size().toSize() == image.size() and painted == image


def test_on_a_screen_of_twice_as_many_pixels_each_pixel_of_a_picture_has_its_own() -> None:
    target = where(QRectF(0, 0, 501, 300), QSize(960, 540), 2.0)
    assert (target.width(), target.height()) == (480, 270) or target.width() == 501
    target = where(QRectF(0, 0, 481, 271), QSize(962, 542), 2.0)
    assert (target.width(), target.height()) == (481, 271)
    assert where(QRectF(0, 0, 2000, 1200), QSize(960, 540), 1.0).width() == 2000, "no larger picture can be had"


def test_the_store_of_pictures_is_bounded_by_what_they_weigh(file: OpenFile, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("previs.desk.player.decoding.KEPT_BYTES", 5 * 320 * 180 * 3)
    decoder, found = Decoder(file.path, file.cache), list[Pictured]()
    decoder.pictured.connect(found.append)
    for frame in range(12):
        decoder.ask(Order(frame, file.sequence, View(TapeStrip("FILM"), frame), size_px=(320, 180)))
        qtbot.waitUntil(lambda frame=frame: bool(found) and found[-1].order.serial == frame)
    decoder.close()
    assert [view.frame for view in decoder._kept] == [7, 8, 9, 10, 11]


def test_fast_scrubbing_ends_at_the_last_frame_asked_for(player: Player, qtbot: QtBot) -> None:
    player.look_at(TapeStrip("FILM"))
    dice = random.Random(2)
    for _ in range(200):
        player.seek(dice.randrange(200))
    assert number_in(shown(player, qtbot, 123)) == 123


def test_closing_while_it_decodes_never_hangs(file: OpenFile, qtbot: QtBot) -> None:
    shutil.rmtree(file.cache / "copies")
    began = monotonic()
    for number in range(50):
        made = Player(file)
        made.look_at([TapeStrip("FILM"), TapeStrip("PHONE"), CutStrip("v1")][number % 3], number)
        made.play(Fraction(2))
        # At another moment of its work each time: before it begins, while it opens a tape, while it decodes.
        until = monotonic() + number % 10 / 200
        qtbot.waitUntil(lambda until=until: monotonic() >= until)
        made.close_down()
        assert made._decoder.isFinished()
        made.deleteLater()
    assert monotonic() - began < 60


def test_the_newest_order_wins(file: OpenFile, qtbot: QtBot) -> None:
    decoder, found = Decoder(file.path, file.cache), list[Pictured]()
    decoder.pictured.connect(found.append)
    for serial in range(60):
        decoder.ask(Order(serial, file.sequence, View(TapeStrip("FILM"), serial)))
    qtbot.waitUntil(lambda: bool(found) and found[-1].order.serial == 59)
    decoder.close()
    assert len(found) < 60


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


def test_stills_that_were_given_up_or_out_of_reach_are_made_when_asked_again(
    file: OpenFile, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("previs.desk.player.stills._MOST_WAITING", 3)
    path = locate(file.path, file.sequence.tape("FILM"))
    shutil.rmtree(file.cache / "copies")
    path.rename(path.with_name("away.mp4"))
    stills = Stills(file)
    for frame in range(40):
        assert stills.still("FILM", frame, 160) is None
    qtbot.waitUntil(lambda: not stills._asked)
    path.with_name("away.mp4").rename(path)
    for frame in (0, 39):
        with qtbot.waitSignal(stills.arrived, timeout=10_000):
            assert stills.still("FILM", frame, 160) is None
        pixmap = stills.still("FILM", frame, 160)
        assert pixmap is not None and number_in(pixmap.toImage()) == frame
    assert stills.still("GONE", 0, 160) is None
    stills.close_down()
