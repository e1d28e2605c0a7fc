"""Cards, the leader and the shapes of wipes as pictures."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from previs.faults import UseFault
from previs.media import CardPicture, Raster, cards
from previs.media.cards import card_picture, leader_pictures, load_picture
from previs.media.wipes import wipe_order

RASTER = Raster(480, 270)


def _ink(picture: np.ndarray) -> int:
    return int((picture.astype(int).sum(axis=2) < 250).sum())


def test_a_card_is_drawn_once_and_a_change_draws_another(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    card = CardPicture("12-14", "Odile vaults the salt cart")
    first = card_picture(card, "2 s", RASTER, tmp_path)
    others = {
        card_picture(CardPicture("12-15", card.body), "2 s", RASTER, tmp_path),
        card_picture(CardPicture(card.title, "Odile falls"), "2 s", RASTER, tmp_path),
        card_picture(card, "3 s", RASTER, tmp_path),
        card_picture(card, "2 s", Raster(640, 360), tmp_path),
    }
    assert len(others | {first}) == 5
    monkeypatch.setattr(cards, "_drawn_card", lambda *_: pytest.fail("drawn again"))
    assert card_picture(card, "2 s", RASTER, tmp_path) == first


def test_all_three_texts_are_on_it(tmp_path: Path) -> None:
    full = load_picture(card_picture(CardPicture("12-14", "Odile vaults"), "00:00:02:00", RASTER, tmp_path))
    assert full.shape == (270, 480, 3)
    for place, band in {"title": slice(55, 95), "body": slice(100, 180), "length": slice(205, 231)}.items():
        assert _ink(full[band]) > 40, place


def test_letters_with_tails_are_whole(tmp_path: Path) -> None:
    flat = load_picture(card_picture(CardPicture("aaa", ""), "", RASTER, tmp_path))
    tailed = load_picture(card_picture(CardPicture("ggg", ""), "", RASTER, tmp_path))
    rows = [np.flatnonzero((picture.astype(int).sum(axis=2) < 250).any(axis=1))[-1] for picture in (flat, tailed)]
    assert rows[1] - rows[0] >= 4


def test_long_texts_shrink_to_fit(tmp_path: Path) -> None:
    body = " ".join(f"Move {n}: the Reeve drives Odile back along the wall and through the door." for n in range(14))
    drawn = load_picture(
        card_picture(CardPicture("A title that is itself far too long for one line of a card " * 2, body), "9 s", RASTER, tmp_path)
    )
    assert _ink(drawn) > 1500
    assert _ink(drawn[:, :25]) == 0 and _ink(drawn[:, -20:]) == 0


def test_a_still_stands_on_the_right_half(tmp_path: Path) -> None:
    cv2.imwrite(str(tmp_path / "door.png"), np.full((100, 100, 3), (0, 0, 255), np.uint8))
    drawn = load_picture(card_picture(CardPicture("7", "The door", tmp_path / "door.png"), "1 s", RASTER, tmp_path / "cache"))
    assert tuple(drawn[135, 330]) == (255, 0, 0)


def test_what_is_no_still_is_said(tmp_path: Path) -> None:
    (tmp_path / "door.png").write_text("not a picture")
    with pytest.raises(UseFault, match="not a picture"):
        card_picture(CardPicture("7", "", tmp_path / "door.png"), "1 s", RASTER, tmp_path / "cache")


def test_a_machine_without_fonts_draws_accents_and_dashes_in_plain_letters(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cards, "_face", lambda: None)
    assert cards._folded("Élodie – Łukasz’s “vault”") == 'Elodie - Lukasz\'s "vault"'
    assert _ink(load_picture(card_picture(CardPicture("Élodie – 12"), "1 s", RASTER, tmp_path))) > 100


def test_the_leader_counts_down_and_its_tape_runs_out() -> None:
    pictures = list(leader_pictures(RASTER, 24))
    assert len(pictures) == 192
    strip = [int((picture[210].astype(int).std(axis=1) > 40).sum()) for picture in pictures]
    assert strip[0] == 360
    assert strip == sorted(strip, reverse=True)
    assert strip[-1] == 2
    numerals = [picture[:200].tobytes() for picture in pictures]
    assert len(set(numerals)) == 8
    assert numerals[0] == numerals[23] != numerals[24]


@pytest.mark.parametrize("number", [1, 2, 3, 4, 5, 6, 21, 22, 41, 42, 101, 102])
def test_wipes_uncover_everything_once(number: int) -> None:
    order = wipe_order(number, RASTER)
    assert order.shape == (270, 480)
    assert 0 <= order.min() < 0.01 and 0.99 < order.max() < 1


def test_where_wipes_begin() -> None:
    corners = {3: (0, 0), 4: (0, -1), 5: (-1, -1), 6: (-1, 0), 41: (0, 0), 42: (0, -1), 1: (100, 0), 2: (0, 100)}
    for number, place in corners.items():
        assert wipe_order(number, RASTER)[place] < 0.01, number
    for number in (21, 22, 101, 102):
        assert wipe_order(number, RASTER)[135, 240] < 0.01, number
