"""How fast a cut is and what there is to shoot for it, as figures; it judges nothing and draws nothing.

Average shot length is running time over number of shots (D. Bordwell, "Precise Tools in Film Studies"; N. Redfern,
Computational Film Analysis with R, 2022, ch. 7). It leans on a few long shots, so the median stands beside it. A shot that
comes in with a dissolve or a wipe begins at the transition's midpoint (B. Salt). No distribution is assumed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import pandas as pd

from previs.clock import Span, frame_played
from previs.cut.placing import Placed, Source, hits_seen, moves_held, place
from previs.document.model import Black, Card, Cut, Framing, Sequence, Size
from previs.faults import UseFault

MOVING_SHOTS = 5
"""Shots in the moving median: the shot itself and two on either side; common practice, no source."""

SECTOR_DEGREES = 30
"""Bearings within one sector of this width, the first one square on, count as one set-up; it is the angle of the 30-degree
rule, under which two pictures look like one camera's (Wadsworth, The Editor's Toolkit, 2016, ch. 3)."""

RUSH_HITS = 4
"""Hits in a row that make a rush, so that one double blow is none; ours, no source."""

CARD, BLACK = "card", "black"
"""What stands for the shot size where there is no camera yet, and where there is nothing to see."""


@dataclass(frozen=True, slots=True)
class ShotLengths:
    """Figures over shot lengths in seconds; `deviation` is the standard deviation with n - 1, None for a single shot."""

    count: int
    average: float
    median: float
    shortest: float
    longest: float
    deviation: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Pace:
    """The pace of a cut. Frames are of the sequence rate and count from the cut's first.

    `shots`: a row for each shot but black: `shot` (its number), `record_frame`, `frames` (its length between midpoints, so
    that halves occur), `seconds`, `moving_median_seconds`, `size` (that it begins with), `hits`.
    `hits`: the record frames on which moves land. `dead_air`: the spans from the first frame to the first hit, from hit to
    hit, and from the last hit to the end, longest first.
    `sizes`: `size`, `frames`, `shots`, `share` of the running time, widest first; `kinds`: the same for each size and
    camera move, `movement`, that there is to shoot: not for cards, which have no camera yet, nor for black.
    `set_ups`, in the order in which the cut needs them: `place`, `screen_left`, `bearing` (degrees, a sector's middle),
    `size`, `shots`, `screen_seconds`, and `shoot_seconds`, which is with handles at both ends of each shot, each done
    once: a lower bound. Cards have no bearing yet.
    """

    fps: Fraction
    frames: int
    target_frames: int
    lengths: ShotLengths
    shots_per_minute: float
    hits: tuple[int, ...]
    hits_per_second: float
    dead_air: tuple[Span, ...]
    shots: pd.DataFrame
    sizes: pd.DataFrame
    kinds: pd.DataFrame
    set_ups: pd.DataFrame


def pace(sequence: Sequence, cut: Cut) -> Pace:
    """The figures of a cut. Raises `UseFault` when it shows nothing at all.

    Black is no shot: its frames belong to the shot before it, at the start to the first one.
    """
    fps = sequence.timebase.rate.fps
    placed = place(sequence, cut)
    showing = [one for one in placed if not isinstance(one.shot.picture, Black)]
    if not showing:
        raise UseFault(f"Cut {cut.name} has no shot that shows anything; put one in first.")
    seen = hits_seen(sequence, placed)
    hits = tuple(hit.record_frame for hit in seen)
    seconds = float(cut.frames / fps)
    runs = pd.DataFrame(_sized_runs(sequence, placed), columns=["shot", "size", "movement", "frames"])
    shots = _shot_table(fps, cut, showing)
    shots["size"] = [_first_size(sequence, one) for one in showing]
    shots["hits"] = [sum(hit.placed.number == one.number for hit in seen) for one in showing]
    edges = [0, *hits, cut.frames]
    spans = [Span(before, after) for before, after in pairwise(edges) if before < after]
    return Pace(
        fps=fps,
        frames=cut.frames,
        target_frames=cut.target_frames,
        lengths=shot_lengths(shots["seconds"]),
        shots_per_minute=len(shots) * 60 / seconds,
        hits=hits,
        hits_per_second=len(hits) / seconds,
        dead_air=tuple(sorted(spans, key=lambda span: (-span.length, span.start))),
        shots=shots,
        sizes=_share_table(runs, ["size"], cut.frames),
        kinds=_share_table(runs[~runs["size"].isin((CARD, BLACK))], ["size", "movement"], cut.frames),
        set_ups=_set_up_table(sequence, showing),
    )


def shot_lengths(seconds: pd.Series[float]) -> ShotLengths:
    """The figures over a list of shot lengths in seconds, of at least one shot."""
    return ShotLengths(
        count=len(seconds),
        average=float(seconds.mean()),
        median=float(seconds.median()),
        shortest=float(seconds.min()),
        longest=float(seconds.max()),
        deviation=float(seconds.std(ddof=1)) if len(seconds) > 1 else None,
    )


def rushes(hits: tuple[int, ...]) -> tuple[Span, ...]:
    """The spans of `RUSH_HITS` hits in a row, from the first one's frame to after the last one's, quickest first, none
    sharing a frame with a quicker one; empty when there are fewer hits. `hits` are record frames in order."""
    runs = [Span(first, last + 1) for first, last in zip(hits, hits[RUSH_HITS - 1 :], strict=False)]
    found: list[Span] = []
    for run in sorted(runs, key=lambda span: (span.length, span.start)):
        if not any(run.meet(other) for other in found):
            found.append(run)
    return tuple(found)


def camera_side(framing: Framing) -> tuple[str, int | None]:
    """From where a framing looks: the role on the left of frame, and the middle of its sector in degrees, -150 to 180.

    A sector holds its lower edge: -15 to 14 degrees are about 0. The second is None when no angle was noted.
    """
    if framing.angle is None:
        return framing.screen_left, None
    sector = (framing.angle + SECTOR_DEGREES // 2) // SECTOR_DEGREES * SECTOR_DEGREES
    return framing.screen_left, 180 if sector == -180 else sector


def shot_places(sequence: Sequence, placed: tuple[Placed, ...]) -> dict[int, str]:
    """Where each of these shots plays, by its number: the place of its first move that has one.

    A shot without a hit of its own is taken to be where the fight was last; empty before the first place.
    """
    places = {move.number: move.place for move in sequence.moves}
    held = moves_held(sequence, placed)
    found: dict[int, str] = {}
    where = ""
    for one in placed:
        where = next((places[move] for move in held[one.number] if places[move]), where)
        found[one.number] = where
    return found


def framing_of(sequence: Sequence, source: Source, k: int) -> Framing:
    """The framing that holds at a shot's own frame `k`."""
    return source.take.framing_at(frame_played(source.first_frame, source.speed, k) / sequence.timebase.rate.fps)


def _shot_table(fps: Fraction, cut: Cut, showing: list[Placed]) -> pd.DataFrame:
    begins = [one.comes_in for one in showing]
    begins[0] = Fraction(0)
    frames = [after - before for before, after in pairwise([*begins, Fraction(cut.frames)])]
    seconds = pd.Series([float(length / fps) for length in frames], dtype=float)
    return pd.DataFrame(
        {
            "shot": [one.number for one in showing],
            "record_frame": [one.record.start for one in showing],
            "frames": [float(length) for length in frames],
            "seconds": seconds,
            "moving_median_seconds": seconds.rolling(MOVING_SHOTS, center=True, min_periods=1).median(),
        }
    )


def _sized_runs(sequence: Sequence, placed: tuple[Placed, ...]) -> Iterator[tuple[int, str, str, int]]:
    """Shot number, size, camera move and frames of each framing that a shot shows; it may change inside a shot."""
    for one in placed:
        if one.source is None:
            yield one.number, _without_camera(one), "", one.shot.frames
        for span, framing in one.framings(sequence.timebase.rate.fps):
            if own := span.meet(one.record):
                yield one.number, framing.size.value, framing.movement, own.length


def _without_camera(one: Placed) -> str:
    return CARD if isinstance(one.shot.picture, Card) else BLACK


def _first_size(sequence: Sequence, one: Placed) -> str:
    framing = one.framing_at(one.record.start, sequence.timebase.rate.fps)
    return framing.size.value if framing else _without_camera(one)


def _share_table(runs: pd.DataFrame, by: list[str], all_frames: int) -> pd.DataFrame:
    """Frames, share of the running time and number of shots for each value of `by`, the widest size first."""
    table = runs.groupby(by, sort=False).agg(frames=("frames", "sum"), shots=("shot", "nunique")).reset_index()
    table["share"] = table["frames"] / all_frames
    widest_first = [size.value for size in Size] + [CARD, BLACK]
    return table.sort_values(by, key=lambda column: column.map(widest_first.index) if column.name == "size" else column, ignore_index=True)


def _set_up_table(sequence: Sequence, showing: list[Placed]) -> pd.DataFrame:
    """Shots that one camera position could do, put together by place, side and size; an estimate, since marks are."""
    fps, handles = sequence.timebase.rate.fps, 2 * sequence.settings.handle_frames
    where = shot_places(sequence, tuple(showing))
    rows: list[tuple[object, ...]] = []
    for one in showing:
        framing = one.framing_at(one.record.start, fps)
        left, bearing = camera_side(framing) if framing else ("", None)
        frames = one.shot.frames
        rows.append((where[one.number], left, bearing, _first_size(sequence, one), float(frames / fps), float((frames + handles) / fps)))
    key = ["place", "screen_left", "bearing", "size"]
    table = pd.DataFrame(rows, columns=[*key, "screen_seconds", "shoot_seconds"])
    table["bearing"] = table["bearing"].astype("Int64")
    grouped = table.groupby(key, sort=False, dropna=False)
    return grouped.agg(
        shots=("size", "count"), screen_seconds=("screen_seconds", "sum"), shoot_seconds=("shoot_seconds", "sum")
    ).reset_index()
