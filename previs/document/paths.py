"""Where a document's media are: paths that survive moving the folder, and tapes found again by content; opens no media file."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path

import msgspec

from previs.document.model import Card, Sequence, Tape
from previs.faults import Fault
from previs.progress import Report, Step, silent

Fingerprint = Callable[[Path], str]
"""What a media file's content is known by; raises `Fault` for a file that cannot be read."""


@dataclass(frozen=True, slots=True)
class Search:
    """What became of looking for tapes: where each reel was found, which were not, and sentences for the person."""

    found: Mapping[str, Path]
    missing: tuple[str, ...]
    remarks: tuple[str, ...]


def cache_folder(document: Path) -> Path:
    """The one folder beside the file that holds all that can be made again, as an absolute path; it can be deleted at any time."""
    return _absolute(document.with_name(document.name + ".cache"))


def stored_path(media: Path, document_path: Path) -> str:
    """How a media file is written in a document: relative to its folder with forward slashes, or absolute.

    Absolute where the two share no more than the root of the disk: such media are on another volume, and do not move
    with the document.
    """
    folder = document_path.resolve().parent
    named = _absolute(media)
    # The person's own name for it first, so that a folder linked into the production's stays in there; the true place
    # second, for a production that is itself reached by a link.
    for file in (named, media.parent.resolve() / media.name):
        if file.anchor == folder.anchor and file.parts[1:2] == folder.parts[1:2]:
            return Path(os.path.relpath(file, folder)).as_posix()
    return named.as_posix()


def locate(document_path: Path, item: Tape | Card) -> Path:
    """The absolute path of a tape, or of a card's drawing or still; the file need not be there."""
    stored = item.image if isinstance(item, Card) else item.path
    # The two dots are taken out by name, as `stored_path` put them in; following links here would name another file.
    return _absolute(document_path.resolve().parent / stored)


def stands(path: Path) -> bool:
    """Whether there is a file of that name; none is where the name is longer than the disk takes."""
    try:
        return path.is_file()
    except OSError:
        return False


def relinked(sequence: Sequence, found: Mapping[str, Path], document_path: Path) -> Sequence:
    """The sequence with the tapes of these reels at their new paths; raises `UseFault` for a reel that it does not have."""
    for reel in found:
        sequence.tape(reel)
    tapes = tuple(
        msgspec.structs.replace(tape, path=stored_path(found[tape.reel], document_path)) if tape.reel in found else tape
        for tape in sequence.tapes
    )
    return msgspec.structs.replace(sequence, tapes=tapes)


def find_moved(
    sequence: Sequence, document_path: Path, places: Iterable[Path], fingerprint: Fingerprint, report: Report = silent
) -> Search:
    """Look in these folders, and the folders in them, for each tape whose file is away or is another one than it was."""
    wanted = [tape for tape in sequence.tapes if not _is_in_place(locate(document_path, tape), tape, fingerprint)]
    if not wanted:
        return Search({}, (), ("Every tape is in its place.",))
    found: set[Path] = set()
    for place in places:
        for file in place.rglob("*"):
            report(Step(0, 1, f"Looking in {file.parent.name}"))
            if file.is_file():
                found.add(_absolute(file))
    candidates = sorted(found)
    return match_by_content(wanted, document_path, candidates, fingerprint, report)


def match_by_content(
    wanted: Iterable[Tape], document_path: Path, candidates: Iterable[Path], fingerprint: Fingerprint, report: Report = silent
) -> Search:
    """Which of the candidates holds each tape, by fingerprint and never by name; of several copies, the nearest.

    The nearest is the one fewest folders away from where the tape was; then one of the same name; then the first by name.
    """
    tapes, files = tuple(wanted), tuple(candidates)
    homes: dict[str, list[Path]] = {tape.fingerprint: [] for tape in tapes if tape.fingerprint}
    unreadable = 0
    for number, file in enumerate(files):
        report(Step(number, len(files), f"Looking at {file.name}"))
        try:
            content = fingerprint(file)
        except Fault:
            unreadable += 1
            continue
        if content in homes:
            homes[content].append(file)
    found: dict[str, Path] = {}
    remarks: list[str] = []
    for tape in tapes:
        copies = homes.get(tape.fingerprint, [])
        if not copies:
            continue
        was = locate(document_path, tape)
        nearest, *others = sorted(copies, key=lambda file: (_folders_between(was, file), file.name != was.name, file))
        found[tape.reel] = nearest
        also = f"; the nearest of {len(copies)} copies, the others at {', '.join(map(str, others))}" if others else ""
        remarks.append(f"{tape.reel} is at {nearest}{also}.")
    if unreadable:
        remarks.append(f"Passed over, since they could not be read: {unreadable}.")
    return Search(found, tuple(tape.reel for tape in tapes if tape.reel not in found), tuple(remarks))


def _absolute(path: Path) -> Path:
    return Path(os.path.normpath(path.absolute()))


def _is_in_place(path: Path, tape: Tape, fingerprint: Fingerprint) -> bool:
    try:
        return stands(path) and fingerprint(path) == tape.fingerprint
    except Fault:
        return False


def _folders_between(one: Path, other: Path) -> int:
    """Steps up and down from the folder of one file to that of the other."""
    here, there = one.parent.parts, other.parent.parts
    shared = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(here, there, strict=False)))
    return len(here) + len(there) - 2 * shared
