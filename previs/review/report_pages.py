"""The report on a cut as two pages lying on A4 or Letter, never more: what does not fit is counted; it decides no content."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph
from reportlab.platypus import Table as Grid

from previs.cut.wording import counted
from previs.exchange.printed_looks import (
    BOLD,
    FIGURES,
    FOOT_POINTS,
    INK,
    MARGIN,
    PLAIN,
    RULE,
    SHADE,
    WARN,
    shortened,
    style,
    use_faces,
)
from previs.handoff.cautions import DEFER
from previs.handoff.sheet_files import Paper
from previs.handoff.sheet_pages import PAGE_POINTS
from previs.handoff.sheets import DERIVED, Pictures
from previs.review.note_lists import SAFETY
from previs.review.report import KeyPicture, OpenNote, Report, Share, TreatedStretch

_GAP = 12.0
_WORDS_POINTS = 116.0
"""The height that the pace in words has below the chart."""
_FOOT = MARGIN + 14
_LONGEST = 400
"""Signs of a note on paper; the list of notes has the rest."""
_MOST_PICTURES = 8
_MOST_ROWS = 60
"""More rows than a page holds; the others are counted and not laid out."""
_TITLE, _HEADING, _CAUTION = style("title", 17, fontName=BOLD), style("heading", 10, fontName=BOLD), style("caution", 7.5)
_SIZES = (9.0, 8.0, 7.0)
"""Points of the text, the largest first: the first in which a page's text fits, else the last."""


@dataclass(frozen=True, slots=True)
class _Box:
    """A rectangle of a page in points, from its left and top, which counts from the foot of the page as the library does."""

    left: float
    top: float
    width: float
    bottom: float


@dataclass(frozen=True, slots=True)
class _Looks:
    """The styles of a page's text in one size."""

    said: ParagraphStyle
    strong: ParagraphStyle
    time: ParagraphStyle

    @staticmethod
    def of(points: float) -> _Looks:
        """The styles in that size; time code, whose figures run wide, a little smaller."""
        return _Looks(
            style("said", points, splitLongWords=1),
            style("strong", points, fontName=BOLD, splitLongWords=1),
            style("time", points * 0.94, fontName=FIGURES),
        )


_SMALL = _Looks.of(7.0)


@dataclass(frozen=True, slots=True)
class _Column:
    """Things from the top down in a box; `what` names one of them where some must be left out.

    `beyond` is how many there are beyond `items`, which are more than the box holds when it is not 0.
    """

    box: _Box
    items: Sequence[Flowable]
    what: str
    beyond: int = 0


def report_pdf(report: Report, chart_png: bytes, pictures: Pictures, paper: Paper) -> bytes:
    """The report as a PDF of two pages; the same report, chart and pictures give the same bytes."""
    use_faces()
    held = io.BytesIO()
    canvas = Canvas(held, pagesize=PAGE_POINTS[paper], invariant=1)
    canvas.setTitle(f"{report.title}, report on cut {report.cut}")
    canvas.setAuthor("previs")
    _first_page(canvas, report, chart_png, *PAGE_POINTS[paper])
    canvas.showPage()
    _second_page(canvas, report, pictures, *PAGE_POINTS[paper])
    canvas.showPage()
    canvas.save()
    return held.getvalue()


def _first_page(canvas: Canvas, report: Report, chart_png: bytes, width: float, height: float) -> None:
    _begin(canvas, report, 1, width)
    across = width - 2 * MARGIN
    top = _put(
        canvas, Paragraph(escape(shortened(f"{report.title}: cut {report.cut}", across, BOLD, 17)), _TITLE), MARGIN, height - MARGIN, across
    )
    said = f"{report.shots}, {report.length} against {report.target}: {report.against}. {report.made.isoformat()}"
    top = _put(canvas, Paragraph(escape(said), _Looks.of(9).said), MARGIN, top - 3, across) - 8
    top = _chart(canvas, chart_png, _Box(MARGIN, top, across, _FOOT + _WORDS_POINTS)) - 8
    wide = (across - _GAP * (len(report.words) - 1)) / len(report.words)
    boxes = [_Box(MARGIN + place * (wide + _GAP), top, wide, _FOOT) for place in range(len(report.words))]
    _filled(
        canvas,
        lambda looks: [
            _Column(box, _group(heading, sentences, looks), "line", max(0, len(sentences) - _MOST_ROWS))
            for box, (heading, sentences) in zip(boxes, report.words, strict=True)
        ],
    )


def _chart(canvas: Canvas, chart_png: bytes, box: _Box) -> float:
    """The step chart as large as the box allows; gives back where it ends."""
    picture = ImageReader(io.BytesIO(chart_png))
    wide, tall = picture.getSize()
    scale = min(box.width / wide, (box.top - box.bottom) / tall)
    bottom = box.top - tall * scale
    canvas.drawImage(picture, box.left, bottom, wide * scale, tall * scale)
    canvas.setStrokeColor(RULE)
    canvas.rect(box.left, bottom, wide * scale, tall * scale)
    return float(bottom)


def _second_page(canvas: Canvas, report: Report, pictures: Pictures, width: float, height: float) -> None:
    _begin(canvas, report, 2, width)
    across = width - 2 * MARGIN
    top = _put(canvas, Paragraph("The first hit of each phrase", _HEADING), MARGIN, height - MARGIN, across) - 4
    top = _stills(canvas, report.key_pictures, pictures, MARGIN, top, across) - 10
    caution = f"{SAFETY} {DEFER}" if report.worries else DEFER
    bottom = _FOOT + _boxed(canvas, caution, MARGIN, _FOOT, across) + 8
    shares, treated, noted = 0.25 * across, 0.29 * across, 0.46 * across - 2 * _GAP
    boxes = (
        _Box(MARGIN, top, shares, bottom),
        _Box(MARGIN + shares + _GAP, top, treated, bottom),
        _Box(MARGIN + shares + treated + 2 * _GAP, top, noted, bottom),
    )
    _filled(
        canvas,
        lambda looks: [
            _Column(boxes[0], _shares(report), "line"),
            _Column(boxes[1], _treatments(report.treatments, treated, looks), "treatment", max(0, len(report.treatments) - _MOST_ROWS)),
            _Column(boxes[2], _notes(report, noted, looks), "open note", max(0, len(report.notes) - _MOST_ROWS)),
        ],
    )


def _begin(canvas: Canvas, report: Report, number: int, width: float) -> None:
    """A page's foot."""
    canvas.setFillColor(INK)
    canvas.setFont(PLAIN, FOOT_POINTS)
    foot = f"Report  |  {report.title}  |  cut {report.cut}  |  {report.made.isoformat()}  |  {DERIVED}"
    canvas.drawString(MARGIN, MARGIN, shortened(foot, width - 2 * MARGIN - 60))
    canvas.drawRightString(width - MARGIN, MARGIN, f"page {number} of 2")


def _put(canvas: Canvas, item: Flowable, left: float, top: float, width: float) -> float:
    """Draw one thing with its top there; gives back where it ends."""
    _, tall = item.wrap(width, top)
    item.drawOn(canvas, left, top - tall)
    return top - float(tall)


def _filled(canvas: Canvas, columns: Callable[[_Looks], Sequence[_Column]]) -> None:
    """The columns in the largest text in which all of them fit their boxes, else in the smallest, as far as there is room."""
    for points in _SIZES:
        made = columns(_Looks.of(points))
        if all(not column.beyond and sum(_heights(column)) <= column.box.top - column.box.bottom for column in made):
            break
    for column in made:
        _fill(canvas, column)


def _heights(column: _Column) -> list[float]:
    return [float(item.wrap(column.box.width, column.box.top)[1]) for item in column.items]


def _fill(canvas: Canvas, column: _Column) -> None:
    """As many things as the box holds, from the top; the last line counts what is left out. Headings are not counted."""
    box, items, tall = column.box, column.items, _heights(column)
    top = box.top
    for number, item in enumerate(items):
        # A heading goes with what stands under it, and there must be room to say that something is left out.
        with_next = tall[number + 1] if _is_heading(item) and number + 1 < len(items) else 0.0
        rest_fits = not column.beyond and sum(tall[number:]) <= top - box.bottom
        if not rest_fits and top - tall[number] - with_next - _SMALL.strong.leading < box.bottom:
            left_out = column.beyond + sum(not _is_heading(one) for one in items[number:])
            _put(canvas, Paragraph(f"and {counted(left_out, column.what)} more", _SMALL.strong), box.left, top, box.width)
            return
        top = _put(canvas, item, box.left, top, box.width)


def _is_heading(item: Flowable) -> bool:
    return isinstance(item, _Space) or (isinstance(item, Paragraph) and item.style is _HEADING) or isinstance(item, _Header)


def _group(heading: str, sentences: Sequence[str], looks: _Looks) -> list[Flowable]:
    said = [item for one in sentences[:_MOST_ROWS] for item in (_words(one, looks.said), _Space(2.5))]
    return [Paragraph(escape(heading), _HEADING), *said, _Space(6)]


def _shares(report: Report) -> list[Flowable]:
    sizes = [Paragraph("Shots by size", _HEADING), *(_ShareLine(one, "shot") for one in report.sizes)]
    return [*sizes, _Space(6), Paragraph("The upper hand", _HEADING), *(_ShareLine(one) for one in report.balance)]


def _stills(canvas: Canvas, every: Sequence[KeyPicture], pictures: Pictures, left: float, top: float, width: float) -> float:
    """The key pictures in one row, each with its words under it; gives back where the row ends."""
    shown = every[:_MOST_PICTURES]
    if not shown:
        return _put(canvas, Paragraph("No phrase is on screen yet.", _SMALL.said), left, top, width)
    wide = min((width - _GAP * (len(shown) - 1)) / len(shown), 150.0)
    tall, lowest = wide * 9 / 16, top
    for number, one in enumerate(shown):
        at = left + number * (wide + _GAP)
        canvas.setFillColor(SHADE)
        canvas.setStrokeColor(RULE)
        canvas.rect(at, top - tall, wide, tall, stroke=1, fill=1)
        if one.still is not None and one.still in pictures:
            canvas.drawImage(ImageReader(io.BytesIO(pictures[one.still])), at, top - tall, wide, tall, preserveAspectRatio=True)
        else:
            _put(canvas, Paragraph("no picture" if one.still else "not shot yet", _SMALL.said), at + 6, top - tall / 2 + 4, wide - 12)
        under = _put(canvas, Paragraph(f"{escape(one.phrase)}, {one.at}", _SMALL.strong), at, top - tall - 1, wide)
        lowest = min(lowest, _put(canvas, Paragraph(escape(shortened(one.words, 2 * wide - 30, PLAIN, 7)), _SMALL.said), at, under, wide))
    if len(every) > len(shown):
        lowest = _put(canvas, Paragraph(f"and {counted(len(every) - len(shown), 'phrase')} more", _SMALL.strong), left, lowest - 2, width)
    return lowest


def _boxed(canvas: Canvas, words: str, left: float, bottom: float, width: float) -> float:
    """Words in a frame that warns, from the bottom up; gives back how tall it is."""
    said = Paragraph(escape(words), _CAUTION)
    tall = float(said.wrap(width - 12, 200)[1]) + 6
    said.drawOn(canvas, left + 6, bottom + 3)
    canvas.setStrokeColor(WARN)
    canvas.setLineWidth(1.2)
    canvas.rect(left, bottom, width, tall)
    canvas.setLineWidth(1)
    return tall


def _treatments(every: Sequence[TreatedStretch], width: float, looks: _Looks) -> list[Flowable]:
    heading = Paragraph(f"Treatments: {len(every)}", _HEADING)
    if not every:
        return [heading, Paragraph("Nothing is treated on screen.", looks.said)]
    widths = [width * share for share in (0.32, 0.37, 0.12, 0.19)]
    return [
        heading,
        _Header(("from", "what", "s", "shot"), widths, looks),
        *(_row(_treated_cells(one, looks), widths) for one in every[:_MOST_ROWS]),
    ]


def _treated_cells(one: TreatedStretch, looks: _Looks) -> list[Flowable]:
    what = ", ".join(filter(None, (one.kind, one.role)))
    return [Paragraph(one.at, looks.time), *(_words(said, looks.said) for said in (what, f"{one.seconds:.1f}", one.shot))]


def _notes(report: Report, width: float, looks: _Looks) -> list[Flowable]:
    said = f"{len(report.notes)}" + (f", and {report.answered_notes} answered" if report.answered_notes else "")
    heading = Paragraph(f"Open notes: {said}", _HEADING)
    if not report.notes:
        return [heading, Paragraph("No note is open.", looks.said)]
    widths = [width * share for share in (0.2, 0.09, 0.16, 0.15, 0.4)]
    header = _Header(("now at", "shot", "kind", "reviewer", "note"), widths, looks)
    return [heading, header, *(_row(_note_cells(one, looks), widths) for one in report.notes[:_MOST_ROWS])]


def _note_cells(one: OpenNote, looks: _Looks) -> list[Flowable]:
    kind, at = looks.strong if one.is_safety else looks.said, looks.time if one.shot else looks.strong
    return [
        _words(one.at, at),
        _words(one.shot, looks.said),
        _words(one.kind, kind),
        _words(one.reviewer, looks.said),
        _words(one.words, looks.said),
    ]


def _words(said: str, look: ParagraphStyle) -> Paragraph:
    """A cell's words on paper: one paragraph, and no more than a cell can hold."""
    plain = " ".join(said[: 4 * _LONGEST].split())
    return Paragraph(escape(plain if len(plain) <= _LONGEST else f"{plain[:_LONGEST]} ..."), look)


def _row(cells: Sequence[Flowable], widths: Sequence[float]) -> Flowable:
    looks = [("LINEBELOW", (0, 0), (-1, -1), 0.4, RULE), ("VALIGN", (0, 0), (-1, -1), "TOP"), *_padding()]
    return Grid([list(cells)], list(widths), style=looks)


def _padding() -> list[tuple[object, ...]]:
    return [(f"{side}PADDING", (0, 0), (-1, -1), 2) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")]


class _Header(Grid):  # type: ignore[misc]
    """The names of columns over rows that are drawn one by one."""

    def __init__(self, names: Sequence[str], widths: Sequence[float], looks: _Looks) -> None:
        cells = [[Paragraph(name, looks.strong) for name in names]]
        super().__init__(cells, list(widths), style=[("BACKGROUND", (0, 0), (-1, -1), SHADE), *_padding()])


class _Space(Flowable):  # type: ignore[misc]
    """Nothing, of some height."""

    def __init__(self, tall: float) -> None:
        super().__init__()
        self.width, self.height = 0, tall

    def draw(self) -> None:
        """Draw nothing."""


class _ShareLine(Flowable):  # type: ignore[misc]
    """A name, a bar as long as its share of the running time, and its figures; `what` is what the figure beside it counts."""

    _TALL = 13.0

    def __init__(self, share: Share, what: str = "") -> None:
        super().__init__()
        self._share, self._what = share, what

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Its width and height in points."""
        self._width = width
        return width, self._TALL

    def draw(self) -> None:
        """Draw it from its lower left."""
        canvas, name_width, figure_width = self.canv, self._width * 0.36, self._width * 0.3
        room = self._width - name_width - figure_width
        canvas.setFillColor(INK)
        canvas.setFont(PLAIN, 7.5)
        canvas.drawString(0, 3.5, shortened(self._share.name, name_width - 4, PLAIN, 7.5))
        canvas.setFillColor(SHADE)
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.6)
        canvas.rect(name_width, 2, max(0.5, room * min(1.0, self._share.share)), 8, stroke=1, fill=1)
        figure = f"{100 * self._share.share:.0f} %" + (f", {counted(int(self._share.beside), self._what)}" if self._what else "")
        canvas.setFillColor(INK)
        canvas.drawRightString(self._width, 3.5, figure)
