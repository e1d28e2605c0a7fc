"""Verbs around the cut: assemble, edl, publish."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from previs.cli.sessions import AsJson, CutName, File, edit, look
from previs.cli.showing import answer, reporting, say, show
from previs.cut.wording import counted
from previs.document.model import Sequence
from previs.exchange.written import LENGTH, length_in_frames
from previs.faults import UseFault


class Quality(StrEnum):
    """How a movie is made."""

    DRAFT = "draft"
    FINAL = "final"
    ORIGINALS = "originals"


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog="Example: previs assemble salt.previs --target 00:00:48:00 --name v1")(assemble)
    app.command(epilog="Example: previs why salt.previs 7 --cut v1")(why)
    app.command(epilog="Example: previs edl salt.previs --cut v1 -o salt_v1.edl")(edl)
    app.command(epilog="Example: previs publish salt.previs --cut v1 -o salt_v1.mp4 --quality draft")(publish)


def assemble(
    file: File,
    target: Annotated[str | None, typer.Option(metavar="TIME", help=f"Length to meet; the sequence's own when not given. {LENGTH}")] = None,
    name: Annotated[str | None, typer.Option(metavar="NAME", help="The cut's name; v1, v2 ... when not given.")] = None,
    around: Annotated[str | None, typer.Option(metavar="CUT", help="Keep the locked shots of this cut where they are.")] = None,
    as_json: AsJson = False,
) -> None:
    """Make the best timing cut that lasts exactly the target: every move on screen once, in order."""
    from previs.cut import assembly

    made: list[assembly.Assembly] = []

    def change(sequence: Sequence) -> Sequence:
        frames = None if target is None else length_in_frames(target, sequence.timebase)
        kept = None if around is None else sequence.cut(around)
        made.append(assembly.assemble(sequence, name or assembly.next_name(sequence), frames, kept))
        return assembly.with_cut(sequence, made[0].cut)

    timebase = edit(file, change, what="assemble a cut").sequence.timebase
    cut, remarks = made[0].cut, made[0].remarks
    if as_json:
        answer(
            {
                "cut": cut.name,
                "shots": len(cut.shots),
                "frames": cut.frames,
                "target_frames": cut.target_frames,
                "over_frames": cut.frames - cut.target_frames,
                "remarks": list(remarks),
            }
        )
        return
    say(f"Cut {cut.name}: {counted(len(cut.shots), 'shot')}, {timebase.label(cut.frames)} against {timebase.label(cut.target_frames)}.")
    for remark in remarks:
        say(remark)


def why(
    file: File,
    shot: Annotated[int, typer.Argument(metavar="SHOT", help="The shot's number in the cut, from 1.", show_default=False)],
    cut: CutName = None,
    as_json: AsJson = False,
) -> None:
    """Say why a shot is what it is: its take, what it costs, and the next best."""
    chosen = look(file).sequence.cut(cut)
    if not 1 <= shot <= len(chosen.shots):
        raise UseFault(f"Cut {chosen.name} has shots 1 to {len(chosen.shots)}, and no shot {shot}.")
    reasons = chosen.shots[shot - 1].reasons or ("It was put here by hand.",)
    if as_json:
        answer({"cut": chosen.name, "shot": shot, "reasons": list(reasons)})
    for reason in () if as_json else reasons:
        show(reason)


def edl(
    file: File,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="LIST.edl", help="Where the edit list goes.", show_default=False)],
    cut: CutName = None,
    as_json: AsJson = False,
) -> None:
    """Write the cut as a CMX3600 edit list; a cut of more than 999 events becomes several lists."""
    from previs.exchange.edit_list_files import edit_list_files
    from previs.replacing import write_whole

    opened = look(file)
    lists = edit_list_files(opened.sequence, cut, opened.path, output)
    for place, one in lists.items():
        write_whole(place, one.text.encode("ascii"))
    if as_json:
        answer([{"file": str(place), "first_event": one.first_event, "last_event": one.last_event} for place, one in lists.items()])
    else:
        for place in lists:
            say(f"{place} is written.")


def publish(
    file: File,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="MOVIE.mp4", help="Where the movie goes.", show_default=False)],
    cut: CutName = None,
    quality: Annotated[Quality, typer.Option(help="draft is quickest, final is small, originals is from the tapes.")] = Quality.FINAL,
    leader: Annotated[bool, typer.Option("--leader", help="Begin with a countdown of eight seconds.")] = False,
    beep: Annotated[bool, typer.Option("--beep", help="Two frames of tone two seconds before the first picture; needs --leader.")] = False,
    burn_in: Annotated[
        bool,
        typer.Option("--burn-in", help="Burn in time code, shot, phrase, move, treatment, cut and date; small, as final is."),
    ] = False,
    confidential: Annotated[
        bool, typer.Option(help="Burn in that rehearsal footage is not for distribution, too; goes with --burn-in.")
    ] = True,
    as_json: AsJson = False,
) -> None:
    """Make the cut a movie, H.264 and AAC, at the sequence rate, with exactly the right number of frames."""
    if beep and not leader:
        raise UseFault("The beep sounds two seconds before the first picture, in the leader; give --leader too.")
    if burn_in and quality is Quality.DRAFT:
        raise UseFault("A draft is not coded anew, so nothing can be burnt into it; leave --quality out, or give originals.")
    if not confidential and not burn_in:
        raise UseFault("Without --burn-in nothing is written on the picture; leave --no-confidential out.")
    from previs.media.cut_movies import publish_cut
    from previs.review.burn_ins import BurnIns

    opened = look(file)
    sequence = opened.sequence
    chosen = sequence.cut(cut)
    words = BurnIns(sequence, chosen, date.today(), confidential=confidential) if burn_in else None
    replaced = output.exists()
    how = f"{quality.value} with words burnt in" if burn_in else quality.value
    say(f"Publishing cut {chosen.name}, {how}, to {output} ...")
    with reporting("Publishing") as report:
        made = publish_cut(
            sequence, chosen, opened.path, output, quality=quality.value, report=report, leader=leader, beep=beep, words=words
        )
    if as_json:
        answer(
            {
                "file": str(output),
                "frames": made.frames,
                "seconds": float(made.frames / sequence.timebase.rate.fps),
                "quality": quality.value,
                "burnt_in": burn_in,
                "replaced": replaced,
            }
        )
    else:
        done = "is replaced by this cut" if replaced else "is written"
        say(f"{output} {done}: {counted(made.frames, 'frame')}, {sequence.timebase.label(made.frames)}, {how}.")
