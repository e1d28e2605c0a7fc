"""What must hold in every sequence, beyond the types of its fields: names that lead somewhere, order, lengths; no repairs."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Hashable, Iterable, Iterator
from fractions import Fraction
from itertools import pairwise
from typing import TypeVar

import msgspec

from previs.clock import Timebase, first_grid_frame, frame_played, span_played
from previs.document.floor_faults import floor_faults
from previs.document.model import (
    LEVEL,
    SCHEMA,
    SURE,
    Card,
    Cut,
    Flight,
    Footage,
    Framing,
    HeadBox,
    Phrase,
    Sequence,
    Settings,
    Shot,
    Sync,
    Take,
    Tape,
    Transition,
    TransitionKind,
    Treatment,
)
from previs.document.notes import Note, moment_of
from previs.document.remembering import Parts
from previs.faults import UseFault

LARGEST_COUNT = 10**15
"""No whole number of a document may go beyond this: more is damage or malice."""

LARGEST_PART_DIGITS = 60
"""Nor may numerator and denominator of a fraction have more digits; sums of odd rates stay far below."""

LARGEST_DRIFT_PPM = 1000
"""No two clocks of recorders drift further apart: quartz is good to tens of parts in a million; a limit of ours."""

_LOOKED_AT_ONCE = frozenset((Tape, Take, Phrase, Cut, Shot, Note))
_writable: Parts[bool] = Parts()

_Item = TypeVar("_Item")
_Number = TypeVar("_Number", int, Fraction)
_IDENT = re.compile(r"[A-Za-z0-9_-]{1,64}", re.ASCII)
_FINGERPRINT = re.compile(r"[A-Za-z0-9_-]{0,64}", re.ASCII)
_REEL = re.compile(r"[!-~]{1,8}", re.ASCII)


def faults_in(sequence: Sequence) -> tuple[str, ...]:
    """Everything that is wrong with a sequence, each as `$.path: sentence`; empty for a sound one."""
    unwritable = tuple(_unwritable(sequence, "$"))
    _writable.turn()
    # Arithmetic on absurd numbers is what the limit protects from, so nothing else is looked at then.
    return unwritable or tuple(_all_faults(sequence))


def usable_grid_frames(tape: Tape, fps: Fraction) -> int:
    """How many frames of the sequence-rate grid the tape fills: the last one, n, has n / fps < duration."""
    return first_grid_frame(tape.duration, fps)


def _all_faults(sequence: Sequence) -> Iterator[str]:
    if sequence.schema != SCHEMA:
        yield f"$.schema: is {sequence.schema}, not {SCHEMA}"
    try:
        timebase = sequence.timebase
    except UseFault as fault:
        yield f"$.rate_name: {str(fault).rstrip('.')}"
        return
    if not 0 <= sequence.start_frame < timebase.frames_per_day:
        yield f"$.start_frame: {sequence.start_frame} is not a frame of the day"
    if sequence.target_frames < 1:
        yield f"$.target_frames: a target of {sequence.target_frames} frames is not a length"
    yield from _settings_faults(sequence.settings)
    for place, role in _each("$.cast", sequence.cast):
        if role.role in ("", LEVEL):
            yield f"{place}.role: '{role.role}' cannot be the name of a role"
    yield from _repeated("$.cast", "role", [role.role for role in sequence.cast])
    yield from _fight_faults(sequence.phrases)
    for place, tape in _each("$.tapes", sequence.tapes):
        yield from _tape_faults(tape, place)
    yield from _repeated("$.tapes", "reel name", [tape.reel.casefold() for tape in sequence.tapes])
    look_up = _Names(sequence, timebase)
    for place, take in _each("$.takes", sequence.takes):
        yield from look_up.take_faults(take, place)
    yield from _repeated("$.takes", "take name", [take.name for take in sequence.takes])
    for place, treatment in _each("$.treatments", sequence.treatments):
        yield from look_up.treatment_faults(treatment, place)
    for place, sync in _each("$.syncs", sequence.syncs):
        yield from look_up.sync_faults(sync, place)
    yield from _repeated("$.syncs", "sync of reel", [sync.reel for sync in sequence.syncs])
    for place, head in _each("$.heads", sequence.heads):
        yield from look_up.head_faults(head, place)
    for place, flight in _each("$.flights", sequence.flights):
        yield from look_up.flight_faults(flight, place)
    for place, cut in _each("$.cuts", sequence.cuts):
        yield from look_up.cut_faults(cut, place)
    yield from _repeated("$.cuts", "cut name", [cut.name for cut in sequence.cuts])
    for place, note in _each("$.notes", sequence.notes):
        yield from _note_faults(note, place)
    yield from _repeated("$.notes", "note", [note.ident for note in sequence.notes])
    if sequence.floor is not None:
        yield from floor_faults(sequence.floor, "$.floor")


def _settings_faults(settings: Settings) -> Iterator[str]:
    for name, least in (("lead_frames", 0), ("least_shot_frames", 1), ("handle_frames", 0), ("raster_width", 2), ("raster_height", 2)):
        if getattr(settings, name) < least:
            yield f"$.settings.{name}: {getattr(settings, name)} is less than {least}"
    if not 0 <= settings.least_breath <= 1:
        yield f"$.settings.least_breath: {settings.least_breath} is not a share between 0 and 1"
    if not 0 <= settings.most_retiming < 1:
        yield f"$.settings.most_retiming: {settings.most_retiming} is not a share from 0 to less than 1"
    if settings.first_pull_frame < 0:
        yield f"$.settings.first_pull_frame: {settings.first_pull_frame} is no number of a frame"
    if settings.replaced_closely_to.closeness < settings.replaced_to.closeness:
        yield f"$.settings.replaced_closely_to: {settings.replaced_closely_to} is wider than {settings.replaced_to}"
    if settings.wanted_shot_seconds <= 0:
        yield f"$.settings.wanted_shot_seconds: {settings.wanted_shot_seconds} s is not a length"


def _fight_faults(phrases: tuple[Phrase, ...]) -> Iterator[str]:
    yield from _not_rising("$.phrases", "phrase number", [phrase.number for phrase in phrases])
    yield from _not_rising("$.phrases", "move number", [move.number for phrase in phrases for move in phrase.moves])
    roles = {role for phrase in phrases for move in phrase.moves for role in (move.attacker, move.defender)}
    for place, phrase in _each("$.phrases", phrases):
        if phrase.breath_frames < 0:
            yield f"{place}.breath_frames: {phrase.breath_frames} is less than nothing"
        for move_place, move in _each(f"{place}.moves", phrase.moves):
            for name in ("attacker", "defender"):
                if getattr(move, name) in ("", LEVEL):
                    yield f"{move_place}.{name}: '{getattr(move, name)}' cannot be the name of a role"
            if move.upper_hand not in roles | {LEVEL}:
                yield f"{move_place}.upper_hand: '{move.upper_hand}' is neither a role of the fight nor '{LEVEL}'"


def _tape_faults(tape: Tape, place: str) -> Iterator[str]:
    if not _REEL.fullmatch(tape.reel):
        yield f"{place}.reel: '{tape.reel}' is not 1 to 8 letters, digits and signs without a space"
    # Files of the cache are looked for, written and removed by it, so it must not lead out of there.
    if not _FINGERPRINT.fullmatch(tape.fingerprint):
        yield f"{place}.fingerprint: '{tape.fingerprint}' is not what a tape is known by, letters and digits alone"
    for name in ("frames", "duration", "width", "height", "sample_aspect"):
        if getattr(tape, name) <= 0:
            yield f"{place}.{name}: {getattr(tape, name)} is not more than nothing"
    if tape.rotation not in (0, 90, 180, 270):
        yield f"{place}.rotation: {tape.rotation} is not 0, 90, 180 or 270 degrees"
    if tape.sound is not None and min(tape.sound.sample_rate, tape.sound.channels) < 1:
        yield f"{place}.sound: sound needs at least one channel and one sample a second"
    try:
        frames_per_day = tape.timebase.frames_per_day
    except UseFault as fault:
        yield f"{place}.rate_name: {str(fault).rstrip('.')}"
    else:
        if not 0 <= tape.start_frame < frames_per_day:
            yield f"{place}.start_frame: {tape.start_frame} is not a frame of the day"


class _Names:
    """The names of one sequence that its marks and cuts refer to, gathered once."""

    def __init__(self, sequence: Sequence, timebase: Timebase) -> None:
        self._fps = timebase.rate.fps
        self._tapes = {tape.reel: tape for tape in sequence.tapes}
        self._takes = {take.name: take for take in sequence.takes}
        self._roles = frozenset(sequence.roles) | {role.role for role in sequence.cast}
        self._phrases = frozenset(phrase.number for phrase in sequence.phrases)
        self._moves = frozenset(move.number for move in sequence.moves)

    def take_faults(self, take: Take, place: str) -> Iterator[str]:
        if not take.name:
            yield f"{place}.name: a take needs a name"
        yield from self._stretch_faults(take, place)
        for name in ("first_phrase", "last_phrase"):
            if getattr(take, name) not in self._phrases:
                yield f"{place}.{name}: there is no phrase {getattr(take, name)}"
        if take.last_phrase < take.first_phrase:
            yield f"{place}.last_phrase: {take.last_phrase} comes before the first phrase, {take.first_phrase}"
        if take.tempo <= 0:
            yield f"{place}.tempo: {take.tempo} is not more than nothing"
        if take.rating < 0:
            yield f"{place}.rating: {take.rating} is less than nothing"
        for casting_place, casting in _each(f"{place}.performers", take.performers):
            yield from self._role_faults(casting.role, f"{casting_place}.role")
        yield from _repeated(f"{place}.performers", "role", [casting.role for casting in take.performers])
        if not take.framings:
            yield f"{place}.framings: a take needs at least one framing"
        yield from _not_rising(f"{place}.framings", "moment", [framing.at for framing in take.framings])
        for framing_place, framing in _each(f"{place}.framings", take.framings):
            yield from self._framing_faults(framing, framing_place)
        yield from self._hit_faults(take, f"{place}.hits")

    def _framing_faults(self, framing: Framing, place: str) -> Iterator[str]:
        if framing.at < 0:
            yield f"{place}.at: {framing.at} s is before the tape begins"
        if framing.angle is not None and not -180 <= framing.angle <= 180:
            yield f"{place}.angle: {framing.angle} is not between -180 and 180 degrees"
        if framing.screen_left:
            yield from self._role_faults(framing.screen_left, f"{place}.screen_left")
        for face_place, face in _each(f"{place}.faces", framing.faces):
            yield from self._role_faults(face.role, f"{face_place}.role")
        yield from _repeated(f"{place}.faces", "role", [face.role for face in framing.faces])

    def _hit_faults(self, take: Take, place: str) -> Iterator[str]:
        before = take.start
        for hit_place, hit in _each(place, take.hits):
            if hit.move not in self._moves:
                yield f"{hit_place}.move: there is no move {hit.move}"
            if not take.start <= hit.at < take.end_exclusive:
                yield f"{hit_place}.at: {hit.at} s is not within its take, {take.start} to {take.end_exclusive} s"
            elif hit.at < before:
                yield f"{hit_place}.at: {hit.at} s comes before the hit listed ahead of it, {before} s"
            yield from _confidence_faults(hit.confidence, hit_place)
            before = max(before, hit.at)

    def treatment_faults(self, treatment: Treatment, place: str) -> Iterator[str]:
        yield from self._stretch_faults(treatment, place)
        yield from self._role_faults(treatment.role, f"{place}.role")

    def sync_faults(self, sync: Sync, place: str) -> Iterator[str]:
        if sync.reel not in self._tapes:
            yield f"{place}.reel: there is no tape with reel name '{sync.reel}'"
        if not sync.session:
            yield f"{place}.session: a session needs a name"
        if abs(sync.drift_ppm) > LARGEST_DRIFT_PPM:
            yield f"{place}.drift_ppm: {sync.drift_ppm} is no drift of a clock, at most {LARGEST_DRIFT_PPM} either way"
        yield from _confidence_faults(sync.confidence, place)

    def head_faults(self, head: HeadBox, place: str) -> Iterator[str]:
        tape = self._tapes.get(head.reel)
        if tape is None:
            yield f"{place}.reel: there is no tape with reel name '{head.reel}'"
        elif not 0 <= head.at < tape.duration:
            yield f"{place}.at: {head.at} s is not on tape {tape.reel}"
        if min(head.width, head.height) < 1:
            yield f"{place}.height: a box of {head.width} x {head.height} pixels holds no head"
        yield from self._role_faults(head.role, f"{place}.role")

    def flight_faults(self, flight: Flight, place: str) -> Iterator[str]:
        tape = self._tapes.get(flight.reel)
        if tape is None:
            yield f"{place}.reel: there is no tape with reel name '{flight.reel}'"
        elif not 0 <= flight.take_off < flight.landing <= tape.duration:
            yield f"{place}.landing: {flight.take_off} to {flight.landing} s is no flight on tape {tape.reel}"
        for name in ("height_metres", "distance_metres"):
            if (metres := getattr(flight, name)) is not None and metres < 0:
                yield f"{place}.{name}: {metres} m is less than nothing"
        if flight.height_metres is not None and flight.rise_metres > flight.height_metres:
            yield f"{place}.rise_metres: a landing {flight.rise_metres} m up is above the flight's highest, {flight.height_metres} m"
        yield from self._role_faults(flight.role, f"{place}.role")

    def _stretch_faults(self, marked: Take | Treatment, place: str) -> Iterator[str]:
        """A take or a treatment: a stretch, longer than nothing, of a tape that is there."""
        tape = self._tapes.get(marked.reel)
        if tape is None:
            yield f"{place}.reel: there is no tape with reel name '{marked.reel}'"
        elif marked.end_exclusive > tape.duration:
            yield f"{place}.end_exclusive: {marked.end_exclusive} s is past the end of the tape, {tape.duration} s"
        if marked.start < 0:
            yield f"{place}.start: {marked.start} s is before the tape begins"
        if marked.end_exclusive <= marked.start:
            yield f"{place}.end_exclusive: {marked.end_exclusive} s is not after the start, {marked.start} s"

    def _role_faults(self, role: str, place: str) -> Iterator[str]:
        if role not in self._roles:
            yield f"{place}: there is no role '{role}' in the fight"

    def cut_faults(self, cut: Cut, place: str) -> Iterator[str]:
        if not cut.name:
            yield f"{place}.name: a cut needs a name"
        if cut.target_frames < 1:
            yield f"{place}.target_frames: a target of {cut.target_frames} frames is not a length"
        for shot_place, shot in _each(f"{place}.shots", cut.shots):
            yield from self._shot_faults(shot, shot_place)
        for number, shot in enumerate(cut.shots):
            if shot.sound_lead_frames:
                yield from _sound_faults(shot, cut.shots[number - 1] if number else None, f"{place}.shots[{number}].sound_lead_frames")
        yield from _repeated(f"{place}.shots", "shot ident", [shot.ident for shot in cut.shots])
        yield from _repeated(f"{place}.shots", "shot code", [shot.code for shot in cut.shots if shot.code])

    def _shot_faults(self, shot: Shot, place: str) -> Iterator[str]:
        if not shot.ident:
            yield f"{place}.ident: a shot needs an ident"
        if shot.frames < 1:
            yield f"{place}.frames: {shot.frames} frames is not a length"
            return
        if shot.transition is not None:
            yield from _transition_faults(shot.transition, shot, f"{place}.transition")
        if isinstance(shot.picture, Footage):
            yield from self._footage_faults(shot.picture, shot.frames, f"{place}.picture")
        elif isinstance(shot.picture, Card):
            yield from self._card_faults(shot.picture, f"{place}.picture")

    def _footage_faults(self, footage: Footage, frames: int, place: str) -> Iterator[str]:
        take = self._takes.get(footage.take)
        if take is None:
            yield f"{place}.take: there is no take '{footage.take}'"
            return
        tape = self._tapes.get(take.reel)
        if tape is None:
            return
        played, usable = span_played(footage.first_frame, footage.speed, frames), usable_grid_frames(tape, self._fps)
        if played.start < 0 or played.end_exclusive > usable:
            yield (
                f"{place}.first_frame: the shot plays tape frames {played.start} to {played.end_exclusive - 1}, "
                f"but tape {tape.reel} has 0 to {usable - 1}"
            )

    def _card_faults(self, card: Card, place: str) -> Iterator[str]:
        for name in ("first_move", "last_move"):
            move = getattr(card, name)
            if move is not None and move not in self._moves:
                yield f"{place}.{name}: there is no move {move}"
        if card.last_move is not None and (card.first_move is None or card.last_move < card.first_move):
            yield f"{place}.last_move: move {card.last_move} needs a first move at or before it"


def _confidence_faults(confidence: int, place: str) -> Iterator[str]:
    if not 0 <= confidence <= SURE:
        yield f"{place}.confidence: {confidence} is not 0 to {SURE} percent"


def _sound_faults(shot: Shot, before: Shot | None, place: str) -> Iterator[str]:
    """The sounds of neighbours follow each other as their shots do, each lasting at least one frame."""
    lead, picture = shot.sound_lead_frames, shot.picture
    if -lead >= shot.frames:
        yield f"{place}: sound that begins {-lead} frames late does not fit the shot's {shot.frames}"
    if lead <= 0:
        return
    room = before.frames - 1 + min(0, before.sound_lead_frames) if before else 0
    if lead > room:
        yield f"{place}: sound that begins {lead} frames early does not fit the {room} that the shot before has for it"
    if not isinstance(picture, Footage) or picture.speed <= 0:
        yield f"{place}: only footage that plays forwards has sound that could begin early"
    elif frame_played(picture.first_frame, picture.speed, -lead) < 0:
        yield f"{place}: sound that begins {lead} frames early begins before the tape"


def _transition_faults(transition: Transition, shot: Shot, place: str) -> Iterator[str]:
    if not 1 <= transition.frames <= shot.frames:
        yield f"{place}.frames: {transition.frames} frames do not fit the shot's {shot.frames}"
    if not 0 <= transition.wipe <= 999:
        yield f"{place}.wipe: there is no wipe {transition.wipe}; patterns are 0 to 999"
    elif transition.wipe and transition.kind is not TransitionKind.WIPE:
        yield f"{place}.wipe: a {transition.kind} has no pattern"


def _note_faults(note: Note, place: str) -> Iterator[str]:
    """A note may speak of a cut, a shot, a tape or a move that is gone since; it is then homeless, not wrong."""
    if not _IDENT.fullmatch(note.ident):
        yield f"{place}.ident: a note's mark is 1 to 64 letters, figures, - and _"
    if note.first_frame < 0 or note.frames < 1:
        yield f"{place}.frames: {note.frames} frames from {note.first_frame} are no stretch of a cut"
    try:
        moment_of(note.written)
    except ValueError:
        yield f"{place}.written: '{note.written}' is no moment with a time zone, such as 2026-11-25T10:00:00Z"
    for at, drawing in _each(f"{place}.drawings", note.drawings):
        if not all(0 <= value <= 1000 for value in (drawing.from_x, drawing.from_y, drawing.to_x, drawing.to_y)):
            yield f"{at}: a drawing lies within the picture, 0 to 1000 both ways"


def _each(place: str, values: Iterable[_Item]) -> Iterator[tuple[str, _Item]]:
    for number, value in enumerate(values):
        yield f"{place}[{number}]", value


def _repeated(place: str, what: str, names: Iterable[Hashable]) -> Iterator[str]:
    for name, times in Counter(names).items():
        if times > 1:
            yield f"{place}: the {what} '{name}' is there {times} times"


def _not_rising(place: str, what: str, values: list[_Number]) -> Iterator[str]:
    for before, after in pairwise(values):
        if after <= before:
            yield f"{place}: {what} {after} follows {before}; they must rise"


def _unwritable(value: object, place: str) -> Iterator[str]:
    """What could not be written to a file and read back: numbers beyond the limit, text that is no Unicode."""
    if isinstance(value, msgspec.Struct):
        if _writable.known(value):
            return
        faults = [fault for name in value.__struct_fields__ for fault in _unwritable(getattr(value, name), f"{place}.{name}")]
        if not faults and type(value) in _LOOKED_AT_ONCE:
            _writable.keep(value, True)
        yield from faults
    elif isinstance(value, tuple):
        for item_place, item in _each(place, value):
            yield from _unwritable(item, item_place)
    elif isinstance(value, int | Fraction):
        largest = LARGEST_COUNT if isinstance(value, int) else 10**LARGEST_PART_DIGITS - 1
        if max(abs(value.numerator), value.denominator) > largest:
            yield f"{place}: the number is too large to be a length, a rate or a count"
    elif isinstance(value, str) and not _encodable(value):
        yield f"{place}: the text holds half a character"


def _encodable(text: str) -> bool:
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True
