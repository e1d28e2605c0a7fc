"""Hostile names and notes in the document show as text and do nothing else; the page loads nothing and runs nothing but itself."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from msgspec.structs import replace
from review_fights import FightReview
from review_pages import Page

from previs.document.model import Card, Sequence
from previs.document.notes import NoteState
from previs.review.page_data import Asked, page_data
from previs.review.page_text import json_in_html, page_text

MARKUP = "</script><script>window.ran = 1</script><img src=x onerror='window.ran = 2'>\"'&amp;<!--"
RIGHT_TO_LEFT = '\u202eevil\u202c \u2067x\u2069 \u2028\u2029 =HYPERLINK("http://x") {{ 7 * 7 }} ${7 * 7} {% raw %}'
LONG = "W" * 10_000


def hostile(sequence: Sequence) -> Sequence:
    """The fight with hostile text in every place that a person can write in."""
    phrases = tuple(
        replace(phrase, moves=tuple(replace(move, label=f"{MARKUP}{move.number}{RIGHT_TO_LEFT}") for move in phrase.moves))
        for phrase in sequence.phrases
    )
    notes = tuple(
        replace(note, text=f"{MARKUP}{RIGHT_TO_LEFT}{LONG}"[:10_000], reviewer=MARKUP, answer=MARKUP, state=NoteState.DECLINED)
        for note in sequence.notes
    )
    cuts = tuple(replace(cut, name=f"{cut.name}{MARKUP}", shots=tuple(_hostile_card(shot) for shot in cut.shots)) for cut in sequence.cuts)
    treatments = tuple(replace(one, role=MARKUP) for one in sequence.treatments)
    takes = tuple(
        replace(take, name=take.name, camera=MARKUP, note=MARKUP, framings=tuple(replace(one, movement=MARKUP) for one in take.framings))
        for take in sequence.takes
    )
    notes = tuple(replace(note, cut=f"{note.cut}{MARKUP}") for note in notes)
    return replace(
        sequence, title=MARKUP + RIGHT_TO_LEFT + LONG, phrases=phrases, notes=notes, cuts=cuts, treatments=treatments, takes=takes
    )


def _hostile_card(shot):  # type: ignore[no-untyped-def]
    return replace(shot, picture=replace(shot.picture, text=MARKUP + LONG)) if isinstance(shot.picture, Card) else shot


@pytest.fixture(scope="module")
def hostile_page(fight: FightReview, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Sequence]:
    folder = tmp_path_factory.mktemp("hostile")
    for name in ("movie.mp4", "earlier.mp4"):
        shutil.copy(fight.folder / name, folder / name)
    sequence = hostile(fight.sequence)
    newest, first = sequence.cuts[-1], sequence.cuts[0]
    text = page_text(page_data(sequence, newest, Asked(first, MARKUP)))
    (folder / "index.html").write_text(text, encoding="utf-8")
    return folder / "index.html", sequence


@pytest.mark.parametrize("size", ["wide", "narrow"])
def test_nothing_runs_and_all_shows_as_text(hostile_page: tuple[Path, Sequence], page: Page, size: str) -> None:
    path, sequence = hostile_page
    page.open(path.as_uri(), size)
    page.press("#beside")
    for one in page.all("#before_list .go:enabled")[:3]:
        page.run("arguments[0].click()", one)
    page.find("#reviewer").send_keys("R")
    page.press("input[value='unclear hit']")
    page.press("#add")
    page.run("window.print = () => {}")
    page.press("#print")
    assert page.run("return window.ran") is None
    assert page.run("return document.querySelectorAll('img, iframe, object, embed, base, link, form[action]').length") == 0
    assert page.run("return document.scripts.length") == 2
    assert page.run("return document.getElementById('title').textContent") == sequence.title
    assert page.run("return document.getElementById('cut').textContent") == sequence.cuts[-1].name
    assert MARKUP in page.run("return document.getElementById('own_list').textContent")
    assert page.run("return document.documentElement.scrollWidth <= document.documentElement.clientWidth")


def test_the_policy_lets_nothing_else_run_or_load(hostile_page: tuple[Path, Sequence], page: Page) -> None:
    path, _ = hostile_page
    page.open(path.as_uri())
    policy = page.find("meta[http-equiv='Content-Security-Policy']").get_attribute("content") or ""
    parts = dict(part.strip().split(" ", 1) for part in policy.split(";"))
    assert parts["default-src"] == parts["base-uri"] == parts["form-action"] == "'none'"
    assert parts["script-src"].startswith("'sha256-")
    assert parts["style-src"].startswith("'sha256-")
    assert "unsafe" not in policy
    assert "http" not in policy
    blocked = page.browser.execute_async_script(
        """
        const done = arguments[0];
        const blocked = [];
        document.addEventListener('securitypolicyviolation', (event) => blocked.push(event.effectiveDirective));
        const script = document.createElement('script');
        script.append('window.ran = 3');
        document.body.append(script);
        const picture = document.createElement('img');
        picture.src = 'https://example.invalid/x.png';
        document.body.append(picture);
        document.body.setAttribute('style', 'color: red');
        fetch('https://example.invalid/').catch(() => setTimeout(() => done(blocked), 50));
        """
    )
    assert page.run("return window.ran") is None
    assert {"img-src", "connect-src", "require-trusted-types-for", "style-src-attr"} <= set(blocked)
    page.messages()


def test_json_in_a_page_never_ends_its_element() -> None:
    text = json_in_html({"a": f"{MARKUP}{RIGHT_TO_LEFT}"})
    assert not set("<>&\u2028\u2029") & set(text)


def test_the_same_values_give_the_same_page(fight: FightReview) -> None:
    once, twice = (page_text(page_data(fight.sequence, fight.cut, Asked(made="1 May 2027"))) for _ in range(2))
    assert once == twice
    assert "previs:" not in once
    assert "http://" not in once.replace("http://www.w3.org/2000/svg", "")
    assert "https://" not in once
