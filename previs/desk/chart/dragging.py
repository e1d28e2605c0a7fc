"""A drag on the chart as a value: which edit it means, what the cut would be, and how far it can go; no Qt, nothing is saved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from previs.cut import edits
from previs.cut.placing import place
from previs.document.model import Cut, Sequence
from previs.faults import UseFault

SNAP_PIXELS = 8.0

Edit = Callable[[Sequence, str, int, int], Sequence]


class Drag(StrEnum):
    """What a drag does, in the words in which it can be undone."""

    TRIM_HEAD = "trim the head of shot {shot}"
    TRIM_TAIL = "trim the tail of shot {shot}"
    ROLL = "roll the cut point into shot {shot}"
    SLIP = "slip shot {shot}"


_EDITS: dict[Drag, tuple[Edit, int]] = {
    # Pulling a head to the right takes frames away; pulling a picture to the right shows what was earlier on the tape.
    Drag.TRIM_HEAD: (edits.trim_head, -1),
    Drag.TRIM_TAIL: (edits.trim_tail, 1),
    Drag.ROLL: (edits.roll, 1),
    Drag.SLIP: (edits.slip, -1),
}


@dataclass(frozen=True, slots=True)
class Preview:
    """What a drag by `frames` to the right gives: the sequence, None for no frames, and why it went no further, if so."""

    frames: int
    sequence: Sequence | None
    stopped: str = ""


def what(drag: Drag, shot: int, cut_name: str) -> str:
    """What undo will call it, as the command line calls it."""
    return f"{drag.value.format(shot=shot)} of {cut_name}"


def previewed(sequence: Sequence, cut_name: str, shot: int, drag: Drag, frames: int) -> Preview:
    """The drag by `frames` to the right, or as far on the way as it can go."""
    if frames == 0:
        return Preview(0, None)
    change, sign = _EDITS[drag]

    def made(by: int) -> Sequence | str:
        try:
            return change(sequence, cut_name, shot, sign * by)
        except UseFault as fault:
            return str(fault)

    wanted = made(frames)
    if not isinstance(wanted, str):
        return Preview(frames, wanted)
    # What can be done by n frames can be done by fewer: the last that can is between none and what was asked.
    done, not_done, best = 0, abs(frames), None
    towards = 1 if frames > 0 else -1
    while not_done - done > 1:
        middle = (done + not_done) // 2
        found = made(towards * middle)
        if isinstance(found, str):
            not_done = middle
        else:
            done, best = middle, found
    return Preview(towards * done, best, wanted)


def snapped(sequence: Sequence, cut: Cut, shot: int, drag: Drag, frames: int, reach: int) -> int:
    """The drag by `frames`, or by a few more or fewer where that brings the cut to its target or the edge to a hit's lead."""
    nearest = min(_stops(sequence, cut, shot, drag), key=lambda stop: abs(stop - frames), default=None)
    return nearest if nearest is not None and abs(nearest - frames) <= reach else frames


def _stops(sequence: Sequence, cut: Cut, shot: int, drag: Drag) -> list[int]:
    """By how many frames to the right the drag comes to a place that is worth stopping at."""
    one = place(sequence, cut)[shot - 1]
    over = cut.frames - cut.target_frames
    lead = sequence.settings.lead_frames
    stops = [over] if drag is Drag.TRIM_HEAD else [-over] if drag is Drag.TRIM_TAIL else []
    if one.source is None or drag is Drag.SLIP or one.source.speed <= 0:
        return stops
    edge = one.shot.frames if drag is Drag.TRIM_TAIL else 0
    fps = sequence.timebase.rate.fps
    for hit in one.source.take.hits:
        landing = round((hit.at * fps - one.source.first_frame) / one.source.speed)
        stops.append(landing - lead - edge)
    return [stop for stop in stops if stop]
