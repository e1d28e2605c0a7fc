"""The pace of a cut and its upper hand in sentences and as a table of its shots; what the figures are is decided elsewhere."""

from __future__ import annotations

from itertools import groupby
from typing import Any

import pandas as pd

from previs.cut.pace import SECTOR_DEGREES, Pace
from previs.cut.placing import moves_held, place
from previs.cut.wording import counted
from previs.document.model import LEVEL, Cut, Sequence
from previs.exchange.lists import Row, against_target, counted_shots, moves_text, record_label
from previs.fight.balance import Balance, Shown

SET_UPS_NOTE = (
    f"bearings in sectors of {SECTOR_DEGREES} degrees, by the marks; seconds to shoot are with handles, each shot done once: a lower bound"
)
"""What is to be known of the table of set-ups."""


def pace_lines(sequence: Sequence, cut: Cut, figures: Pace) -> list[str]:
    """The pace in sentences, with the rules by which shots are counted where the cut has what they are about."""
    lengths = figures.lengths
    spread = "" if lengths.deviation is None else f", standard deviation {lengths.deviation:.2f} s"
    course = figures.shots["moving_median_seconds"]
    thirds = [course.iloc[at * len(course) // 3 : (at + 1) * len(course) // 3].median() for at in range(3)]
    moving = f" The moving median goes from {thirds[0]:.2f} s in the first third over {thirds[1]:.2f} s to {thirds[2]:.2f} s in the last."
    longest = [f"{float(span.length / figures.fps):.2f} s from {record_label(sequence, span.start)}" for span in figures.dead_air[:3]]
    sizes = [f"{row['size']} {100 * row['share']:.0f} %" for row in values(figures.sizes)]
    kinds = [" ".join(filter(None, (row["size"], row["movement"]))) for row in values(figures.kinds)]
    lines = [
        f"Cut {cut.name} lasts {sequence.timebase.duration(cut.frames)}, {against_target(sequence, cut)}.",
        f"{counted_shots(cut)}, {figures.shots_per_minute:.1f} shots a minute: average {lengths.average:.2f} s, median "
        f"{lengths.median:.2f} s, from {lengths.shortest:.2f} to {lengths.longest:.2f} s{spread}.{moving if lengths.count > 5 else ''}",
        *_rules(cut),
        f"{counted(len(figures.hits), 'hit')}, {figures.hits_per_second:.2f} a second."
        + (f" Longest without a hit: {', '.join(longest)}." if figures.hits else ""),
        f"Sizes: {', '.join(sizes)}.",
    ]
    return [*lines, f"Kinds of shot needed ({len(kinds)}): {', '.join(kinds)}."] if kinds else lines


def _rules(cut: Cut) -> list[str]:
    rules = []
    if any(shot.transition for shot in cut.shots):
        rules.append("A shot that dissolves or wipes in is counted from the middle of its transition.")
    if counted_shots(cut).endswith("black"):
        rules.append("Black is no shot: its frames count to the shot before it, at the start to the first one.")
    return [" ".join(rules)] if rules else []


def balance_lines(sequence: Sequence, hands: Balance) -> list[str]:
    """Who has the upper hand, and how the cut shows the turns of the written fight."""
    shares = [f"{'level' if name == LEVEL else name} {100 * float(hands.share(name)):.0f} %" for name in hands.frames]
    changes = counted(hands.changes_of_side, "time")
    lines = [f"Upper hand: {', '.join(shares)}; it goes from one side to the other {changes}, at once or over level."]
    if hands.longest_run is not None:
        run, seconds = hands.longest_run, float(hands.longest_run_seconds)
        lines.append(f"Longest one-sided run: {run.holder}, {seconds:.2f} s from {record_label(sequence, run.record.start)}.")
    others = [turn for turn in hands.turns if turn.shown is not Shown.AS_PLANNED]
    if hands.turns and not others:
        lines.append(f"All {len(hands.turns)} turns of the written fight are seen as planned. A turn is to a side or to level.")
    for turn in others:
        by = "" if turn.shown_by in (None, turn.move) else f", by move {turn.shown_by}"
        at = "" if turn.record_frame is None else f" at {record_label(sequence, turn.record_frame)}"
        lines.append(f"The turn to {turn.holder} with move {turn.move} is {turn.shown}{by}{at}.")
    return lines


def shot_rows(sequence: Sequence, cut: Cut, figures: Pace, hands: Balance) -> list[Row]:
    """Each shot but black as a row: its place, its length between the middles of its transitions, its moves, the upper hand."""
    placed = {one.number: one for one in place(sequence, cut)}
    held = moves_held(sequence, tuple(placed.values()))
    found: list[Row] = []
    for row in values(figures.shots):
        one = placed[row["shot"]]
        sides = [spell.holder for spell in hands.spells if spell.record.meet(one.record)]
        found.append(
            {
                "shot": one.number,
                "record in": record_label(sequence, one.record.start),
                "record out": record_label(sequence, one.record.end_exclusive),
                "record frame": one.record.start,
                "frames": row["frames"],
                "seconds": row["seconds"],
                "moving median seconds": row["moving_median_seconds"],
                "size": row["size"],
                "hits": row["hits"],
                "moves": moves_text(held[one.number]),
                "upper hand": " > ".join(side for side, _ in groupby(sides)),
            }
        )
    return found


def values(table: pd.DataFrame) -> list[dict[str, Any]]:
    """A table's rows as plain values: numbers rounded to a thousandth, whole ones without decimals, None where there is none."""
    # Object columns keep Python's own integers and let None stand for a missing bearing, which JSON can write.
    plain = table.astype(object).where(table.notna(), None)
    return [{str(name): _plain(value) for name, value in row.items()} for row in plain.to_dict("records")]


def _plain(value: Any) -> Any:
    if not isinstance(value, float):
        return value
    return int(value) if value.is_integer() else round(value, 3)
