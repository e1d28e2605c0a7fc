"""A CMX3600 edit list read into events, with an issue for all that was refused or repaired; it knows no tapes and no cuts.

Rules (sources: see `previs.exchange.cmx3600` and `previs.exchange.cmx3600_statements`).
1. Tolerant reading leaves out what cannot be read and repairs what can, each with an issue. Strict reading raises
   `ListFault` with all of them. Among what is repaired: source and record of unequal length without an M2, overlapping
   record times (both refused by the OpenTimelineIO adapter), labels that do not exist, transitions without their
   outgoing line.
2. Lines of one number, one after the other, are one event: 7, 007 and 0007 are the same number. M2 lines, notes and
   comments belong to the event they follow, and there to the line with the picture; SPLIT lines to the event that follows.
3. The first FCM line, or the semicolon in a label, says whether record times drop frames; later FCM lines count for the
   source times that follow them (notes of an open-source list converter; no stronger source was found).
4. An M2 line goes to the lines of its event that have its reel: of an event written as one line for each channel, to
   all of them. Where both sides of a transition have the reel, the outgoing's comes first, and a single one is the
   incoming's. Its number is read by `previs.exchange.m2_speed`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import zip_longest

from previs.clock import ClockFault, Rate, Span, Timebase
from previs.exchange.cmx3600_statements import (
    MOST_BYTES,
    Comment,
    Form,
    FrameCode,
    Label,
    Motion,
    Note,
    Sounds,
    Split,
    Title,
    Unread,
    decoded,
    statement,
)
from previs.exchange.m2_speed import speed_told
from previs.faults import UseFault

MOST_LINES = 100_000
_MOST_TOLD = 12
_PARTICULARS = re.compile(r"'[^']*'|[\d:;.,]*\d")
"""What tells one fault's sentence from that of another of its kind: what was written there, time code, numbers."""


@dataclass(frozen=True, slots=True)
class Issue:
    """One thing that a list should not have: a code, line and column from 1, a sentence, and whether it was read all the same."""

    code: str
    line: int
    column: int
    sentence: str
    repaired: bool

    def __str__(self) -> str:
        return f"line {self.line}, column {self.column}: {self.sentence}"


class ListFault(UseFault):
    """A list that was not read; `issues` says why."""

    def __init__(self, sentence: str, issues: tuple[Issue, ...] = ()) -> None:
        self.issues = issues
        told = merged(issues)
        more = [f"and {len(told) - _MOST_TOLD} kinds more."] if len(told) > _MOST_TOLD else []
        super().__init__("\n".join([sentence, *told[:_MOST_TOLD], *more]))


def merged(issues: Iterable[Issue]) -> list[str]:
    """Issues as sentences, those that differ in nothing but numbers and names as one, with their count."""
    alike: dict[tuple[str, str], list[Issue]] = {}
    for issue in issues:
        alike.setdefault((issue.code, _PARTICULARS.sub("#", issue.sentence)), []).append(issue)
    return [
        str(first) if not others else f"{len(others) + 1} lines, first in line {first.line}, column {first.column}: {first.sentence}"
        for first, *others in alike.values()
    ]


@dataclass(frozen=True, slots=True)
class ListEvent:
    """One stretch of source on record.

    `source_in` is a frame of the day, `source_frames` the length of source, `record` frames of the day; all are counted at
    the list's timebase (source times drop frames or not by their own FCM). `kind` is C, D, W, K, KB or KO; a D or W begins
    with the event and lasts `transition_frames` while `outgoing`, a reel, plays on (None where the list does not say).
    `speed` is the share of normal speed: 0 for a freeze, negative backwards, None without an M2 line.
    """

    number: str
    line: int
    reel: str
    channels: tuple[str, ...]
    kind: str
    source_in: int
    source_frames: int
    record: Span
    wipe: int = 0
    transition_frames: int = 0
    outgoing: str | None = None
    speed: Fraction | None = None
    clip: str = ""
    comments: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ReadList:
    """A list as read: its title, its timebase, its events in the list's order, comments ahead of the first, and the issues."""

    title: str
    timebase: Timebase
    events: tuple[ListEvent, ...]
    comments: tuple[str, ...]
    issues: tuple[Issue, ...]

    @property
    def errors(self) -> tuple[Issue, ...]:
        """What was refused."""
        return tuple(issue for issue in self.issues if not issue.repaired)

    @property
    def repairs(self) -> tuple[Issue, ...]:
        """What was read in spite of its form."""
        return tuple(issue for issue in self.issues if issue.repaired)


@dataclass(slots=True)
class _Line:
    """One event line, and what following lines add to it."""

    number: int
    form: Form
    source_drop: bool | None
    extra_channels: tuple[str, ...] = ()
    motion: Motion | None = None


@dataclass(slots=True)
class _Group:
    """The lines of one event number."""

    lines: list[_Line]
    motions: list[tuple[int, Motion]] = field(default_factory=list)
    comments: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def read_list(data: str | bytes, counting: Timebase | None = None, *, strict: bool = False) -> ReadList:
    """The edit list in a text or in a file's bytes, its time code counted at `counting`.

    Without `counting` the rate is guessed from the highest frame number and said in an issue. Raises `ListFault`, and
    nothing else, for more than 20 MB or 100,000 lines, for a text without a single event and, when `strict`, for all
    that rule 1 names.
    """
    if len(data) > MOST_BYTES:
        raise ListFault(f"The list is larger than {MOST_BYTES // 1024**2} MB, which no edit list is; pick another file.")
    text = decoded(data) if isinstance(data, bytes) else data.removeprefix("\ufeff")
    lines = re.split(r"\r\n|\r|\n", text)
    if len(lines) > MOST_LINES:
        raise ListFault(f"The list has more than {MOST_LINES:,} lines, which no edit list has; pick another file.")
    return _Reader(lines, counting, strict).read()


class _Reader:
    """The reading of one list: statements into groups, groups into events."""

    def __init__(self, lines: list[str], counting: Timebase | None, strict: bool) -> None:
        self._raw = lines
        self._strict = strict
        self._issues: list[Issue] = []
        self._title = ""
        self._comments: list[str] = []
        self._groups: list[_Group] = []
        self._codes: list[bool] = []
        self._pending: list[str] = []
        self._highest = 0
        self._given = counting
        self._record = Timebase(Rate.parse("24"))

    def read(self) -> ReadList:
        for number, line in enumerate(self._raw, start=1):
            self._take(number, self._without_end_marks(number, line))
        if self._groups:
            self._count()
        events = self._not_overlapping([event for group in self._groups for event in self._events(group)])
        if not events:
            other = " This is an OpenTimelineIO timeline: bring it in with 'previs import-otio'." if _is_timeline(self._raw) else ""
            raise ListFault(
                f"The list holds no event that can be read; give a CMX3600 edit list.{other}", () if other else self._by_place()
            )
        # That nobody said the rate is no fault of the list's.
        faults = tuple(issue for issue in self._by_place() if issue.code != "rate")
        if self._strict and faults:
            raise ListFault("The list is not sound and was read strictly; correct it, or read it tolerantly.", faults)
        return ReadList(self._title, self._record, tuple(events), tuple(self._comments), self._by_place())

    def _by_place(self) -> tuple[Issue, ...]:
        return tuple(sorted(self._issues, key=lambda issue: (issue.line, issue.column)))

    def _repair(self, code: str, line: int, column: int, sentence: str) -> None:
        self._issues.append(Issue(code, line, column, f"{sentence}.", repaired=True))

    def _refuse(self, code: str, line: int, column: int, sentence: str) -> None:
        self._issues.append(Issue(code, line, column, f"{sentence}.", repaired=False))

    def _without_end_marks(self, number: int, line: str) -> str:
        """Old systems fill a file's end with NULs or close it with Ctrl-Z."""
        kept = line.rstrip("\0\x1a ")
        if line[len(kept) :].strip(" "):
            self._repair("end", number, len(kept) + 1, "NUL or Ctrl-Z at the end of the line was left out")
        return kept

    def _take(self, number: int, line: str) -> None:
        found = statement(line)
        group = self._groups[-1] if self._groups else None
        if found is None:
            return
        if isinstance(found, Unread):
            self._refuse(found.code, number, found.column, f"{found.sentence}; the line was left out")
        elif isinstance(found, Form):
            self._take_form(number, found)
        elif isinstance(found, Title):
            if self._title:
                self._repair("title", number, 1, "a second TITLE; the first one is kept")
            self._title = self._title or found.text
        elif isinstance(found, FrameCode):
            self._codes.append(found.drop)
        elif isinstance(found, Split):
            self._pending.append(found.text)
        elif isinstance(found, Comment) and group is None:
            self._comments.append(found.text)
        elif group is None:
            self._refuse("orphan", number, 1, "the line belongs to an event, but stands ahead of the first; it was left out")
        elif isinstance(found, Comment):
            group.comments.append(found.text)
        elif isinstance(found, Motion):
            group.motions.append((number, found))
        elif isinstance(found, Sounds):
            group.lines[-1].extra_channels += found.channels
        else:
            assert isinstance(found, Note)
            group.notes.append(found.text)

    def _take_form(self, number: int, form: Form) -> None:
        for column, sentence in form.remarks:
            self._repair("form", number, column, sentence)
        self._highest = max(self._highest, *(int(label.text[-2:]) for label in form.times))
        # Rule 3: without an FCM line ahead of the first event, its own label decides.
        if not self._groups and not self._codes and (";" in form.times[2].text or self._given is None):
            self._codes.append(";" in form.times[2].text)
        line = _Line(number, form, self._codes[-1] if self._codes else None)
        before = self._groups[-1] if self._groups else None
        same = before is not None and before.lines[-1].form.number.lstrip("0") == form.number.lstrip("0")
        # Some lists give every event one number; only what is said between two lines then tells them apart.
        if before is not None and same and (form.kind != "C" or not (before.comments or before.motions)):
            before.lines.append(line)
        else:
            self._groups.append(_Group([line], notes=self._pending))
            self._pending = []

    def _count(self) -> None:
        """Settle the timebase of the record times."""
        first = self._groups[0].lines[0]
        drop = self._codes[0] if self._codes else self._given.drop if self._given else False
        if self._given is None:
            rate = self._guessed(drop)
            self._repair(
                "rate", first.number, 1, f"the rate was not given; {rate} was guessed, as the highest frame number is {self._highest:02d}"
            )
        else:
            rate = self._given.rate
        if drop and not rate.may_drop:
            self._repair("fcm", first.number, 1, f"the list says drop-frame, which does not exist at {rate}; it was counted without")
        elif not drop and rate.may_drop and ";" in first.form.times[2].text:
            self._repair("fcm", first.number, 1, "the FCM line says non-drop-frame, the semicolons do not; it was counted without drop")
        self._record = Timebase(rate, drop and rate.may_drop)

    def _guessed(self, drop: bool) -> Rate:
        tops = ((29, "29.97"), (99, "59.94")) if drop else ((23, "24"), (24, "25"), (29, "30"), (47, "48"), (49, "50"), (99, "60"))
        return Rate.parse(next(name for top, name in tops if self._highest <= top))

    def _frame(self, line: int, label: Label, drop: bool) -> int | None:
        """A label's frame of the day; None, with an issue, for one that does not exist."""
        timebase = Timebase(self._record.rate, drop and self._record.rate.may_drop)
        written = re.sub(r"[;.,]", ":", label.text)
        try:
            return timebase.frame(written)
        except ClockFault as fault:
            sentence = str(fault).rstrip(".").partition("; ")[0]
        try:
            # Labels that drop-frame counting leaves out exist without it, and the next one that exists stands for them.
            Timebase(timebase.rate).frame(written)
            later = timebase.frame(f"{written[:9]}{timebase.rate.nominal // 15:02d}")
        except ClockFault:
            self._refuse("label", line, label.column, f"{sentence}; the line was left out")
            return None
        self._repair("label", line, label.column, f"{sentence}; the next label that exists was taken")
        return later

    def _events(self, group: _Group) -> list[ListEvent]:
        self._give_motions(group)
        found: list[ListEvent] = []
        outgoing: str | None = None
        for line in group.lines:
            event = self._event(line)
            if event is None:
                continue
            if event.kind in ("D", "W"):
                event = replace(event, outgoing=outgoing)
                if outgoing is None:
                    self._repair(
                        "pair", line.number, 1, "the transition has no outgoing line of the same number; the event before it was taken"
                    )
            outgoing = event.reel
            if event.record.length:
                found.append(event)
            elif line is group.lines[-1] and event.kind in ("C", "D", "W"):
                self._repair("empty", line.number, 1, "the event has no length on record; it was left out")
        if found:
            clips = self._clips(group)
            found = [replace(event, clip=clips[event.kind in ("D", "W")]) for event in found]
            # What is said of an event with a line for each channel is said of its picture.
            told = max((at for at, event in enumerate(found) if "V" in event.channels), default=len(found) - 1)
            found[told] = replace(found[told], comments=tuple(group.comments), notes=tuple(group.notes))
        else:
            self._comments += group.comments
        return found

    @staticmethod
    def _clips(group: _Group) -> tuple[str, str]:
        """The clip names of the group's outgoing or only source, and of its incoming one."""
        names = {"FROM": "", "TO": ""}
        for comment in group.comments:
            if match := re.match(r"(FROM|TO) CLIP NAME *: *(.*)", comment, re.IGNORECASE):
                names[match[1].upper()] = names[match[1].upper()] or match[2].strip()
        return names["FROM"], names["TO"] or names["FROM"]

    def _give_motions(self, group: _Group) -> None:
        sides = _sides(group.lines)
        for at, (number, motion) in enumerate(group.motions):
            reel = motion.reel.upper()
            fitting = [side for side in sides if side[0].motion is None and side[0].form.reel.upper() == reel]
            if not fitting:
                self._repair(
                    "m2", number, 1, f"no line of the event has reel '{motion.reel[:32]}'; the speed was given to the event's last line"
                )
                fitting = [side for side in sides if side[0].motion is None]
            if not fitting:
                self._repair("m2", number, 1, "the event has more M2 lines than sources; this one was left out")
                continue
            more = any(later.reel.upper() == reel for _, later in group.motions[at + 1 :])
            for line in fitting[0] if more else fitting[-1]:
                line.motion = motion

    def _event(self, line: _Line) -> ListEvent | None:
        form = line.form
        source_drop = self._record.drop if line.source_drop is None else line.source_drop
        source_in, source_out = (self._frame(line.number, label, source_drop) for label in form.times[:2])
        record_in, record_out = (self._frame(line.number, label, self._record.drop) for label in form.times[2:])
        if source_in is None or source_out is None or record_in is None or record_out is None:
            return None
        if record_out < record_in:
            self._refuse("record", line.number, form.times[3].column, "record out comes before record in; the line was left out")
            return None
        frames, record_frames = self._record.wrap(source_out - source_in), record_out - record_in
        if line.motion is None and frames != record_frames:
            self._repair(
                "lengths",
                line.number,
                form.times[0].column,
                f"source and record are of unequal length, {frames} and {record_frames} frames, without an M2 line; the record's was taken",
            )
            frames = record_frames
        return ListEvent(
            number=form.number,
            line=line.number,
            reel=form.reel,
            channels=tuple(dict.fromkeys(form.channels + line.extra_channels)),
            kind=form.kind,
            source_in=source_in,
            source_frames=frames,
            record=Span(record_in, record_out),
            wipe=form.wipe,
            transition_frames=form.frames if form.kind in ("D", "W") else 0,
            speed=None if line.motion is None else speed_told(line.motion.frames_a_second, self._record.rate),
        )

    def _not_overlapping(self, events: list[ListEvent]) -> list[ListEvent]:
        """No two pictures on record at once, but for keys, which lie over their background; the later one is believed."""
        shortened: dict[int, ListEvent] = {}
        for channel in sorted({channel for event in events for channel in event.channels}):
            laid = [
                (event.record.start, at) for at, event in enumerate(events) if channel in event.channels and event.kind not in ("K", "KO")
            ]
            furthest: int | None = None
            for start, at in sorted(laid):
                before = None if furthest is None else shortened.get(furthest, events[furthest])
                if before is not None and furthest is not None and start < before.record.end_exclusive:
                    self._overlap(events[at], before, channel)
                    if channel == "V":
                        shortened[furthest] = replace(before, record=Span(before.record.start, start))
                if before is None or channel == "V" or events[at].record.end_exclusive > before.record.end_exclusive:
                    furthest = at
        kept = [shortened.get(at, event) for at, event in enumerate(events)]
        return [event for event in kept if event.record.length]

    def _overlap(self, event: ListEvent, before: ListEvent, channel: str) -> None:
        label = self._record.label(event.record.start)
        done = "the earlier one was ended there" if channel == "V" else "both were kept"
        self._repair(
            "overlap", event.line, 1, f"event {event.number} begins at {label}, while event {before.number} still runs on {channel}; {done}"
        )


def _sides(lines: list[_Line]) -> list[list[_Line]]:
    """The lines of one event number by what they play: the outgoing of a transition, the incoming, or what is cut to.

    An event may have a line for each of its channels; one that repeats a channel is another event of the same number.
    """
    sides: dict[tuple[str, bool], list[list[_Line]]] = {}
    in_order: list[list[_Line]] = []
    for line, after in zip_longest(lines, lines[1:]):
        leaves = line.form.kind == "C" and after is not None and after.form.kind in ("D", "W")
        alike = sides.setdefault((line.form.reel.upper(), leaves), [])
        if alike and not any(set(one.form.channels) & set(line.form.channels) for one in alike[-1]):
            alike[-1].append(line)
            continue
        alike.append([line])
        in_order.append(alike[-1])
    return in_order


def _is_timeline(lines: list[str]) -> bool:
    return any("OTIO_SCHEMA" in line for line in lines[:8])
