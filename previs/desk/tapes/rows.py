"""The table of tapes as data: what each column says of a tape, and what a person may correct; no Qt."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import IntEnum
from fractions import Fraction

from previs.cut.wording import counted
from previs.desk.words import tr
from previs.document import tape_edits
from previs.document.model import Sequence, Sync, Tape
from previs.media.tapes_there import TapeThere


class Column(IntEnum):
    """The columns, from the left."""

    STILL = 0
    REEL = 1
    CAMERA = 2
    START = 3
    LENGTH = 4
    RATE = 5
    PICTURE = 6
    SOUND = 7
    TOGETHER = 8
    TAKES = 9
    COPY = 10
    FILE = 11


EDITED = frozenset({Column.REEL, Column.CAMERA, Column.START})
"""The columns in which a person writes."""
FIGURES = frozenset({Column.START, Column.LENGTH})
"""The columns of time code."""


@dataclass(frozen=True, slots=True)
class TapeRow:
    """One tape: the words of each column but the still's, in two lines at most; `away` when its file is not in its place."""

    reel: str
    still_frame: int
    words: Mapping[Column, str]
    away: bool
    path: str

    def written(self, column: Column) -> str:
        """What a person corrects in a column: its first line."""
        return self.words[column].split("\n")[0]


def headings() -> dict[Column, str]:
    """What stands over each column."""
    return {
        Column.STILL: "",
        Column.REEL: tr("Reel"),
        Column.CAMERA: tr("Camera"),
        Column.START: tr("Begins at"),
        Column.LENGTH: tr("Length"),
        Column.RATE: tr("Rate"),
        Column.PICTURE: tr("Picture"),
        Column.SOUND: tr("Sound"),
        Column.TOGETHER: tr("Ran with"),
        Column.TAKES: tr("Takes"),
        Column.COPY: tr("Work copy"),
        Column.FILE: tr("File"),
    }


def tape_rows(sequence: Sequence, there: Mapping[str, TapeThere]) -> tuple[TapeRow, ...]:
    """A row for each tape, in the order of the document; what `there` does not know yet stays open."""
    takes: dict[str, int] = {}
    for take in sequence.takes:
        takes[take.reel] = takes.get(take.reel, 0) + 1
    return tuple(_row(sequence, tape, takes.get(tape.reel, 0), there.get(tape.reel)) for tape in sequence.tapes)


def _row(sequence: Sequence, tape: Tape, takes: int, there: TapeThere | None) -> TapeRow:
    first_take = min((take.start for take in sequence.takes if take.reel == tape.reel), default=None)
    still_at = tape.duration / 2 if first_take is None else first_take
    words = {
        Column.REEL: tape.reel,
        Column.CAMERA: tape.camera,
        Column.START: f"{tape.timebase.label(tape.timebase.wrap(tape.start_frame))}\n{_from(tape)}",
        Column.LENGTH: f"{_clock(tape.duration)}\n{tr('{frames} frames', frames=tape.frames)}",
        Column.RATE: tape.rate_name + (f"\n{tr('variable')}" if tape.variable else ""),
        Column.PICTURE: _picture(tape),
        Column.SOUND: _sound(tape),
        Column.TOGETHER: _together(sequence, tape.reel),
        Column.TAKES: str(takes),
        Column.COPY: "" if there is None else tr("there") if there.work_copy else tr("not yet"),
        Column.FILE: "" if there is None else tr("in its place") if there.file else tr("\u2716 away"),
    }
    return TapeRow(tape.reel, int(still_at * sequence.timebase.rate.fps), words, there is not None and not there.file, tape.path)


def _from(tape: Tape) -> str:
    return {"tape": tr("the tape's own"), "given": tr("given by hand"), "none": tr("no time code")}[tape.start_from]


def _clock(seconds: Fraction) -> str:
    minutes, left = divmod(float(seconds), 60)
    return f"{int(minutes)}:{left:05.2f}"


def _picture(tape: Tape) -> str:
    turned = tr(", turned {degrees}", degrees=tape.rotation) if tape.rotation else ""
    return f"{tape.width} x {tape.height}\n{tape.codec}{turned}"


def _sound(tape: Tape) -> str:
    if tape.sound is None:
        return tr("none")
    channels = {1: tr("mono"), 2: tr("stereo")}.get(tape.sound.channels, tr("{number} channels", number=tape.sound.channels))
    return f"{channels}\n{tape.sound.sample_rate / 1000:g} kHz"


def _together(sequence: Sequence, reel: str) -> str:
    mine = next((one for one in sequence.syncs if one.reel == reel), None)
    if mine is None:
        return ""
    others = [one.reel for one in sequence.syncs if one.session == mine.session and one.reel != reel]
    return f"{', '.join(others)}\n{_surely(mine)}"


def _surely(sync: Sync) -> str:
    return tr("{percent} % sure", percent=sync.confidence)


def correction(column: Column, reel: str, text: str) -> tuple[Callable[[Sequence], Sequence], str]:
    """The edit that a text written into a column asks for, and what undo calls it."""
    if column is Column.CAMERA:
        return lambda sequence: tape_edits.set_camera(sequence, reel, text), f"camera of tape {reel}"
    if column is Column.START:
        return lambda sequence: tape_edits.set_start(sequence, reel, text.strip()), f"time code of tape {reel}"
    return lambda sequence: tape_edits.rename(sequence, reel, text), f"rename tape {reel}"


def told(sequence: Sequence, rows: tuple[TapeRow, ...], there: Mapping[str, TapeThere]) -> str:
    """How it stands with the tapes, in a line or two."""
    if not rows:
        return tr("There are no tapes yet. Take some in, or drop movie files on this page.")
    total = sum((tape.duration for tape in sequence.tapes), Fraction(0))
    away = sum(row.away for row in rows)
    lacking = sum(not there[row.reel].work_copy for row in rows if row.reel in there and not row.away)
    parts = [tr("{tapes}, {length} in all.", tapes=counted(len(rows), "tape"), length=_clock(total))]
    if away:
        parts.append(tr("Not in their places: {away}. Look for them in the folder where they are now.", away=away))
    if lacking:
        parts.append(tr("Without a work copy: {lacking}. They play and cut more slowly until they have one.", lacking=lacking))
    return " ".join(parts)
