"""Changing what a sequence is set to (target, title, limits of an assembly, raster ...), and saying what changed; pure, no files.

A setting may be nonsense in ways that the file's own invariants do not mind; what is refused here would only make cuts or
movies that nobody can use. The bounds are common practice without a source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from msgspec.structs import replace

from previs.clock import Timebase
from previs.document.model import Sequence, Settings
from previs.faults import UseFault

MOST_RETIMING = Fraction(1, 2)
LONGEST_SECONDS = 60
SMALLEST_RASTER, LARGEST_RASTER = 64, 8192


@dataclass(frozen=True, slots=True)
class Wanted:
    """The settings to change; None leaves one as it is. Lengths are in frames, shares between 0 and 1.

    `start` is the time code of the first frame as written, since its semicolon says how it counts.
    """

    title: str | None = None
    target_frames: int | None = None
    start: str | None = None
    most_retiming: Fraction | None = None
    least_breath: Fraction | None = None
    lead_frames: int | None = None
    wanted_shot_frames: int | None = None
    least_shot_frames: int | None = None
    handle_frames: int | None = None
    raster: tuple[int, int] | None = None


def set_to(sequence: Sequence, wanted: Wanted) -> Sequence:
    """The sequence with these settings; the cuts stay as they are, each with the target that it was made to.

    Raises `UseFault` for a setting that makes no sense.
    """
    _refuse_nonsense(sequence, wanted)
    parts: dict[str, object] = {}
    if wanted.title is not None:
        parts["title"] = wanted.title.strip()
    if wanted.target_frames is not None:
        parts["target_frames"] = wanted.target_frames
    if wanted.start is not None:
        timebase = Timebase(sequence.timebase.rate, ";" in wanted.start)
        parts |= {"start_frame": timebase.frame(wanted.start), "drop": timebase.drop}
    return replace(sequence, settings=_settings(sequence, wanted), **parts)


def _settings(sequence: Sequence, wanted: Wanted) -> Settings:
    parts: dict[str, object] = {
        name: getattr(wanted, name)
        for name in ("most_retiming", "least_breath", "lead_frames", "least_shot_frames", "handle_frames")
        if getattr(wanted, name) is not None
    }
    if wanted.wanted_shot_frames is not None:
        parts["wanted_shot_seconds"] = wanted.wanted_shot_frames / sequence.timebase.rate.fps
    if wanted.raster is not None:
        parts["raster_width"], parts["raster_height"] = wanted.raster
    return replace(sequence.settings, **parts)


def _refuse_nonsense(sequence: Sequence, wanted: Wanted) -> None:
    if wanted.title is not None and not wanted.title.strip():
        raise UseFault("A title needs at least one letter; it stands on the edit list.")
    longest = (LONGEST_SECONDS * sequence.timebase.rate.fps).__ceil__()
    _between("target", wanted.target_frames, 1, sequence.timebase.frames_per_day)
    _between("lead before a hit", wanted.lead_frames, 0, sequence.timebase.rate.nominal)
    _between("wanted length of a shot", wanted.wanted_shot_frames, 1, longest)
    _between("least length of a shot", wanted.least_shot_frames, 1, longest)
    _between("length of the handles", wanted.handle_frames, 0, longest)
    if wanted.most_retiming is not None and not 0 <= wanted.most_retiming <= MOST_RETIMING:
        raise UseFault(
            f"Retiming by up to {share_text(wanted.most_retiming)} cannot be set; give 0% to {share_text(MOST_RETIMING)}, such as 10%."
        )
    if wanted.least_breath is not None and not 0 <= wanted.least_breath <= 1:
        raise UseFault(f"A breath cannot keep at least {share_text(wanted.least_breath)} of itself; give 0% to 100%.")
    for side in wanted.raster or ():
        if side % 2 or not SMALLEST_RASTER <= side <= LARGEST_RASTER:
            raise UseFault(
                f"A picture cannot be {side} pixels wide or high; use even numbers from {SMALLEST_RASTER} to {LARGEST_RASTER}, "
                "such as 1920x1080."
            )


def _between(what: str, frames: int | None, least: int, most: int) -> None:
    if frames is not None and not least <= frames <= most:
        raise UseFault(f"The {what} cannot be {frames} frames; give {least} to {most}.")


def settings_table(sequence: Sequence) -> dict[str, str]:
    """Every setting by the name that it has for a person, as text."""
    settings, timebase = sequence.settings, sequence.timebase
    fps = timebase.rate.fps
    return {
        "title": sequence.title,
        "start": timebase.label(sequence.start_frame),
        "target": timebase.label(sequence.target_frames),
        "most retiming": share_text(settings.most_retiming),
        "least breath": share_text(settings.least_breath),
        "lead before a hit": _frames(settings.lead_frames),
        "wanted shot": f"{float(settings.wanted_shot_seconds):g} s",
        "least shot": _frames(settings.least_shot_frames),
        "handles": _frames(settings.handle_frames),
        "raster": f"{settings.raster_width}x{settings.raster_height}",
        "counted": f"{float(fps):g} frames a second{', drop-frame' if timebase.drop else ''}",
    }


def settings_changed(before: Sequence, after: Sequence) -> str:
    """What is set otherwise now, in one sentence; raises `UseFault` when nothing is."""
    changes = list(_changes(settings_table(before), settings_table(after)))
    if not changes:
        raise UseFault("That is what the file is set to already; nothing was changed.")
    said = "; ".join(changes)
    return f"{said[0].upper()}{said[1:]}."


def _changes(old: dict[str, str], new: dict[str, str]) -> Iterator[str]:
    for name, value in new.items():
        if value != old[name]:
            yield f"{name} is {value} (was {old[name]})"


def share_text(share: Fraction) -> str:
    """A share as a percentage, to a tenth at most: `8%`, `33.3%`."""
    return f"{float(share * 100):.1f}".removesuffix(".0") + "%"


def _frames(number: int) -> str:
    return "1 frame" if number == 1 else f"{number} frames"
