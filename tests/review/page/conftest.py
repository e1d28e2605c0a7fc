"""One browser for all tests of the page, and reviews of small sequences that number their every frame."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from clips import make_clip
from msgspec.structs import replace
from review_fights import FightReview, changed_cut, with_notes
from review_pages import Page, new_browser
from small_fight import small_fight

from previs.clock import Rate
from previs.document.model import Cut, Footage, Framing, Sequence, Settings, Shot, Size, Take
from previs.document.paths import cache_folder, stored_path
from previs.document.store import create, open_document
from previs.media.ingest import tape_from_file
from previs.progress import silent
from previs.review.folder import write_review

FRAMES = 100


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A browser plays in real time, and on a busy machine leaves pictures out: what fails once is tried twice more."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.flaky(reruns=2))


@pytest.fixture(scope="session")
def downloads(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("downloads")


@pytest.fixture(scope="session")
def browser(downloads: Path) -> Iterator[Page]:
    made = new_browser(downloads)
    yield Page(made)
    made.quit()


@pytest.fixture
def page(browser: Page) -> Iterator[Page]:
    """The browser with nothing kept from the test before; a page that complains fails its test."""
    browser.browser.execute_cdp_cmd("Page.enable", {})
    browser.messages()
    yield browser
    complaints = browser.messages()
    browser.run("try { localStorage.clear() } catch {}")
    browser.browser.get("about:blank")
    assert not complaints


def numbered(folder: Path, rate_name: str, *, drop: bool = False, start_frame: int = 86400) -> tuple[Path, Sequence]:
    """A sequence of one tape whose frame n carries n, and a cut v1 that shows it from its first frame on in four shots."""
    document = folder / "numbered.previs"
    rate = Rate.parse(rate_name).fps
    clip = make_clip(folder / "tape.mp4", frames=FRAMES + 4, rate=rate, options={"g": "12"})
    sequence = Sequence(title="Numbers", rate_name=rate_name, drop=drop, start_frame=start_frame, target_frames=FRAMES)
    sequence = replace(sequence, settings=Settings(raster_width=480, raster_height=270))
    create(document, sequence)
    tape = tape_from_file(clip.path, stored_path(clip.path, document), (), cache_folder(document), reel="NUMB", camera="A")
    take = Take("N1", "NUMB", Fraction(0), FRAMES / rate, 1, 1, (Framing(Fraction(0), Size.WIDE),))
    shots = tuple(Shot(f"s{first}", 25, Footage("N1", first)) for first in range(0, FRAMES, 25))
    return document, replace(sequence, tapes=(tape,), takes=(take,), cuts=(Cut("v1", shots, FRAMES),))


@pytest.fixture(scope="session")
def numbered_page(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., tuple[Path, Sequence]]:
    """Makes the folder of a numbered sequence's page, once for each rate."""
    known: dict[str, tuple[Path, Sequence]] = {}

    def make(rate_name: str, *, drop: bool = False, start_frame: int = 86400) -> tuple[Path, Sequence]:
        key = f"{rate_name} {drop} {start_frame}"
        if key not in known:
            folder = tmp_path_factory.mktemp("numbered")
            document, sequence = numbered(folder, rate_name, drop=drop, start_frame=start_frame)
            out = folder / "review"
            write_review(sequence, document, sequence.cut(), out, beside=None, made=date(2027, 5, 1), confidential=True, report=silent)
            known[key] = out, sequence
        return known[key]

    return make


@pytest.fixture(scope="session")
def fight(tmp_path_factory: pytest.TempPathFactory) -> FightReview:
    """The small fight, numbered, its cut v2 against v1, with a card and four notes of an earlier reviewer."""
    folder = tmp_path_factory.mktemp("fight")
    document = small_fight(folder)
    first = open_document(document).sequence
    first = replace(first, settings=replace(first.settings, raster_width=480, raster_height=270))
    sequence = with_notes(changed_cut(first))
    out = folder / "review"
    cuts = sequence.cut("v2"), sequence.cut("v1")
    write_review(sequence, document, cuts[0], out, beside=cuts[1], made=date(2027, 5, 1), confidential=True, report=silent)
    return FightReview(document, sequence, cuts[0], out)
