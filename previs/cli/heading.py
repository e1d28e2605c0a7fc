"""Verbs around head height: mark a head once, follow it, and tell how many pixels a face has in each shot of a cut."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from previs.cli.sessions import AsJson, CutName, File, edit, look
from previs.cli.showing import Row, answer, reporting, say, show, show_rows
from previs.document.model import HeadBox, Sequence
from previs.document.paths import cache_folder
from previs.faults import UseFault

if TYPE_CHECKING:
    from previs.media.head_tracks import TakeHead


def add_to(app: typer.Typer) -> None:
    """Give the command line these verbs."""
    app.command(epilog="Example: previs head salt.previs A3-1 Odile 03:00:06:12 612,180,34,46")(head)
    app.command(epilog="Example: previs heads salt.previs --cut v1")(heads)


def head(
    file: File,
    take: Annotated[str, typer.Argument(help="The take.", show_default=False)],
    role: Annotated[str, typer.Argument(help="Whose head.", show_default=False)],
    at: Annotated[str, typer.Argument(help="When on the tape: its time code, seconds (12.4s) or a frame (f310).", show_default=False)],
    box: Annotated[
        str, typer.Argument(metavar="LEFT,TOP,WIDTH,HEIGHT", help="Chin to crown, in upright pixels of the tape.", show_default=False)
    ],
) -> None:
    """Mark a role's head on one picture of a take, so that it can be followed through it; a new mark replaces the old one."""
    edit(file, lambda sequence: _marked(sequence, take, role, at, _numbers(box)), f"head of {role} in {take}")
    say(f"The head of {role} is marked in take {take}; 'previs heads {file}' follows it.")


def heads(file: File, cut: CutName = None, as_json: AsJson = False) -> None:
    """Follow the marked heads and tell their height in the delivery picture: per take, and the largest in each shot."""
    from previs.media.head_tracks import heads_followed

    opened = look(file)
    sequence = opened.sequence
    with reporting("Following heads") as report:
        found = heads_followed(sequence, opened.path, cache_folder(opened.path), report)
    takes = [_take_row(one) for one in found]
    shots = _shot_rows(sequence, cut, found) if sequence.cuts or cut else []
    if as_json:
        answer({"takes": takes, "shots": shots})
        return
    if not takes:
        say("No head is marked yet: 'previs head FILE TAKE ROLE AT BOX' marks one. What follows is estimated from the framings.")
    else:
        show_rows(takes)
    if shots:
        show()
        show_rows(shots)
        raster = f"{sequence.settings.raster_width} x {sequence.settings.raster_height}"
        say(f"Heights are pixels in the delivery picture, {raster}; an estimate is from the shot size and the build of people, no more.")


def _numbers(text: str) -> tuple[int, int, int, int]:
    try:
        left, top, width, height = (round(float(part)) for part in text.split(","))
    except ValueError:
        raise UseFault(f"'{text}' is no box; give four numbers: left,top,width,height in pixels.") from None
    return left, top, width, height


def _marked(sequence: Sequence, name: str, role: str, at: str, box: tuple[int, int, int, int]) -> Sequence:
    from msgspec.structs import replace

    from previs.clock import ClockFault
    from previs.exchange.table_rows import parse_moment

    take = sequence.take(name)
    tape = sequence.tape(take.reel)
    try:
        moment = parse_moment(at, tape.timebase, tape.start_frame)
    except ClockFault as fault:
        raise UseFault(str(fault)) from None
    if not take.span.holds(moment):
        raise UseFault(f"{at} is not in take {name}; mark the head while the take plays.")
    if role not in sequence.roles:
        raise UseFault(f"The fight has no role '{role}'; known: {', '.join(sequence.roles) or 'none yet'}.")
    left, top, width, height = box
    if min(width, height) < 4 or left + width <= 0 or top + height <= 0 or left >= tape.width or top >= tape.height:
        raise UseFault(f"A head of {width} x {height} pixels at {left}, {top} is not on the picture of tape {tape.reel}.")
    marked = HeadBox(take.reel, role, moment, left, top, width, height)
    others = tuple(one for one in sequence.heads if not (one.reel == take.reel and one.role == role and take.span.holds(one.at)))
    return replace(sequence, heads=(*others, marked))


def _take_row(one: TakeHead) -> Row:
    import numpy as np

    found = one.heights_px[~np.isnan(one.heights_px)]
    return {
        "take": one.take.name,
        "role": one.role,
        "found": f"{one.found_share:.0%}",
        "least px": round(float(found.min()), 1) if len(found) else None,
        "middle px": round(float(np.median(found)), 1) if len(found) else None,
        "largest px": round(float(found.max()), 1) if len(found) else None,
    }


def _shot_rows(sequence: Sequence, cut: str | None, found: list[TakeHead]) -> list[Row]:
    from previs.analysis.head_heights import head_height_by_framing
    from previs.cut.placing import place
    from previs.media.head_tracks import largest_in

    rows: list[Row] = []
    for one in place(sequence, sequence.cut(cut)):
        if one.source is None:
            continue
        played, fps = one.source.played, sequence.timebase.rate.fps
        framing = one.source.take.framing_at(played.start / fps)
        for role in sequence.roles:
            largest = largest_in(found, one.source.take.name, role, played.start, played.end_exclusive)
            least, likely, most = head_height_by_framing(framing.size, sequence.settings.raster_height)
            rows.append(
                {
                    "shot": one.number,
                    "take": one.source.take.name,
                    "role": role,
                    "size": str(framing.size),
                    "largest px": None if largest is None else round(largest, 1),
                    "estimated px": f"{likely:.0f} ({least:.0f} to {most:.0f})" if largest is None else "",
                }
            )
    return rows
