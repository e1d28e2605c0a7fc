"""What the review page is given, as plain values that become its JSON; the page works out nothing but what is on screen when.

Frames are record frames counted from the cut's first; `first` is the first one of a span and `frames` how many it has.
Numbers of shots count from 1. Spans never reach beyond the cut.
"""

from __future__ import annotations

import msgspec


class PageValue(msgspec.Struct, frozen=True, rename="camel"):
    """A value of the page; its fields have the names in JSON that its script uses."""


class Clock(PageValue, frozen=True):
    """How the cut's time code counts: exact frames a second, labels in a second, drop-frame or not, the first frame's count."""

    rate: str
    fps_numerator: int
    fps_denominator: int
    nominal: int
    drop: bool
    start_frame: int


class Movie(PageValue, frozen=True):
    """A movie beside the page: its file name, and its picture in pixels until the movie itself has been asked."""

    file: str
    width: int
    height: int


class Run(PageValue, frozen=True):
    """A stretch of a shot in one size; `level` is the height of its line, from 1."""

    first: int
    frames: int
    level: int


class Shot(PageValue, frozen=True):
    """One shot. `kind` is tape, card or black; `words` say what card it is, or nothing.

    On a tape, frame k of the shot shows frame `tape_first` + sign x floor(k x |speed|) of the tape's grid; the two parts of
    the speed are written out, since they may be larger than the page's numbers are exact. `transition_frames` is how long
    it takes to come in. `earlier` is the number of the same shot in the version beside, None for a new one, and `changes`
    are the kinds of what was done to it since.
    """

    number: int
    ident: str
    code: str
    kind: str
    first: int
    frames: int
    size: str
    take: str
    reel: str
    tape_first: int
    speed_numerator: str
    speed_denominator: str
    moves: str
    phrase: str
    words: str
    treatments: str
    transition_frames: int
    runs: tuple[Run, ...]
    earlier: int | None = None
    changes: tuple[str, ...] = ()


class Hit(PageValue, frozen=True):
    """A move landing on screen."""

    frame: int
    shot: int
    move: int
    label: str
    phrase: int
    level: int


class Treated(PageValue, frozen=True):
    """A treatment over the frames in which its shot has one size."""

    first: int
    frames: int
    level: int
    kind: str
    role: str
    shot: int


class Spell(PageValue, frozen=True):
    """A stretch in which one role, or neither (`level`), has the upper hand."""

    first: int
    frames: int
    holder: str


class Stretch(PageValue, frozen=True):
    """The frames through which a phrase is seen, with its moves in words."""

    first: int
    frames: int
    name: str
    moves: str
    labels: str
    hands: str


class Line(PageValue, frozen=True):
    """A sentence, and the frames that it is about; `first` is None for one about the whole."""

    words: str
    first: int | None = None
    frames: int = 0


class Told(PageValue, frozen=True):
    """The pace in plain words."""

    length: tuple[Line, ...]
    dead: tuple[Line, ...]
    rush: tuple[Line, ...]
    winning: tuple[Line, ...]


class Drawn(PageValue, frozen=True):
    """A circle or an arrow, in thousandths of the picture."""

    shape: str
    from_x: int
    from_y: int
    to_x: int
    to_y: int


class EarlierNote(PageValue, frozen=True):
    """A note of the document: what it said, what became of it, and where it is in this version.

    `first` is None for a homeless note. `how` says how it was found, or what is gone.
    """

    ident: str
    cut: str
    reviewer: str
    written: str
    kind: str
    text: str
    about: str
    state: str
    answer: str
    first: int | None
    frames: int
    shot: int | None
    how: str
    drawings: tuple[Drawn, ...]


class Beside(PageValue, frozen=True):
    """The version to compare with: its movie, its length, the spans of its shots, and what changed since in words."""

    cut: str
    movie: Movie
    frames: int
    shots: tuple[tuple[int, int], ...]
    changes: tuple[Line, ...]


class Limits(PageValue, frozen=True):
    """What a notes file may hold, as its reader has it."""

    bytes: int
    notes: int
    drawings: int
    text: int
    name: int


class PageData(PageValue, frozen=True):
    """Everything that a page shows. `page` is the same for the same title and the same content of the cut."""

    page: str
    title: str
    cut: str
    made: str
    confidential: bool
    clock: Clock
    movie: Movie
    frames: int
    target_frames: int
    against_target: str
    roles: tuple[str, ...]
    sizes: tuple[str, ...]
    shots: tuple[Shot, ...]
    hits: tuple[Hit, ...]
    treatments: tuple[Treated, ...]
    spells: tuple[Spell, ...]
    phrases: tuple[Stretch, ...]
    told: Told
    earlier: tuple[EarlierNote, ...]
    kinds: tuple[str, ...]
    limits: Limits
    beside: Beside | None = None
