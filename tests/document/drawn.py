"""Sound sequences drawn by hypothesis, every field of the model among them, and one plain sequence to damage."""

from __future__ import annotations

from datetime import UTC
from fractions import Fraction

from hypothesis import strategies as st
from msgspec.structs import replace

from previs.clock import RATES, span_played
from previs.document.floor import CameraPlace, Floor, Laid, LineKind, NamedPlace, PlanLine, Reach, Room, Route, RoutePoint
from previs.document.invariants import usable_grid_frames
from previs.document.model import (
    LEVEL,
    Black,
    Card,
    Casting,
    Cut,
    Face,
    Footage,
    Framing,
    Hit,
    Kind,
    Move,
    Phrase,
    Role,
    Sequence,
    Settings,
    Shot,
    Shows,
    Size,
    SoundTrack,
    Take,
    Tape,
    Transition,
    TransitionKind,
    Treatment,
)
from previs.document.notes import Drawing, Note, NoteKind, NoteState, Shape

WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
NAMES = WORDS.filter(lambda name: name not in ("", LEVEL))
REELS = st.text(st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=8)
SHARES = st.fractions(0, 1, max_denominator=10**6)
FIRST_TAPE_SECONDS = Fraction(1001, 1000)


def rising(least: int, most: int) -> st.SearchStrategy[list[int]]:
    return st.lists(st.integers(0, 10**6), min_size=least, max_size=most, unique=True).map(sorted)


SPOTS = st.tuples(st.integers(-20_000, 20_000), st.integers(-20_000, 20_000))
PLAN_LINES = st.builds(
    PlanLine,
    kind=st.sampled_from(LineKind),
    points=st.lists(SPOTS, min_size=2, max_size=4).map(tuple),
    closed=st.booleans(),
    name=WORDS,
    height_mm=st.none() | st.integers(0, 5000),
    opens_left=st.none() | st.booleans(),
)
ROOMS = st.builds(
    Room,
    length_mm=st.integers(1, 30_000),
    width_mm=st.integers(1, 30_000),
    datum_a=st.just((0, 0)),
    datum_b=SPOTS.filter(lambda spot: spot != (0, 0)),
    columns=st.lists(PLAN_LINES, max_size=2).map(tuple),
    margin_mm=st.integers(0, 1000),
)
LAID = st.builds(
    Laid,
    turn_millidegrees=st.integers(-360_000, 360_000),
    shift_x_mm=st.integers(-9000, 9000),
    part=st.just(()) | st.lists(SPOTS, min_size=3, max_size=5).map(tuple),
    name=WORDS,
)
ROUTES = st.builds(
    Route,
    role=NAMES,
    phrase=st.integers(1, 9),
    points=st.lists(st.builds(RoutePoint, at=SPOTS, move=st.none() | st.integers(1, 40)), min_size=1, max_size=4).map(tuple),
)
CAMERAS = st.builds(
    CameraPlace,
    name=NAMES,
    at=SPOTS,
    aim=st.just((30_000, 0)),
    height_mm=st.integers(0, 4000),
    lens_mm=st.fractions(10, 100, max_denominator=10),
    sensor_width_mm=st.fractions(5, 40, max_denominator=100),
    phrases=st.lists(st.integers(1, 9), max_size=2).map(tuple),
)
FLOORS = st.builds(
    Floor,
    lines=st.lists(PLAN_LINES, max_size=2).map(tuple),
    places=st.lists(st.builds(NamedPlace, name=NAMES, at=SPOTS), max_size=2).map(tuple),
    room=st.none() | ROOMS,
    laid=st.lists(LAID, max_size=2).map(tuple),
    routes=st.lists(ROUTES, max_size=2).map(tuple),
    cameras=st.lists(CAMERAS, max_size=2).map(tuple),
    reaches=st.lists(st.builds(Reach, weapon=NAMES, reach_mm=st.integers(0, 4000)), max_size=2).map(tuple),
    drawn_in=WORDS,
    origin=st.tuples(st.integers(-(10**9), 10**9), st.just(0)),
)


@st.composite
def stretches(draw: st.DrawFn, tape: Tape) -> tuple[Fraction, Fraction]:
    a, b = draw(st.lists(SHARES, min_size=2, max_size=2, unique=True).map(sorted))
    return a * tape.duration, b * tape.duration


@st.composite
def fights(draw: st.DrawFn, roles: tuple[str, ...]) -> tuple[Phrase, ...]:
    numbers = draw(rising(1, 8))
    phrases, role = [], st.sampled_from(roles)
    for number in draw(rising(1, 3)):
        share, numbers = numbers[:3], numbers[3:]
        moves = tuple(
            Move(one, draw(WORDS), draw(role), draw(role), draw(st.sampled_from((roles[0], LEVEL))), *[draw(WORDS) for _ in range(2)])
            for one in share
        )
        phrases.append(Phrase(number, moves, draw(st.integers(0, 100))))
    # Whoever has the upper hand must be in the fight, so both roles of it are made to meet once.
    meeting = Move(10**7, draw(WORDS), roles[0], roles[-1], LEVEL, optional=draw(st.booleans()), place=draw(WORDS), note=draw(WORDS))
    return (*phrases, Phrase(10**7, (meeting,)))


@st.composite
def tapes(draw: st.DrawFn, reel: str) -> Tape:
    rate = draw(st.sampled_from(RATES))
    return Tape(
        reel=reel,
        path=draw(WORDS),
        fingerprint=draw(st.text("0123456789abcdef", max_size=32)),
        rate_name=rate.name,
        frames=draw(st.integers(1, 10**6)),
        duration=FIRST_TAPE_SECONDS + draw(SHARES) * 1000,
        width=draw(st.integers(1, 8192)),
        height=draw(st.integers(1, 8192)),
        codec=draw(WORDS),
        drop=rate.may_drop and draw(st.booleans()),
        start_frame=draw(st.integers(0, 2_000_000)),
        start_from=draw(st.sampled_from(("tape", "given", "none"))),
        camera=draw(WORDS),
        variable=draw(st.booleans()),
        rotation=draw(st.sampled_from((0, 90, 180, 270))),
        interlaced=draw(st.booleans()),
        sample_aspect=draw(st.sampled_from((Fraction(1), Fraction(16, 15)))),
        sound=draw(st.none() | st.builds(SoundTrack, st.integers(1, 192_000), st.integers(1, 16))),
    )


@st.composite
def takes(draw: st.DrawFn, name: str, tape: Tape, roles: tuple[str, ...], phrases: tuple[Phrase, ...]) -> Take:
    start, end = draw(stretches(tape))
    role, moves = st.sampled_from(roles), [move.number for phrase in phrases for move in phrase.moves]
    moments = sorted(start + share * (end - start) for share in draw(st.lists(SHARES.filter(lambda one: one < 1), max_size=4)))
    faces = st.lists(st.builds(Face, role, st.sampled_from(Shows)), unique_by=lambda face: face.role, max_size=2).map(tuple)
    framings = tuple(
        Framing(
            at, draw(st.sampled_from(Size)), draw(st.none() | st.integers(-180, 180)), draw(WORDS), draw(role | st.just("")), draw(faces)
        )
        for at in sorted({start, *moments})
    )
    first, last = draw(st.lists(st.sampled_from([phrase.number for phrase in phrases]), min_size=2, max_size=2).map(sorted))
    return Take(
        name=name,
        reel=tape.reel,
        start=start,
        end_exclusive=end,
        first_phrase=first,
        last_phrase=last,
        framings=framings,
        slate=draw(WORDS),
        rating=draw(st.integers(0, 5)),
        tempo=draw(st.sampled_from((Fraction(1), Fraction(7, 10)))),
        camera=draw(WORDS),
        performers=tuple(Casting(one, draw(WORDS)) for one in draw(st.sets(role)) or ()),
        note=draw(WORDS),
        hits=tuple(Hit(draw(st.sampled_from(moves)), at) for at in moments),
    )


@st.composite
def shots(draw: st.DrawFn, ident: str, sequence: Sequence) -> Shot:
    moves, frames = [move.number for move in sequence.moves], draw(st.integers(1, 12))
    first, last = draw(st.lists(st.sampled_from(moves), min_size=2, max_size=2).map(sorted))
    picture: Footage | Card | Black = draw(st.sampled_from((Black(), Card(draw(WORDS), first, last, draw(WORDS)), Card(draw(WORDS)))))
    if sequence.takes and draw(st.booleans()):
        take = draw(st.sampled_from(sequence.takes))
        usable = usable_grid_frames(sequence.tape(take.reel), sequence.timebase.rate.fps)
        footage = Footage(take.name, draw(st.integers(0, usable - 1)), draw(st.fractions(-3, 3, max_denominator=25)))
        played = span_played(footage.first_frame, footage.speed, frames)
        # A single frame always fits, wherever the shot begins.
        frames = frames if played.start >= 0 and played.end_exclusive <= usable else 1
        picture = footage
    wipe = st.builds(Transition, st.just(TransitionKind.WIPE), st.integers(1, frames), st.integers(0, 999))
    dissolve = st.builds(Transition, st.just(TransitionKind.DISSOLVE), st.integers(1, frames))
    reasons = tuple(draw(st.lists(WORDS, max_size=2)))
    return Shot(ident, frames, picture, draw(st.none() | wipe | dissolve), draw(st.booleans()), reasons)


IDENTS = st.text("abcXYZ019_-", min_size=1, max_size=64)
MOMENTS = st.datetimes(timezones=st.timezones() | st.just(UTC)).map(lambda moment: moment.isoformat().replace("+00:00", "Z"))
COUNTS = st.integers(0, 10**9)
THOUSANDTHS = st.integers(0, 1000)
DRAWINGS = st.builds(Drawing, st.sampled_from(Shape), THOUSANDTHS, THOUSANDTHS, THOUSANDTHS, THOUSANDTHS)


@st.composite
def notes(draw: st.DrawFn, idents: st.SearchStrategy[str] = IDENTS, cut: st.SearchStrategy[str] = WORDS) -> Note:
    """A note of any content; what it is about may be gone from the document."""
    return Note(
        ident=draw(idents),
        cut=draw(cut),
        reviewer=draw(WORDS.map(str.strip)),
        written=draw(MOMENTS),
        kind=draw(st.sampled_from(NoteKind)),
        text=draw(WORDS),
        shot=draw(WORDS),
        first_frame=draw(COUNTS),
        frames=draw(st.integers(1, 10**9)),
        reel=draw(WORDS),
        tape_frame=draw(st.none() | COUNTS),
        move=draw(st.none() | COUNTS),
        drawings=tuple(draw(st.lists(DRAWINGS, max_size=2))),
        state=draw(st.sampled_from(NoteState)),
        answer=draw(WORDS),
    )


@st.composite
def sequences(draw: st.DrawFn) -> Sequence:
    rate, roles = draw(st.sampled_from(RATES)), tuple(draw(st.lists(NAMES, min_size=2, max_size=2, unique=True)))
    phrases = draw(fights(roles))
    reels = draw(st.lists(REELS, max_size=2, unique_by=str.casefold))
    recorded = tuple(draw(tapes(reel)) for reel in reels)
    names = draw(st.lists(NAMES, max_size=3, unique=True)) if recorded else []
    logged = tuple(draw(takes(name, draw(st.sampled_from(recorded)), roles, phrases)) for name in names)
    marked = []
    for tape in recorded:
        start, end = draw(stretches(tape))
        marked.append(Treatment(tape.reel, start, end, draw(st.sampled_from(Kind)), draw(st.sampled_from(roles)), draw(WORDS)))
    uncut = Sequence(
        title=draw(WORDS),
        rate_name=rate.name,
        start_frame=draw(st.integers(0, 2_000_000)),
        target_frames=draw(st.integers(1, 10_000)),
        drop=rate.may_drop and draw(st.booleans()),
        settings=draw(
            st.builds(Settings, lead_frames=st.integers(0, 900), least_breath=SHARES, raster_width=st.integers(2, 8192))
            | st.just(Settings())
        ),
        cast=tuple(Role(role, draw(WORDS), tuple(draw(st.lists(WORDS, max_size=2)))) for role in draw(st.sampled_from(((), roles)))),
        phrases=phrases,
        tapes=recorded,
        takes=logged,
        treatments=tuple(marked),
    )
    cuts = tuple(
        Cut(
            name,
            tuple(draw(shots(f"s{number}", uncut)) for number in range(draw(st.integers(0, 4)))),
            draw(st.integers(1, 10_000)),
            draw(WORDS),
        )
        for name in draw(st.lists(NAMES, max_size=2, unique=True))
    )
    reviewed = tuple(draw(st.lists(notes(), max_size=3, unique_by=lambda note: note.ident)))
    return replace(uncut, cuts=cuts, notes=reviewed, floor=draw(st.none() | FLOORS))


def plain_sequence(title: str = "The Salt Stair") -> Sequence:
    """Two moves, one tape, two takes and one cut of three shots: small enough to see what damage a test does to it."""
    fight = Phrase(1, (Move(1, "cut to the head", "Odile", "Reeve", "Odile"), Move(2, "sweep", "Reeve", "Odile", LEVEL)), 12)
    framing = Framing(Fraction(0), Size.FULL, 0, screen_left="Odile", faces=(Face("Odile", Shows.FULL), Face("Reeve", Shows.PART)))
    tape = Tape("A1", "tapes/A1.mp4", "0" * 32, "24", 240, Fraction(10), 1280, 720, "h264", sound=SoundTrack(48_000, 2))
    hits = (Hit(1, Fraction(1)), Hit(2, Fraction(1001, 300)))
    takes = (
        Take("T1", "A1", Fraction(0), Fraction(9), 1, 1, (framing,), performers=(Casting("Odile", "Juno Vale"),), hits=hits),
        Take("T2", "A1", Fraction(9), Fraction(10), 1, 1, (Framing(Fraction(9), Size.CLOSE),)),
    )
    shots = (
        Shot("s1", 24, Footage("T1", 0)),
        Shot("s2", 12, Card("the fall", 1, 2), Transition(TransitionKind.WIPE, 6, wipe=19)),
        Shot("s3", 10, Black()),
    )
    treatments = (Treatment("A1", Fraction(2), Fraction(3), Kind.DIGITAL_DOUBLE, "Odile"),)
    cuts = (Cut("v1", shots, 48),)
    circle = Drawing(Shape.CIRCLE, 100, 200, 300, 400)
    note = Note("n1", "v1", "Mara", "2026-11-25T10:00:00Z", NoteKind.UNCLEAR, "did it land?", "s1", 20, 4, "A1", 20, 1, (circle,))
    return Sequence(
        title,
        "24",
        86400,
        48,
        cast=(Role("Odile", "Juno Vale"),),
        phrases=(fight,),
        tapes=(tape,),
        takes=takes,
        treatments=treatments,
        cuts=cuts,
        notes=(note,),
    )
