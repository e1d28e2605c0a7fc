"""The plan fitted into the room from the window: as a whole, in sections where it does not fit, or the largest part of it."""

from __future__ import annotations

from collections.abc import Callable

from previs.desk.open_file import OpenFile, Tone
from previs.desk.words import tr
from previs.document.floor import Floor
from previs.document.floor_edits import with_laid
from previs.floor.fitting import Fitting, fitted
from previs.floor.fitting_words import fitting_told
from previs.floor.sections import in_sections


class LayingOut:
    """Fits the plan of one open file; `told` is given the sentences on what was found."""

    def __init__(self, file: OpenFile, told: Callable[[tuple[str, ...]], None]) -> None:
        self._file, self._told = file, told

    def fit(self, *, in_parts: bool = True) -> None:
        """Lay the plan; where it does not fit, in sections, or else its largest part alone."""
        floor = self._file.sequence.floor or Floor()
        room = floor.room
        if not floor.lines or room is None:
            missing = tr("the plan of the set") if not floor.lines else tr("the rehearsal room")
            self._file.say(tr("To fit the plan into the room, {missing} is missing; give it first.", missing=missing), Tone.FAULT)
            return

        def then(found: Fitting) -> None:
            now = self._file.sequence.floor
            if now is None or (now.lines, now.room) != (floor.lines, room):
                self._file.say(tr("The plan or the room was changed meanwhile; fit it again."), Tone.FAULT)
            elif self._file.edit(lambda one: with_laid(one, found.laid), tr("fit the plan into the room")):
                told = fitting_told(found, room.margin_mm)
                self._file.say(told[0])
                self._told(told)

        search = in_sections if in_parts else fitted
        self._file.do(tr("Fitting the plan into the room"), lambda report: search(floor, report), then)
