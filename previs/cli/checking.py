"""Verbs that look at a cut and change nothing: check, pace; what they tell is found in `fight/`, `cut/` and `exchange/`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from previs.cli.sessions import AsJson, CutName, File, look
from previs.cli.showing import Row, answer, say, show_rows
from previs.cut.wording import counted
from previs.document.model import LEVEL, Cut, Sequence
from previs.faults import UseFault

if TYPE_CHECKING:
    import pandas as pd

    from previs.cut.pace import Pace
    from previs.fight.balance import Balance


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog="Example: previs check salt.previs --cut v1")(check)
    app.command(epilog="Example: previs pace salt.previs --cut v1 -o salt_v1_pace.pdf")(pace)


def check(file: File, cut: CutName = None, as_json: AsJson = False) -> None:
    """Look through a cut for what is missing or will be in the way later; exit code 1 when an error stands."""
    from previs.exchange.lists import record_label
    from previs.fight.checks import checks
    from previs.fight.findings import Severity

    sequence = look(file).sequence
    chosen = sequence.cut(cut)
    found = checks(sequence, chosen)
    counts = {severity: sum(one.severity is severity for one in found) for severity in Severity}
    rows: list[Row] = [
        {
            "severity": one.severity.value,
            "finding": one.code.value,
            "shot": one.shot,
            "at": "" if one.record_frame is None else record_label(sequence, one.record_frame),
            "what": one.sentence,
            "mend": one.mend,
        }
        for one in found
    ]
    if as_json:
        findings = [row | {"record_frame": one.record_frame} for row, one in zip(map(dict, rows), found, strict=True)]
        answer({"cut": chosen.name, "errors": counts[Severity.ERROR], "warnings": counts[Severity.WARNING], "findings": findings})
    else:
        if rows:
            show_rows(rows)
        errors, warnings, notes = (counted(count, severity.value) for severity, count in counts.items())
        say(f"Cut {chosen.name}: {errors}, {warnings}, {notes}.")
    if counts[Severity.ERROR]:
        raise typer.Exit(1)


def pace(
    file: File,
    cut: CutName = None,
    output: Annotated[
        Path | None,
        typer.Option("--output", "-o", metavar="CHART", help="The step chart as .svg, .png or .pdf on A4, or the shots as .csv."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say how fast a cut is, who has the upper hand when and what there is to shoot; draw it as a step chart."""
    from previs.cut.pace import pace as pace_of
    from previs.fight.balance import balance

    # What cannot be written is refused before anything is told.
    if output is not None and output.suffix.lower() not in (".svg", ".png", ".pdf", ".csv"):
        raise UseFault(f"{output} is no chart: end its name in .svg, .png, .pdf or .csv.")
    sequence = look(file).sequence
    chosen = sequence.cut(cut)
    figures, hands = pace_of(sequence, chosen), balance(sequence, chosen)
    if output is not None:
        _write(sequence, chosen, figures, output)
    if as_json:
        answer(_pace_values(chosen, figures, hands))
        return
    for line in _pace_lines(sequence, chosen, figures):
        print(line)
    for line in _balance_lines(sequence, hands):
        print(line)
    print(f"\nSet-ups, by the marks ({len(figures.set_ups)}; seconds to shoot are with handles, each shot done once):")
    show_rows([{name.replace("_", " "): value for name, value in row.items()} for row in _values(figures.set_ups)])
    if output is not None:
        say(f"{output} is written.")


def _write(sequence: Sequence, cut: Cut, figures: Pace, output: Path) -> None:
    from previs.exchange.lists import as_csv_text, record_label
    from previs.exchange.step_chart import Format, step_chart_bytes
    from previs.replacing import replacing

    kind = output.suffix.lower().removeprefix(".")
    if kind == "csv":
        rows = [{"record in": record_label(sequence, row["record_frame"]), **row} for row in _values(figures.shots)]
        written = as_csv_text(rows).encode("utf-8")
    else:
        written = step_chart_bytes(sequence, cut, Format(kind))
    with replacing(output) as temporary:
        temporary.write_bytes(written)


def _pace_lines(sequence: Sequence, cut: Cut, figures: Pace) -> list[str]:
    from previs.exchange.lists import record_label

    over, lengths, duration = cut.frames - cut.target_frames, figures.lengths, sequence.timebase.duration
    against = "its target to the frame" if not over else f"{duration(abs(over))} {'over' if over > 0 else 'under'} its target"
    spread = "" if lengths.deviation is None else f", standard deviation {lengths.deviation:.2f} s"
    course = figures.shots["moving_median_seconds"]
    thirds = [course.iloc[at * len(course) // 3 : (at + 1) * len(course) // 3].median() for at in range(3)]
    moving = f" The moving median goes from {thirds[0]:.2f} s in the first third over {thirds[1]:.2f} s to {thirds[2]:.2f} s in the last."
    longest = [
        f"{float(span.length / figures.fps):.2f} s from {record_label(sequence, span.start)}"
        for span in figures.dead_air[:3]
        if figures.hits
    ]
    sizes = [f"{row['size']} {100 * row['share']:.0f} %" for row in _values(figures.sizes)]
    kinds = [" ".join(filter(None, (row["size"], row["movement"]))) for row in _values(figures.kinds)]
    return [
        f"Cut {cut.name} lasts {duration(cut.frames)}, {against}.",
        f"{counted(lengths.count, 'shot')}, {figures.shots_per_minute:.1f} a minute: average {lengths.average:.2f} s, median "
        f"{lengths.median:.2f} s, from {lengths.shortest:.2f} to {lengths.longest:.2f} s{spread}.{moving if lengths.count > 5 else ''}",
        f"{counted(len(figures.hits), 'hit')}, {figures.hits_per_second:.2f} a second."
        + (f" Longest without one: {', '.join(longest)}." if longest else ""),
        f"Sizes: {', '.join(sizes)}.",
        f"Kinds of shot needed ({len(kinds)}): {', '.join(kinds)}.",
    ]


def _balance_lines(sequence: Sequence, hands: Balance) -> list[str]:
    from previs.exchange.lists import record_label
    from previs.fight.balance import Shown

    shares = [f"{'level' if name == LEVEL else name} {100 * float(hands.share(name)):.0f} %" for name in hands.frames]
    lines = [f"Upper hand: {', '.join(shares)}; it changes sides {counted(hands.changes_of_side, 'time')}."]
    if hands.longest_run is not None:
        run, seconds = hands.longest_run, float(hands.longest_run_seconds)
        lines.append(f"Longest one-sided run: {run.holder}, {seconds:.2f} s from {record_label(sequence, run.record.start)}.")
    others = [turn for turn in hands.turns if turn.shown is not Shown.AS_PLANNED]
    if hands.turns and not others:
        lines.append(f"All {len(hands.turns)} turns of the written fight are seen as planned.")
    for turn in others:
        by = "" if turn.shown_by in (None, turn.move) else f", by move {turn.shown_by}"
        at = "" if turn.record_frame is None else f" at {record_label(sequence, turn.record_frame)}"
        lines.append(f"The turn to {turn.holder} with move {turn.move} is {turn.shown}{by}{at}.")
    return lines


def _pace_values(cut: Cut, figures: Pace, hands: Balance) -> dict[str, Any]:
    lengths = figures.lengths
    return {
        "cut": cut.name,
        "frames": figures.frames,
        "target_frames": figures.target_frames,
        "shots": lengths.count,
        "shots_per_minute": figures.shots_per_minute,
        "average_seconds": lengths.average,
        "median_seconds": lengths.median,
        "shortest_seconds": lengths.shortest,
        "longest_seconds": lengths.longest,
        "deviation_seconds": lengths.deviation,
        "hits": list(figures.hits),
        "hits_per_second": figures.hits_per_second,
        "dead_air": [{"record_frame": span.start, "frames": span.length} for span in figures.dead_air[:5]],
        "each_shot": _values(figures.shots),
        "sizes": _values(figures.sizes),
        "kinds": _values(figures.kinds),
        "set_ups": _values(figures.set_ups),
        "upper_hand": {
            "shares": {name: float(hands.share(name)) for name in hands.frames},
            "changes_of_side": hands.changes_of_side,
            "longest_run_seconds": float(hands.longest_run_seconds),
            "spells": [
                {"record_frame": spell.record.start, "frames": spell.record.length, "holder": spell.holder, "move": spell.move}
                for spell in hands.spells
            ],
            "turns": [
                {
                    "move": turn.move,
                    "holder": turn.holder,
                    "shown": turn.shown.value,
                    "by": turn.shown_by,
                    "record_frame": turn.record_frame,
                }
                for turn in hands.turns
            ],
        },
    }


def _values(table: pd.DataFrame) -> list[dict[str, Any]]:
    """A table's rows as plain values, numbers rounded to a thousandth, None where there is none."""
    # Object columns keep Python's own integers and let None stand for a missing bearing, which JSON can write.
    plain = table.astype(object).where(table.notna(), None)
    return [
        {str(name): round(value, 3) if isinstance(value, float) else value for name, value in row.items()}
        for row in plain.to_dict("records")
    ]
