"""A drag on the chart as a value: which edit it means, what the cut would be, how far it can go, where it stops; nothing is saved."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from math import ceil

from previs.clock import first_grid_frame
from previs.cut import edits
from previs.cut.placing import Placed, place
from previs.document.model import Sequence
from previs.faults import UseFault

SNAP_PIXELS, SNAP_FRAMES = 7.0, 6
"""How near an edge comes to a place before it stops there: on a chart of the whole fight a pixel is many frames."""

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
class Grip:
    """What is dragged: the cut, the shot by its number (for a roll the one behind the cut point), and how."""

    cut: str
    shot: int
    drag: Drag

    @property
    def what(self) -> str:
        """What undo will call it, as the command line calls it."""
        return f"{self.drag.value.format(shot=self.shot)} of {self.cut}"

    def edited(self, sequence: Sequence, frames: int) -> Sequence:
        """The sequence with the edit that a drag by `frames` to the right means; raises `UseFault` as the edit does."""
        change, sign = _EDITS[self.drag]
        return change(sequence, self.cut, self.shot, sign * frames)


@dataclass(frozen=True, slots=True)
class Preview:
    """What a drag by `frames` to the right gives: the sequence, None for no frames, and why it went no further, if so."""

    frames: int
    sequence: Sequence | None
    stopped: str = ""


@dataclass(frozen=True, slots=True)
class Stop:
    """A place that is worth stopping at: the target, the marked frame, or, with `move`, the lead before a hit."""

    frames: int
    is_target: bool = False
    move: int | None = None


class Pull:
    """A grip that is being pulled on a sequence, which stays as it is. How far it can go is found once for each direction."""

    def __init__(self, sequence: Sequence, grip: Grip, marked_frame: int | None = None) -> None:
        """`marked_frame` is a record frame that edges stop at too: it becomes a head's first, or a tail's last."""
        self._sequence, self.grip = sequence, grip
        self._limits: dict[int, Preview] = {}
        self._stops = tuple(_stops(sequence, grip, marked_frame))

    def by(self, frames: int) -> Preview:
        """The pull by `frames` to the right, or as far on the way as it can go."""
        if frames == 0:
            return Preview(0, None)
        towards = 1 if frames > 0 else -1
        limit = self._limits.get(towards)
        if limit and abs(frames) > abs(limit.frames):
            return limit
        made = self._made(frames)
        if not isinstance(made, str):
            return Preview(frames, made)
        self._limits[towards] = limit = self._furthest(towards, abs(frames), made)
        return limit

    def stop_near(self, frames: int, reach: int) -> Stop | None:
        """The nearest stop that is no more than `reach` frames away."""
        nearest = min(self._stops, key=lambda stop: abs(stop.frames - frames), default=None)
        return nearest if nearest and abs(nearest.frames - frames) <= reach else None

    def _made(self, frames: int) -> Sequence | str:
        try:
            return self.grip.edited(self._sequence, frames)
        except UseFault as fault:
            return str(fault)

    def _furthest(self, towards: int, not_done: int, sentence: str) -> Preview:
        """The last that can be done on the way, and what speaks against the next frame: what n frames can, fewer can too."""
        done, best = 0, None
        while not_done - done > 1:
            middle = (done + not_done) // 2
            found = self._made(towards * middle)
            if isinstance(found, str):
                not_done, sentence = middle, found
            else:
                done, best = middle, found
        return Preview(towards * done, best, sentence)


def edge_frame(sequence: Sequence, grip: Grip) -> tuple[str, int] | None:
    """The reel and the frame of its grid at the edge that is pulled: a tail's last, otherwise the shot's first; None for a card."""
    one = place(sequence, sequence.cut(grip.cut))[grip.shot - 1]
    if one.source is None:
        return None
    return one.source.tape.reel, one.source.frame(one.shot.frames - 1 if grip.drag is Drag.TRIM_TAIL else 0)


def _stops(sequence: Sequence, grip: Grip, marked_frame: int | None) -> Iterator[Stop]:
    """By how many frames to the right the pull comes to a place that is worth stopping at."""
    cut = sequence.cut(grip.cut)
    if grip.drag is Drag.SLIP or not 1 <= grip.shot <= len(cut.shots):
        return
    one = place(sequence, cut)[grip.shot - 1]
    is_tail = grip.drag is Drag.TRIM_TAIL
    over = cut.frames - cut.target_frames
    if over and grip.drag is not Drag.ROLL:
        yield Stop(-over if is_tail else over, is_target=True)
    if marked_frame is not None:
        at = marked_frame + 1 - one.record.end_exclusive if is_tail else marked_frame - one.record.start
        if at:
            yield Stop(at)
    yield from _leads(sequence, one, one.shot.frames if is_tail else 0)


def _leads(sequence: Sequence, one: Placed, edge: int) -> Iterator[Stop]:
    """Where an edge that stands at the shot's own frame `edge` would come a lead before a hit of its take."""
    if one.source is None or one.source.speed <= 0:
        return
    for hit in one.source.take.hits:
        on_tape = first_grid_frame(hit.at, sequence.timebase.rate.fps)
        landing = ceil((on_tape - one.source.first_frame) / one.source.speed)
        frames = landing - sequence.settings.lead_frames - edge
        if frames:
            yield Stop(frames, move=hit.move)
