"""Where the parts of the chart stand in a widget of some size: names, upper hand, phrases, steps, numbers, ruler; it draws nothing."""

from __future__ import annotations

from dataclasses import dataclass

from PyQt6.QtCore import QRectF
from PyQt6.QtGui import QFontMetricsF

from previs.desk.chart.sheet import ChartSheet
from previs.document.model import LEVEL, Size

LEAST_LINES = 12
"""How many lines of words high a chart must be at least, so that its sizes can be told apart."""


@dataclass(frozen=True, slots=True)
class Bands:
    """Pixels from the widget's corner: the left column of names is `names` wide, and the bands stand one below the other.

    `tops` is the height of each size's line, `holders` that of each line of the upper hand, `line` that of a line of words.
    """

    names: float
    line: float
    hand: QRectF
    story: QRectF
    steps: QRectF
    foot: QRectF
    ruler: QRectF
    tops: dict[Size, float]
    holders: dict[str, float]

    @property
    def floor(self) -> float:
        """Where the steps stand."""
        return self.steps.bottom()

    @property
    def card_top(self) -> float:
        """The upper edge of cards, which have no size."""
        return self.steps.top() + self.steps.height() * 0.3


def bands(width: float, height: float, metrics: QFontMetricsF, sheet: ChartSheet) -> Bands:
    """The parts of a chart of this size."""
    line = metrics.height()
    words = [*(size.value for size in sheet.lines.sizes), *sheet.roles, LEVEL]
    names = max(metrics.horizontalAdvance(word) for word in words) + 18
    across = max(width - names - 4, 1.0)
    hand_height = min(max(height * 0.18, 2.2 * line), 1.5 * line * (len(sheet.roles) + 1))
    hand = QRectF(names, 5, across, hand_height)
    story = QRectF(names, hand.bottom() + 3, across, line + 2)
    ruler = QRectF(names, height - line - 7, across, line + 7)
    foot = QRectF(names, ruler.top() - line - 5, across, line + 5)
    steps = QRectF(names, story.bottom(), across, max(foot.top() - story.bottom(), 1.0))
    each = (steps.height() - 4) / max(len(sheet.lines.sizes), 1)
    tops = {size: round(steps.bottom() - each * sheet.lines.level(size)) + 0.0 for size in sheet.lines.sizes}
    return Bands(names, line, hand, story, steps, foot, ruler, tops, _holders(sheet.roles, hand))


def _holders(roles: tuple[str, ...], hand: QRectF) -> dict[str, float]:
    """The lines of the upper hand: level between two roles, or under all when they are more."""
    names = [roles[0], LEVEL, roles[1]] if len(roles) == 2 else [*roles, LEVEL]
    each = hand.height() / len(names)
    return {name: round(hand.top() + each * (at + 0.5)) + 0.0 for at, name in enumerate(names)}
