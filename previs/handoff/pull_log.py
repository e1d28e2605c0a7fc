"""What a folder of pulls holds already, in its `pulls.json`, and what a cut therefore makes new, makes again or keeps; no media.

A pull whose frames or slate differ from those that were made gets the next version under the same code. Files that are
there are never overwritten by others and never removed.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum
from hashlib import blake2b
from pathlib import Path

import msgspec

from previs.document.model import Sequence
from previs.exchange.lists import tape_label, tape_rate
from previs.faults import Fault, UseFault
from previs.handoff.pulls import Pull, prefix_of, pull_name
from previs.replacing import replacing

FILE = "pulls.json"
_SCHEMA = 1
_NAME = re.compile(r"[A-Za-z0-9_-][A-Za-z0-9._-]{0,99}", re.ASCII)
_SLATE = 1
"""Version of what a slate says; raised when it says something else, so that pulls made before are known from those after."""


class State(StrEnum):
    """What becomes of a pull in this run."""

    NEW = "new"
    CHANGED = "changed"
    KEPT = "kept"


class Entry(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The newest version of one pull: its code, file name, content key, and whether a treatment asked for it."""

    code: str
    name: str
    version: int
    key: str
    treated: bool


class Log(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The pulls of one sequence that a folder holds."""

    title: str
    pulls: tuple[Entry, ...] = ()
    schema: int = _SCHEMA

    def entry(self, code: str) -> Entry | None:
        """The newest version under that code, if any."""
        return next((entry for entry in self.pulls if entry.code == code), None)

    def with_entry(self, new: Entry) -> Log:
        """The log with this entry in the place of its code's old one."""
        return Log(self.title, (*(entry for entry in self.pulls if entry.code != new.code), new))


@dataclass(frozen=True, slots=True)
class Planned:
    """A pull with what its files are called and what is to be done about them; `old` is the entry that a changed one had."""

    pull: Pull
    entry: Entry
    state: State
    old: Entry | None = None

    @property
    def before(self) -> str:
        """The name of the pull that this one takes the place of, empty for none."""
        return self.old.name if self.old else ""

    @property
    def remarks(self) -> tuple[str, ...]:
        """What there is to say of the pull, first of all which one it takes the place of."""
        return (f"Takes the place of {self.before}.", *self.pull.remarks) if self.before else self.pull.remarks


def read_log(folder: Path, title: str) -> Log:
    """The folder's log, empty where there is none. Raises `UseFault` for one that is damaged or another sequence's."""
    try:
        written = (folder / FILE).read_bytes()
    except FileNotFoundError:
        return Log(title)
    except OSError as error:
        raise Fault(f"{folder / FILE} cannot be read ({error.strerror}); choose another folder.") from error
    try:
        log = msgspec.json.decode(written, type=Log)
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise UseFault(f"{folder / FILE} is damaged ({error}); choose another folder, or move that file away.") from error
    if log.schema != _SCHEMA:
        raise UseFault(f"{folder / FILE} was written by a newer previs; update, or choose another folder.")
    if log.title != title:
        raise UseFault(f"{folder} holds the pulls of '{log.title}', not of '{title}'; choose another folder.")
    # Files are looked for and written by these names, so one with a folder in it would lead out of this one.
    if wrong := next((one for one in log.pulls if one.version < 1 or not _NAME.fullmatch(one.name)), None):
        raise UseFault(f"{folder / FILE} is damaged: '{wrong.name}' is no pull's name; choose another folder, or move that file away.")
    return log


def write_log(folder: Path, log: Log) -> None:
    """Write the folder's log, whole or not at all, in order of code."""
    ordered = Log(log.title, tuple(sorted(log.pulls, key=lambda entry: entry.code)))
    with replacing(folder / FILE) as temporary:
        temporary.write_bytes(msgspec.json.format(msgspec.json.encode(ordered), indent=2) + b"\n")


def content_key(sequence: Sequence, pull: Pull) -> str:
    """What the pictures, numbers and slate of a pull follow from; equal keys mean that nothing need be made again."""
    tape = pull.source.tape
    content = (
        *(_SLATE, sequence.title, sequence.rate_name, sequence.drop, pull.code, tape.fingerprint, tape.reel, tape.rate_name),
        *(tape.drop, tape.start_frame, pull.tape.start, pull.tape.end_exclusive, pull.played.start, pull.played.end_exclusive, pull.first),
    )
    return blake2b(repr(content).encode(), digest_size=16).hexdigest()


def plan(sequence: Sequence, pulls: Collection[Pull], log: Log, names_there: Collection[str]) -> tuple[Planned, ...]:
    """What is to be done about each pull. `names_there` are the file names in the folder without their endings.

    A version that files are there for without an entry is passed over, since they may have been handed on.
    """
    prefix, there = prefix_of(sequence.title), set(names_there)
    planned = []
    for pull in pulls:
        key, old = content_key(sequence, pull), log.entry(pull.code)
        treated = bool(pull.elements)
        if old is not None and old.key == key:
            planned.append(Planned(pull, Entry(old.code, old.name, old.version, key, treated), State.KEPT))
            continue
        version = 1 if old is None else old.version + 1
        while pull_name(prefix, pull.code, version) in there:
            version += 1
        entry = Entry(pull.code, pull_name(prefix, pull.code, version), version, key, treated)
        planned.append(Planned(pull, entry, State.CHANGED, old) if old else Planned(pull, entry, State.NEW))
    return tuple(planned)


def fallen_out(log: Log, every: Collection[Pull]) -> tuple[Entry, ...]:
    """The entries that the cut no longer wants: their shot is gone, or the treatment that asked for them is off screen.

    `every` holds a pull for each shot of the cut that has footage.
    """
    treated = {pull.code: bool(pull.elements) for pull in every}
    return tuple(entry for entry in log.pulls if entry.code not in treated or (entry.treated and not treated[entry.code]))


def slate_facts(sequence: Sequence, planned: Planned) -> tuple[tuple[str, str], ...]:
    """What a pull's slate says, name by name; times are the tape's own time code, numbers those of the pull."""
    pull, fps = planned.pull, sequence.timebase.rate.fps
    tape = pull.source.tape
    at = [tape_label(tape, frame / fps) for frame in (pull.played.start, pull.played.end_exclusive - 1)]
    ends = [tape_label(tape, frame / fps) for frame in (pull.tape.start, pull.tape.end_exclusive - 1)]
    return (
        ("sequence", sequence.title),
        ("code", pull.code),
        ("version", f"v{planned.entry.version:03d}"),
        ("frames", f"{pull.first} - {pull.last}  ({pull.frames})"),
        ("cut in, out", f"{pull.cut_in} - {pull.cut_out}  ({pull.played.length})"),
        ("handles", f"head {pull.head}, tail {pull.tail}"),
        ("tape", f"{tape.reel}, {tape_rate(tape)}"),
        ("tape of cut", f"{at[0]} - {at[1]}"),
        ("with handles", f"{ends[0]} - {ends[1]}"),
        ("rate", f"{sequence.rate_name} frames a second"),
    )
