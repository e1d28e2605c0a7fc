"""What stands in the report on a cut: length, pacing, balance, sizes, treatments, notes and which stills; it draws nothing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from previs.cut.pace import pace
from previs.cut.placing import Placed, SeenHit, SeenTreatment, hits_seen, place, treatments_seen
from previs.document.model import LEVEL, Card, Cut, Sequence
from previs.document.notes import NoteKind, NoteState
from previs.exchange.captions import phrases_on
from previs.exchange.lists import against_target, counted_shots, record_label
from previs.exchange.pace_text import values
from previs.fight.balance import balance
from previs.handoff.played import shot_name
from previs.handoff.sheets import Still
from previs.review.note_lists import HOMELESS, Standing, has_safety_worry, note_row, standing
from previs.review.told import told


@dataclass(frozen=True, slots=True)
class Share:
    """A part of the running time, 0 to 1, by its name; `beside` is what else is said of it."""

    name: str
    share: float
    beside: str


@dataclass(frozen=True, slots=True)
class KeyPicture:
    """The first hit of a phrase: where it is, its words, and the still, None when only a card stands for the phrase."""

    phrase: str
    at: str
    words: str
    still: Still | None


@dataclass(frozen=True, slots=True)
class TreatedStretch:
    """A treatment on screen: its kind and role, its in as record time code, its length and its shot."""

    kind: str
    role: str
    at: str
    seconds: float
    shot: str


@dataclass(frozen=True, slots=True)
class OpenNote:
    """An open note: where it is now, or homeless, its kind, reviewer and words; `is_safety` for a safety worry."""

    at: str
    shot: str
    kind: str
    reviewer: str
    words: str
    is_safety: bool


@dataclass(frozen=True, slots=True)
class Report:
    """The report on one cut, in plain words and values. `made` is the date on it.

    `over_frames` is how much longer than its target the cut is, negative for shorter; `words` are headed groups of sentences.
    Open notes stand in running order, those that worry about safety before all others.
    """

    title: str
    cut: str
    made: date
    length: str
    target: str
    against: str
    shots: str
    frames: int
    target_frames: int
    words: tuple[tuple[str, tuple[str, ...]], ...]
    sizes: tuple[Share, ...]
    balance: tuple[Share, ...]
    treatments: tuple[TreatedStretch, ...]
    notes: tuple[OpenNote, ...]
    answered_notes: int
    key_pictures: tuple[KeyPicture, ...]
    worries: bool

    @property
    def over_frames(self) -> int:
        """How much longer than its target the cut is."""
        return self.frames - self.target_frames


def report(sequence: Sequence, cut: Cut, made: date) -> Report:
    """The report on a cut; `made` is the date that stands on it. Raises `UseFault` when the cut shows nothing at all."""
    placed, figures, hands = place(sequence, cut), pace(sequence, cut), balance(sequence, cut)
    said = told(sequence, cut, placed, figures, hands)
    groups = (
        ("How long it is", said.length),
        ("Where it is dead", said.dead),
        ("Where it rushes", said.rush),
        ("Who is winning", said.winning),
    )
    hits, notes = hits_seen(sequence, placed), standing(sequence, cut)
    timebase = sequence.timebase
    return Report(
        title=sequence.title,
        cut=cut.name,
        made=made,
        length=timebase.duration(cut.frames),
        target=timebase.duration(cut.target_frames),
        against=against_target(sequence, cut),
        shots=counted_shots(cut),
        frames=cut.frames,
        target_frames=cut.target_frames,
        words=tuple((heading, tuple(line.words for line in lines)) for heading, lines in groups),
        sizes=tuple(Share(row["size"], row["share"], str(row["shots"])) for row in values(figures.sizes)),
        balance=tuple(Share("level" if name == LEVEL else name, float(hands.share(name)), "") for name in hands.frames),
        treatments=tuple(_treated(sequence, seen) for seen in treatments_seen(sequence, placed)),
        notes=_open_notes(sequence, notes),
        answered_notes=sum(one.note.state in (NoteState.DONE, NoteState.DECLINED) for one in notes),
        key_pictures=_key_pictures(sequence, cut, placed, hits),
        worries=has_safety_worry(notes),
    )


def stills_of(one: Report) -> tuple[Still, ...]:
    """The stills that the report shows, each once."""
    return tuple(dict.fromkeys(picture.still for picture in one.key_pictures if picture.still is not None))


def _treated(sequence: Sequence, seen: SeenTreatment) -> TreatedStretch:
    seconds = float(seen.record.length / sequence.timebase.rate.fps)
    at = record_label(sequence, seen.record.start)
    return TreatedStretch(seen.treatment.kind.value, seen.treatment.role, at, seconds, shot_name(seen.placed))


def _open_notes(sequence: Sequence, notes: tuple[Standing, ...]) -> tuple[OpenNote, ...]:
    found = []
    for one in notes:
        if one.note.state is NoteState.OPEN:
            row = note_row(sequence, one)
            shot = "" if one.found is None or one.found.shot is None else str(one.found.shot)
            is_safety = one.note.kind is NoteKind.SAFETY
            found.append(OpenNote(str(row["at"]), shot, one.note.kind.value, one.note.reviewer, one.note.text, is_safety))
    # Where room is short the last ones are left out, and never these.
    return tuple(sorted(found, key=lambda note: (not note.is_safety, note.at == HOMELESS)))


def _key_pictures(sequence: Sequence, cut: Cut, placed: tuple[Placed, ...], hits: tuple[SeenHit, ...]) -> tuple[KeyPicture, ...]:
    found = []
    for phrase, span in phrases_on(sequence, cut):
        seen = next((hit for hit in hits if hit.move in phrase.moves and span.holds(hit.record_frame)), None)
        if seen is not None and (source := seen.placed.source) is not None:
            still = Still(source.tape.reel, source.frame(seen.record_frame - seen.placed.record.start))
            words = f"{seen.move.number} {seen.move.label}"
            found.append(KeyPicture(f"Phrase {phrase.number}", record_label(sequence, seen.record_frame), words, still))
            continue
        card = next((one.shot.picture for one in placed if span.meet(one.record) and isinstance(one.shot.picture, Card)), None)
        words = card.text if isinstance(card, Card) else ""
        found.append(KeyPicture(f"Phrase {phrase.number}", record_label(sequence, span.start), words, None))
    return tuple(found)
