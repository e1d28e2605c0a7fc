"""A cut as the values of its review page: shots, hits, treatments, upper hand, pace in words, earlier notes; pure, no files.

Everything is derived by the rooms below: `cut.placing`, `cut.pace`, `cut.changes`, `fight.balance`, `exchange.chart_data`.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from fractions import Fraction

import msgspec

from previs.clock import Span
from previs.cut.changes import changes, same_shots
from previs.cut.pace import pace
from previs.cut.placing import Placed, SeenHit, hits_seen, moves_held, place, treatments_seen
from previs.document.model import LEVEL, Card, Cut, Footage, Sequence, Size
from previs.document.notes import NoteKind
from previs.exchange.chart_data import Lines, lines_of, phrase_names, stretches
from previs.exchange.lists import against_target, moves_text
from previs.fight.balance import Spell as HeldSpell
from previs.fight.balance import balance
from previs.review import notes_file
from previs.review import page_values as page
from previs.review.earlier import earlier_notes
from previs.review.told import told


@dataclass(frozen=True, slots=True)
class Asked:
    """What a page is to be: the version to compare with, the day in words, whether it bears the line, the movies' names."""

    beside: Cut | None = None
    made: str = ""
    confidential: bool = True
    movie: str = "movie.mp4"
    movie_beside: str = "earlier.mp4"


def page_data(sequence: Sequence, cut: Cut, asked: Asked) -> page.PageData:
    """The values of the review page of a cut. Raises `UseFault` when the cut shows nothing."""
    figures, hands = pace(sequence, cut), balance(sequence, cut)
    seen = _Seen(sequence, cut)
    return page.PageData(
        page=page_ident(sequence, cut),
        title=sequence.title,
        cut=cut.name,
        made=asked.made,
        confidential=asked.confidential,
        clock=_clock(sequence),
        movie=_movie(sequence, asked.movie),
        frames=cut.frames,
        target_frames=cut.target_frames,
        against_target=against_target(sequence, cut),
        roles=sequence.roles,
        sizes=tuple(size.value for size in seen.lines.sizes),
        shots=seen.shots(asked.beside),
        hits=seen.hits(),
        treatments=seen.treatments(),
        spells=tuple(page.Spell(spell.record.start, spell.record.length, spell.holder) for spell in hands.spells),
        phrases=seen.phrases(hands.spells),
        told=told(sequence, cut, seen.placed, figures, hands),
        earlier=earlier_notes(sequence, cut),
        kinds=tuple(kind.value for kind in NoteKind),
        limits=page.Limits(
            notes_file.LARGEST_BYTES, notes_file.MOST_NOTES, notes_file.MOST_DRAWINGS, notes_file.LONGEST_TEXT, notes_file.LONGEST_NAME
        ),
        beside=_beside(sequence, cut, asked),
    )


def page_ident(sequence: Sequence, cut: Cut) -> str:
    """Sixteen hexadecimal digits for a title and what a cut shows, by which a browser finds the notes again that it keeps."""
    shown = (sequence.title, cut.name, [(one.ident, one.frames, one.picture, one.transition) for one in cut.shots])
    return hashlib.sha256(msgspec.json.encode(shown, enc_hook=str)).hexdigest()[:16]


def _clock(sequence: Sequence) -> page.Clock:
    rate = sequence.timebase.rate
    start = sequence.timebase.wrap(sequence.start_frame)
    return page.Clock(rate.name, rate.fps.numerator, rate.fps.denominator, rate.nominal, sequence.drop, start)


def _movie(sequence: Sequence, file: str) -> page.Movie:
    return page.Movie(file, sequence.settings.raster_width, sequence.settings.raster_height)


def _beside(sequence: Sequence, cut: Cut, asked: Asked) -> page.Beside | None:
    other = asked.beside
    if other is None:
        return None
    steps = tuple(
        page.Line(step.sentence, min(step.at_frame, cut.frames - 1), min(1, cut.frames)) for step in changes(sequence, other, cut)
    )
    spans = tuple((one.record.start, one.record.length) for one in place(sequence, other))
    return page.Beside(other.name, _movie(sequence, asked.movie_beside), other.frames, spans, steps)


class _Seen:
    """A cut with everything that is seen in it, placed once."""

    def __init__(self, sequence: Sequence, cut: Cut) -> None:
        self._sequence, self._cut = sequence, cut
        self.placed = place(sequence, cut)
        self._hits = hits_seen(sequence, self.placed)
        self._treated = treatments_seen(sequence, self.placed)
        fps = sequence.timebase.rate.fps
        self._sizes = {one.number: [(span, framing.size) for span, framing in one.framings(fps)] for one in self.placed}
        self.lines: Lines = lines_of(size for runs in self._sizes.values() for _, size in runs)

    def hits(self) -> tuple[page.Hit, ...]:
        return tuple(
            page.Hit(
                seen.record_frame,
                seen.placed.number,
                seen.move.number,
                seen.move.label,
                self._sequence.phrase_of(seen.move.number).number,
                self._level(seen),
            )
            for seen in self._hits
        )

    def _level(self, seen: SeenHit) -> int:
        runs = self._sizes[seen.placed.number]
        return self.lines.level(next((size for span, size in runs if span.holds(seen.record_frame)), runs[-1][1]))

    def treatments(self) -> tuple[page.Treated, ...]:
        whole = Span(0, self._cut.frames)
        return tuple(
            page.Treated(
                both.start, both.length, self.lines.level(size), seen.treatment.kind.value, seen.treatment.role, seen.placed.number
            )
            for seen in self._treated
            for span, size in self._sizes[seen.placed.number]
            if (both := span.meet(seen.record)) and (both := both.meet(whole))
        )

    def phrases(self, spells: tuple[HeldSpell, ...]) -> tuple[page.Stretch, ...]:
        """The phrases as they are seen; one that is broken off and taken up again stands twice."""
        found = []
        for span, name in stretches(self._hits, phrase_names(self._sequence), self._cut.frames):
            moves = tuple(
                dict.fromkeys(
                    seen.move.number
                    for seen in self._hits
                    if span.holds(seen.record_frame) and str(self._sequence.phrase_of(seen.move.number).number) == name
                )
            )
            labels = " / ".join(move.label for move in self._sequence.moves if move.number in moves)
            hands = " > ".join(
                "level" if spell.holder == LEVEL else spell.holder for spell in spells if (met := spell.record.meet(span)) and met.length
            )
            found.append(page.Stretch(span.start, span.length, name, moves_text(moves), labels, hands))
        return tuple(found)

    def shots(self, beside: Cut | None) -> tuple[page.Shot, ...]:
        held = moves_held(self._sequence, self.placed)
        same: dict[int, int] = {}
        kinds: dict[int, list[str]] = {}
        if beside is not None:
            same = same_shots(self._sequence, beside, self._cut)
            for step in changes(self._sequence, beside, self._cut):
                if step.after:
                    kinds.setdefault(step.after.number, []).append(step.kind.value)
        return tuple(
            self._shot(one, held[one.number], same.get(one.number), tuple(dict.fromkeys(kinds.get(one.number, ())))) for one in self.placed
        )

    def _shot(self, one: Placed, moves: tuple[int, ...], earlier: int | None, done: tuple[str, ...]) -> page.Shot:
        picture, source = one.shot.picture, one.source
        speed = picture.speed if isinstance(picture, Footage) else Fraction(1)
        phrases = tuple(dict.fromkeys(self._sequence.phrase_of(move).number for move in moves))
        kinds = dict.fromkeys(f"{seen.treatment.kind}: {seen.treatment.role}" for seen in self._treated if seen.placed.number == one.number)
        runs = tuple(
            page.Run(own.start, own.length, self.lines.level(size))
            for span, size in self._sizes[one.number]
            if (own := span.meet(one.record))
        )
        return page.Shot(
            number=one.number,
            ident=one.shot.ident,
            code=one.shot.code,
            kind="tape" if source else "card" if isinstance(picture, Card) else "black",
            first=one.record.start,
            frames=one.record.length,
            size=" > ".join(dict.fromkeys(size.value for size in self._own_sizes(one))),
            take=source.take.name if source else "",
            reel=source.tape.reel if source else "",
            tape_first=source.first_frame if source else 0,
            speed_numerator=str(speed.numerator),
            speed_denominator=str(speed.denominator),
            moves=moves_text(moves),
            phrase=moves_text(phrases),
            words=picture.text if isinstance(picture, Card) else "",
            treatments="; ".join(kinds),
            transition_frames=one.shot.transition.frames if one.shot.transition else 0,
            runs=runs,
            earlier=earlier,
            changes=done,
        )

    def _own_sizes(self, one: Placed) -> list[Size]:
        return [size for span, size in self._sizes[one.number] if span.meet(one.record)]
