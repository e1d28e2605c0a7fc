"""Where on a take a double's face shows that no treatment covers, frame by frame; what that costs is for `prices`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from previs.clock import Span, first_grid_frame, grid_span
from previs.document.model import Casting, Framing, Kind, Sequence, Shows, Take


@dataclass(frozen=True, slots=True)
class BareFace:
    """A run of tape frames, on the sequence-rate grid, in which a double's face shows uncovered; `full` or in part."""

    frames: Span
    full: bool
    words: str


def bare_faces(sequence: Sequence, take: Take) -> tuple[BareFace, ...]:
    """Every such run of a take, in no order; none for roles that are not cast, since nobody can be told a double there.

    A digital double covers a face in every size, a face replacement where the sequence's settings say it holds.
    """
    actors = {one.role: one.actor for one in sequence.cast}
    doubles = [one for one in take.performers if one.role in actors and one.performer != actors[one.role]]
    return tuple(bare for double in doubles for bare in _of_double(sequence, take, double))


def _of_double(sequence: Sequence, take: Take, double: Casting) -> Iterator[BareFace]:
    fps = sequence.timebase.rate.fps
    words = f"{double.performer} is seen as {double.role}"
    marks = [mark for mark in sequence.treatments if (mark.reel, mark.role) == (take.reel, double.role)]
    for framing, holds in _framings(sequence, take):
        shows = framing.face_of(double.role)
        if shows is Shows.HIDDEN:
            continue
        covering = {Kind.DIGITAL_DOUBLE}
        if framing.size.closeness <= sequence.settings.replaced_to.closeness:
            covering.add(Kind.FACE_REPLACEMENT)
        covered = [grid_span(mark.span, fps) for mark in marks if mark.kind in covering]
        for left in holds.without(covered):
            yield BareFace(left, shows is Shows.FULL, words)


def _framings(sequence: Sequence, take: Take) -> Iterator[tuple[Framing, Span]]:
    """Each framing and the tape frames in which it holds; the first one from the take's beginning."""
    fps = sequence.timebase.rate.fps
    whole = grid_span(take.span, fps)
    begins = [whole.start, *(first_grid_frame(framing.at, fps) for framing in take.framings[1:]), whole.end_exclusive]
    for framing, (begin, end) in zip(take.framings, pairwise(begins), strict=True):
        if holds := Span(begin, max(begin, end)).meet(whole):
            yield framing, holds
