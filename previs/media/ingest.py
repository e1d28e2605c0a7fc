"""Taking a tape in: from a movie file to the document's tape, with a legal reel name; it copies and saves nothing."""

from __future__ import annotations

import re
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from msgspec.structs import replace

from previs.clock import ClockFault, Timebase
from previs.document.model import Sequence, SoundTrack, Tape
from previs.document.paths import cache_folder, stored_path
from previs.document.tape_edits import RESERVED_REELS, legal_reel
from previs.faults import Fault, UseFault
from previs.media.fingerprint import fingerprint
from previs.media.from_cut import raster_of
from previs.media.probe import TapeFacts, probe
from previs.media.workcopy import find_work_copy
from previs.media.workers import Tick, run_jobs
from previs.progress import Report, Step
from previs.replacing import not_text

LONGEST_REEL = 8
_TAPES_WORTH_PROCESSES = 12
"""Below this a second process costs more, in starting, than it saves."""


class InAlready(UseFault):
    """A movie file that a tape of the document was made of before."""

    def __init__(self, path: Path, tape: Tape) -> None:
        super().__init__(f"{path} is in the file already, as reel {tape.reel}; its camera, name and time code can be corrected there.")
        self.tape = tape


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What came of several movie files: the tapes, and for each file that gave none the fault that says why."""

    tapes: tuple[Tape, ...]
    refused: tuple[Fault, ...]


def take_in(
    paths: Iterable[Path], sequence: Sequence, document: Path, report: Report, *, camera: str = "", reel: str = "", start_label: str = ""
) -> TakenIn:
    """Look at movie files, each as `tape_from_file` does; a file that is refused does not stop the others."""
    files, cache = tuple(paths), cache_folder(document)
    # What takes its time, finding every frame, is shared out; what it finds is in the cache when it is asked for here.
    run_jobs(_index, [(path.absolute(), cache) for path in files], len(files), "Looking at the tapes", report, worth=_TAPES_WORTH_PROCESSES)
    tapes: list[Tape] = []
    refused: list[Fault] = []
    for number, path in enumerate(files):
        report(Step(number, len(files), f"Looking at {path.name}"))
        stored, known = stored_path(path, document), (*sequence.tapes, *tapes)
        try:
            tapes.append(tape_from_file(path, stored, known, cache, camera=camera, reel=reel, start_label=start_label))
        except Fault as fault:
            refused.append(fault)
    return TakenIn(tuple(tapes), tuple(refused))


def _index(job: tuple[Path, Path], tick: Tick) -> None:
    path, cache = job
    tick()
    # A file that is no tape is told of in its turn.
    with suppress(Fault):
        probe(path, cache)


def with_tapes(sequence: Sequence, tapes: Iterable[Tape]) -> Sequence:
    """The sequence with tapes that were looked at for it; what was taken in meanwhile is not taken in twice.

    A tape whose reel name was given to another meanwhile gets a free one.
    """
    for tape in tapes:
        if tape.fingerprint in {one.fingerprint for one in sequence.tapes}:
            continue
        taken = {one.reel for one in sequence.tapes}
        free = tape if tape.reel not in taken else replace(tape, reel=reel_from_name(tape.reel, taken))
        sequence = sequence.with_tape(free)
    return sequence


def left_uncopied(taken: TakenIn, sequence: Sequence, cache: Path) -> tuple[Tape, ...]:
    """The tapes that are in the file and have no work copy, where all that was refused are such, so that a stopped run goes on.

    Empty where nothing was refused. Raises the first fault of another kind, and that of tapes that were taken in and copied.
    """
    for fault in taken.refused:
        if not isinstance(fault, InAlready):
            raise fault
    fps, raster = sequence.timebase.rate.fps, raster_of(sequence)
    known = [fault.tape for fault in taken.refused if isinstance(fault, InAlready)]
    lacking = tuple(tape for tape in known if find_work_copy(tape.fingerprint, fps, raster, cache) is None)
    if known and not lacking:
        raise taken.refused[0]
    return lacking


def tape_told(tape: Tape) -> str:
    """What a tape is, in one sentence."""
    kind = "variable rate, near" if tape.variable else "constant"
    source = {"tape": "its own time code from", "given": "given time code from", "none": "no time code, counted from"}[tape.start_from]
    sound = f"{tape.sound.channels}-channel sound" if tape.sound else "no sound"
    turned = f", turned {tape.rotation} degrees" if tape.rotation else ""
    return (
        f"{tape.reel}: {tape.frames} frames, {float(tape.duration):.2f} s, {tape.width} x {tape.height}{turned}, {tape.codec}, "
        f"{kind} {tape.rate_name}, {source} {tape.timebase.label(tape.timebase.wrap(tape.start_frame))}, {sound}."
    )


def tape_from_file(
    path: Path, stored_path: str, known: Iterable[Tape], cache: Path, *, camera: str = "", reel: str = "", start_label: str = ""
) -> Tape:
    """Probe and index one movie file, and make it the document's tape.

    `stored_path` is the path as the document writes it; `known` are the tapes that it has. The reel name is `reel`, or
    is made from the file's name. `start_label` replaces the tape's own time code. Raises `UseFault` for a tape that is
    in the file already, for an illegal or taken reel name, and for what `probe` refuses.
    """
    if not_text(path):
        raise UseFault(f"The name of {str(path)!r} holds a sign that no text can hold, so the file could not tell of it; rename the tape.")
    known = tuple(known)
    content = fingerprint(path)
    for tape in known:
        if tape.fingerprint == content:
            raise InAlready(path, tape)
    taken = {tape.reel for tape in known}
    facts = probe(path, cache)
    timebase, start_frame, start_from = _time_code(facts, start_label)
    return Tape(
        reel=legal_reel(reel, frozenset(taken)) if reel else reel_from_name(path.stem, taken),
        path=stored_path,
        fingerprint=content,
        rate_name=timebase.rate.name,
        drop=timebase.drop,
        frames=facts.frames,
        duration=facts.duration,
        width=facts.width,
        height=facts.height,
        codec=facts.codec,
        start_frame=start_frame,
        start_from=start_from,
        camera=camera,
        variable=facts.variable,
        rotation=facts.rotation,
        interlaced=facts.interlaced,
        sample_aspect=facts.sample_aspect,
        sound=SoundTrack(facts.sound.sample_rate, facts.sound.channels) if facts.sound else None,
    )


def reel_from_name(name: str, taken: set[str]) -> str:
    """A reel name of 1 to 8 characters, A to Z, 0 to 9 and _, that no other tape has.

    The end of a long name is kept, since cameras count there: `VID_20260918_0042` becomes `918_0042`.
    """
    legal = re.sub(r"[^A-Z0-9_]+", "_", name.upper()).strip("_") or "TAPE"
    wanted = legal[-LONGEST_REEL:].strip("_")
    if wanted not in taken and wanted not in RESERVED_REELS:
        return wanted
    for number in range(2, 10_000):
        ending = f"_{number}"
        candidate = wanted[: LONGEST_REEL - len(ending)] + ending
        if candidate not in taken:
            return candidate
    raise UseFault(f"No free reel name is left for {name}; rename the file, or give it a reel name of its own.")


def _time_code(facts: TapeFacts, given: str) -> tuple[Timebase, int, str]:
    label = given or facts.start_label or ""
    if not label:
        return Timebase(facts.rate), 0, "none"
    try:
        timebase = Timebase(facts.rate, ";" in label)
        return timebase, timebase.frame(label), "given" if given else "tape"
    except ClockFault:
        if given:
            raise
        # A label that the tape's own rate cannot have is no time code to trust; the person can give another.
        return Timebase(facts.rate), 0, "none"
