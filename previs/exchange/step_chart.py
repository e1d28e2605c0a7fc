"""The step chart: a cut's rhythm, hits, upper hand and treatments on one A4 sheet for the wall, or on part of a page; it decides nothing.

Running time goes across, shot size upwards: the top of a step lies on the line that bears its size's name, and of the sizes
those that the cut uses are shown, with one more on either side. Everything drawn is derived by `cut/placing.py`, `cut/pace.py` and
`fight/balance.py`. This is the only module that draws with matplotlib. No sign is told by colour alone: sides of the upper
hand by height, treatments by their hatching, cards by their outline and words. Treatments stand in a lane of their own too,
with their roles, since many are narrower than a name.
"""

from __future__ import annotations

import io
import textwrap
import warnings
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from statistics import median
from typing import Any

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.markers import MarkerStyle
from matplotlib.patches import Patch, Rectangle
from matplotlib.path import Path

from previs.clock import Span
from previs.cut.pace import MOVING_SHOTS, Pace, pace
from previs.cut.placing import Placed, SeenHit, SeenTreatment, hits_seen, place, treatments_seen
from previs.cut.wording import counted
from previs.document.model import LEVEL, Black, Card, Cut, Sequence, Size
from previs.exchange.chart_data import Lines, lines_of, phrase_names, stretches
from previs.exchange.lists import counted_shots, moves_text, record_label
from previs.exchange.tones import BLUE, FAINT, GREEN, GROUND, INK, OCHRE, RED, SHADE, TREATMENT_LOOK
from previs.fight.balance import balance


class Format(StrEnum):
    """What kind of file a chart can be; the value is its suffix."""

    SVG = "svg"
    PNG = "png"
    PDF = "pdf"


PNG_DOTS_PER_INCH = 150


@dataclass(frozen=True, slots=True)
class Extent:
    """A chart's place on paper in points: its width and height, and the room at its sides for names, headings and the key.

    `between` is the room between two of its four parts, as a share of their middle height. Words have the same points in every
    extent, so that they are read as well on a part of a page as on a whole one. `headed` is whether the title stands on it.
    """

    width: float
    height: float
    left: float = 109.4
    right: float = 29.5
    top: float = 68.5
    bottom: float = 80.4
    words: float = 36.9
    key: float = 19.0
    between: float = 0.1
    headed: bool = True

    @property
    def across(self) -> float:
        """The width of the running time."""
        return self.width - self.left - self.right

    @property
    def tall(self) -> float:
        """The height of its parts together."""
        return self.height - self.top - self.bottom


A4_LANDSCAPE = Extent(297 / 25.4 * 72, 210 / 25.4 * 72)
STRIP = Extent(774, 332, top=16, bottom=46, words=25, key=10, between=0.18, headed=False)
"""Over the whole width of a landscape page that bears its title already and has other things below."""

_FOOT = 0.3
"""The height at the foot of the steps that hatching leaves free, for the numbers of the shots."""
_MOST_LANES = 3
_TICK = MarkerStyle(Path([(0, -0.2), (0, 0.6)]), capstyle="butt")
_TICK_SECONDS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1200, 1800, 3600)
_MOST_TICKS = 12
_LEAST_CARD_LINE = 9
_STYLE: dict[Any, Any] = {
    # A title or a card is words: a dollar sign in it begins no formula.
    "text.parse_math": False,
    "font.family": "DejaVu Sans",
    "font.size": 8.0,
    "hatch.linewidth": 0.7,
    "svg.hashsalt": "previs step chart",
    "text.color": INK,
    "axes.labelcolor": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "axes.edgecolor": INK,
}


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What every part of the chart is drawn from; `end_frame` is the end of the cut or its target, whichever is later."""

    sequence: Sequence
    cut: Cut
    placed: tuple[Placed, ...]
    hits: tuple[SeenHit, ...]
    treatments: tuple[SeenTreatment, ...]
    figures: Pace
    end_frame: int
    lines: Lines
    extent: Extent

    @property
    def sizes(self) -> tuple[Size, ...]:
        """The sizes that have a line, widest first."""
        return self.lines.sizes

    def level(self, size: Size) -> int:
        """The height of a size's line above the foot of the steps."""
        return self.lines.level(size)

    @property
    def frames_a_character(self) -> float:
        """About how many frames one character of the chart's smallest text covers: two hundred go across an A4 sheet."""
        return self.end_frame / (200 * self.extent.across / A4_LANDSCAPE.across)

    @property
    def weight(self) -> float:
        """How heavy lines are, 0.3 to 1: thinner where many short shots would otherwise run together."""
        shot = median(one.shot.frames for one in self.placed)
        return min(1.0, max(0.3, shot / self.frames_a_character / 4))


_DRAWING = ThreadPoolExecutor(1, "drawing")
"""Every chart is drawn on one thread that is kept: matplotlib keeps its faces for each thread anew, so that a long sitting whose work
goes on ever new threads would grow, and its settings are the whole program's, so that two charts at once would change each other's."""


def step_chart_bytes(sequence: Sequence, cut: Cut, kind: Format, extent: Extent = A4_LANDSCAPE) -> bytes:
    """The chart of a cut as a file of that kind, the same bytes each time it is made by one version of matplotlib.

    Raises `UseFault` when the cut shows nothing.
    """
    return _DRAWING.submit(_drawn, sequence, cut, kind, extent).result()


def _drawn(sequence: Sequence, cut: Cut, kind: Format, extent: Extent) -> bytes:
    undated = {Format.SVG: {"Date": None}, Format.PDF: {"CreationDate": None}, Format.PNG: {}}[kind]
    written = io.BytesIO()
    with mpl.rc_context(_STYLE), warnings.catch_warnings():
        # A sign that the face does not have is drawn as a box, which the reader of the chart sees; there is no more to be said.
        warnings.filterwarnings("ignore", message="Glyph .* missing from font", category=UserWarning)
        step_chart(sequence, cut, extent).savefig(written, format=kind.value, dpi=PNG_DOTS_PER_INCH, metadata=undated, facecolor=GROUND)
    return written.getvalue()


def step_chart(sequence: Sequence, cut: Cut, extent: Extent = A4_LANDSCAPE) -> Figure:
    """The chart of a cut, on one A4 sheet when nothing else is asked for; raises `UseFault` when the cut shows nothing."""
    placed = place(sequence, cut)
    hits, treatments = hits_seen(sequence, placed), treatments_seen(sequence, placed)
    figures = pace(sequence, cut)
    lines = lines_of(framing.size for one in placed for _, framing in one.framings(figures.fps))
    sheet = _Sheet(sequence, cut, placed, hits, treatments, figures, max(cut.frames, cut.target_frames), lines, extent)
    lanes = _lanes(sheet)
    below = max(len(lanes), 1) * 0.4 + 0.8
    with mpl.rc_context(_STYLE):
        figure = Figure(figsize=(extent.width / 72, extent.height / 72), facecolor=GROUND)
        FigureCanvasAgg(figure)
        grid = figure.add_gridspec(
            4,
            1,
            height_ratios=(1.05, 5.2 - below, 0.65, below),
            hspace=extent.between,
            left=extent.left / extent.width,
            right=1 - extent.right / extent.width,
            top=1 - extent.top / extent.height,
            bottom=extent.bottom / extent.height,
        )
        hand, steps, lengths, story = (figure.add_subplot(grid[row]) for row in range(4))
        for axes in (hand, steps, lengths, story):
            axes.set_facecolor(GROUND)
            axes.set_xlim(0, sheet.end_frame * 1.012)
            axes.tick_params(length=0, labelbottom=False)
            for side in ("top", "right", "left", "bottom"):
                axes.spines[side].set_visible(False)
        if extent.headed:
            _draw_heading(figure, sheet)
        _draw_upper_hand(hand, sheet)
        _draw_steps(steps, sheet)
        _draw_lengths(lengths, sheet)
        _draw_story(story, sheet, lanes)
        _draw_times(story, sheet)
        _draw_target((hand, steps, lengths, story), sheet)
        _draw_key(figure, sheet)
    return figure


def _draw_heading(figure: Figure, sheet: _Sheet) -> None:
    figures, timebase = sheet.figures, sheet.sequence.timebase
    over = sheet.cut.frames - sheet.cut.target_frames
    against = "on target" if not over else f"{counted(abs(over), 'frame')} {'over' if over > 0 else 'under'} target"
    figure.text(0.13, 0.95, _cut_short(sheet.sequence.title, 34), fontsize=18, fontweight="bold", va="baseline")
    figure.text(0.13, 0.918, f"cut {_cut_short(sheet.cut.name, 24)}, {timebase.rate.name} frames a second", fontsize=10, va="baseline")
    told = f"{timebase.label(sheet.cut.frames)}, {against}"
    figure.text(0.965, 0.95, told, fontsize=14, family="DejaVu Sans Mono", ha="right", va="baseline")
    lengths = figures.lengths
    told = (
        f"{counted_shots(sheet.cut)}, {figures.shots_per_minute:.1f} a minute: average {lengths.average:.2f} s, median "
        f"{lengths.median:.2f} s   |   {counted(len(figures.hits), 'hit')}, {figures.hits_per_second:.2f} a second"
    )
    figure.text(0.965, 0.918, told, fontsize=10, ha="right", va="baseline")


def _draw_upper_hand(axes: Axes, sheet: _Sheet) -> None:
    """The upper hand as a step: a line for each role, level between the two, or under all when they are more."""
    roles = list(sheet.sequence.roles)
    lines = [LEVEL, *roles] if len(roles) != 2 else [roles[1], LEVEL, roles[0]]
    height = {name: line for line, name in enumerate(lines)}
    level = height[LEVEL]
    colours = dict(zip(roles, (RED, BLUE, GREEN, OCHRE), strict=False))
    spells = balance(sheet.sequence, sheet.cut).spells
    for spell in spells:
        at, colour = height[spell.holder], colours.get(spell.holder, INK)
        start, length = spell.record.start, spell.record.length
        if spell.holder != LEVEL:
            axes.add_patch(Rectangle((start, min(at, level)), length, abs(at - level), facecolor=colour, alpha=0.16, linewidth=0))
        axes.plot((start, start + length), (at, at), color=colour, linewidth=4, solid_capstyle="butt")
    for before, after in pairwise(spells):
        axes.plot((after.record.start,) * 2, (height[before.holder], height[after.holder]), color=INK, linewidth=1)
    axes.set_ylim(-0.35, len(lines) - 0.65)
    axes.set_yticks(range(len(lines)), [name if name == LEVEL else f"{_cut_short(name, 12)} has it" for name in lines])
    axes.axhline(level, color=FAINT, linewidth=0.6, zorder=0)
    axes.set_title("upper hand", fontsize=8, loc="left", pad=2)


def _draw_steps(axes: Axes, sheet: _Sheet) -> None:
    """The steps: each shot a column whose top lies on the line of its size, with its hits, treatments and number."""
    sizes = sheet.sizes
    shares = dict(zip(sheet.figures.sizes["size"], sheet.figures.sizes["share"], strict=True))
    axes.set_ylim(0, len(sizes) + 0.75)
    names = [f"{size.value}  {100 * shares[size]:.0f} %" if size in shares else size.value for size in sizes]
    axes.set_yticks(range(1, len(sizes) + 1), names)
    axes.tick_params(axis="y", length=7, width=0.9, color=FAINT)
    for at in range(1, len(sizes) + 1):
        axes.axhline(at, color=FAINT, linewidth=0.6, zorder=0)
    axes.axhline(0, color=INK, linewidth=1)
    axes.set_title("shot size, with its share of the running time", fontsize=8, loc="left", pad=2)
    for span, _ in _stretches(sheet, phrase_names(sheet.sequence))[1:]:
        axes.axvline(span.start, color=FAINT, linewidth=0.9, linestyle=(0, (1, 2)), zorder=0)
    edge: list[tuple[float, float]] = []
    before: float = 0
    for one in sheet.placed:
        heights = [(own, top) for span, top in _heights(sheet, one) if (own := span.meet(one.record))]
        if not heights:
            _draw_edge(axes, sheet, edge)
            edge = []
            _draw_card(axes, sheet, one)
        for span, top in heights:
            axes.add_patch(Rectangle((span.start, 0), span.length, top, facecolor=SHADE, linewidth=0, zorder=1))
            edge += [(span.start, top), (span.end_exclusive, top)]
        _draw_cut(axes, one, before, heights[0][1] if heights else 0)
        before = heights[-1][1] if heights else 0
        if one.shot.frames > sheet.frames_a_character * len(str(one.number)) * 1.5:
            middle, foot_of_text = one.record.start + one.shot.frames / 2, 0.05 if heights else 0.2
            behind = _patch_of(SHADE if heights else GROUND)
            axes.text(middle, foot_of_text, str(one.number), fontsize=7, ha="center", va="bottom", zorder=6, bbox=behind)
    _draw_edge(axes, sheet, edge)
    _draw_treatments(axes, sheet)
    _draw_hits(axes, sheet)


def _draw_cut(axes: Axes, one: Placed, before: float, after: float) -> None:
    """A cut as an upright line, a dissolve or a wipe as a slanted one: up to what comes in, or down to black."""
    transition, start = one.shot.transition, one.record.start
    if transition is None:
        axes.plot((start, start), (0, after or 0.6), color=INK, linewidth=0.5, zorder=2)
    elif isinstance(one.shot.picture, Black):
        axes.plot((start, start + transition.frames), (before, 0), color=INK, linewidth=1.4, zorder=2)
    else:
        axes.plot((start, start + transition.frames), (0, after or 0.6), color=INK, linewidth=1.4, zorder=2)


def _draw_edge(axes: Axes, sheet: _Sheet, edge: list[tuple[float, float]]) -> None:
    if edge:
        axes.plot(
            *zip(*edge, strict=True), color=INK, linewidth=2.6 * sheet.weight, solid_joinstyle="miter", solid_capstyle="butt", zorder=4
        )


def _heights(sheet: _Sheet, one: Placed) -> list[tuple[Span, int]]:
    """Where a shot keeps its size, in record frames and on under the next transition, and its height; nothing without a camera."""
    return [(span, sheet.level(framing.size)) for span, framing in one.framings(sheet.figures.fps)]


def _draw_card(axes: Axes, sheet: _Sheet, one: Placed) -> None:
    """A card as a card: a dashed outline with its words; black as a dark sill."""
    start, frames = one.record.start, one.shot.frames
    picture = one.shot.picture
    if not isinstance(picture, Card):
        axes.add_patch(Rectangle((start, 0), frames, 0.16, facecolor=INK, linewidth=0, zorder=2))
        return
    inset = min(frames * 0.08, sheet.frames_a_character)
    tall = len(sheet.sizes) * 0.7
    outline = Rectangle(
        (start + inset, 0.45), frames - 2 * inset, tall - 0.45, fill=False, edgecolor=INK, linewidth=1.1, linestyle=(0, (4, 2))
    )
    axes.add_patch(outline)
    last = picture.first_move if picture.last_move is None else picture.last_move
    moves = "" if picture.first_move is None or last is None else f", moves {moves_text(tuple(range(picture.first_move, last + 1)))}"
    words, across = f"card{moves}: {picture.text}", int(0.85 * frames / sheet.frames_a_character) - 2
    upright = int(34 * sheet.extent.tall / A4_LANDSCAPE.tall)
    style: dict[str, Any] = {"fontsize": 7, "ha": "center", "va": "center", "zorder": 5, "bbox": _patch_of(GROUND)}
    if across >= _LEAST_CARD_LINE:
        axes.text(start + frames / 2, tall / 2 + 0.2, textwrap.fill(_cut_short(words, 12 * across), across), **style)
    elif across >= 0:
        axes.text(start + frames / 2, tall / 2 + 0.2, _cut_short(words, upright), rotation=90, **style)


def _draw_treatments(axes: Axes, sheet: _Sheet) -> None:
    """Each treatment as hatching of the steps that show it, also of the one that goes on under a transition."""
    for seen in sheet.treatments:
        for span, top in _heights(sheet, seen.placed):
            shown = span.meet(seen.record)
            if shown:
                axes.add_patch(_hatched(seen, shown, _FOOT, top - _FOOT))


def _hatched(seen: SeenTreatment, shown: Span, bottom: float, height: float) -> Rectangle:
    colour, hatching = TREATMENT_LOOK[seen.treatment.kind]
    return Rectangle((shown.start, bottom), shown.length, height, fill=False, hatch=hatching, edgecolor=colour, linewidth=0.8, zorder=3)


def _draw_hits(axes: Axes, sheet: _Sheet) -> None:
    """A tick on the step for each hit, with its move's number where the next hit and the next cut leave room."""
    frames = [*(seen.record_frame for seen in sheet.hits), sheet.cut.frames]
    for seen, next_frame in zip(sheet.hits, frames[1:], strict=True):
        framing = seen.placed.framing_at(seen.record_frame, sheet.figures.fps)
        assert framing is not None
        top, width = sheet.level(framing.size), 1.6 * sheet.weight
        # In points and not in levels, so that ticks are as long on a chart of few sizes.
        axes.plot(seen.record_frame, top, color=RED, marker=_TICK, markersize=13, markeredgewidth=width, linestyle="none", zorder=5)
        # Beside the tick and not over it: a hit often lands just after its cut, where the step's edge would run through a number.
        begins, number = seen.record_frame + sheet.frames_a_character * 0.45, str(seen.move.number)
        if begins + sheet.frames_a_character * len(number) <= min(next_frame, seen.placed.on_screen.end_exclusive):
            style: dict[str, Any] = {"fontsize": 7, "color": RED, "ha": "left", "va": "bottom", "zorder": 8}
            axes.annotate(number, (begins, top), (0, 3), textcoords="offset points", bbox=_patch_of(GROUND, 0.2), **style)


def _draw_lengths(axes: Axes, sheet: _Sheet) -> None:
    """How long each shot is, between the middles of its transitions, and the moving median of that."""
    shots = sheet.figures.shots
    begins = [float(sheet.placed[number - 1].comes_in) for number in shots["shot"]]
    edges = [0.0, *begins[1:], float(sheet.cut.frames)]
    for (start, end), seconds in zip(pairwise(edges), shots["seconds"], strict=True):
        axes.add_patch(Rectangle((start, 0), end - start, seconds, facecolor=SHADE, edgecolor=FAINT, linewidth=0.5, zorder=1))
    axes.stairs(shots["moving_median_seconds"], edges, color=INK, linewidth=1.6, baseline=None, zorder=4)
    longest, middle = sheet.figures.lengths.longest, sheet.figures.lengths.median
    axes.set_ylim(0, longest * 1.05)
    ticks = [0.0, middle, longest] if longest > 1.6 * middle else [0.0, longest]
    axes.set_yticks(ticks, [f"{tick:.1f} s" if tick else "0" for tick in ticks], fontsize=7)
    axes.axhline(0, color=INK, linewidth=0.8)
    axes.set_title(f"length of each shot; line: moving median of {MOVING_SHOTS}", fontsize=8, loc="left", pad=2)


def _draw_story(axes: Axes, sheet: _Sheet, lanes: list[list[tuple[SeenTreatment, str]]]) -> None:
    """Treatments with their roles, phrases and places; phrases and places each from where the cut comes to their first hit."""
    axes.set_ylim(0, 2 + max(len(lanes), 1))
    axes.set_yticks((2 + max(len(lanes), 1) / 2, 1.5, 0.5), ("treatments", "phrase", "place"))
    for bottom, lane in enumerate(reversed(lanes), start=2):
        for seen, words in lane:
            axes.add_patch(_hatched(seen, seen.record, bottom + 0.12, 0.76))
            style: dict[str, Any] = {"fontsize": 7, "color": TREATMENT_LOOK[seen.treatment.kind][0], "va": "center", "zorder": 8}
            gap = sheet.frames_a_character * 0.6
            beside, side = seen.record.end_exclusive + gap, "left"
            if beside + sheet.frames_a_character * len(words) > sheet.end_frame * 1.03:
                beside, side = seen.record.start - gap, "right"
            axes.text(beside, bottom + 0.5, words, ha=side, bbox=_patch_of(GROUND, 0.2), **style)
    places = {move.number: move.place for move in sheet.sequence.moves}
    for bottom, names in ((1, phrase_names(sheet.sequence)), (0, places)):
        for number, (span, name) in enumerate(_stretches(sheet, names)):
            colour = SHADE if number % 2 == 0 else GROUND
            box = Rectangle((span.start, bottom + 0.08), span.length, 0.84, facecolor=colour, edgecolor=INK, linewidth=0.7)
            axes.add_patch(box)
            room = int(span.length / sheet.frames_a_character) - 1
            if room >= min(len(name), 4):
                middle, shown = span.start + span.length / 2, _cut_short(name, room)
                axes.text(middle, bottom + 0.5, shown, ha="center", va="center", fontsize=8, zorder=8, bbox=_patch_of(colour, 0.2))


def _lanes(sheet: _Sheet) -> list[list[tuple[SeenTreatment, str]]]:
    """The treatments in lanes in which none lies over another or over its role's name; a name goes where the lanes are full."""
    lanes: list[list[tuple[SeenTreatment, str]]] = []
    ends: list[float] = []
    for seen in sheet.treatments:
        role = _cut_short(seen.treatment.role, 16)
        # A treatment that begins on the next shot's first frame takes over where the one before ends.
        lane = next((number for number, end in enumerate(ends) if end <= seen.record.start), len(lanes))
        if lane == _MOST_LANES:
            lane = min(range(_MOST_LANES), key=lambda number: max(one.record.end_exclusive for one, _ in lanes[number]))
            lanes[lane][-1] = (lanes[lane][-1][0], "")
        elif lane == len(lanes):
            lanes.append([])
            ends.append(0)
        lanes[lane].append((seen, role))
        ends[lane] = seen.record.end_exclusive + sheet.frames_a_character * (len(role) + 1.5)
    return lanes


def _stretches(sheet: _Sheet, names: dict[int, str]) -> list[tuple[Span, str]]:
    return stretches(sheet.hits, names, sheet.cut.frames)


def _draw_times(axes: Axes, sheet: _Sheet) -> None:
    rate = sheet.sequence.timebase.rate
    seconds = next((step for step in _TICK_SECONDS if sheet.end_frame / (step * rate.nominal) <= _MOST_TICKS), _TICK_SECONDS[-1])
    frames = list(range(0, sheet.end_frame + 1, seconds * rate.nominal))
    axes.tick_params(labelbottom=True, length=4, axis="x", width=1)
    axes.set_xticks(frames, [record_label(sheet.sequence, frame) for frame in frames], family="DejaVu Sans Mono", fontsize=7)


def _draw_target(all_axes: tuple[Axes, ...], sheet: _Sheet) -> None:
    target = sheet.cut.target_frames
    for axes in all_axes:
        # Under every word, which has a patch of the ground behind it.
        axes.axvline(target, color=RED, linewidth=2, linestyle=(0, (6, 2)), zorder=4.5)
        if sheet.cut.frames > target:
            axes.axvspan(target, sheet.cut.frames, facecolor=RED, alpha=0.12, linewidth=0, zorder=0)
    words, left = f"target {sheet.sequence.timebase.label(target)}", target - sheet.frames_a_character
    style: dict[str, Any] = {
        "fontsize": 8,
        "color": RED,
        "fontweight": "bold",
        "ha": "right",
        "va": "top",
        "zorder": 8,
        "bbox": _patch_of(GROUND),
    }
    all_axes[1].text(left, len(sheet.sizes) + 0.72, words, **style)


def _draw_key(figure: Figure, sheet: _Sheet) -> None:
    used = {seen.treatment.kind for seen in sheet.treatments}
    handles = [
        Patch(fill=False, hatch=hatching, edgecolor=colour, label=kind.value)
        for kind, (colour, hatching) in TREATMENT_LOOK.items()
        if kind in used
    ]
    if any(isinstance(one.shot.picture, Card) for one in sheet.placed):
        handles.append(Patch(fill=False, edgecolor=INK, linestyle="--", label="card: not shot yet"))
    if any(isinstance(one.shot.picture, Black) for one in sheet.placed):
        handles.append(Patch(facecolor=INK, label="black"))
    words = "Each step is a shot; its top lies on the line of its size: the higher, the closer. Below it stands its number. Ticks are hits."
    if any(one.shot.transition for one in sheet.placed):
        words += " A slanted line is a dissolve or a wipe."
    extent = sheet.extent
    left = extent.left / extent.width
    figure.text(left, extent.words / extent.height, words, fontsize=8, va="center")
    if handles:
        figure.legend(
            handles=handles,
            loc="center left",
            bbox_to_anchor=(left - 0.006, extent.key / extent.height),
            ncols=5,
            frameon=False,
            handleheight=1.3,
        )


def _patch_of(colour: str, pad: float = 0.8) -> dict[str, object]:
    """A patch of the ground's colour behind text, so that no hatching and no line runs through it; `pad` is in points."""
    return {"facecolor": colour, "edgecolor": "none", "pad": pad}


def _cut_short(text: str, room: int) -> str:
    return text if len(text) <= room else text[: max(room - 3, 1)].rstrip() + "..."
