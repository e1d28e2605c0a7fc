"""What each visual effects pull is: which tape frames under which numbers, and what is to be done in them; it opens no file.

A pull carries the frames of the tape's grid at the sequence rate, unretimed and forwards, each once: from the first to the
last that the shot plays, with a handle at either end. What plays on under a transition into the next shot is pulled too,
before the handle there. Its numbers begin at the sequence's `first_pull_frame`, the head handle counted in: with handles
of 8 and 42 frames played they are 1001 to 1058, cut in 1009, cut out 1050.

Names follow a published page, Netflix partner help, "VFX Plate Naming Best Practices": frames 1001 to 1058 in its example,
a `v` and three figures, the next version for a pull that is made again, and only the characters a-z A-Z 0-9 . _ -.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from previs.clock import Span, first_grid_frame, frame_played, grid_span, span_played
from previs.cut.placing import Placed, SeenTreatment, Source, place, treatments_seen
from previs.document.model import Cut, Kind, Sequence, Transition
from previs.exchange.plain import plain
from previs.faults import UseFault
from previs.fight.doubling import Holds, holds_in, learnt_in

_ARTICLES = frozenset({"the", "a", "an"})
_PREFIX_LETTERS = 4
_NOT_IN_NAMES = re.compile(r"[^A-Za-z0-9._-]+")


@dataclass(frozen=True, slots=True)
class Takeover:
    """Where a digital double has the role, in numbers of the pull, handles counted in.

    `performer_until` and `performer_from` are None where the pull begins or ends with the digital double.
    """

    performer_until: int | None
    digital_from: int
    digital_to: int
    performer_from: int | None


@dataclass(frozen=True, slots=True)
class Element:
    """One treatment on screen: `first` and `last` are the numbers of its frames in the pull that are on screen.

    `marked_first` and `marked_last` count those in the handles too, in which a wire or a face goes on. `holds` is judged for a face
    replacement only, `takeover` given for a digital double only. `learns` are the moves of the shot that the role's actor has to do.
    """

    seen: SeenTreatment
    performer: str
    first: int
    last: int
    marked_first: int
    marked_last: int
    takeover: Takeover | None
    holds: Holds | None
    learns: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Pull:
    """One shot's pull. `played` and `tape` count frames of the tape's grid: what the shot plays, and that with its handles."""

    code: str
    placed: Placed
    source: Source
    tape: Span
    first: int
    elements: tuple[Element, ...]
    remarks: tuple[str, ...]

    @property
    def played(self) -> Span:
        """The tape frames from the first to the last that the shot plays."""
        return self.source.played

    @property
    def frames(self) -> int:
        """How many numbered frames the pull has; its slate is not one of them."""
        return self.tape.length

    @property
    def head(self) -> int:
        """Frames of the handle before what the shot plays."""
        return self.played.start - self.tape.start

    @property
    def tail(self) -> int:
        """Frames of the handle after what the shot plays."""
        return self.tape.end_exclusive - self.played.end_exclusive

    @property
    def cut_in(self) -> int:
        """The number of the earliest tape frame that the shot plays."""
        return self.number(self.played.start)

    @property
    def cut_out(self) -> int:
        """The number of the latest tape frame that the shot plays."""
        return self.number(self.played.end_exclusive - 1)

    @property
    def last(self) -> int:
        """The number of the last frame, the tail handle's end."""
        return self.first + self.frames - 1

    def number(self, grid_frame: int) -> int:
        """The pull's number for a frame of the tape's grid."""
        return self.first + grid_frame - self.tape.start

    def shown(self, k: int) -> int:
        """The pull's number that the shot shows at its own frame `k`, from 0: how the speed is laid on."""
        return self.number(frame_played(self.source.first_frame, self.source.speed, k))


def pulls_of(sequence: Sequence, cut: Cut, *, only: Kind | None = None, untreated: bool = False) -> tuple[Pull, ...]:
    """The pulls of a coded cut in running order: shots with a treatment on screen, or with one of kind `only`.

    With `untreated` also every other shot that has footage. Raises `UseFault` for a shot without a code, and for two whose
    codes make the same file name.
    """
    placed = place(sequence, cut)
    seen: dict[int, list[SeenTreatment]] = {}
    for treated in treatments_seen(sequence, placed):
        seen.setdefault(treated.placed.number, []).append(treated)
    found = []
    for one in placed:
        kinds = {mark.treatment.kind for mark in seen.get(one.number, [])}
        wanted = only in kinds if only else bool(kinds) or untreated
        if one.source is not None and wanted:
            under = placed[one.number].shot.transition if one.number < len(placed) else None
            found.append(_pull(sequence, placed, one, one.source, seen.get(one.number, []), under))
    _check_codes(found)
    return tuple(found)


def prefix_of(title: str) -> str:
    """What the file names of a sequence begin with: the first letters of its title's first word, articles passed over."""
    words = re.findall(r"[A-Za-z0-9]+", plain(title).replace("'", ""))
    telling: list[str] = [word for word in words if word.lower() not in _ARTICLES] or words or ["SEQ"]
    return telling[0][:_PREFIX_LETTERS].upper()


def pull_name(prefix: str, code: str, version: int) -> str:
    """A name for files, in A-Z a-z 0-9 . _ - only: `SALT_010_v001`."""
    return f"{prefix}_{_name_part(code)}_v{version:03d}"


def _name_part(code: str) -> str:
    return _NOT_IN_NAMES.sub("-", plain(code))


def _check_codes(pulls: Collection[Pull]) -> None:
    taken: dict[str, Pull] = {}
    for pull in pulls:
        if not pull.code:
            raise UseFault(f"Shot {pull.placed.number} has no code; give the cut its codes before it is pulled.")
        # Some disks do not tell capitals from small letters.
        other = taken.setdefault(_name_part(pull.code).lower(), pull)
        if other is not pull:
            raise UseFault(
                f"The codes of shots {other.placed.number} and {pull.placed.number} ('{other.code}' and '{pull.code}') make the same "
                "file name; change one of them."
            )


def _pull(
    sequence: Sequence,
    every: tuple[Placed, ...],
    placed: Placed,
    source: Source,
    seen: list[SeenTreatment],
    under: Transition | None,
) -> Pull:
    wanted = sequence.settings.handle_frames
    there = Span(0, first_grid_frame(source.tape.duration, sequence.timebase.rate.fps))
    played = source.played
    if played.start < there.start or played.end_exclusive > there.end_exclusive:
        raise UseFault(
            f"Shot {placed.number} (take {source.take.name}) plays past the end of tape {source.tape.reel}, which has {there.length} "
            "frames at the sequence rate; trim the shot."
        )
    on_screen = span_played(source.first_frame, source.speed, placed.shot.frames + (under.frames if under else 0))
    tape = Span(max(on_screen.start - wanted, there.start), min(on_screen.end_exclusive + wanted, there.end_exclusive))
    bare = Pull(placed.shot.code, placed, source, tape, sequence.settings.first_pull_frame, (), ())
    elements = tuple(_element(sequence, every, bare, one) for one in seen)
    remarks = (*_short_handles(bare, on_screen, wanted), *_playing(bare, on_screen, under))
    return Pull(bare.code, placed, source, tape, bare.first, elements, remarks)


def _element(sequence: Sequence, every: tuple[Placed, ...], pull: Pull, seen: SeenTreatment) -> Element:
    marked = grid_span(seen.treatment.span, sequence.timebase.rate.fps).meet(pull.tape) or seen.tape
    return Element(
        seen=seen,
        performer=pull.source.take.performer_of(seen.treatment.role),
        first=pull.number(seen.tape.start),
        last=pull.number(seen.tape.end_exclusive - 1),
        marked_first=pull.number(marked.start),
        marked_last=pull.number(marked.end_exclusive - 1),
        takeover=_takeover(pull, marked) if seen.treatment.kind is Kind.DIGITAL_DOUBLE else None,
        holds=holds_in(sequence.settings, seen),
        learns=learnt_in(sequence, every, pull.placed, seen.treatment.role),
    )


def _takeover(pull: Pull, digital: Span) -> Takeover:
    return Takeover(
        performer_until=pull.number(digital.start) - 1 if digital.start > pull.tape.start else None,
        digital_from=pull.number(digital.start),
        digital_to=pull.number(digital.end_exclusive - 1),
        performer_from=pull.number(digital.end_exclusive) if digital.end_exclusive < pull.tape.end_exclusive else None,
    )


def _short_handles(pull: Pull, on_screen: Span, wanted: int) -> Iterator[str]:
    reel = pull.source.tape.reel
    head, tail = on_screen.start - pull.tape.start, pull.tape.end_exclusive - on_screen.end_exclusive
    for which, has, end in (("head", head, "begins"), ("tail", tail, "ends")):
        if has < 0:
            yield f"Tape {reel} {end} {-has} frames too soon for the transition into the next shot."
        elif has < wanted:
            yield f"The {which} handle has {has} of {wanted} frames: tape {reel} {end} there."


def _playing(pull: Pull, on_screen: Span, under: Transition | None) -> Iterator[str]:
    speed, seen = pull.source.speed, on_screen.meet(pull.tape) or pull.played
    if speed == 0:
        yield f"The shot holds frame {pull.cut_in}."
    elif speed < 0:
        yield f"The shot plays backwards from {pull.shown(0)}; the pull runs forwards."
    if under and speed:
        begin, end = (pull.played.end_exclusive, seen.end_exclusive) if speed > 0 else (seen.start, pull.played.start)
        if begin < end:
            yield f"Frames {pull.number(begin)} to {pull.number(end - 1)} play on under the {under.kind.value} into the next shot."
