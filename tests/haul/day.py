"""A day of somebody who stages a fight, round after round in one process: all that the verbs do, and the desk offscreen.

Run as a program, `day.py FOLDER ROUNDS`, it prints a line of JSON after each round: how many things were done, and what the process holds.
"""

from __future__ import annotations

import gc
import json
import os
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path
from time import monotonic

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from haul.measuring import held_mb, memory_mb, open_files, threads
from msgspec.structs import replace
from PyQt6.QtCore import QCoreApplication, QEvent
from PyQt6.QtWidgets import QApplication
from small_fight import small_fight

from previs.cut import edits, retimes
from previs.cut.assembly import assemble, next_name, with_cut
from previs.cut.changes import change_text, changes
from previs.cut.pace import pace
from previs.cut.versions import copy_cut, delete_cut
from previs.desk.cut.place import CutPlace
from previs.desk.handoff.place import HandoffPlace
from previs.desk.memory import Memory
from previs.desk.window import Window, dress
from previs.document.floor import LineKind, NamedPlace, PlanLine
from previs.document.floor_edits import with_plan
from previs.document.mark_edits import put_hit
from previs.document.model import Cut, Sequence
from previs.document.paths import cache_folder, locate
from previs.document.settings import Wanted as Set
from previs.document.settings import set_to
from previs.document.sitting import Sitting
from previs.document.store import open_document
from previs.exchange.cmx3600_reading import read_list
from previs.exchange.comparing import compare
from previs.exchange.edit_list_files import edit_list_files
from previs.exchange.lists import rows
from previs.exchange.otio import write_timeline
from previs.exchange.pace_text import pace_lines
from previs.exchange.shot_lists import shot_list_files
from previs.exchange.step_chart import Format, step_chart_bytes
from previs.fight.checks import checks
from previs.floor.clearance import clearance
from previs.floor.cues import cues
from previs.handoff.call_sheets import Department
from previs.handoff.cue_sheets import write_cues
from previs.handoff.pull_files import Wanted, coded_for_pulls
from previs.handoff.pull_folder import write_pulls
from previs.handoff.sheet_files import Paper
from previs.handoff.sheet_folder import write_sheets
from previs.media.cut_movies import publish_cut
from previs.media.frames import FrameReader
from previs.media.index import frame_index
from previs.progress import silent
from previs.review.files import write_report
from previs.review.folder import write_review

MADE = date(2027, 5, 3)
LISTS = ("tapes", "takes", "moves", "hits", "shots", "treatments", "cuts")
PLACES = (("corridor", (1000, 0)), ("first door", (3000, 0)), ("stair", (5000, 0)))
LINES = (
    PlanLine(LineKind.WALL, ((3000, -2000), (3000, -450))),
    PlanLine(LineKind.DOOR, ((3000, -450), (3000, 450)), name="first door"),
    PlanLine(LineKind.DROP, ((0, -2000), (9000, -2000)), name="quay", height_mm=2400),
)
_LONGEST_WAIT_SECONDS = 120


class Day:
    """The small fight with a floor, and what is done with it; every edit is taken back, so that each round begins alike."""

    def __init__(self, folder: Path) -> None:
        self.document = small_fight(folder)
        self.out = folder / "out"
        self.out.mkdir()
        self.done = 0
        self._app = QApplication.instance() or QApplication(["previs"])
        self._memory = Memory(folder / "desk.ini")
        places = tuple(NamedPlace(name, point) for name, point in PLACES)
        self._edit(lambda one: with_plan(set_to(one, Set(raster=(320, 180))), LINES, places, "", (0, 0)), "a plan")
        self._edit(lambda one: coded_for_pulls(copy_cut(one, "v1", "v2"), "v2", Wanted()), "a second version")
        # A person saves under one name again and again; the movie of a retimed shot is rendered anew each time.
        dress(self._memory)

    def round(self, number: int) -> None:
        """Everything once; `number` makes it another edit, another shot and another kind of file each time."""
        for work in self._works(number):
            work()
            self.done += 1
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        gc.collect()

    def _works(self, number: int) -> Iterator[Callable[[], object]]:
        out, document = self.out, self.document
        edited = (
            lambda one: edits.trim_tail(one, "v2", 1, -1 - number % 3),
            lambda one: edits.slip(one, "v2", 1, 1 + number % 2),
            lambda one: retimes.retime_to_speed(one, "v2", 2, Fraction(100 + number % 40, 100)),
            lambda one: put_hit(one, "A1", 1, Fraction(3, 2) + Fraction(1 + number % 5, 24)),
            lambda one: replace(one, title=f"The Salt Stair {number}"),
        )
        yield lambda: open_document(document)
        for change in edited[:2]:
            yield lambda change=change: self._edit_and_take_back(change)
        yield lambda: self._edit(edited[2], "retime")
        yield self._assemble_and_delete
        yield lambda: [rows(self._here()[0], what, None if what in ("tapes", "cuts") else "v2") for what in LISTS]
        yield lambda: checks(*self._here())
        yield lambda: pace_lines(*self._here(), pace(*self._here()))
        yield lambda: step_chart_bytes(*self._here(), list(Format)[number % 3])
        yield self._edit_list_there_and_back
        yield lambda: write_timeline(*self._here())
        yield lambda: shot_list_files(self._here()[0], "v2", out / "shots.xlsx", datetime(2027, 5, 3, tzinfo=UTC))
        yield self._what_changed
        yield lambda: write_sheets(*self._here(), [list(Department)[number % len(Department)]], out / "sheets", Paper.A4, MADE, str)
        yield lambda: self._pull(number)
        yield lambda: publish_cut(*self._here(), document, out / "cut.mp4", quality="draft", report=silent, leader=True, beep=True)
        yield self._review
        yield lambda: write_report(self._here()[0], document, self._here()[1], out / "r.pdf", made=MADE, paper=Paper.A4, progress=silent)
        yield self._cues
        yield lambda: self._look_at_tapes(number)
        for change in edited[3:]:
            yield lambda change=change: self._edit_and_take_back(change)
        yield lambda: self._at_the_desk(number)
        yield self._take_back

    def _here(self) -> tuple[Sequence, Cut]:
        sequence = open_document(self.document).sequence
        return sequence, sequence.cut("v2")

    def _edit(self, change: Callable[[Sequence], Sequence], what: str) -> None:
        with Sitting(self.document) as sitting:
            sitting.edit(change, what)

    def _take_back(self) -> None:
        with Sitting(self.document) as sitting:
            sitting.undo()

    def _edit_and_take_back(self, change: Callable[[Sequence], Sequence]) -> None:
        with Sitting(self.document) as sitting:
            sitting.edit(change, "an edit")
            sitting.undo()
            sitting.redo()
            sitting.undo()

    def _assemble_and_delete(self) -> None:
        with Sitting(self.document) as sitting:
            name = next_name(sitting.sequence)
            sitting.edit(lambda one: with_cut(one, assemble(one, name).cut), "assemble a cut")
            sitting.edit(lambda one: delete_cut(one, name), "delete a cut")
            sitting.undo()
            sitting.undo()

    def _edit_list_there_and_back(self) -> None:
        sequence, cut = self._here()
        (made,) = edit_list_files(sequence, "v2", self.document, self.out / "cut.edl").values()
        compare(sequence, cut, [read_list(made.text.encode("ascii"), sequence.timebase, strict=True)], {})

    def _what_changed(self) -> None:
        sequence, cut = self._here()
        change_text(sequence, sequence.cut("v1"), cut, changes(sequence, sequence.cut("v1"), cut))

    def _pull(self, number: int) -> None:
        sequence, cut = self._here()
        wanted = Wanted(shots=frozenset((number % len(cut.shots) + 1,)))
        write_pulls(sequence, cut, self.document, self.out / "pulls", wanted, Paper.A4, MADE, silent)

    def _review(self) -> None:
        sequence, cut = self._here()
        beside = sequence.cut("v1")
        write_review(sequence, self.document, cut, self.out / "review", beside=beside, made=MADE, confidential=True, report=silent)

    def _cues(self) -> None:
        sequence, cut = self._here()
        clearance(sequence, sequence.roles)
        write_cues(sequence, cut, cues(sequence, cut), self.out / "cues.pdf", Paper.A4, MADE)

    def _look_at_tapes(self, number: int) -> None:
        sequence, _ = self._here()
        for tape in sequence.tapes:
            path = locate(self.document, tape)
            with FrameReader(path, frame_index(path, cache_folder(self.document)), rotation=tape.rotation) as reader:
                for frame in (0, number * 17 % tape.frames, tape.frames - 1):
                    reader.picture(frame)

    def _at_the_desk(self, number: int) -> None:
        """Open, see every place, play, edit, draw the chart in the background, and close."""
        window = Window(self._memory)
        assert window.open(self.document) and window.file
        file = window.file
        window.show()
        for shown in range(len(window.places)):
            window.show_place(shown)
            self._until(lambda: not file.work.running)
        cut = next(place for place in window.places if isinstance(place, CutPlace))
        window.show_place(window.places.index(cut))
        before = cut.player.frame
        cut.player.play(Fraction(1))
        self._until(lambda: cut.player.frame > before + 2)
        cut.player.pause()
        assert file.edit(lambda one: edits.trim_head(one, "v2", 1, 1), "trim")
        file.undo()
        handing = next(place for place in window.places if isinstance(place, HandoffPlace)).handing
        for kind in Format:
            handing.step_chart("v2", self.out / f"desk{number % 4}.{kind}")
        self._until(lambda: not file.work.running)
        window.close()
        window.deleteLater()

    def _until(self, done: Callable[[], bool]) -> None:
        begun = monotonic()
        while not done():
            self._app.processEvents()
            assert monotonic() - begun < _LONGEST_WAIT_SECONDS
        self._app.processEvents()


def main(folder: Path, rounds: int) -> None:
    """Live so many rounds, and tell after each what the process holds."""
    day = Day(folder)
    for number in range(rounds):
        begun = monotonic()
        day.round(number)
        held = {"resident": round(memory_mb(), 1), "mb": round(held_mb(), 1), "threads": threads(), "files": open_files()}
        print(json.dumps({"done": day.done, "seconds": round(monotonic() - begun, 1)} | held), flush=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
