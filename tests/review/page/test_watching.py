"""Watching on the page: the chart leads to its frames and goes along, keys and buttons step, shots repeat, versions keep in step."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from statistics import median

import pytest
from review_fights import FightReview
from review_pages import Page
from selenium.webdriver import ActionChains, Keys

from previs.cut.changes import same_shots
from previs.cut.placing import place
from previs.document.model import Sequence

Make = Callable[..., tuple[Path, Sequence]]


def chart_spot(page: Page, frame: int, end: int) -> tuple[float, float]:
    """Where a frame is on the chart, by its own upright lines: from the first edge of the phrases to the end of the ruler."""
    box = page.run(
        "const r = document.querySelector('#chart .phrase').getBoundingClientRect();"
        "const l = document.querySelector('#chart .all_ruler line').getBoundingClientRect();"
        "return [r.left, l.right, r.bottom + 20]"
    )
    return box[0] + (box[1] - box[0]) * (frame + 0.5) / end, box[2]


@pytest.mark.parametrize("size", ["wide", "narrow"])
def test_pressing_the_chart_goes_there_and_the_marker_goes_along(fight: FightReview, page: Page, size: str) -> None:
    page.open(fight.address, size)
    end = max(fight.cut.frames, fight.cut.target_frames)
    page.run("document.getElementById('chart').scrollIntoView({block: 'center', behavior: 'instant'})")
    for wanted in (100, 7):
        x, y = chart_spot(page, wanted, end)
        pressed = ActionChains(page.browser, duration=0)
        pressed.w3c_actions.pointer_action.move_to_location(round(x), round(y)).click()
        pressed.perform()
        page.until("return !document.getElementById('movie').seeking")
        # A pixel is more than a frame on a narrow page.
        assert abs(page.frame - wanted) <= 1
        page.shows(page.frame)
        assert page.number_on_screen() >= 0
        marker = page.run("return document.querySelector('#chart .marker line').getBoundingClientRect().left")
        assert abs(marker - x) < 3.5
        slider = page.find("#chart")
        assert slider.get_attribute("aria-valuenow") == str(page.frame)
        assert page.record in (slider.get_attribute("aria-valuetext") or "")


def test_keys_step_by_frame_second_and_shot(fight: FightReview, page: Page) -> None:
    page.open(fight.address)
    page.shows(0)
    starts = [one.record.start for one in place(fight.sequence, fight.cut)]
    page.keys(Keys.ARROW_RIGHT, Keys.ARROW_RIGHT)
    page.shows(2)
    ActionChains(page.browser).key_down(Keys.SHIFT).send_keys(Keys.ARROW_RIGHT).key_up(Keys.SHIFT).perform()
    page.shows(26)
    page.keys(Keys.ARROW_LEFT)
    page.shows(25)
    page.keys(Keys.HOME, Keys.ARROW_DOWN, Keys.ARROW_DOWN, Keys.ARROW_RIGHT)
    page.shows(starts[2] + 1)
    page.keys(Keys.ARROW_UP)
    page.shows(starts[2])
    page.keys(Keys.ARROW_UP)
    page.shows(starts[1])
    page.keys(Keys.END)
    page.shows(fight.cut.frames - 1)
    assert page.find("[aria-current]").text.startswith(str(len(starts)))


def test_letters_can_be_turned_off_and_are_left_to_fields(fight: FightReview, page: Page) -> None:
    page.open(fight.address)
    rate = "return document.getElementById('movie').playbackRate"
    page.keys("h")
    assert page.run(rate) == 0.5
    page.find("#words").send_keys("h")
    assert page.run(rate) == 0.5
    page.run("document.activeElement.blur()")
    page.keys("?")
    page.press("#letters")
    page.run("document.activeElement.blur()")
    page.keys("h", Keys.ARROW_RIGHT)
    assert page.run(rate) == 0.5
    page.open(fight.address)
    page.keys("h")
    assert page.run(rate) == 1


def test_every_list_leads_to_its_frames(fight: FightReview, page: Page) -> None:
    page.open(fight.address)
    data = page.run("return JSON.parse(document.getElementById('page_data').textContent)")
    told = [one for group in ("length", "dead", "rush", "winning") for one in data["told"][group] if one["first"] is not None]
    for row, first in (
        ("#shots li:nth-child(3) .go", data["shots"][2]["first"]),
        ("#phrases li:last-child .go", data["phrases"][-1]["first"]),
        ("#pace .go", told[0]["first"]),
        ("#changes li:last-child .go", data["beside"]["changes"][-1]["first"]),
        ("#before_list li:nth-child(2) .go", data["earlier"][1]["first"]),
    ):
        page.press(row)
        page.shows(first)


def test_a_repeated_shot_stays_on_screen_and_half_speed_is_half(numbered_page: Make, page: Page) -> None:
    folder, _ = numbered_page("25")
    page.open((folder / "index.html").as_uri())
    page.run(
        "window.seen = []; const movie = document.getElementById('movie');"
        "const look = () => { seen.push(Number(document.querySelector('#now').children[1].querySelector('dd').textContent) - 1);"
        "movie.requestVideoFrameCallback(look) }; movie.requestVideoFrameCallback(look)"
    )
    page.keys(Keys.ARROW_DOWN)
    page.shows(25)
    page.run("seen.length = 0")
    page.keys("r", "h", " ")
    page.until("return seen.some((frame, at) => at && frame < seen[at - 1])")
    page.keys(" ")
    seen = [int(frame) for frame in page.run("return seen")]
    assert set(seen) <= set(range(25, 50))
    assert 49 in seen
    assert page.run("return document.getElementById('movie').playbackRate") == 0.5


def test_the_earlier_version_is_in_step_shot_by_shot(fight: FightReview, page: Page) -> None:
    page.open(fight.address)
    page.press("#beside")
    page.until("return document.getElementById('movie_beside').readyState >= 2")
    before = place(fight.sequence, fight.sequence.cut("v1"))
    same = same_shots(fight.sequence, fight.sequence.cut("v1"), fight.cut)
    for one in place(fight.sequence, fight.cut):
        page.press(f"#shot_{one.number} .go")
        page.press("#frame_on")
        page.shows(one.record.start + 1)
        if one.number not in same:
            assert page.text("#old_caption") == "this shot is not in v1"
            continue
        page.until("return !document.getElementById('movie_beside').seeking")
        page.shows(one.record.start + 1)
        old = before[same[one.number] - 1]
        assert page.number_on_screen("#movie_beside") == page.number_on_screen("#movie")
        label = fight.sequence.timebase.label(fight.sequence.start_frame + old.record.start + 1)
        changed = one.shot.frames != old.shot.frames
        assert page.text("#old_caption") == f"v1 shot {old.number}, {label}; {'differs: trimmed' if changed else 'the same'}"
    assert page.all("#chart .differs")


def test_while_both_play_the_earlier_version_stays_by_the_cut(fight: FightReview, page: Page) -> None:
    page.open(fight.address)
    page.press("#beside")
    page.until("return document.getElementById('movie_beside').readyState >= 2")
    page.run(
        """
        const [movie, other] = [document.getElementById('movie'), document.getElementById('movie_beside')];
        const data = JSON.parse(document.getElementById('page_data').textContent);
        window.apart = [];
        let shown = 0;
        const look = (now, seen) => { shown = Math.floor(seen.mediaTime * 24 + 0.01); other.requestVideoFrameCallback(look); };
        other.requestVideoFrameCallback(look);
        const compare = (now, seen) => {
          const frame = Math.floor(seen.mediaTime * 24 + 0.01);
          const shot = data.shots.findLast((one) => one.first <= frame);
          if (shot.earlier !== null) {
            const [first, frames] = data.beside.shots[shot.earlier - 1];
            apart.push(Math.abs(shown - first - Math.min(frame - shot.first, frames - 1)));
          }
          movie.requestVideoFrameCallback(compare);
        };
        movie.requestVideoFrameCallback(compare);
        """
    )
    page.press("#play")
    page.until("return apart.length > 50")
    page.press("#play")
    assert median(page.run("return apart")) <= 2


def test_earlier_notes_say_what_became_of_each_and_show_their_drawing(fight: FightReview, page: Page) -> None:
    page.open(fight.address)
    text = page.text("#before_list")
    for said in ("open: unclear hit", "done: shorter", "Answer: Three frames out.", "declined: more story", "homeless", "the whole cut"):
        assert said in text
    assert len(page.all("#before_list .go:disabled")) == 1
    assert len(page.all("#chart .notes .earlier")) == 2
    assert not page.all("#overlay .shape")
    page.press("#before_list li:nth-child(2) .go")
    first = place(fight.sequence, fight.sequence.cut("v1"))[0].record.start + 4
    page.shows(first)
    assert len(page.all("#overlay .shape.earlier")) == 1


def test_a_movie_that_is_away_is_said_and_the_papers_still_lead(fight: FightReview, page: Page, tmp_path: Path) -> None:
    alone = tmp_path / "index.html"
    alone.write_bytes((fight.folder / "index.html").read_bytes())
    page.browser.get(alone.as_uri())
    page.until("return !document.getElementById('movie_fault').hidden")
    assert "movie.mp4 cannot be played here: keep it in the folder beside this page" in page.text("#movie_fault")
    page.press("#shot_2 .go")
    assert page.frame == place(fight.sequence, fight.cut)[1].record.start
    page.messages()
