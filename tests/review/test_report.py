"""The report: its values by hand, and its pages: two of them whatever the content, within the margins, the same bytes each time."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from datetime import date
from fractions import Fraction

import fights
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from PIL import Image
from random_cuts import TIMEBASES, cuts
from random_cuts import sequence as random_sequence
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph
from review.making_notes import note_at

from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot
from previs.document.notes import Note, NoteKind, NoteState
from previs.exchange.printed_looks import MARGIN
from previs.exchange.step_chart import STRIP, Format, step_chart_bytes
from previs.faults import UseFault
from previs.handoff.sheet_files import Paper
from previs.handoff.sheet_pages import PAGE_POINTS
from previs.handoff.sheets import Still
from previs.review.report import KeyPicture, OpenNote, Report, Share, TreatedStretch, report, stills_of
from previs.review.report_pages import report_pdf

DAY = date(2026, 11, 25)


@pytest.fixture
def value() -> Sequence:
    """Phrase 1 lands on tape frames 48 and 96, phrase 2 stands on a card."""
    sequence = fights.sequence(
        target_frames=100,
        phrases=(fights.phrase(1, range(1, 3)), fights.phrase(2, range(3, 5))),
        tapes=(fights.tape(),),
        takes=(fights.take("T1", {1: 2, 2: 4}),),
        treatments=(fights.treatment(Fraction(50, 24), Fraction(53, 24)),),
    )
    shots = (Shot("s1", 24, Footage("T1", 40)), Shot("s2", 30, Footage("T1", 80), code="020"), Shot("s3", 50, Card("the fall", 3, 4)))
    sequence = replace(sequence, cuts=(Cut("v1", shots, 100),))
    cut = sequence.cut()
    notes = (
        note_at(sequence, cut, 30, "n1", kind=NoteKind.LONGER, text="hold"),
        note_at(sequence, cut, 90, "n2", kind=NoteKind.SAFETY, text="who spots?"),
        replace(note_at(sequence, cut, 5, "n3"), shot="gone", tape_frame=1, move=None),
        note_at(sequence, cut, 6, "n4", state=NoteState.DONE, answer="yes"),
    )
    return replace(sequence, notes=notes)


def test_what_stands_in_it(value: Sequence) -> None:
    told = report(value, value.cut(), DAY)
    assert (told.length, told.target, told.over_frames, told.shots) == ("00:00:04:08", "00:00:04:04", 4, "3 shots")
    assert told.against == "00:00:00:04 (4 frames) over its target"
    assert [heading for heading, _ in told.words] == ["How long it is", "Where it is dead", "Where it rushes", "Who is winning"]
    assert all(sentences for _, sentences in told.words)
    assert [(one.name, one.beside) for one in told.sizes] == [("full", "2"), ("card", "1")]
    assert sum(one.share for one in told.sizes) == pytest.approx(1, abs=0.002)
    assert [one.name for one in told.balance] == ["Odile", "Reeve", "level"]
    assert sum(one.share for one in told.balance) == pytest.approx(1)
    assert told.treatments == (TreatedStretch("digital double", "Odile", "01:00:00:10", 0.125, "1"),)
    assert told.key_pictures == (
        KeyPicture("Phrase 1", "01:00:00:08", "1 cut 1", Still("A1", 48)),
        KeyPicture("Phrase 2", "01:00:02:06", "the fall", None),
    )
    assert stills_of(told) == (Still("A1", 48),)


def test_safety_worries_come_first_and_the_homeless_last(value: Sequence) -> None:
    told = report(value, value.cut(), DAY)
    assert [(one.words, one.at, one.shot) for one in told.notes] == [
        ("who spots?", "01:00:03:18", "3"),
        ("hold", "01:00:01:06", "2"),
        ("", "homeless", ""),
    ]
    assert told.answered_notes == 1
    assert told.worries
    settled = replace(value, notes=tuple(replace(note, state=NoteState.DONE) for note in value.notes))
    assert not report(settled, settled.cut(), DAY).worries


def test_a_cut_that_shows_nothing_is_refused(value: Sequence) -> None:
    with pytest.raises(UseFault, match="has no shot that shows anything"):
        report(value, Cut("v2", (Shot("s1", 10, Black()),), 10), DAY)


def picture(width: int = 160, height: int = 90) -> bytes:
    held = io.BytesIO()
    Image.new("RGB", (width, height), (120, 60, 30)).save(held, "PNG")
    return held.getvalue()


def pages(content: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page(?!s)", content))


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[tuple[Flowable, float, float]]]:
    """Everything that is laid on the pages, with its left and its bottom; of what lies in another thing, only the words."""
    found: list[tuple[Flowable, float, float]] = []
    draw, within = Flowable.drawOn, 0

    def recording(self: Flowable, canvas: object, x: float, y: float, _sW: float = 0) -> None:  # noqa: N803 (the library's name)
        nonlocal within
        found.append((self, x if not within else -1, y))
        within += 1
        draw(self, canvas, x, y, _sW)
        within -= 1

    monkeypatch.setattr(Flowable, "drawOn", recording)
    yield found


def said(drawn: list[tuple[Flowable, float, float]]) -> list[str]:
    return [item.text for item, *_ in drawn if isinstance(item, Paragraph)]


def full(count: int, words: str = "Hold it.") -> Report:
    """A report with so many of everything."""
    return Report(
        title=words,
        cut="v1",
        made=DAY,
        length="00:00:48:00",
        target="00:00:40:00",
        against="over its target",
        shots="20 shots",
        frames=1152,
        target_frames=960,
        words=tuple((f"Heading {number}", (words,) * count) for number in range(4)),
        sizes=tuple(Share(words, 0.5, "3") for _ in range(min(count, 10))),
        balance=tuple(Share(words, 1 / (number + 1), "") for number in range(count)),
        treatments=tuple(TreatedStretch("rig removal", words, "01:00:00:00", 1.5, str(number)) for number in range(count)),
        notes=tuple(OpenNote("01:00:00:00", "3", "longer", words, words, number == 0) for number in range(count)),
        answered_notes=count,
        key_pictures=tuple(KeyPicture(f"Phrase {number}", "01:00:00:00", words, Still("A1", number)) for number in range(count)),
        worries=True,
    )


@pytest.mark.parametrize(("paper", "count"), [(Paper.A4, 0), (Paper.A4, 7), (Paper.A4, 400), (Paper.LETTER, 30)])
@pytest.mark.parametrize("words", ["Hold it.", "W" * 5000, "<b>not bold</b> & =1+1 \x00\x1b\u202e 中" * 20])
def test_two_pages_whatever_there_is_to_say(drawn: list[tuple[Flowable, float, float]], paper: Paper, count: int, words: str) -> None:
    content = report_pdf(full(count, words), picture(1754, 1240), {Still("A1", 1): picture(90, 160)}, paper)
    assert pages(content) == 2
    width, height = PAGE_POINTS[paper]
    laid = [(item, left, bottom) for item, left, bottom in drawn if left >= 0]
    assert len(laid) > 10
    for item, left, bottom in laid:
        wide, tall = (getattr(item, name, getattr(item, f"_{name}", 0)) for name in ("width", "height"))
        assert left >= MARGIN - 0.5
        assert left + wide <= width - MARGIN + 0.5
        assert bottom >= MARGIN + 8
        assert bottom + tall <= height - MARGIN + 0.5


def test_what_is_left_out_is_counted(drawn: list[tuple[Flowable, float, float]]) -> None:
    report_pdf(full(100), picture(), {}, Paper.A4)
    words = said(drawn)
    more = [one for one in words if re.fullmatch(r"and \d+ .* more", one)]
    assert "and 92 phrases more" in more
    notes = sum(one == "longer" for one in words)
    assert f"and {100 - notes} open notes more" in more
    assert 10 < notes < 100
    treated = sum("rig removal" in one for one in words)
    assert f"and {100 - treated} treatments more" in more
    lines = sum(one == "Hold it." for one in words if one not in more)
    assert lines > 40
    assert sum(one.endswith("lines more") for one in more) == 5
    assert len(more) == 8


def test_nothing_is_left_out_where_there_is_room(drawn: list[tuple[Flowable, float, float]]) -> None:
    report_pdf(full(3), picture(), {}, Paper.A4)
    assert not [one for one in said(drawn) if one.endswith("more")]
    assert sum(one == "longer" for one in said(drawn)) == 3


def test_the_same_report_is_the_same_bytes(value: Sequence) -> None:
    told = report(value, value.cut(), DAY)
    chart = step_chart_bytes(value, value.cut(), Format.PNG)
    stills = {Still("A1", 48): picture()}
    first = report_pdf(told, chart, stills, Paper.A4)
    assert first == report_pdf(report(value, value.cut(), DAY), step_chart_bytes(value, value.cut(), Format.PNG), stills, Paper.A4)
    assert first != report_pdf(report(value, value.cut(), date(2026, 11, 26)), chart, stills, Paper.A4)


@pytest.mark.parametrize("paper", list(Paper))
def test_the_chart_s_words_are_as_large_on_paper_as_on_the_wall(value: Sequence, paper: Paper, monkeypatch: pytest.MonkeyPatch) -> None:
    """The chart is made for its place on the page: its 7 and 8 points stay above 6.5, whatever the paper."""
    widths: list[float] = []
    draw = Canvas.drawImage

    def measured(self: Canvas, image: ImageReader, x: float, y: float, width: float, height: float) -> object:
        widths.append(width)
        return draw(self, image, x, y, width, height)

    monkeypatch.setattr(Canvas, "drawImage", measured)
    report_pdf(report(value, value.cut(), DAY), step_chart_bytes(value, value.cut(), Format.PNG, STRIP), {}, paper)
    assert 7 * widths[0] / STRIP.width >= 6.5


@settings(deadline=None, max_examples=25)
@given(st.data())
def test_any_cut_has_a_report(data: st.DataObject) -> None:
    value = random_sequence(*data.draw(st.sampled_from(TIMEBASES)))
    cut = data.draw(cuts(value))
    made: list[Note] = [note_at(value, cut, frame, f"n{frame}", kind=NoteKind.SAFETY) for frame in range(0, cut.frames, 9)]
    value = replace(value, cuts=(cut,), notes=tuple(made))
    try:
        told = report(value, cut, DAY)
    except UseFault as fault:
        assert "shows anything" in str(fault)
        return
    assert len(told.notes) == len(made)
    assert pages(report_pdf(told, picture(), {}, Paper.A4)) == 2
