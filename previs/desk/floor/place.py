"""The Floor place: its keys, and its page, which is made when somebody comes here first, since the libraries of the floor take a while."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PyQt6.QtWidgets import QVBoxLayout

from previs.desk.floor.keys import floor_keys
from previs.desk.memory import Memory
from previs.desk.open_file import OpenFile, Spot
from previs.desk.place import Place
from previs.desk.words import tr

if TYPE_CHECKING:
    from previs.desk.floor.page import FloorPage


class FloorPlace(Place):
    """Where the set's plan is laid on the rehearsal floor, with everybody's way on it."""

    ident = "floor"

    def __init__(self, file: OpenFile, memory: Memory) -> None:
        super().__init__(file, memory)
        self._page: FloorPage | None = None
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(10, 4, 10, 4)
        self.keys = {name: self.act(text, keys, partial(self.do, name)) for name, text, keys in floor_keys()}
        self.others += [
            (tr("wheel"), tr("brings the plan nearer or further, about the pointer")),
            (tr("drag"), tr("pushes the plan; while a way is drawn, a spot of it")),
            (tr("click"), tr("on a mark goes to its moment; while a way is drawn, puts a spot")),
        ]

    @property
    def title(self) -> str:
        """What its tab says."""
        return tr("Floor")

    @property
    def page(self) -> FloorPage:
        """What is in the place; made when it is first wanted."""
        if self._page is None:
            from previs.desk.floor.page import FloorPage

            self._page = FloorPage(self.file, self.memory, self.keys)
            self._column.addWidget(self._page)
            self.addActions(self._page.player.actions())
        return self._page

    def do(self, name: str) -> None:
        """What the key of this name does."""
        self.page.do(name)

    def go(self, spot: Spot) -> None:
        """Show a frame or a move."""
        self.page.go(spot)

    def came(self) -> None:
        """The plan has the keys."""
        self.page.came()

    def left(self) -> None:
        """Nothing plays on elsewhere."""
        if self._page:
            self._page.left()

    def close_down(self) -> None:
        """End the threads."""
        if self._page:
            self._page.close_down()
