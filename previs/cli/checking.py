"""Verbs that look at a cut and change nothing: check, pace; what they tell is found in `fight/`, `cut/` and `exchange/`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from previs.cli.sessions import AsJson, CutName, File, look
from previs.cli.showing import Row, answer, say, show, show_rows
from previs.document.model import Cut, Sequence
from previs.faults import UseFault
from previs.fight.findings import EXPLAINED

if TYPE_CHECKING:
    from previs.cut.pace import Pace
    from previs.fight.balance import Balance


# A line with \b alone keeps the lines after it as they are.
_CHECK_HELP = "\n".join(
    ["Example: previs check salt.previs --cut v1", "", "\b", "What it looks for, under settings as they come:"]
    + [f"{code.value}: {looks_for}" for code, looks_for in EXPLAINED.items()]
)


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog=_CHECK_HELP)(check)
    app.command(epilog="Example: previs pace salt.previs --cut v1 -o salt_v1_pace.pdf")(pace)


def check(file: File, cut: CutName = None, as_json: AsJson = False) -> None:
    """Look through a cut for what is missing or will be in the way later; exit code 1 when an error stands."""
    from previs.cut.wording import counted
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
    from previs.exchange.pace_text import SET_UPS_NOTE, balance_lines, pace_lines, values
    from previs.fight.balance import balance

    # What cannot be written is refused before anything is told.
    if output is not None and output.suffix.lower() not in (".svg", ".png", ".pdf", ".csv"):
        raise UseFault(f"{output} is no chart: end its name in .svg, .png, .pdf or .csv.")
    sequence = look(file).sequence
    chosen = sequence.cut(cut)
    figures, hands = pace_of(sequence, chosen), balance(sequence, chosen)
    if output is not None:
        _write(sequence, chosen, figures, hands, output)
    if as_json:
        answer(_pace_values(chosen, figures, hands))
        return
    for line in (*pace_lines(sequence, chosen, figures), *balance_lines(sequence, hands)):
        show(line)
    show(f"\nSet-ups ({len(figures.set_ups)}; {SET_UPS_NOTE}):")
    show_rows([{name.replace("_", " "): value for name, value in row.items()} for row in values(figures.set_ups)])
    if output is not None:
        say(f"{output} is written.")


def _write(sequence: Sequence, cut: Cut, figures: Pace, hands: Balance, output: Path) -> None:
    from previs.exchange.lists import as_csv_text
    from previs.exchange.pace_text import shot_rows
    from previs.exchange.step_chart import Format, step_chart_bytes
    from previs.replacing import replacing

    kind = output.suffix.lower().removeprefix(".")
    if kind == "csv":
        written = as_csv_text(shot_rows(sequence, cut, figures, hands)).encode("utf-8")
    else:
        written = step_chart_bytes(sequence, cut, Format(kind))
    with replacing(output) as temporary:
        temporary.write_bytes(written)


def _pace_values(cut: Cut, figures: Pace, hands: Balance) -> dict[str, Any]:
    from previs.exchange.pace_text import values

    lengths = figures.lengths
    return {
        "cut": cut.name,
        "frames": figures.frames,
        "target_frames": figures.target_frames,
        "shots": lengths.count,
        "black": len(cut.shots) - lengths.count,
        "shots_per_minute": figures.shots_per_minute,
        "average_seconds": lengths.average,
        "median_seconds": lengths.median,
        "shortest_seconds": lengths.shortest,
        "longest_seconds": lengths.longest,
        "deviation_seconds": lengths.deviation,
        "hits": list(figures.hits),
        "hits_per_second": figures.hits_per_second,
        "dead_air": [{"record_frame": span.start, "frames": span.length} for span in figures.dead_air[:5]],
        "each_shot": values(figures.shots),
        "sizes": values(figures.sizes),
        "kinds": values(figures.kinds),
        "set_ups": values(figures.set_ups),
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
