"""Notes written on the page by mouse and by keys come back exactly as they were entered; nothing is lost on the way."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from msgspec.structs import replace
from review_fights import FightReview
from review_pages import Page, served
from selenium.webdriver import ActionChains, Keys
from selenium.webdriver.support.select import Select

from previs.cut.placing import hits_seen, place
from previs.document.notes import Note, NoteKind, NoteState, Shape
from previs.review.coming_back import all_merged
from previs.review.notes_file import NotesRead, notes_from_text
from previs.review.whereabouts import How, find

WORDS = 'Closer, from the wall: "now" <b>not</b> later; =1+1\nand žluťoučký \u202eright to left\u202c 🙂'


def saved(page: Page, downloads: Path) -> NotesRead:
    """Save the notes and read the file as the program does."""
    for old in downloads.iterdir():
        old.unlink()
    page.press("#save")
    name = page.text("#said").split(" saved as ")[1].split(",")[0]
    page.until("return true")
    for _ in range(200):
        if (downloads / name).exists():
            break
        page.browser.execute_async_script("setTimeout(arguments[0], 20)")
    return notes_from_text((downloads / name).read_bytes(), name)


def name_reviewer(page: Page, name: str = "Ilse Marrow") -> None:
    page.find("#reviewer").clear()
    page.find("#reviewer").send_keys(name)


def go_to_shot(page: Page, fight: FightReview, number: int) -> int:
    page.press(f"#shot_{number} .go")
    first = place(fight.sequence, fight.cut)[number - 1].record.start
    page.shows(first)
    return first


def write_by_mouse(page: Page, fight: FightReview) -> int:
    """A note on five frames of shot 2 with a circle and words; gives its first frame."""
    name_reviewer(page)
    first = go_to_shot(page, fight, 2)
    page.press("#frame_on")
    page.shows(first + 1)
    page.press("#from_here")
    for _ in range(4):
        page.press("#frame_on")
    page.shows(first + 5)
    page.press("#to_here")
    page.press("input[value='another angle']")
    page.press("#circle")
    pull(page, (0.25, 0.3), (0.5, 0.8))
    page.press("#words")
    page.run("document.execCommand('insertText', false, arguments[0])", WORDS)
    page.press("#add")
    return first + 1


def pull(page: Page, start: tuple[float, float], end: tuple[float, float]) -> None:
    """Press on the picture at a share of its width and height, and pull to another."""
    picture = page.find("#overlay")
    page.run("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", picture)
    width, height = picture.size["width"], picture.size["height"]
    spots = [(round((x - 0.5) * width), round((y - 0.5) * height)) for x, y in (start, end)]
    chain = ActionChains(page.browser, duration=40)
    chain.move_to_element_with_offset(picture, *spots[0]).click_and_hold()
    chain.move_to_element_with_offset(picture, *spots[1]).release().perform()


def only_note(read: NotesRead) -> Note:
    assert (read.title, read.cut) == ("The Salt Stair", "v2")
    [note] = read.notes
    return note


@pytest.mark.parametrize("size", ["wide", "narrow"])
@pytest.mark.parametrize("from_server", [False, True], ids=["from disk", "from a server"])
def test_a_note_by_mouse_is_kept_saved_and_opened_again(
    fight: FightReview, page: Page, downloads: Path, size: str, from_server: bool
) -> None:
    with served(fight.folder) as web:
        address = web if from_server else fight.address
        page.open(address, size)
        first = write_by_mouse(page, fight)
        page.open(address, size)
        assert "1 note" in page.text("#own_count")
        assert page.find("#reviewer").get_attribute("value") == "Ilse Marrow"
        note = only_note(saved(page, downloads))
        check_mouse_note(fight, note, first)
        open_again(page, downloads, address, size)
        assert only_note(saved(page, downloads)) == note


def check_mouse_note(fight: FightReview, note: Note, first: int) -> None:
    one = place(fight.sequence, fight.cut)[1]
    assert one.source is not None
    assert (note.kind, note.text, note.reviewer) == (NoteKind.ANGLE, WORDS, "Ilse Marrow")
    assert (note.first_frame, note.frames, note.shot) == (first, 5, one.shot.ident)
    assert (note.reel, note.tape_frame, note.move) == (one.source.tape.reel, one.source.frame(1), None)
    [drawn] = note.drawings
    assert drawn.shape is Shape.CIRCLE
    for found, wanted in zip((drawn.from_x, drawn.from_y, drawn.to_x, drawn.to_y), (250, 300, 500, 800), strict=True):
        assert abs(found - wanted) <= 6
    found = find(fight.sequence, fight.cut, note)
    assert found is not None
    assert (found.record.start, found.record.length, found.how) == (first, 5, How.SAME_FRAMES)


def open_again(page: Page, downloads: Path, address: str, size: str) -> None:
    """Forget all notes, and open the file that was saved; once more changes nothing."""
    page.run("localStorage.clear()")
    page.open(address, size)
    assert "none yet" in page.text("#own_count")
    [file] = downloads.iterdir()
    for taken, known in (("1 note taken in", "here already: 0."), ("0 notes taken in", "here already: 1.")):
        page.find("#open_file").send_keys(str(file))
        page.until("return document.getElementById('said').textContent.startsWith(arguments[0])", taken)
        assert known in page.text("#said")
    name_reviewer(page)


def test_a_note_by_keys_alone_about_a_hit_with_an_arrow(fight: FightReview, page: Page, downloads: Path) -> None:
    page.open(fight.address)
    page.shows(0)
    hit = hits_seen(fight.sequence, place(fight.sequence, fight.cut))[1]
    page.keys(*[Keys.ARROW_RIGHT] * hit.record_frame)
    page.shows(hit.record_frame)
    page.keys("n")
    page.keys(*"Ilse", Keys.TAB)
    page.keys(*[Keys.ARROW_RIGHT] * 4, Keys.SPACE)
    assert page.find("input[value='unclear hit']").is_selected()
    page.keys(Keys.TAB)
    assert f"move {hit.move.number}," in Select(page.find("#about")).first_selected_option.text
    page.run("document.activeElement.blur()")
    page.keys("a", Keys.ARROW_LEFT, Keys.ARROW_LEFT, Keys.ARROW_UP)
    ActionChains(page.browser).key_down(Keys.SHIFT).send_keys(Keys.ARROW_RIGHT).key_up(Keys.SHIFT).perform()
    page.keys(Keys.ENTER)
    page.keys(*"which staff?", *[Keys.TAB] * 3)
    page.keys(Keys.ENTER)
    note = only_note(saved(page, downloads))
    assert (note.kind, note.text, note.reviewer, note.move) == (NoteKind.UNCLEAR, "which staff?", "Ilse", hit.move.number)
    assert (note.first_frame, note.frames) == (hit.record_frame, 1)
    [drawn] = note.drawings
    assert (drawn.shape, drawn.from_x, drawn.from_y, drawn.to_x, drawn.to_y) == (Shape.ARROW, 360, 330, 580, 630)


def test_notes_on_a_shot_and_on_the_whole(fight: FightReview, page: Page, downloads: Path) -> None:
    page.open(fight.address)
    name_reviewer(page)
    for about, kind in (("shot", "longer"), ("cut", "more story")):
        go_to_shot(page, fight, 3)
        page.press("#frame_on")
        page.press(f"input[value='{kind}']")
        Select(page.find("#about")).select_by_value(about)
        page.press("#add")
    whole, shot = saved(page, downloads).notes
    card = place(fight.sequence, fight.cut)[2]
    assert (whole.shot, whole.first_frame, whole.frames, whole.reel, whole.tape_frame) == ("", 0, fight.cut.frames, "", None)
    assert (shot.shot, shot.first_frame, shot.frames) == (card.shot.ident, card.record.start, card.shot.frames)
    assert (shot.reel, shot.tape_frame) == ("", None)


def test_a_note_is_changed_deleted_and_put_back(fight: FightReview, page: Page, downloads: Path) -> None:
    page.open(fight.address)
    name_reviewer(page)
    page.press("input[value='shorter']")
    page.press("#add")
    before = only_note(saved(page, downloads))
    page.press("#own_list button[aria-label='Change: note 1']")
    page.find("#words").send_keys("by half")
    page.press("input[value='longer']")
    page.press("#add")
    after = only_note(saved(page, downloads))
    assert (after.ident, after.text, after.kind) == (before.ident, "by half", NoteKind.LONGER)
    assert after.written > before.written
    page.press("#own_list button[aria-label='Delete: note 1']")
    assert "none yet" in page.text("#own_count")
    page.press("#put_back")
    back = only_note(saved(page, downloads))
    assert back.written > after.written
    assert replace(back, written=after.written) == after


def test_a_note_that_a_file_has_is_taken_back_by_the_next_file_and_any_other_is_forgotten(
    fight: FightReview, page: Page, downloads: Path
) -> None:
    page.open(fight.address)
    name_reviewer(page)
    for kind in ("shorter", "longer"):
        page.press(f"input[value='{kind}']")
        page.press("#add")
        if kind == "shorter":
            assert page.text("#own_count") == "1 note, 1 change not saved yet"
            sent = saved(page, downloads)
            assert page.text("#own_count") == "1 note"
    for _ in range(2):
        page.press("#own_list button[aria-label='Delete: note 1']")
    page.open(fight.address)
    assert page.text("#own_count") == "none yet, 1 change not saved yet"
    after = saved(page, downloads)
    [gone] = after.notes
    assert (gone.ident, gone.state) == (sent.notes[0].ident, NoteState.TAKEN_BACK)
    assert "0 notes saved as" in page.text("#said")
    assert "with word that 1 note is taken back" in page.text("#said")
    # In whatever order the files come, the note is gone.
    for files in ((sent, after), (after, sent), (after, sent, after)):
        states = {note.ident: note.state for note in all_merged(fight.sequence, files).sequence.notes}
        assert states[gone.ident] is NoteState.TAKEN_BACK


def test_a_drawing_stays_on_the_frame_that_was_drawn_on_when_the_note_is_about_a_hit(
    fight: FightReview, page: Page, downloads: Path
) -> None:
    page.open(fight.address)
    name_reviewer(page)
    hit = hits_seen(fight.sequence, place(fight.sequence, fight.cut))[1]
    at = hit.record_frame - 4
    page.press(f"#shot_{hit.placed.number} .go")
    page.keys(*[Keys.ARROW_RIGHT] * (at - hit.placed.record.start))
    page.shows(at)
    page.press("input[value='unclear hit']")
    page.press("#arrow")
    pull(page, (0.25, 0.3), (0.5, 0.8))
    assert page.frame == at
    page.press("#add")
    note = only_note(saved(page, downloads))
    assert (note.first_frame, note.move, len(note.drawings)) == (at, hit.move.number, 1)


def test_after_a_press_by_mouse_space_plays_and_what_was_added_is_said_in_sight(fight: FightReview, page: Page) -> None:
    page.open(fight.address)
    name_reviewer(page)
    page.press("#shot_2 .go")
    page.keys(" ")
    page.until("return !document.getElementById('movie').paused")
    page.press("input[value='longer']")
    page.press("#add")
    assert page.text("#slip_said").startswith("Added: longer, shot 2")
    where = page.run("const box = document.getElementById('slip_said').getBoundingClientRect(); return [box.top, box.bottom, innerHeight]")
    assert where[0] >= 0 and where[1] <= where[2]
    page.keys(" ")
    page.until("return !document.getElementById('movie').paused")
    assert not page.find("#slip_fault").is_displayed()
    page.keys(" ")
    page.stops()
    page.keys("n", *"so slow", Keys.ESCAPE, Keys.ARROW_RIGHT)
    assert page.text("#slip_said") == ""
    page.press("input[value='shorter']")
    page.find("#words").click()
    ActionChains(page.browser).key_down(Keys.CONTROL).send_keys(Keys.ENTER).key_up(Keys.CONTROL).perform()
    assert page.text("#slip_said").startswith("Added: shorter")
    assert "so slow" in page.text("#own_list")


def test_a_note_on_a_shot_is_told_from_one_on_its_first_frame(fight: FightReview, page: Page) -> None:
    page.open(fight.address)
    name_reviewer(page)
    for about in ("shot", "frames"):
        go_to_shot(page, fight, 2)
        page.press("input[value='longer']")
        Select(page.find("#about")).select_by_value(about)
        page.press("#add")
    heads = [one.text for one in page.all("#own_list .go .told")]
    assert sorted("as a whole" in one for one in heads) == [False, True]


def test_only_the_own_notes_can_be_changed(fight: FightReview, page: Page) -> None:
    page.open(fight.address)
    name_reviewer(page, "Ilse")
    page.press("input[value='shorter']")
    page.press("#add")
    assert len(page.all("#own_list .foot button")) == 2
    name_reviewer(page, "Somebody else")
    assert not page.all("#own_list .foot button")
    assert "Ilse; to change it, write that name above" in page.text("#own_list")


@pytest.mark.parametrize(
    ("name", "kind", "fault"),
    [("", "longer", "Write your name"), ("Ilse", "", "Choose what you ask for"), ("Ilse", "other", "Say in your words")],
)
def test_a_slip_that_lacks_something_says_what(fight: FightReview, page: Page, name: str, kind: str, fault: str) -> None:
    page.open(fight.address)
    name_reviewer(page, name)
    if kind:
        page.press(f"input[value='{kind}']")
    page.press("#add")
    assert page.text("#slip_fault").startswith(fault)
    assert "none yet" in page.text("#own_count")


def test_two_tabs_add_up(fight: FightReview, page: Page, downloads: Path) -> None:
    page.open(fight.address)
    name_reviewer(page)
    first = page.browser.current_window_handle
    page.browser.switch_to.new_window("tab")
    page.open(fight.address)
    page.press("input[value='longer']")
    page.press("#add")
    page.browser.close()
    page.browser.switch_to.window(first)
    page.press("input[value='shorter']")
    page.press("#add")
    assert {note.kind for note in saved(page, downloads).notes} == {NoteKind.LONGER, NoteKind.SHORTER}


def test_a_browser_that_keeps_nothing_is_said_and_the_notes_stay_while_the_page_is_open(
    fight: FightReview, page: Page, downloads: Path
) -> None:
    refuse = "Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('no', 'SecurityError'); }})"
    made = page.browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": refuse})
    try:
        page.open(fight.address)
        assert page.text("#kept").startswith("This browser keeps nothing for this page: save the notes")
        leaving = "const event = new Event('beforeunload', {cancelable: true}); dispatchEvent(event); return event.defaultPrevented"
        assert not page.run(leaving)
        name_reviewer(page)
        for kind in ("longer", "shorter"):
            page.press(f"input[value='{kind}']")
            page.press("#add")
        assert page.run(leaving)
        assert len(saved(page, downloads).notes) == 2
        assert not page.run(leaving)
    finally:
        page.browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", made)


def test_notes_as_text_and_in_print(fight: FightReview, page: Page) -> None:
    page.open(fight.address)
    first = write_by_mouse(page, fight)
    page.run("window.print = () => { window.printed = true }")
    page.press("#print")
    assert page.run("return window.printed")
    text = page.run("return document.querySelector('#sheet_to_print pre').textContent")
    label = fight.sequence.timebase.label(fight.sequence.start_frame + first)
    assert "The Salt Stair\ncut v2, " in text
    assert f"1. another angle: shot 2, {label} to " in text
    assert '"now" <b>not</b> later; =1+1' in text
    assert "drawn: circle around 3" in text
    page.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    try:
        assert page.find("#sheet_to_print").is_displayed()
        assert not page.find("#stage").is_displayed()
    finally:
        page.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})


GOOD = {"ident": "a1", "reviewer": "R", "written": "2027-05-01T10:00:00Z", "kind": "longer"}


@pytest.mark.parametrize(
    ("content", "why"),
    [
        ("{", "no JSON text"),
        ("[]", "no notes file"),
        ('{"document": "previs notes", "schema": 2}', "another previs"),
        ({"sequence": "Another"}, "another sequence or cut"),
        ({"cut": "v1"}, "another sequence or cut"),
        ({"notes": {}}, "list of notes is damaged"),
        ({"notes": [{**GOOD, "kind": "<script>"}]}, "damaged (kind)"),
        ({"notes": [{**GOOD, "ident": "../../x"}]}, "damaged (ident)"),
        ({"notes": [{**GOOD, "first_frame": -1}]}, "damaged (first frame)"),
        ({"notes": [{**GOOD, "first_frame": 10**8}]}, "damaged (first frame)"),
        ({"notes": [{**GOOD, "frames": 10**6}]}, "damaged (frames)"),
        ({"notes": [{**GOOD, "text": "x" * 10_001}]}, "damaged (text)"),
        ({"notes": [{**GOOD, "__proto__": {"a": 1}}]}, "a part that no note has"),
        ({"notes": [{**GOOD, "drawings": [{"shape": "image", "from_x": 0, "from_y": 0, "to_x": 1, "to_y": 1}]}]}, "damaged (a drawing)"),
        ({"notes": [{**GOOD, "shot": "nowhere"}]}, "a shot that this cut does not have"),
        ("x" * (10 * 1024 * 1024 + 1), "larger than 10 MB"),
    ],
)
def test_a_hostile_file_is_refused_in_one_sentence(
    fight: FightReview, page: Page, tmp_path: Path, content: str | dict[str, object], why: str
) -> None:
    whole = {"document": "previs notes", "schema": 1, "sequence": "The Salt Stair", "cut": "v2", "notes": []}
    file = tmp_path / "hostile.json"
    file.write_text(content if isinstance(content, str) else json.dumps({**whole, **content}))
    if page.browser.current_url != fight.address:
        page.open(fight.address)
    page.run("document.getElementById('said').textContent = ''")
    page.find("#open_file").send_keys(str(file))
    page.until("return document.getElementById('said').textContent !== ''")
    said = page.text("#said")
    assert said.startswith("hostile.json is not taken in: ")
    assert why in said
    assert "none yet" in page.text("#own_count")
