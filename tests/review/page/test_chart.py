"""The step chart as something to press: in a fight of a hundred shots, and where several notes are on one place."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace
from review_fights import FightReview
from review_pages import Page
from selenium.webdriver import ActionChains, Keys

from previs.cut.placing import place
from previs.document.model import Cut, Footage, Sequence, Shot
from previs.document.notes import Note, NoteKind, NoteState
from previs.review.page_data import Asked, page_data
from previs.review.page_text import page_text

LEAST_TO_AIM_AT = 24
"""CSS pixels, as WCAG 2.2, success criterion 2.5.8, has them."""


@pytest.fixture
def hundred(numbered_page: Callable[..., tuple[Path, Sequence]], tmp_path: Path) -> str:
    """A page with a hundred shots of one frame each; gives its address."""
    folder, sequence = numbered_page("24")
    shots = tuple(Shot(f"s{frame}", 1, Footage("N1", frame)) for frame in range(100))
    many = replace(sequence, cuts=(Cut("v1", shots, 100),))
    shutil.copy(folder / "movie.mp4", tmp_path)
    (tmp_path / "index.html").write_text(page_text(page_data(many, many.cut(), Asked())))
    return (tmp_path / "index.html").as_uri()


def press_at(page: Page, selector: str) -> None:
    """Press the middle of a part of the drawing with the mouse."""
    page.run("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", page.find("#chart"))
    ActionChains(page.browser, duration=0).move_to_element(page.find(selector)).click().perform()


def steps(page: Page) -> list[list[float]]:
    """Left edge and width of each step that is drawn."""
    return list(
        page.run(
            "return [...document.querySelectorAll('#chart .step')].filter((one) => one.getBoundingClientRect().height > 4)"
            ".map((one) => { const box = one.getBoundingClientRect(); return [box.left, box.width]; })"
        )
    )


@pytest.mark.parametrize(("size", "times", "least"), [("wide", 2, LEAST_TO_AIM_AT), ("narrow", 2, 10)])
def test_a_hundred_shots_can_be_told_apart_and_pressed(hundred: str, page: Page, size: str, times: int, least: int) -> None:
    page.open(hundred, size)
    page.shows(0)
    assert len(steps(page)) == 100
    page.press("#shot_50 .go")
    page.shows(49)
    for _ in range(times):
        page.press("#chart_closer")
    shown = steps(page)
    assert 24 <= len(shown) <= 27
    assert max(width for _, width in shown) >= least
    # The part that is shown has the frame on screen in it, and a press on a step goes to its shot.
    place_of = page.run("return [...document.querySelectorAll('#chart .step')].findIndex((one) => one.getBoundingClientRect().height > 4)")
    number = page.run("return document.querySelector('#chart .number').textContent") if size == "wide" else None
    page.run("document.querySelectorAll('#chart .step')[arguments[0] + 3].id = 'aim'", place_of)
    press_at(page, "#aim")
    page.stops()
    assert 36 <= page.frame <= 45
    if number is not None:
        assert abs(page.frame - (int(number) - 1 + 3)) <= 1


def test_the_part_shown_goes_along_by_keys_and_comes_back_to_the_whole(hundred: str, page: Page) -> None:
    page.open(hundred)
    page.shows(0)
    page.keys("+", "+", "+", "+", Keys.END)
    page.shows(99)
    assert page.run("return document.getElementById('chart_closer').getAttribute('aria-disabled')") == "true"
    box = page.find("#chart").rect
    marker = page.run("return document.querySelector('#chart .marker').getBoundingClientRect().left")
    assert box["x"] + 90 < marker < box["x"] + box["width"]
    assert page.run("return document.querySelector('#chart .part').getBoundingClientRect().right") > box["x"] + box["width"] - 20
    page.keys("-", "-", "-", "-")
    assert len(steps(page)) == 100
    assert not page.all("#chart .part")


def test_notes_on_one_place_stand_beside_each_other_and_lead_to_their_own_frames(fight: FightReview, page: Page, tmp_path: Path) -> None:
    one = place(fight.sequence, fight.cut)[0]
    assert one.source is not None
    seen = [(frame, one.source.frame(frame)) for frame in (4, 5, 6)]
    states = (NoteState.OPEN, NoteState.DONE, NoteState.TAKEN_BACK)
    about = Note("n", "v2", "Mara", "2027-05-01T10:00:00Z", NoteKind.LONGER, shot=one.shot.ident, reel=one.source.tape.reel)
    notes = tuple(
        replace(about, ident=f"n{at}", first_frame=at, tape_frame=shown, state=state)
        for (at, shown), state in zip(seen, states, strict=True)
    )
    sequence = replace(fight.sequence, notes=notes)
    shutil.copy(fight.folder / "movie.mp4", tmp_path)
    (tmp_path / "index.html").write_text(page_text(page_data(sequence, fight.cut, Asked())))
    page.open((tmp_path / "index.html").as_uri())
    page.shows(0)
    flags = page.run(
        "return [...document.querySelectorAll('#chart .mark .flag')].map((one) => "
        "{ const box = one.getBoundingClientRect(); return [box.left, box.right]; })"
    )
    assert len(flags) == 2
    assert flags[0][1] <= flags[1][0]
    press_at(page, "#chart .mark:nth-child(2) .flag")
    page.shows(5)
    assert page.text("#before_count") == "1 open, 1 done, 1 taken back"


def test_the_picture_stays_above_the_chart_on_a_small_screen(fight: FightReview, page: Page) -> None:
    page.open(fight.address, "narrow")
    page.run("document.getElementById('kinds').scrollIntoView({block: 'center', behavior: 'instant'})")
    top = "const box = document.getElementById('frame').getBoundingClientRect();"
    for share in (0.1, 0.5, 0.9):
        inside = f"{top} return document.elementFromPoint(box.left + box.width / 2, box.top + box.height * arguments[0]).id"
        assert page.run(inside, share) == "overlay"
