"""The sequence document: one frozen value that holds the fight, the tapes, the marks and the cuts; no I/O.

Times come in two kinds, and the names say which. `*_frames` and `*_frame` are whole frames of the sequence
rate. Marks (`start`, `end_exclusive`, `at`) are exact seconds from the first picture of their tape. Treatments and
everything else that depends on cut and marks together is derived, never stored.
"""

from __future__ import annotations

from enum import StrEnum
from fractions import Fraction
from typing import TypeVar

import msgspec

from previs.clock import Rate, TapeSpan, Timebase
from previs.document.floor import Floor
from previs.document.notes import Note
from previs.document.remembering import remembered
from previs.document.value import Value
from previs.faults import UseFault

SCHEMA = 4
"""Version of the file's layout; raised with each change, with a migration beside it."""


class Size(StrEnum):
    """Shot sizes, widest first."""

    EXTREME_WIDE = "extreme wide"
    WIDE = "wide"
    FULL = "full"
    MEDIUM_WIDE = "medium wide"
    MEDIUM = "medium"
    MEDIUM_CLOSE = "medium close"
    CLOSE = "close"
    EXTREME_CLOSE = "extreme close"

    @property
    def closeness(self) -> int:
        """0 for the widest, rising with each size closer."""
        return list(Size).index(self)


class Shows(StrEnum):
    """How much of a role's face the framing shows."""

    FULL = "full"
    PART = "part"
    HIDDEN = "hidden"


class Kind(StrEnum):
    """Kinds of treatment."""

    DIGITAL_DOUBLE = "digital double"
    FACE_REPLACEMENT = "face replacement"
    RIG_REMOVAL = "rig removal"


class TransitionKind(StrEnum):
    """How a shot comes in when it is not cut to."""

    DISSOLVE = "dissolve"
    WIPE = "wipe"


LEVEL = "level"
"""The upper hand when neither role has it."""


class Move(Value, frozen=True):
    """One action with an attacker and a defender; `number` is unique in the fight and gives the order."""

    number: int
    label: str
    attacker: str
    defender: str
    upper_hand: str
    line: str = ""
    weapon: str = ""
    optional: bool = False
    place: str = ""
    note: str = ""


class Phrase(Value, frozen=True):
    """A run of moves between two breaths; `breath_frames` is the planned pause after it."""

    number: int
    moves: tuple[Move, ...]
    breath_frames: int = 0


class SoundTrack(Value, frozen=True):
    """What a tape's sound is: samples a second and channels."""

    sample_rate: int
    channels: int


class Tape(Value, frozen=True):
    """One recording.

    `reel` is its unique name of 1 to 8 characters; `path` is relative to the file where it can be; `start_frame` is
    the time code of the first picture, counted at `rate` with or without `drop`; `start_from` says where that time
    code came from: the tape itself, the person, or nowhere (then 00:00:00:00). `duration` is in seconds.
    """

    reel: str
    path: str
    fingerprint: str
    rate_name: str
    frames: int
    duration: Fraction
    width: int
    height: int
    codec: str
    drop: bool = False
    start_frame: int = 0
    start_from: str = "none"
    camera: str = ""
    variable: bool = False
    rotation: int = 0
    interlaced: bool = False
    sample_aspect: Fraction = Fraction(1)
    sound: SoundTrack | None = None

    @property
    def timebase(self) -> Timebase:
        """How the tape's own time code counts."""
        return Timebase(Rate.parse(self.rate_name), self.drop)


class Face(Value, frozen=True):
    """How much of one role's face shows."""

    role: str
    shows: Shows


class Framing(Value, frozen=True):
    """How a take is framed from `at` on: shot size, bearing of the camera in degrees, camera move, sides.

    `angle` is the camera's bearing around the fight, -180 to 180, 0 square on to the line between the fighters, or
    None when it was not noted. `screen_left` names the role on the left of frame.
    """

    at: Fraction
    size: Size
    angle: int | None = None
    movement: str = ""
    screen_left: str = ""
    faces: tuple[Face, ...] = ()

    def face_of(self, role: str) -> Shows:
        """How much of a role's face it shows; hidden where nothing was noted."""
        return next((face.shows for face in self.faces if face.role == role), Shows.HIDDEN)


class Casting(Value, frozen=True):
    """Who plays a role on a take."""

    role: str
    performer: str


class Role(Value, frozen=True):
    """A character: the actor who plays it, and the doubles who may."""

    role: str
    actor: str
    doubles: tuple[str, ...] = ()


SURE = 100
"""The confidence of a mark that a person made or looked at, in percent."""


class Hit(Value, frozen=True):
    """The moment at which a move lands on this take; below `SURE` nobody has looked at it yet."""

    move: int
    at: Fraction
    confidence: int = SURE


class Take(Value, frozen=True):
    """A span of a tape that plays one or more phrases.

    `tempo` is its speed as a share of performance speed: 7/10 for a slow learning take. `hits` are in order of time.
    """

    name: str
    reel: str
    start: Fraction
    end_exclusive: Fraction
    first_phrase: int
    last_phrase: int
    framings: tuple[Framing, ...]
    slate: str = ""
    rating: int = 0
    tempo: Fraction = Fraction(1)
    camera: str = ""
    performers: tuple[Casting, ...] = ()
    note: str = ""
    hits: tuple[Hit, ...] = ()

    @property
    def span(self) -> TapeSpan:
        """The take's stretch of its tape."""
        return TapeSpan(self.start, self.end_exclusive)

    def performer_of(self, role: str) -> str:
        """Who plays the role on it, or nothing when it was not noted."""
        return next((one.performer for one in self.performers if one.role == role), "")

    def framing_at(self, moment: Fraction) -> Framing:
        """The framing that holds at a moment of the tape."""
        begun = [framing for framing in self.framings if framing.at <= moment]
        return begun[-1] if begun else self.framings[0]


class Treatment(Value, frozen=True):
    """A stretch of tape marked for digital double, face replacement or rig removal of one role."""

    reel: str
    start: Fraction
    end_exclusive: Fraction
    kind: Kind
    role: str
    note: str = ""

    @property
    def span(self) -> TapeSpan:
        """The treated stretch of its tape."""
        return TapeSpan(self.start, self.end_exclusive)


class Sync(Value, frozen=True):
    """That a tape ran together with others of a session, found by sound or motion or given by hand.

    Session time is `offset + at / (1 + drift_ppm / 1000000)` seconds for a moment `at` of the tape: a clock that runs
    fast has a positive drift. `confidence` is in percent.
    """

    reel: str
    session: str
    offset: Fraction
    drift_ppm: Fraction = Fraction(0)
    confidence: int = SURE


class HeadBox(Value, frozen=True):
    """A role's head, chin to crown, as a box marked on one picture of a tape: upright pixels of the tape from top left."""

    reel: str
    role: str
    at: Fraction
    left: int
    top: int
    width: int
    height: int


class Flight(Value, frozen=True):
    """A role in the air on a tape, from the moment its feet leave the ground to the moment they are back.

    `height_metres` is how high the feet come above where they left, `distance_metres` how far over the ground; either is
    None when nobody measured it. `rise_metres` is how much higher the landing is than the take-off, negative for a drop.
    For reading pictures only, never for rigging.
    """

    reel: str
    role: str
    take_off: Fraction
    landing: Fraction
    height_metres: Fraction | None = None
    distance_metres: Fraction | None = None
    rise_metres: Fraction = Fraction(0)
    note: str = ""


class Transition(Value, frozen=True):
    """How a shot comes in: begins on the shot's first frame and lasts `frames`, the outgoing shot playing on under it.

    `wipe` is the pattern number of a wipe, 0 to 999; a dissolve has none. A dissolve from or to black is a fade.
    """

    kind: TransitionKind
    frames: int
    wipe: int = 0


class Footage(Value, frozen=True, tag="footage"):
    """A shot's picture from a take: the tape frame it begins on, on the sequence-rate grid, and its speed."""

    take: str
    first_frame: int
    speed: Fraction = Fraction(1)


class Card(Value, frozen=True, tag="card"):
    """A text, or a drawing or still at `image`, holding the place of moves that are not shot yet."""

    text: str
    first_move: int | None = None
    last_move: int | None = None
    image: str = ""


class Black(Value, frozen=True, tag="black"):
    """Nothing on screen, on purpose: what fades come from and go to."""


class Shot(Value, frozen=True):
    """One shot of a cut: `ident` never changes and is unique in the cut; `frames` is its length on screen.

    Its sound begins `sound_lead_frames` before its picture, or after it when negative; the sound of the shot before
    plays until then. `code` is what visual effects calls it, given with its first pull and kept from version to version.
    """

    ident: str
    frames: int
    picture: Footage | Card | Black
    transition: Transition | None = None
    locked: bool = False
    reasons: tuple[str, ...] = ()
    sound_lead_frames: int = 0
    code: str = ""


class Cut(Value, frozen=True):
    """One version of the sequence: an ordered list of shots without gaps."""

    name: str
    shots: tuple[Shot, ...]
    target_frames: int
    note: str = ""

    @property
    def frames(self) -> int:
        """Length on screen."""
        return sum(shot.frames for shot in self.shots)


class Settings(Value, frozen=True):
    """What a production may want otherwise; frames are of the sequence rate.

    `lead_frames` is how long before a hit the cut comes; `least_breath` the share of a breath that must stay;
    `most_retiming` how far a shot may be stretched or squeezed beyond performance tempo, as a share;
    `wanted_shot_seconds` the length a shot is steered towards; `handle_frames` what a transition or an effects
    pull wants beyond the cut; `raster_*` the delivery picture in pixels.
    """

    lead_frames: int = 4
    least_breath: Fraction = Fraction(1, 3)
    most_retiming: Fraction = Fraction(2, 25)
    least_shot_frames: int = 8
    wanted_shot_seconds: Fraction = Fraction(2)
    handle_frames: int = 8
    raster_width: int = 960
    raster_height: int = 540
    first_pull_frame: int = 1001
    replaced_to: Size = Size.FULL
    replaced_closely_to: Size = Size.MEDIUM_WIDE


class Sequence(Value, frozen=True):
    """The fight as a whole, with its rate, start time code and target length."""

    title: str
    rate_name: str
    start_frame: int
    target_frames: int
    drop: bool = False
    schema: int = SCHEMA
    settings: Settings = Settings()
    cast: tuple[Role, ...] = ()
    phrases: tuple[Phrase, ...] = ()
    tapes: tuple[Tape, ...] = ()
    takes: tuple[Take, ...] = ()
    treatments: tuple[Treatment, ...] = ()
    syncs: tuple[Sync, ...] = ()
    heads: tuple[HeadBox, ...] = ()
    flights: tuple[Flight, ...] = ()
    cuts: tuple[Cut, ...] = ()
    notes: tuple[Note, ...] = ()
    floor: Floor | None = None
    newest_number: int = 0
    """The highest n of a cut named vn that was deleted or given another name, so that no later cut is called so again."""

    @property
    def timebase(self) -> Timebase:
        """How the cut's time code counts."""
        return Timebase(Rate.parse(self.rate_name), self.drop)

    @property
    def moves(self) -> tuple[Move, ...]:
        """Every move of the fight, in order."""
        return tuple(move for phrase in self.phrases for move in phrase.moves)

    @property
    def roles(self) -> tuple[str, ...]:
        """Every role that the fight names, in order of first attack or defence."""
        return tuple(dict.fromkeys(role for move in self.moves for role in (move.attacker, move.defender)))

    def tape(self, reel: str) -> Tape:
        """The tape of that reel name; raises `UseFault` when there is none."""
        return _named(self.tapes, "reel", reel, "tape with reel name")

    def take(self, name: str) -> Take:
        """The take of that name; raises `UseFault` when there is none."""
        return _named(self.takes, "name", name, "take")

    def cut(self, name: str | None = None) -> Cut:
        """The cut of that name, or the newest; raises `UseFault` when there is none."""
        if name is None:
            if not self.cuts:
                raise UseFault("There is no cut yet; assemble one first.")
            return self.cuts[-1]
        return _named(self.cuts, "name", name, "cut")

    def with_tape(self, tape: Tape) -> Sequence:
        """The sequence with one tape more."""
        return msgspec.structs.replace(self, tapes=(*self.tapes, tape))

    def with_role(self, role: Role) -> Sequence:
        """The sequence with this casting in the place of the role's old one; raises `UseFault` for a role not in the fight."""
        if role.role not in self.roles:
            raise UseFault(f"The fight has no role '{role.role}'; known: {', '.join(self.roles) or 'none yet'}.")
        return msgspec.structs.replace(self, cast=(*(one for one in self.cast if one.role != role.role), role))

    def phrase_of(self, move: int) -> Phrase:
        """The phrase that a move belongs to; raises `UseFault` when there is no such move."""
        for phrase in self.phrases:
            if any(one.number == move for one in phrase.moves):
                return phrase
        raise UseFault(f"There is no move {move} in the fight.")


Named = TypeVar("Named", Tape, Take, Cut)


@remembered(newest=16)
def _by_name(values: tuple[Named, ...], field: str) -> dict[str, Named]:
    """The values by name; the first of two with one name, which no sound document has."""
    return {getattr(value, field): value for value in reversed(values)}


def _named(values: tuple[Named, ...], field: str, name: str, what: str) -> Named:
    found = _by_name(values, field).get(name)
    if found is not None:
        return found
    known = ", ".join(getattr(value, field) for value in values[:12]) or "none yet"
    raise UseFault(f"There is no {what} '{name}'; known: {known}.")
