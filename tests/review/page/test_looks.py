"""The page can be used by everyone: no serious fault of access, nothing cut off, big targets, by day and by lamp."""

from __future__ import annotations

import pytest
from axe_core_python.base import AXE_SCRIPT
from review_fights import FightReview
from review_pages import SIZES, Page


@pytest.fixture
def scheme(page: Page, request: pytest.FixtureRequest):  # type: ignore[no-untyped-def]
    feature = {"name": "prefers-color-scheme", "value": request.param}
    page.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [feature]})
    yield request.param
    page.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})


def written(page: Page) -> None:
    """A page on which everything is there: a note, a drawing that is being made, faults, keys, the earlier version."""
    page.find("#reviewer").send_keys("Ilse")
    page.press("input[value='safety worry']")
    page.press("#add")
    page.press("#add")
    page.press("input[value='longer']")
    page.run("document.activeElement.blur()")
    page.keys("c", "?")


@pytest.mark.parametrize("size", list(SIZES))
@pytest.mark.parametrize("scheme", ["light", "dark"], indirect=True)
def test_no_serious_fault_of_access(fight: FightReview, page: Page, size: str, scheme: str) -> None:
    page.open(fight.address, size)
    written(page)
    if size == "wide" and scheme == "dark":
        page.press("#beside")
    page.run(AXE_SCRIPT)
    found = page.browser.execute_async_script("axe.run(document, {}).then(arguments[0])")
    serious = [
        (one["id"], one["help"], [node["html"][:160] for node in one["nodes"][:4]])
        for one in found["violations"]
        if one["impact"] in ("serious", "critical")
    ]
    assert serious == []
    assert len(found["passes"]) > 20


@pytest.mark.parametrize("size", list(SIZES))
def test_nothing_is_wider_than_the_page_and_targets_are_big(fight: FightReview, page: Page, size: str) -> None:
    page.open(fight.address, size)
    written(page)
    assert page.run("return document.documentElement.scrollWidth") <= SIZES[size][0]
    least = 44 if size == "narrow" else 24
    small = page.run(
        """
        const shown = [...document.querySelectorAll('button, select, textarea, input[type=text], #reviewer, label.kind, label.tick')]
          .filter((one) => one.offsetParent);
        return shown.filter((one) => one.getBoundingClientRect().height < arguments[0]).map((one) => one.outerHTML.slice(0, 80));
        """,
        least,
    )
    assert small == []


def test_every_control_can_be_reached_by_keys_and_shows_that_it_is(fight: FightReview, page: Page) -> None:
    page.open(fight.address)
    controls = page.run(
        "return [...document.querySelectorAll('#stage button, #slip button, #own button')].filter((b) => b.offsetParent).length"
    )
    reached = set()
    for _ in range(90):
        page.keys("\ue004")
        name, outline = page.run("const a = document.activeElement; return [a.id, getComputedStyle(a).outlineStyle]")
        if name:
            reached.add(name)
            assert outline != "none" or name == "sheet"
    assert controls <= len(reached)
    assert {"play", "frame_on", "chart", "reviewer", "about", "words", "circle", "add", "save", "open", "print"} <= reached


@pytest.mark.parametrize(("width", "height"), [(1280, 1600), (1280, 800), (1920, 1080), (1100, 1400)])
def test_a_note_can_be_written_in_a_window_of_any_height(fight: FightReview, page: Page, width: int, height: int) -> None:
    page.open(fight.address, "wide")
    metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
    page.browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
    assert page.run("return document.getElementById('reviewer').getBoundingClientRect().width") >= 180
    assert page.run("return document.getElementById('movie').getBoundingClientRect().width") >= 480
