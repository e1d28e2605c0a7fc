"""Verbs that look at and listen to the tapes: detect, sync, carry, hits, tempo; what they find is judged in `analysis/`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from previs.cli.sessions import AsJson, File, edit, held, look, save_recorded
from previs.cli.showing import Row, answer, reporting, say, show_rows
from previs.cut.wording import counted
from previs.document.model import SURE
from previs.document.store import open_document
from previs.faults import UseFault

Tapes = Annotated[list[str] | None, typer.Option("--tape", metavar="REEL", help="Only this tape; may be given again. All when not given.")]


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog="Example: previs detect salt.previs --tape SSA01 -o proposals/")(detect)
    app.command(epilog="Example: previs sync salt.previs")(sync)
    app.command(epilog="Example: previs carry salt.previs --from A3-1")(carry)
    app.command(epilog="Example: previs hits salt.previs --doubtful; then previs hits salt.previs --confirm A1-2")(hits)
    app.command(epilog="Example: previs tempo salt.previs --save")(tempo)


def detect(
    file: File,
    tape: Tapes = None,
    output: Annotated[
        Path | None,
        typer.Option("--output", "-o", metavar="FOLDER", help="Write the proposals as takes.csv and hits.csv, to correct and read."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Propose where takes and hits lie on the tapes, with a confidence; nothing is marked until you read the tables."""
    from previs.analysis.motion import camera_breaks, still_spans
    from previs.analysis.takes import REST_SECONDS, proposed_takes
    from previs.exchange.proposals import proposal_tables
    from previs.media.tape_signals import tape_signals

    opened = look(file)
    sequence = opened.sequence
    with reporting("Listening to and looking at the tapes") as report:
        signals = tape_signals(sequence, file, tape, report)
    found = {
        reel: proposed_takes(
            float(sequence.tape(reel).duration), one.slates, one.hits, camera_breaks(one.motion), still_spans(one.motion, REST_SECONDS)
        )
        for reel, one in signals.items()
    }
    tables = proposal_tables(sequence, found, {reel: one.hits for reel, one in signals.items()})
    if output is not None:
        tables.write(output)
        say(f"{output / 'takes.csv'} and {output / 'hits.csv'} are written: correct them, then read them with 'previs marks'.")
    if as_json:
        answer({"takes": tables.takes, "hits": tables.hits})
        return
    show_rows(tables.takes)
    say(
        f"{counted(len(tables.takes), 'take')} and {counted(len(tables.hits), 'hit')} proposed on {counted(len(found), 'tape')}; "
        "nothing is marked yet."
    )


def sync(file: File, tape: Tapes = None, as_json: AsJson = False) -> None:
    """Find the cameras that ran together, by sound or else by motion, and keep how they lie against each other."""
    from previs.analysis.sync import Match
    from previs.media.tape_signals import cameras_together, with_syncs

    with held(file), reporting("Comparing the tapes") as report:
        opened = open_document(file)
        reels, found, pairs = cameras_together(opened.sequence, opened.path, tape, report)
        save_recorded(opened, with_syncs(opened.sequence, reels, found), "camera sync")
    rows: list[Row] = [
        {
            "tape": one.reel,
            "runs with": one.session,
            "begins at": f"{float(one.offset):+.4f} s",
            "drift ppm": round(float(one.drift_ppm), 1),
            "confidence": one.confidence,
        }
        for one in found.syncs
    ]
    if as_json:
        matched = [
            {
                "first": first,
                "second": second,
                "by": match.by,
                "offset_seconds": match.offset,
                "drift_ppm": match.drift_ppm,
                "lock": match.lock,
            }
            if isinstance(match, Match)
            else {"first": first, "second": second, "by": None, "reason": match.reason, "lock": match.lock}
            for (first, second), match in pairs.items()
        ]
        answer({"syncs": rows, "pairs": matched, "remarks": list(found.remarks)})
        return
    show_rows(rows)
    alone = [reel for reel in reels if reel not in {one.reel for one in found.syncs}]
    for remark in found.remarks:
        say(remark)
    if alone:
        say(f"With no other tape go: {', '.join(alone)}.")
    say("Sound takes 29 ms for 10 m, so cameras far from the fight hear late; what is heard is what is matched.")
    say("On tapes of a few minutes the drift also holds how far the fighters walked; only on long ones is it the clocks' alone.")


def carry(
    file: File,
    from_take: Annotated[str | None, typer.Option("--from", metavar="TAKE", help="Only from this logged take.")] = None,
    as_json: AsJson = False,
) -> None:
    """Find the hits of all takes that are not logged, from those that are; hits that a person made are never changed."""
    from previs.analysis.all_takes import carry_all
    from previs.media.tape_signals import tape_signals

    with held(file), reporting("Listening to and looking at the tapes") as report:
        opened = open_document(file)
        signals = tape_signals(opened.sequence, file, None, report)
        found = carry_all(opened.sequence, {reel: one.evidence for reel, one in signals.items()}, from_take)
        if found.reports:
            save_recorded(opened, found.sequence, "hits carried from take to take")
    rows: list[Row] = [
        {
            "take": one.take,
            "from": one.source,
            "hits": one.hits,
            "of moves": one.moves,
            "doubtful": one.doubtful,
            "tempo": None if one.tempo is None else round(one.tempo, 3),
            "remarks": "; ".join(one.remarks),
        }
        for one in found.reports
    ]
    if as_json:
        answer(rows)
        return
    show_rows(rows)
    if not rows:
        say("Every take is logged already, or no logged take holds the phrases of the others.")
        return
    doubts = sum(one.doubtful for one in found.reports)
    hits_found = sum(one.hits for one in found.reports)
    look_at = f", {doubts} of them doubtful: 'previs hits {file} --doubtful'" if doubts else ""
    say(f"{counted(hits_found, 'hit')} found on {counted(len(rows), 'take')}{look_at}.")


def hits(
    file: File,
    doubtful: Annotated[bool, typer.Option("--doubtful", help="Only those that a person should look at first.")] = False,
    confirm: Annotated[str | None, typer.Option("--confirm", metavar="TAKE", help="Mark this take's hits as looked at and right.")] = None,
    move: Annotated[
        list[int] | None, typer.Option("--move", metavar="N", help="With --confirm: only this move; may be given again.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """List hits with their confidence, or confirm those of a take; `previs marks` reads corrected ones."""
    from previs.analysis import all_takes
    from previs.exchange.lists import tape_label

    if move and confirm is None:
        raise UseFault("--move goes with --confirm TAKE.")
    if confirm is not None:
        chosen = None if not move else frozenset(move)
        edit(file, lambda sequence: all_takes.confirmed(sequence, confirm, chosen), f"hits of {confirm} confirmed")
        say(f"The hits of take {confirm} are confirmed.")
        return
    sequence = look(file).sequence
    below = all_takes.DOUBTFUL_BELOW if doubtful else SURE + 1
    rows: list[Row] = [
        {
            "take": take.name,
            "move": hit.move,
            "label": next((one.label for one in sequence.moves if one.number == hit.move), ""),
            "at": tape_label(sequence.tape(take.reel), hit.at),
            "seconds": round(float(hit.at), 3),
            "confidence": hit.confidence,
        }
        for take, hit in all_takes.doubtful(sequence, below)
    ]
    if as_json:
        answer(rows)
    else:
        show_rows(rows)


def tempo(
    file: File,
    save: Annotated[bool, typer.Option("--save", help="Keep the tempo that was found as the take's own.")] = False,
    as_json: AsJson = False,
) -> None:
    """Tell each take's tempo against the best performance take of its phrases, by the time between its hits."""
    from previs.analysis.tempo import tempi, with_tempi

    sequence = look(file).sequence
    found = tempi(sequence)
    rows: list[Row] = [
        {"take": one.take, "phrase": one.phrase, "against": one.reference, "noted": float(one.noted), "found": round(float(one.found), 3)}
        for one in found
    ]
    if as_json:
        answer(rows)
    else:
        show_rows(rows)
    if save:
        edit(file, with_tempi, "tempo of takes")
        say("The takes have the tempo that was found; the next assembly plays them by it.")
