"""Verbs of exchange with others' programs: compare, import-edl, otio, import-otio, captions, shots."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from previs.cli.sessions import AsJson, CutName, File, edit, look
from previs.cli.showing import answer, say, show_rows, show_text
from previs.document.model import Sequence
from previs.faults import UseFault
from previs.replacing import named_with

if TYPE_CHECKING:
    from collections.abc import Callable

    from previs.exchange.cmx3600_reading import ReadList
    from previs.exchange.importing import Imported

_Lists = Annotated[list[Path], typer.Argument(metavar="LIST.edl...", help="The edit list, or several in order.", show_default=False)]
_Strict = Annotated[bool, typer.Option("--strict", help="Refuse a list with any fault in it.")]
_Cards = Annotated[bool, typer.Option("--cards-for-unknown", help="Put a card where a tape or span is unknown.")]
_Reels = Annotated[
    list[str] | None,
    typer.Option("--reel", metavar="LISTNAME=REEL", help="Which tape a reel of the list is; may be given again.", show_default=False),
]
_NewName = Annotated[str | None, typer.Option("--name", metavar="NAME", help="The cut's name; v1, v2 ... when not given.")]


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog="Example: previs compare salt.previs returned.edl --cut v1")(compare)
    app.command("import-edl", epilog="Example: previs import-edl salt.previs returned.edl --name v5")(import_edl)
    app.command(epilog="Example: previs otio salt.previs --cut v1 -o salt_v1.otio")(otio)
    app.command("import-otio", epilog="Example: previs import-otio salt.previs returned.otio --name v5")(import_otio)
    app.command(epilog="Example: previs captions salt.previs --cut v1 -o salt_v1.vtt --leader")(captions)
    app.command(epilog="Example: previs shots salt.previs --cut v1 -o shots.xlsx")(shots)


def compare(
    file: File,
    lists: _Lists,
    cut: CutName = None,
    reel: _Reels = None,
    strict: _Strict = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="As a CSV table.")] = False,
    as_json: AsJson = False,
) -> None:
    """Say what a returned edit list changes against a cut, shot by shot; nothing is changed here.

    The words are those of 'previs changes'. An out is the frame after the last.
    """
    from previs.exchange import comparing
    from previs.exchange.lists import as_csv_text
    from previs.exchange.recognising import given_names

    sequence = look(file).sequence
    chosen = sequence.cut(cut)
    reads = _read(lists, sequence, strict=strict)
    compared = comparing.compare(sequence, chosen, reads, given_names(sequence, reel or ()))
    found = comparing.rows(sequence, compared.rows)
    if as_json:
        answer(found)
    elif as_csv:
        show_text(as_csv_text(found))
    else:
        show_rows(found)
    for sentence in comparing.summary(sequence, chosen, compared):
        say(sentence)


def import_edl(
    file: File,
    lists: _Lists,
    name: _NewName = None,
    reel: _Reels = None,
    cards_for_unknown: _Cards = False,
    anyway: Annotated[bool, typer.Option("--anyway", help="Take a list however long it is.")] = False,
    strict: _Strict = False,
    as_json: AsJson = False,
) -> None:
    """Make a cut from an edit list whose reels are tapes of this sequence."""
    from previs.cut.assembly import next_name
    from previs.exchange.importing import import_list
    from previs.exchange.recognising import given_names

    def imported(sequence: Sequence) -> Imported:
        reads = _read(lists, sequence, strict=strict)
        given = given_names(sequence, reel or ())
        return import_list(sequence, reads, name or next_name(sequence), cards_for_unknown=cards_for_unknown, given=given, anyway=anyway)

    _add_cut(file, imported, f"import {lists[0].name}", as_json=as_json)


def otio(
    file: File,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="CUT.otio", help="Where the timeline goes.", show_default=False)],
    cut: CutName = None,
    as_json: AsJson = False,
) -> None:
    """Write the cut as an OpenTimelineIO timeline, with hits and treatments as markers."""
    from previs.exchange.otio import write_timeline
    from previs.exchange.reels import tapes_seen_from

    _only(output, ".otio", "an OpenTimelineIO timeline")
    opened = look(file)
    sequence = tapes_seen_from(opened.sequence, opened.path, output)
    _write(output, write_timeline(sequence, sequence.cut(cut)).encode(), as_json=as_json)


def import_otio(
    file: File,
    timeline: Annotated[Path, typer.Argument(metavar="CUT.otio", help="The timeline.", show_default=False)],
    name: _NewName = None,
    cards_for_unknown: _Cards = False,
    as_json: AsJson = False,
) -> None:
    """Make a cut from an OpenTimelineIO timeline whose media are tapes of this sequence."""
    from previs.cut.assembly import next_name
    from previs.exchange.otio import MOST_BYTES, read_timeline

    text = _bytes_of(timeline, MOST_BYTES).decode("utf-8", errors="replace")

    def imported(sequence: Sequence) -> Imported:
        return read_timeline(sequence, text, name or next_name(sequence), cards_for_unknown=cards_for_unknown)

    _add_cut(file, imported, f"import {timeline.name}", as_json=as_json)


def captions(
    file: File,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="CUT.vtt", help="Where the captions go.", show_default=False)],
    cut: CutName = None,
    leader: Annotated[bool, typer.Option("--leader", help="For a movie that was published with --leader.")] = False,
    as_json: AsJson = False,
) -> None:
    """Write moves and phrases as WebVTT captions for the movie of the cut."""
    from previs.exchange.captions import write_captions
    from previs.media.cards import LEADER_SECONDS

    _only(output, ".vtt", "WebVTT captions")
    sequence = look(file).sequence
    leader_frames = LEADER_SECONDS * sequence.timebase.rate.nominal if leader else 0
    _write(output, write_captions(sequence, sequence.cut(cut), leader_frames).encode(), as_json=as_json)


def shots(
    file: File,
    output: Annotated[
        Path,
        typer.Option(
            "--output", "-o", metavar="SHOTS.xlsx", help=".xlsx, or .csv for the shots with NAME_treatments.csv beside.", show_default=False
        ),
    ],
    cut: CutName = None,
    as_json: AsJson = False,
) -> None:
    """Write the shot list as a workbook (shots, treatments, moves) or as CSV."""
    from previs.exchange.shot_lists import shot_list_files

    # Dated as the sequence file is, so that the same file gives the same bytes.
    made = datetime.fromtimestamp(file.stat().st_mtime, UTC) if file.exists() else datetime.now(UTC)
    files = shot_list_files(look(file).sequence, cut, output, made)
    for place, data in files.items():
        _write(place, data, as_json=False, told=not as_json)
    if as_json:
        answer([{"file": str(place), "bytes": len(data)} for place, data in files.items()])


def _only(output: Path, ending: str, what: str) -> None:
    if output.suffix.lower() != ending:
        raise UseFault(f"This writes {what}, and {output.name or output} does not end in {ending}; name it {named_with(output, ending)}.")


def _read(paths: list[Path], sequence: Sequence, *, strict: bool) -> list[ReadList]:
    """The lists, counted as the sequence is; what was refused or repaired is said."""
    from previs.exchange.cmx3600_reading import merged, read_list
    from previs.exchange.cmx3600_statements import MOST_BYTES

    reads = []
    for path in paths:
        read = read_list(_bytes_of(path, MOST_BYTES), sequence.timebase, strict=strict)
        for told in merged(read.issues):
            say(f"{path.name}, {told}")
        reads.append(read)
    return reads


def _bytes_of(path: Path, most: int) -> bytes:
    try:
        if path.stat().st_size > most:
            raise UseFault(f"{path} is larger than {most // 1024**2} MB; pick another file.")
        return path.read_bytes()
    except OSError as error:
        raise UseFault(f"{path} cannot be read ({error.strerror}); check the name and the folder.") from error


def _add_cut(file: Path, imported: Callable[[Sequence], Imported], what: str, *, as_json: bool) -> None:
    from previs.cut.assembly import with_cut
    from previs.cut.wording import counted

    made: list[Imported] = []

    def change(sequence: Sequence) -> Sequence:
        made.append(imported(sequence))
        return with_cut(sequence, made[0].cut)

    timebase = edit(file, change, what=what).sequence.timebase
    cut, remarks = made[0].cut, made[0].remarks
    if as_json:
        answer({"cut": cut.name, "shots": len(cut.shots), "frames": cut.frames, "remarks": list(remarks)})
        return
    say(f"Cut {cut.name}: {counted(len(cut.shots), 'shot')}, {timebase.label(cut.frames)} against {timebase.label(cut.target_frames)}.")
    for remark in remarks:
        say(remark)


def _write(output: Path, data: bytes, *, as_json: bool, told: bool = True) -> None:
    from previs.replacing import replacing

    with replacing(output) as temporary:
        temporary.write_bytes(data)
    if as_json:
        answer({"file": str(output), "bytes": len(data)})
    elif told:
        say(f"{output} is written.")
