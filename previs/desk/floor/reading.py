"""Plans, rooms, routes and reaches taken in from files: read in the background, each one edit, and told."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from previs.cut.wording import counted
from previs.desk.floor.layers_dialog import LayersDialog
from previs.desk.open_file import OpenFile
from previs.desk.words import tr
from previs.document.floor import Room
from previs.document.floor_edits import with_reaches, with_room, with_routes
from previs.document.model import Sequence
from previs.faults import UseFault
from previs.floor.drawing_plan import TABLES, ReadPlan, plan_told, read_plan, with_read_plan
from previs.floor.drawing_survey import Survey, survey
from previs.floor.room_table import read_room_table, room_told
from previs.floor.routes_table import ReadWays, read_ways

Told = Callable[[tuple[str, ...]], None]


class Reading:
    """Reads into one open file. `ask` shows the dialog for unit and layers, and says whether the person went through with it.

    `told` is given the sentences on a plan that was read.
    """

    def __init__(self, file: OpenFile, ask: Callable[[Survey, Path], LayersDialog | None], told: Told) -> None:
        self._file, self._ask, self._told = file, ask, told

    def plan(self, path: Path, *, asking: bool = False) -> None:
        """Read a plan; a drawing that does not say its unit, or what is on its layers, is asked about first, or any with `asking`."""
        if path.suffix.lower() in TABLES:
            self._read(path, "", "")
            return

        def then(found: Survey) -> None:
            if not (asking or found.asks):
                self._read(path, "", "")
            elif dialog := self._ask(found, path):
                self._read(path, dialog.unit, dialog.layers)

        self._file.do(tr("Looking at {name}", name=path.name), lambda _report: survey(path), then)

    def room(self, path: Path) -> None:
        """Read a room from a table."""
        self._file.do(tr("Reading {name}", name=path.name), lambda _report: read_room_table(path), lambda room: self.take_room(room))

    def take_room(self, room: Room | None) -> None:
        """Have this room, or none any more."""
        floor = self._file.sequence.floor
        laid = bool(floor and floor.laid and floor.room != room)
        if floor is not None and floor.room == room:
            return
        if self._file.edit(lambda now: with_room(now, room), tr("set the room") if room else tr("remove the room")):
            gone = tr("How the plan was laid in the old room is gone; fit it again.") if laid else ""
            said = room_told(room) if room else tr("There is no rehearsal room any more.")
            self._file.say(" ".join(filter(None, (said, gone))))

    def ways(self, paths: tuple[Path, ...]) -> None:
        """Read tables of routes and of reaches, each in the place of all that there were of its kind."""
        sequence = self._file.sequence
        if not sequence.moves:
            raise UseFault(tr("There is no fight yet, so nobody goes anywhere; write it in the Fight place."))
        names = ", ".join(path.name for path in paths)
        self._file.do(
            tr("Reading {name}", name=names), lambda _report: read_ways(paths, sequence), lambda read: self._take_ways(read, names)
        )

    def _read(self, path: Path, unit: str, layers: str) -> None:
        self._file.do(tr("Reading {name}", name=path.name), lambda _report: read_plan(path, unit, layers), self._take_plan)

    def _take_plan(self, read: ReadPlan) -> None:
        told = tuple(plan_told(read, self._file.sequence))
        if self._file.edit(lambda now: with_read_plan(now, read), tr("read the plan from {name}", name=read.drawn_in)):
            self._file.say(told[0])
            self._told(told)

    def _take_ways(self, read: ReadWays, names: str) -> None:
        floor = read.sequence.floor

        def change(now: Sequence) -> Sequence:
            after = now if read.routes is None or floor is None else with_routes(now, floor.routes)
            return after if read.reaches is None or floor is None else with_reaches(after, floor.reaches)

        if self._file.edit(change, tr("read {name}", name=names)):
            told = [] if read.routes is None else [counted(read.routes, "route")]
            told += [] if read.reaches is None else [tr("the reach of {weapons}", weapons=counted(read.reaches, "weapon"))]
            self._file.say(tr("Read: {what}.", what=tr(" and ").join(told)))
