"""One line of a CMX3600 edit list as one statement, and a list's bytes as text; it counts no time and joins no events.

The lines are those of two public readers and their tests (pycmx, `parse_cmx_statements.py`; OpenTimelineIO's CMX3600
adapter, `cmx_3600.py`) and of the samples of the public Ruby library `edl`. Writers pad their columns differently, so a
line is read by its fields: from the left the event number, from the right four time codes, duration, transition and
channels; what is left between them is the reel, whatever its length.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

MOST_BYTES = 20 * 1024 * 1024
LONGEST_LINE = 2_000
"""Characters; the longest public form, with reels of 128, is 200 wide."""


@dataclass(frozen=True, slots=True)
class Label:
    """A time code as written, and the column (from 1) it begins in."""

    text: str
    column: int


@dataclass(frozen=True, slots=True)
class Form:
    """An event line: number, reel, channels, transition, and source in, source out, record in, record out.

    `kind` is C, D, W, K, KB or KO; `frames` is the transition's duration and `wipe` the pattern of a W. `remarks` are what
    was read in spite of its form: column and sentence.
    """

    number: str
    reel: str
    channels: tuple[str, ...]
    kind: str
    wipe: int
    frames: int
    times: tuple[Label, Label, Label, Label]
    remarks: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Motion:
    """An M2 line: the reel, and the speed in frames a second (0 for a freeze, negative for backwards)."""

    reel: str
    frames_a_second: Fraction


@dataclass(frozen=True, slots=True)
class Title:
    """The TITLE line."""

    text: str


@dataclass(frozen=True, slots=True)
class FrameCode:
    """An FCM line: whether time code from here on drops frames."""

    drop: bool


@dataclass(frozen=True, slots=True)
class Sounds:
    """An AUD line: the channels it adds to the event before."""

    channels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Split:
    """A SPLIT line, which stands ahead of its event and says by how much picture or sound comes later."""

    text: str


@dataclass(frozen=True, slots=True)
class Note:
    """A GPI, M/S, SWM or % line, or free text: kept as it is, with its event. `known` is False for free text."""

    text: str
    known: bool


@dataclass(frozen=True, slots=True)
class Comment:
    """A line that begins with an asterisk, without it."""

    text: str


@dataclass(frozen=True, slots=True)
class Unread:
    """A line that is none of these: what is wrong with it, and in which column (from 1)."""

    code: str
    column: int
    sentence: str


Statement = Form | Motion | Title | FrameCode | Sounds | Split | Note | Comment | Unread

_LABEL = r"\d{2}[:;.,]\d{2}[:;.,]\d{2}[:;.,]\d{2}"
_TIMES = re.compile(rf"({_LABEL}) *({_LABEL}) *({_LABEL}) *({_LABEL})(?!\d)", re.ASCII)
_ONE_TIME = re.compile(rf"{_LABEL}", re.ASCII)
_NUMBER = re.compile(r"\d{1,6}[A-Za-z]?", re.ASCII)
_CHANNELS = re.compile(r"(?:NONE|B|V[1-9]?|A[1-9]{0,4}|AA|VA)(?:/(?:V[1-9]?|A[1-9]{0,4}|AA))*", re.ASCII)
_TRANSITION = re.compile(r"(C|D|KB|KO|K|W(\d{1,3}))(\d{3})?", re.ASCII)
_OTHER_TRANSITION = re.compile(r"[RMFQNX]\d*", re.ASCII)
_FRAMES = re.compile(r"\d{1,4}", re.ASCII)
_SPEED = re.compile(r"[+-]?(?:\d{1,5}(?:\.\d{0,6})?|\.\d{1,6})", re.ASCII)
_TRIGGER = re.compile(rf"[+-]?{_LABEL}", re.ASCII)
_FRAME_CODE = re.compile(r"FCM *:? *(NON[- ]*)?DROP(?:[- ]*FRAME)?", re.ASCII)
_SPLIT = re.compile(rf"SPLIT *:? *(?:AUDIO|VIDEO) +DELAY *=? *{_LABEL}", re.ASCII)
_KEPT = re.compile(r"(?:GPI|M/S|SWM|%|>>>|EFFECTS? NAME)(?![A-Za-z0-9])", re.ASCII)


def decoded(data: bytes) -> str:
    """A list's bytes as text: UTF-8 (with or without its mark), UTF-16 with its mark, or else Latin-1. It never fails."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def statement(raw: str) -> Statement | None:
    """What one line (without its line end) says; None for a blank one. It never fails: see `Unread`."""
    if len(raw) > LONGEST_LINE:
        return Unread("long", LONGEST_LINE + 1, f"the line is longer than {LONGEST_LINE} characters, which no edit list's is")
    # One blank for one, so that columns stay what they are.
    line = re.sub(r"\s", " ", raw).rstrip()
    start = len(line) - len(line.lstrip())
    text = line[start:]
    upper = text.upper()
    if not text:
        return None
    if text[0] == "*":
        return Comment(text[1:].strip())
    if "0" <= text[0] <= "9":
        return _form(line)
    if upper.startswith("TITLE:"):
        return Title(text[6:].strip())
    if upper.startswith("FCM"):
        found = _FRAME_CODE.fullmatch(upper)
        return FrameCode(found[1] is None) if found else Unread("fcm", start + 1, "the FCM line says neither DROP FRAME nor NON-DROP FRAME")
    if re.match(r"M2(?![A-Z0-9/])", upper):
        return _motion(line, start + 2)
    if re.match(r"AUD(?![A-Z])", upper):
        channels = tuple(f"A{digit}" for digit in re.findall(r"\b[1-9]\b", upper))
        return Sounds(channels) if channels else Unread("aud", start + 1, "the AUD line names no channel")
    if upper.startswith("SPLIT"):
        if _SPLIT.match(upper) is None:
            return Unread("split", start + 1, "the SPLIT line does not say AUDIO DELAY= or VIDEO DELAY= with a time code")
        return Split(text)
    return Note(text, known=_KEPT.match(upper) is not None)


def _form(line: str) -> Form | Unread:
    times = _TIMES.search(line)
    if times is None:
        return _times_missing(line)
    labels = tuple(Label(times[group], times.start(group) + 1) for group in (1, 2, 3, 4))
    words = [(found.start(), found[0]) for found in re.finditer(r"[^ ]+", line[: times.start()])]
    remarks: list[tuple[int, str]] = []
    if line[times.end() :].strip():
        remarks.append((times.end() + 1, "what follows the four time codes was not read"))
    if words and _NUMBER.fullmatch(words[0][1]) is None:
        return Unread("number", words[0][0] + 1, f"'{words[0][1][:20]}' is no event number")
    frames = None
    if len(words) > 2 and _FRAMES.fullmatch(words[-1][1]):
        frames = int(words.pop()[1])
    # KEY lines write K, a blank, then B or O.
    if len(words) > 3 and words[-1][1].upper() in ("B", "O") and words[-2][1].upper() == "K":
        at, key = words[-2][0], "K" + words.pop()[1].upper()
        words[-1] = (at, key)
    if len(words) < 4:
        return Unread("fields", times.start() + 1, "ahead of the time codes there must be event number, reel, channels and transition")
    place, written = words.pop()
    kind = _TRANSITION.fullmatch(written.upper())
    if kind is None:
        why = "is a transition that a cut here cannot hold" if _OTHER_TRANSITION.fullmatch(written.upper()) else "is no transition"
        return Unread("transition", place + 1, f"'{written[:20]}' {why}; known are C, D, Wnnn, K, KB and KO")
    if kind[1] == "C" and frames:
        remarks.append((place + 1, "a cut has no duration; the one given was left out"))
    if kind[3]:
        frames = int(kind[3]) if frames is None else frames
        remarks.append((place + 1, "there is no blank between the transition and its duration"))
    name = "W" if kind[2] else kind[1]
    if name in ("D", "W") and not frames:
        return Unread("duration", place + len(written) + 1, f"the transition {written[:20]} has no duration in frames")
    column, channels = words.pop()
    if _CHANNELS.fullmatch(channels.upper()) is None:
        return Unread("channels", column + 1, f"'{channels[:20]}' names no channels; known are V, A, A2, AA, B, A2/V, AA/V and their like")
    if written != written.upper() or channels != channels.upper():
        remarks.append((column + 1, "channels or transition are in small letters"))
    reel = line[words[1][0] : words[-1][0] + len(words[-1][1])]
    return Form(
        number=words[0][1].upper(),
        reel=reel,
        channels=_channels(channels.upper()),
        kind=name,
        wipe=int(kind[2]) if kind[2] else 0,
        frames=frames or 0,
        times=(labels[0], labels[1], labels[2], labels[3]),
        remarks=tuple(remarks),
    )


def _times_missing(line: str) -> Unread:
    """Point at the first field that should have been a time code and is none."""
    found = list(_ONE_TIME.finditer(line))
    if not found:
        return Unread("form", len(line) - len(line.lstrip()) + 1, "the line begins as an event does, but has no time codes")
    end = found[0].start()
    for one in found:
        if line[end : one.start()].strip():
            break
        end = one.end()
    column = end + len(line[end:]) - len(line[end:].lstrip()) + 1
    return Unread("times", column, "an event has four time codes, hh:mm:ss:ff, at its end; one is missing or damaged here")


def _channels(written: str) -> tuple[str, ...]:
    """A -> A1, AA -> A1 A2, B -> V A1, VA -> V A1, A12 -> A1 A2, NONE -> none; as in pycmx's channel map, picture first."""
    found: set[str] = set()
    for part in written.split("/"):
        if part in ("B", "VA"):
            found |= {"V", "A1"}
        elif part == "AA":
            found |= {"A1", "A2"}
        elif part[0] == "V":
            found.add("V" if part in ("V", "V1") else part)
        elif part[0] == "A":
            found |= {f"A{digit}" for digit in part[1:] or "1"}
    return tuple(sorted(found, key=lambda channel: (channel[0] != "V", channel)))


def _motion(line: str, after: int) -> Motion | Unread:
    """Reel (it may hold blanks, or be missing), speed, at most two words of the deck's own, and the trigger at the end."""
    words = [(found.start(), found[0]) for found in re.finditer(r"[^ ]+", line) if found.start() >= after]
    if not words or _TRIGGER.fullmatch(words[-1][1]) is None:
        return Unread("m2", (words[-1][0] if words else after) + 1, "an M2 line ends with the time code at which the speed begins")
    words.pop()
    speeds = [at for at in range(max(0, len(words) - 3), len(words)) if _SPEED.fullmatch(words[at][1])]
    if not speeds:
        column = (words[-1][0] if words else after) + 1
        return Unread("m2", column, "an M2 line has, ahead of its time code, the speed in frames a second, such as 012.0 or -024.0")
    reel = words[: speeds[-1]]
    return Motion(line[reel[0][0] : reel[-1][0] + len(reel[-1][1])] if reel else "", Fraction(words[speeds[-1]][1]))
