"""What the tape sheet shows of one tape, in frames of its grid, and what lies under a pointer; no Qt, no drawing."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, field
from enum import StrEnum

from previs.clock import Span, first_grid_frame, grid_span
from previs.desk.chart.scale import Scale
from previs.desk.log.offers import Offer
from previs.document.invariants import usable_grid_frames
from previs.document.model import SURE, Kind, Sequence, Size, Tape
from previs.media.signals import Signals

NEAR_PIXELS = 6.0
_SAME_FRAMES = 3


@dataclass(frozen=True, slots=True)
class TakeStrip:
    """A take as a strip of floor tape; `colour` is the number of its tape."""

    name: str
    span: Span
    colour: int
    label: str


@dataclass(frozen=True, slots=True)
class HitTick:
    """A hit: its take, its move, the frame that it is seen on, whether somebody has looked at it."""

    take: str
    move: int
    frame: int
    sure: bool


@dataclass(frozen=True, slots=True)
class Flag:
    """The framing from a frame on; `first` when it is the one that the take begins with."""

    take: str
    frame: int
    size: Size
    first: bool


@dataclass(frozen=True, slots=True)
class Hatched:
    """A treated stretch; `open` while its end has not been marked."""

    span: Span
    kind: Kind
    role: str
    open: bool = False


@dataclass(frozen=True, slots=True)
class TapeSheetData:
    """All that is drawn of a tape but its curves. `offered` are frames of proposed hits, `slates` of slates heard."""

    tape: Tape
    frames: int
    takes: tuple[TakeStrip, ...] = ()
    hits: tuple[HitTick, ...] = ()
    flags: tuple[Flag, ...] = ()
    hatched: tuple[Hatched, ...] = ()
    offered: tuple[int, ...] = ()
    slates: tuple[int, ...] = ()
    offers: tuple[tuple[Span, str], ...] = field(default=())


def sheet_data(sequence: Sequence, reel: str, signals: Signals | None, offers: tuple[Offer, ...] = ()) -> TapeSheetData | None:
    """What there is to draw of a tape; None for one that is not there."""
    tape = next((one for one in sequence.tapes if one.reel == reel), None)
    if tape is None:
        return None
    fps = sequence.timebase.rate.fps
    takes = [take for take in sequence.takes if take.reel == reel]
    hits = tuple(HitTick(take.name, hit.move, first_grid_frame(hit.at, fps), hit.confidence == SURE) for take in takes for hit in take.hits)
    return TapeSheetData(
        tape=tape,
        frames=usable_grid_frames(tape, fps),
        takes=tuple(TakeStrip(take.name, grid_span(take.span, fps), number, take.name) for number, take in enumerate(takes)),
        hits=hits,
        flags=tuple(
            Flag(take.name, first_grid_frame(framing.at, fps), framing.size, number == 0)
            for take in takes
            for number, framing in enumerate(take.framings)
        ),
        hatched=tuple(Hatched(grid_span(one.span, fps), one.kind, one.role) for one in sequence.treatments if one.reel == reel),
        offered=_offered(signals, hits, float(fps)),
        slates=tuple(int(slate.at * float(fps)) for slate in signals.slates) if signals else (),
        offers=tuple((grid_span(one.span, fps), one.why) for one in offers),
    )


def _offered(signals: Signals | None, hits: tuple[HitTick, ...], fps: float) -> tuple[int, ...]:
    """Frames of proposed hits that no marked hit stands at."""
    if signals is None:
        return ()
    marked = sorted(hit.frame for hit in hits)
    found = []
    for hit in signals.hits:
        frame = int(hit.at * fps)
        place = bisect_left(marked, frame - _SAME_FRAMES)
        if place == len(marked) or marked[place] > frame + _SAME_FRAMES:
            found.append(frame)
    return tuple(found)


class Grip(StrEnum):
    """What of the sheet can be taken hold of."""

    BEGIN = "begin"
    END = "end"
    HIT = "hit"


@dataclass(frozen=True, slots=True)
class Gripped:
    """An edge of a take, or a hit of it (`move`)."""

    grip: Grip
    take: str
    move: int = 0


def hit_under(data: TapeSheetData, scale: Scale, x: float) -> Gripped | None:
    """The hit nearest to a pixel, within reach."""
    near = min(data.hits, key=lambda hit: abs(scale.x(hit.frame + 0.5) - x), default=None)
    return Gripped(Grip.HIT, near.take, near.move) if near and abs(scale.x(near.frame + 0.5) - x) <= NEAR_PIXELS else None


def edge_under(data: TapeSheetData, scale: Scale, x: float, chosen: str) -> Gripped | None:
    """The edge of a take under a pixel; where two meet, the chosen take's, else the one on the pointer's side."""
    found: list[tuple[bool, float, Gripped]] = []
    for take in data.takes:
        left, right = scale.x(take.span.start), scale.x(take.span.end_exclusive)
        reach = min(NEAR_PIXELS, (right - left) / 3)
        for grip, off in ((Grip.BEGIN, x - left), (Grip.END, right - x)):
            if -NEAR_PIXELS <= off <= reach:
                found.append((take.name != chosen, abs(off) if off >= 0 else abs(off) + 0.5, Gripped(grip, take.name)))
    return min(found, key=lambda one: one[:2])[2] if found else None


def take_under(data: TapeSheetData, frame: int, chosen: str) -> str:
    """The name of the take at a frame, the chosen one where two are; empty between takes."""
    here = [take.name for take in data.takes if take.span.holds(frame)]
    return chosen if chosen in here else (here[-1] if here else "")


def marks_of(data: TapeSheetData) -> list[int]:
    """Every frame at which something is marked or offered, rising."""
    frames = {edge for take in data.takes for edge in (take.span.start, take.span.end_exclusive - 1)}
    frames |= {hit.frame for hit in data.hits} | {flag.frame for flag in data.flags} | set(data.offered) | set(data.slates)
    frames |= {edge for span, _ in data.offers for edge in (span.start, span.end_exclusive - 1)}
    frames |= {edge for one in data.hatched for edge in (one.span.start, one.span.end_exclusive - 1)}
    return sorted(frame for frame in frames if 0 <= frame < data.frames)
