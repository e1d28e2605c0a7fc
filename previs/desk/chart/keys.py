"""The keys of the chart, as actions with texts; what they do is the chart's own."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Protocol

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QAction, QKeySequence
from PyQt6.QtWidgets import QWidget

from previs.desk.chart.dragging import Drag
from previs.desk.words import tr


class Keyed(Protocol):
    """What the keys call."""

    def by_keys(self, drag: Drag, frames: int) -> None:
        """Pull the chosen shot by so many frames to the right."""

    def neighbour(self, by: int) -> None:
        """Choose a shot further on or back."""

    def toggle_snap(self) -> None:
        """Let edges stop at places that are worth it, or not."""

    def zoom_in(self) -> None:
        """Closer."""

    def zoom_out(self) -> None:
        """Wider."""

    def whole(self) -> None:
        """All of it."""

    def fill_with_shot(self) -> None:
        """As close as the chosen shot allows."""


def actions_of(chart: Keyed, parent: QWidget) -> list[QAction]:
    """Every action. Those of shots and zoom listen only while the chart itself has the keys: lists beside it need the arrows."""
    made = [_action(parent, *row, Qt.ShortcutContext.WidgetWithChildrenShortcut) for row in _edits(chart)]
    made += [_action(parent, *row, Qt.ShortcutContext.WidgetShortcut) for row in _looks(chart)]
    return made


def _edits(chart: Keyed) -> list[tuple[str, tuple[str, ...], Callable[[], None]]]:
    tail, head = Drag.TRIM_TAIL, Drag.TRIM_HEAD
    rows: list[tuple[str, tuple[str, ...], Callable[[], None]]] = []
    for by, keys in ((1, "Alt+Right"), (-1, "Alt+Left"), (10, "Alt+Shift+Right"), (-10, "Alt+Shift+Left")):
        rows.append((tr("Tail of the shot: {frames:+d} frames", frames=by), (keys,), partial(chart.by_keys, tail, by)))
    for by, keys in ((1, "Ctrl+Left"), (-1, "Ctrl+Right"), (10, "Ctrl+Shift+Left"), (-10, "Ctrl+Shift+Right")):
        rows.append((tr("Head of the shot: {frames:+d} frames", frames=by), (keys,), partial(chart.by_keys, head, -by)))
    for by, keys in ((1, "Ctrl+Alt+Right"), (-1, "Ctrl+Alt+Left"), (10, "Ctrl+Alt+Shift+Right"), (-10, "Ctrl+Alt+Shift+Left")):
        rows.append((tr("Cut point into the shot: {frames:+d} frames", frames=by), (keys,), partial(chart.by_keys, Drag.ROLL, by)))
    for by, keys in ((1, "Alt+Up"), (-1, "Alt+Down"), (10, "Alt+Shift+Up"), (-10, "Alt+Shift+Down")):
        rows.append((tr("Picture in the shot: {frames:+d} frames", frames=by), (keys,), partial(chart.by_keys, Drag.SLIP, -by)))
    return rows


def _looks(chart: Keyed) -> list[tuple[str, tuple[str, ...], Callable[[], None]]]:
    return [
        (tr("The shot before"), ("Up",), partial(chart.neighbour, -1)),
        (tr("The next shot"), ("Down",), partial(chart.neighbour, 1)),
        (tr("Edges stop at hits, at the target and at the frame that is shown, or not"), ("S",), chart.toggle_snap),
        # Plus lies on the same key as equals on many keyboards.
        (tr("Closer"), ("+", "="), chart.zoom_in),
        (tr("Wider"), ("-",), chart.zoom_out),
        (tr("The whole cut"), ("0",), chart.whole),
        (tr("The chosen shot as large as it fits"), ("1",), chart.fill_with_shot),
    ]


def _action(parent: QWidget, text: str, keys: tuple[str, ...], do: Callable[[], None], context: Qt.ShortcutContext) -> QAction:
    action = QAction(text, parent)
    action.setShortcuts([QKeySequence(key) for key in keys])
    action.setShortcutContext(context)
    action.triggered.connect(lambda _checked=False: do())
    return action
