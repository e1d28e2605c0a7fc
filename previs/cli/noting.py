"""Verbs for what comes back from review: notes, report; they read and answer notes, and decide nothing."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from previs.cli.calling import PaperSize
from previs.cli.sessions import AsJson, CutName, File, edit, look
from previs.cli.showing import answer as answer_json
from previs.cli.showing import reporting, say, show_rows
from previs.cut.wording import counted
from previs.document.model import Cut, Sequence
from previs.document.notes import Note, NoteKind, NoteState
from previs.exchange.lists import Row, record_label
from previs.faults import UseFault
from previs.handoff.sheet_files import Paper

if TYPE_CHECKING:
    from previs.review.note_lists import Standing, Wanted

_LONGEST_SHOWN = 90
"""Characters of a text in a list on a screen; JSON and files have the whole."""

_SCREEN = ("mark", "state", "kind", "reviewer", "cut", "shot", "at", "move", "note", "answer")
_BROUGHT = ("mark", "is", "kind", "reviewer", "shot", "at", "found", "note")


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog="Example: previs notes salt.previs mara.json joss.json. Then: previs notes salt.previs --open")(notes)
    app.command(epilog="Example: previs report salt.previs --cut v2 -o salt_v2_report.pdf")(report)


def notes(
    file: File,
    files: Annotated[list[Path] | None, typer.Argument(metavar="[NOTES.json ...]", help="What reviewers' pages saved.")] = None,
    done: Annotated[str | None, typer.Option(metavar="MARK", help="This note is done; --answer says how.")] = None,
    decline: Annotated[str | None, typer.Option(metavar="MARK", help="This note is declined; --answer says why.")] = None,
    reopen: Annotated[str | None, typer.Option(metavar="MARK", help="This note is open again.")] = None,
    answer: Annotated[str, typer.Option(metavar="TEXT", help="What the reviewer reads about it on the next page.")] = "",
    only_open: Annotated[bool, typer.Option("--open", help="List open notes only.")] = False,
    kind: Annotated[NoteKind | None, typer.Option(case_sensitive=False, help="List notes of this kind only.")] = None,
    reviewer: Annotated[str | None, typer.Option(metavar="NAME", help="List this reviewer's notes only.")] = None,
    on_moves: Annotated[bool, typer.Option("--on-moves", help="List notes about hits by move, with every take of the move.")] = False,
    cut: CutName = None,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", metavar="SHEET", help="Write the list as .pdf, .xlsx or .csv instead.")
    ] = None,
    paper: PaperSize = Paper.A4,
    anyway: Annotated[bool, typer.Option("--anyway", help="Take notes on another title or on a cut that is not here.")] = False,
    as_json: AsJson = False,
) -> None:
    """Take in reviewers' notes; without a file list them, with where each is in a cut; or say what became of one.

    Files of several reviewers add up, and the same file twice changes nothing. A note is found again in a later cut by what
    was on screen; one that nothing shows any more is homeless. An out is the frame after the last.
    """
    asked = [(mark, state) for mark, state in ((done, NoteState.DONE), (decline, NoteState.DECLINED), (reopen, NoteState.OPEN)) if mark]
    _refuse_mixed(bool(files), len(asked), answer, listing=only_open or on_moves or output is not None or bool(kind or reviewer))
    if files:
        _take_in(file, files, cut, anyway=anyway, as_json=as_json)
    elif asked:
        _answer(file, *asked[0], answer, as_json)
    else:
        from previs.review.note_lists import Wanted

        _list(file, cut, Wanted(NoteState.OPEN if only_open else None, kind, reviewer, on_moves), output, paper, as_json)


def _refuse_mixed(taking: bool, asked: int, answer: str, *, listing: bool) -> None:
    if taking + asked + listing > 1:
        raise UseFault("Take notes in, answer one, or list them: one thing at a time.")
    if answer and not asked:
        raise UseFault("--answer goes with --done or --decline; name the note there.")


def _take_in(file: Path, files: list[Path], cut_name: str | None, *, anyway: bool, as_json: bool) -> None:
    from previs.review.coming_back import ForeignNotes, all_merged
    from previs.review.note_lists import of_these, standing
    from previs.review.notes_file import notes_from_file

    read = [notes_from_file(path) for path in files]
    sequence = look(file).sequence
    cut = _cut_of(sequence, cut_name)
    try:
        merged = all_merged(sequence, read, anyway=anyway)
    except ForeignNotes as fault:
        raise UseFault(f"{str(fault).removesuffix('.')} (--anyway).") from fault
    if merged.new or merged.changed:
        # Merged again while the file is held, as somebody may have saved it meanwhile.
        what = f"take in {counted(len(merged.new) + len(merged.changed), 'note')}"
        sequence = edit(file, lambda now: all_merged(now, read, anyway=anyway).sequence, what=what).sequence
    states = dict.fromkeys(merged.new, "new") | dict.fromkeys(merged.changed, "written again")
    brought = of_these(standing(sequence, cut), states)
    if as_json:
        idents = {"new": list(merged.new), "changed": list(merged.changed), "known": list(merged.known)}
        answer_json({**idents, "cut": cut.name if cut else None, "notes": _values(sequence, brought)})
        return
    if brought:
        show_rows([_chosen({"is": _brought_as(one.note, states), **_shown(sequence, one)}, _BROUGHT) for one in brought])
    said = f"{counted(len(merged.new), 'note')} new, {len(merged.changed)} written again, {len(merged.known)} known already"
    say(f"{said}; shots and times are those of cut {cut.name}." if brought and cut else f"{said}.")
    _caution(brought)


def _brought_as(note: Note, states: dict[str, str]) -> str:
    return note.state.value if note.state is NoteState.TAKEN_BACK else states[note.ident]


def _answer(file: Path, mark: str, state: NoteState, words: str, as_json: bool) -> None:
    from previs.review.coming_back import answer_said, answered, named

    note = named(look(file).sequence, mark)
    sequence = edit(file, lambda now: answered(now, note.ident, state, words), what=answer_said(note, state)).sequence
    if as_json:
        answer_json(_note_values(named(sequence, note.ident)))
    else:
        say(f"{_line(note.reviewer) or 'Somebody'}'s note '{_line(note.text) or note.kind.value}' is {state.value}.")


def _list(file: Path, cut_name: str | None, wanted: Wanted, output: Path | None, paper: Paper, as_json: bool) -> None:
    from previs.review.note_lists import move_rows, standing

    if output is not None:
        from previs.review.files import refuse_no_sheet, write_notes

        refuse_no_sheet(output)
    sequence = look(file).sequence
    cut = _cut_of(sequence, cut_name)
    every = standing(sequence, cut)
    listed = [one for one in every if wanted.holds(one)]
    if wanted.reviewer is not None and not any(one.note.reviewer.casefold() == wanted.reviewer.strip().casefold() for one in every):
        known = ", ".join(dict.fromkeys(_line(one.note.reviewer) for one in every)) or "nobody yet"
        raise UseFault(f"No note is by '{wanted.reviewer}'; notes are by {known}.")
    if output is not None:
        write_notes(sequence, sequence.cut(cut_name), listed, output, made=date.today(), paper=paper, on_moves=wanted.on_moves)
        say(f"{output} is written.")
    elif as_json:
        answer_json(_values(sequence, listed))
    elif wanted.on_moves:
        show_rows([_plain(row) for row in move_rows(sequence, listed)])
    else:
        show_rows([_chosen(_shown(sequence, one), _SCREEN) for one in listed])
    if not as_json:
        still = sum(one.note.state is NoteState.OPEN for one in every)
        homeless = sum(one.found is None for one in every)
        where = f" Shots and times are those of cut {cut.name}." if cut else ""
        say(f"{counted(len(every), 'note')}, {still} open, {homeless} homeless.{where}")
        _caution(listed)


def _cut_of(sequence: Sequence, name: str | None) -> Cut | None:
    """The cut that was named, else the newest; None while there is none."""
    return sequence.cut(name) if name is not None or sequence.cuts else None


def _caution(listed: Iterable[Standing]) -> None:
    from previs.review.note_lists import has_safety_worry

    if has_safety_worry(listed):
        _say_caution()


def _say_caution() -> None:
    from previs.review.note_lists import SAFETY

    say(f"Caution: {SAFETY}")


def _shown(sequence: Sequence, one: Standing) -> Row:
    from previs.review.note_lists import note_row

    return _plain(note_row(sequence, one))


def _chosen(row: Row, columns: tuple[str, ...]) -> Row:
    return {name: row[name] for name in columns}


def _plain(row: Row) -> Row:
    """A row that a terminal can be given: a text on one line, without signs that would steer it."""
    return {name: _line(value) if isinstance(value, str) else value for name, value in row.items()}


def _line(text: str) -> str:
    from previs.review.note_lists import one_line

    return one_line(text, _LONGEST_SHOWN)


def _values(sequence: Sequence, listed: Iterable[Standing]) -> list[dict[str, Any]]:
    return [_note_values(one.note) | {"mark": one.mark, "found": _found_values(sequence, one)} for one in listed]


def _note_values(note: Note) -> dict[str, Any]:
    """Every field of a note, also those at their default."""
    values = {name: getattr(note, name) for name in note.__struct_fields__}
    return values | {"drawings": [{name: getattr(one, name) for name in one.__struct_fields__} for one in note.drawings]}


def _found_values(sequence: Sequence, one: Standing) -> dict[str, Any] | None:
    if one.found is None:
        return None
    record = one.found.record
    at = record_label(sequence, record.start)
    return {"how": one.found.how.value, "shot": one.found.shot, "at": at, "record_frame": record.start, "frames": record.length}


def report(
    file: File,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="REPORT.pdf", help="Where the report goes.", show_default=False)],
    cut: CutName = None,
    paper: PaperSize = Paper.A4,
) -> None:
    """Write a report on a cut, two pages: length, pacing, balance, sizes, treatments, open notes, stills of its phrases."""
    from previs.review.files import refuse_no_report, write_report

    refuse_no_report(output)
    opened = look(file)
    chosen = opened.sequence.cut(cut)
    with reporting("Making the report") as progress:
        written = write_report(opened.sequence, opened.path, chosen, output, made=date.today(), paper=paper, progress=progress)
    for sentence in written.away:
        say(sentence)
    say(f"{output} is written: two pages on cut {chosen.name}, with {counted(written.open_notes, 'open note')}.")
    if written.worries:
        _say_caution()
