"""The frame that the page names is the frame that the browser shows, at every rate, over file:// and from a server."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from review_pages import Page, served

from previs.clock import Rate, Timebase
from previs.document.model import Sequence

Make = Callable[..., tuple[Path, Sequence]]

LOOKED_AT = (0, 1, 2, 3, 11, 12, 13, 24, 25, 26, 49, 50, 63, 74, 75, 98, 99)


@pytest.mark.parametrize(("rate", "drop"), [("23.976", False), ("24", False), ("25", False), ("29.97", False), ("29.97", True)])
def test_the_picture_carries_the_number_of_the_frame_that_is_named(numbered_page: Make, page: Page, rate: str, drop: bool) -> None:
    timebase = Timebase(Rate.parse(rate), drop)
    start = timebase.frame("01:00:59;10") if drop else timebase.frame("01:00:59:10")
    folder, sequence = numbered_page(rate, drop=drop, start_frame=start)
    page.open((folder / "index.html").as_uri())
    page.shows(0)
    for frame in LOOKED_AT:
        page.run("document.getElementById('chart').focus({preventScroll: true})")
        _go(page, frame)
        assert page.number_on_screen() == frame
        assert page.record == sequence.timebase.label(sequence.start_frame + frame)


def _go(page: Page, frame: int) -> None:
    """By keys alone: to the nearest beginning of a shot, and on by single frames."""
    shot = frame // 25
    page.keys("\ue011", *["\ue015"] * shot, *["\ue014"] * (frame - 25 * shot))
    page.shows(frame)


def test_the_same_from_a_server_that_cannot_send_a_part_of_a_file(numbered_page: Make, page: Page) -> None:
    folder, _ = numbered_page("24")
    with served(folder) as address:
        page.open(address)
        for frame in (0, 99, 50, 26):
            _go(page, frame)
            assert page.number_on_screen() == frame


def test_stopping_while_it_plays_shows_the_frame_that_is_named(numbered_page: Make, page: Page) -> None:
    folder, _ = numbered_page("25")
    page.open((folder / "index.html").as_uri())
    for least in (5, 20, 40):
        page.press("#play")
        page.until("return Number(document.querySelector('#now').children[1].querySelector('dd').textContent) > arguments[0]", least)
        page.press("#play")
        frame = page.stops()
        assert page.number_on_screen() == frame > least - 2
