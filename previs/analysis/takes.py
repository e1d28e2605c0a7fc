"""Where takes may lie on a tape: from slates, stops of the camera and rests; proposals for a person, never marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from previs.analysis.motion import CameraBreak, StillSpan
from previs.analysis.onsets import Impulse

SETTLE_SECONDS = 0.8
"""From the slate to where a take may begin: the slate has to leave the frame. Common practice, no source."""
AFTER_SECONDS = 2.0
"""How long after its last hit a take goes on, for the breath and the actors' settling."""
BEFORE_SLATE_SECONDS = 1.0
LEAST_SECONDS = 1.0
REST_SECONDS = 1.5
"""A rest at least this long parts takes on a tape without slates."""


@dataclass(frozen=True, slots=True)
class ProposedTake:
    """A stretch of tape that looks like a take, in seconds; `hits` are the moments of blows in it, `why` the evidence in words."""

    begin: float
    end: float
    confidence: float
    hits: tuple[float, ...]
    why: str


def proposed_takes(
    seconds: float,
    slates: Sequence[Impulse],
    hits: Sequence[Impulse],
    breaks: Sequence[CameraBreak] = (),
    rests: Sequence[StillSpan] = (),
) -> tuple[ProposedTake, ...]:
    """The takes on a tape of this length, in order of time.

    Where slates are heard each begins a take; elsewhere the camera's stops and long rests part them. A take ends a
    little after its last hit, or where the next one's slate comes in.
    """
    found = []
    if slates:
        edges = [(slate.at + SETTLE_SECONDS, slate.confidence, f"slate at {slate.at:.2f} s") for slate in slates]
        ends = [slate.at - BEFORE_SLATE_SECONDS for slate in slates[1:]] + [seconds]
        spans = [(begin, end, sure, why) for (begin, sure, why), end in zip(edges, ends, strict=True)]
    else:
        spans = _between_rests(seconds, breaks, rests)
    for begin, end, sure, why in spans:
        landed = tuple(hit.at for hit in hits if begin <= hit.at < end)
        stop = min(end, landed[-1] + AFTER_SECONDS) if landed else _rest_after(begin, end, rests)
        if stop - begin >= LEAST_SECONDS:
            said = f"{why}, {len(landed)} hits" if landed else f"{why}, nothing lands: a false start"
            found.append(ProposedTake(begin, stop, sure, landed, said))
    return tuple(found)


def _between_rests(seconds: float, breaks: Sequence[CameraBreak], rests: Sequence[StillSpan]) -> list[tuple[float, float, float, str]]:
    marks = [(0.0, 0.0, 1.0, "the tape begins")]
    marks += [(cut.at_seconds, cut.at_seconds, cut.confidence, "the camera was stopped") for cut in breaks]
    marks += [
        (rest.start_seconds, rest.end_seconds, rest.confidence * 0.6, "after a rest")
        for rest in rests
        if rest.end_seconds - rest.start_seconds >= REST_SECONDS
    ]
    marks.sort()
    marks.append((seconds, seconds, 0.0, ""))
    return [(one[1], following[0], one[2], one[3]) for one, following in pairwise(marks) if following[0] > one[1]]


def _rest_after(begin: float, end: float, rests: Sequence[StillSpan]) -> float:
    """Where the fighters stand still again, or the end."""
    return min((rest.start_seconds for rest in rests if begin + LEAST_SECONDS <= rest.start_seconds < end), default=end)
