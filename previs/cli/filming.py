"""The verb for cameras on the plan: read where they stand, and tell what they see; it is found in `floor/`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from previs.cli.sessions import AsJson, CutName, File, edit, look
from previs.cli.showing import answer, say, show, show_rows
from previs.document.floor import CameraPlace
from previs.document.model import Sequence
from previs.faults import UseFault


def add_to(app: typer.Typer) -> None:
    """Give the command line this verb."""
    app.command(epilog="Example: previs cameras salt.previs cameras.csv --camera A")(cameras)


def cameras(
    file: File,
    table: Annotated[
        Path | None,
        typer.Argument(
            metavar="TABLE",
            help="camera, x, y, height, aim_x, aim_y in metres, lens, sensor_width in mm, and perhaps phrases.",
            show_default=False,
        ),
    ] = None,
    camera: Annotated[str | None, typer.Option(metavar="LETTER", help="Only this camera; all when not given.")] = None,
    cut: CutName = None,
    as_json: AsJson = False,
) -> None:
    """Say what each camera sees of the fight on the real set: field of view, walls in the way, side of the line, shot size by geometry.

    A table takes the place of all cameras there were; without one nothing is changed. What geometry says is compared with the marks of
    the takes of a camera with that letter. A cut is only asked where routes leave a move's spot open.
    """
    if table is not None:
        _read(file, table)
    _show(look(file).sequence, camera, cut, as_json)


def _read(file: Path, table: Path) -> None:
    from previs.cut.wording import counted
    from previs.document.floor_edits import with_cameras
    from previs.floor.cameras_table import read_cameras

    def change(sequence: Sequence) -> Sequence:
        return with_cameras(sequence, read_cameras(table, sequence))

    floor = edit(file, change, what=f"read {table.name}").sequence.floor
    say(f"Read: {counted(len(floor.cameras) if floor else 0, 'place')} of cameras.")


def _show(sequence: Sequence, letter: str | None, cut_name: str | None, as_json: bool) -> None:
    from previs.floor import cameras_words as words
    from previs.floor.cameras import changes, crossings, looks, unplaced_moves
    from previs.floor.cameras_marked import compared

    places = _places(sequence, letter)
    cut = sequence.cut(cut_name) if cut_name is not None or sequence.cuts else None
    all_looks = looks(sequence, cut)
    found = tuple(look for look in all_looks if look.camera in places)
    marked = compared(sequence, found)
    crossed = [words.crossing_told(one) for one in crossings(all_looks) if letter is None or letter in one.cameras]
    crossed += map(words.change_told, changes(found))
    remarks = [*words.hidden_told(found), *words.out_told(found), *words.remarks(sequence, places, unplaced_moves(sequence, cut))]
    if as_json:
        answer(
            {
                "cameras": words.camera_rows(sequence, places),
                "moves": words.look_rows(found),
                "line": crossed,
                "differences": words.difference_rows(marked.differences),
                "remarks": remarks,
            }
        )
        return
    show_rows(words.camera_rows(sequence, places))
    show()
    show_rows(words.run_rows(found))
    for line in (*remarks, *crossed, *map(words.difference_told, marked.differences)):
        show(line)
    say(words.compared_told(marked))
    if any(one.stand.guessed for look in found for one in look.framed):
        from previs.floor.routes_guessed import GUESS_NOTE

        say(GUESS_NOTE)
    say(words.WAY_NOTE)
    say(f"Caution: {words.CAUTION}")


def _places(sequence: Sequence, letter: str | None) -> tuple[CameraPlace, ...]:
    """The places of the camera of that letter, or of all; raises `UseFault` where there is nothing to tell of."""
    from previs.floor.cameras import cameras_of

    known = cameras_of(sequence)
    if not known:
        raise UseFault("There are no cameras on the plan yet; read a table with 'previs cameras FILE TABLE'.")
    if not sequence.moves:
        raise UseFault("There is no fight yet, so there is nothing to see; read one with 'previs fight'.")
    names = list(dict.fromkeys(one.name for one in known))
    if letter is not None and letter not in names:
        raise UseFault(f"The plan has no camera '{letter}'; known: {', '.join(names)}.")
    return tuple(one for one in known if letter in (None, one.name))
