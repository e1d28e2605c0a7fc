"""Verbs for who goes where on the floor: routes, cues, clearance; what they tell is found in `floor/`."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer

from previs.cli.sessions import AsJson, CutName, File, edit, look
from previs.cli.showing import answer, say, show, show_rows
from previs.document.model import Cut, Sequence
from previs.faults import UseFault
from previs.handoff.sheet_files import Paper

Role = Annotated[str | None, typer.Option(metavar="ROLE", help="Only this role; all when not given.")]


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog="Example: previs routes salt.previs routes.csv reaches.csv")(routes)
    app.command(epilog="Example: previs cues salt.previs --cut v1 -o salt_v1_cues.pdf")(cues)
    app.command(epilog="Example: previs clearance salt.previs")(clearance)


def routes(
    file: File,
    tables: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="TABLE...", help="Routes (role, phrase, x, y, move) and reaches (weapon, reach), metres.", show_default=False
        ),
    ] = None,
    cut: CutName = None,
    role: Role = None,
    as_json: AsJson = False,
) -> None:
    """Read the roles' ways over the plan, and say how fast each must go between two hits of a cut.

    Where no route is given for a role and a phrase, it is guessed from the moves' places. Without a table nothing is changed.
    """
    if tables:
        _read(file, tables)
    sequence = look(file).sequence
    chosen = _cut(sequence, cut)
    _show_routes(sequence, chosen, _roles(sequence, role), as_json)


def _read(file: Path, tables: list[Path]) -> None:
    from previs.cut.wording import counted
    from previs.floor.routes_table import ReadWays, read_ways

    made: list[ReadWays] = []

    def change(sequence: Sequence) -> Sequence:
        made.append(read_ways(tables, sequence))
        return made[0].sequence

    edit(file, change, what="read " + ", ".join(table.name for table in tables))
    told = [] if made[0].routes is None else [counted(made[0].routes, "route")]
    told += [] if made[0].reaches is None else [f"the reach of {counted(made[0].reaches, 'weapon')}"]
    say(f"Read: {' and '.join(told)}.")


def _show_routes(sequence: Sequence, cut: Cut | None, roles: tuple[str, ...], as_json: bool) -> None:
    from previs.floor.routes_timed import timed_walks
    from previs.floor.routes_words import jump_told, leg_rows, untimed_told
    from previs.floor.speeds import SOURCES_NOTE, legs

    timed = [one for one in timed_walks(sequence, cut) if one.walk.role in roles]
    found = [leg for leg in legs(sequence, cut) if leg.role in roles] if cut else []
    remarks = [sentence for one in timed for sentence in (*jump_told(one.walk), *(untimed_told(one) if cut else ()))]
    if as_json:
        lengths = {one.walk.role: round(one.walk.length_mm / 1000, 3) for one in timed}
        answer({"cut": cut.name if cut else None, "metres": lengths, "ways": leg_rows(found), "remarks": remarks})
        return
    show_rows(leg_rows(found))
    for sentence in remarks:
        say(sentence)
    _say_guessed(sequence, any(step.guessed for one in timed for step in one.walk.steps), roles)
    say(SOURCES_NOTE if cut else "There is no cut yet, so no times; make one with 'previs assemble'.")


def cues(
    file: File,
    cut: CutName = None,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", metavar="LIST", help="As .pdf or .xlsx for the performers, .csv or .txt.")
    ] = None,
    role: Role = None,
    paper: Annotated[Paper, typer.Option("--paper", case_sensitive=False, help="Paper of the PDF, lying.")] = Paper.A4,
    as_json: AsJson = False,
) -> None:
    """Say after which move each role passes a door, turns left or right, and comes near steps and drops; exit code 1 through a wall."""
    from previs.floor.cues import cues as cues_of
    from previs.floor.cues_words import CAUTION, WAY_NOTE, call_lines, cue_rows, fault_said, summed
    from previs.handoff.cue_sheets import checked, write_cues

    if output is not None:
        checked(output)
    sequence = look(file).sequence
    chosen, roles = _cut(sequence, cut), _roles(sequence, role)
    found = [cue for cue in cues_of(sequence, chosen) if cue.role in roles]
    faults = [cue for cue in found if cue.faulty]
    if output is not None:
        write_cues(sequence, chosen, found, output, paper, date.today())
    if as_json:
        answer({"cut": chosen.name if chosen else None, "cues": cue_rows(sequence, found), "faults": [fault_said(cue) for cue in faults]})
    else:
        for line in call_lines(found):
            show(line)
        _say_guessed(sequence, any(cue.guessed for cue in found), roles)
        say(f"{summed(found)}. {WAY_NOTE}")
        say(f"Caution: {CAUTION}")
    for cue in faults:
        say(fault_said(cue))
    if output is not None:
        say(f"{output} is written.")
    if faults:
        raise typer.Exit(1)


def clearance(file: File, role: Role = None, as_json: AsJson = False) -> None:
    """Say where doors, columns and walls stand nearer to a role's way than its weapon reaches, and which passage narrows."""
    from previs.floor import clearance_words as words
    from previs.floor.clearance import clearance as clearance_of

    sequence = look(file).sequence
    roles = _roles(sequence, role)
    found = clearance_of(sequence, roles)
    if as_json:
        answer(_clearance_values(found))
        return
    for pinch in found.pinches:
        show(words.pinch_told(pinch))
    for one in found.narrowings:
        show(words.narrowing_told(one))
    show("\nThe narrowest free width of each way:")
    show_rows(words.width_rows(found.widths))
    for sentence in words.left_out_told(found):
        say(sentence)
    _say_guessed(sequence, found.guessed, roles)
    say(words.REACH_NOTE)
    say(f"Caution: {words.CAUTION}")


def _clearance_values(found: Any) -> dict[str, Any]:
    from previs.floor import clearance_words as words

    return {
        "pinches": words.pinch_rows(found),
        "narrowings": words.narrowing_rows(found.narrowings),
        "widths": words.width_rows(found.widths),
        "without_reach": list(found.without_reach),
        "remarks": words.left_out_told(found),
    }


def _cut(sequence: Sequence, name: str | None) -> Cut | None:
    """The cut that is named, or the newest; None where there is none yet."""
    return sequence.cut(name) if name is not None or sequence.cuts else None


def _roles(sequence: Sequence, role: str | None) -> tuple[str, ...]:
    """The roles to tell of; raises `UseFault` for one that is not in the fight, and when there is no way at all to tell of."""
    from previs.floor.routes import walks

    if role is not None and role not in sequence.roles:
        raise UseFault(f"The fight has no role '{role}'; known: {', '.join(sequence.roles) or 'none yet'}.")
    if not sequence.moves:
        raise UseFault("There is no fight yet, so nobody goes anywhere; read one with 'previs fight'.")
    if not walks(sequence):
        raise UseFault(
            "There are no routes, and no move's place is a place of the plan; read a table role, phrase, x, y, move with 'previs routes'."
        )
    return sequence.roles if role is None else (role,)


def _say_guessed(sequence: Sequence, guessed: bool, roles: tuple[str, ...]) -> None:
    from previs.exchange.lists import moves_text
    from previs.floor.routes_guessed import GUESS_NOTE, homeless_moves

    if guessed:
        say(GUESS_NOTE)
        places = sequence.floor.places if sequence.floor else ()
        if homeless := homeless_moves(sequence, places):
            say(f"Left out of the guesses for {' and '.join(roles)}, since their place is none of the plan: moves {moves_text(homeless)}.")
