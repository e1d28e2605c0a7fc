"""What becomes of takes, hits and cards when the written fight is rewritten: they follow their moves; pure, no files."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from msgspec.structs import replace

from previs.document.model import LEVEL, Card, Cut, Move, Phrase, Sequence, Shot, Take
from previs.faults import UseFault


@dataclass(frozen=True, slots=True)
class Rewrite:
    """A new fight, and what of it was there before under which number.

    `moves` maps the number of a move to the one it had; a move that is not in it is new, and an old one that nothing maps to
    is gone. `phrases` says the same of phrases, where it is another number than now. `placed` are the moves (by their new
    numbers) that were taken out of one place of the fight and put into another.
    """

    fight: tuple[Phrase, ...]
    moves: Mapping[int, int]
    phrases: Mapping[int, int] = field(default_factory=dict)
    placed: frozenset[int] = frozenset()


def rewritten(sequence: Sequence, rewrite: Rewrite) -> Sequence:
    """The sequence with the new fight, its takes, hits and cards following their moves.

    A hit whose move is gone is gone too. A card stands for what is left of its moves, or for none. A take plays every phrase
    that its hits and the moves of its old phrases have come to be in. Raises `UseFault` where a take would be left without a
    phrase, and where a mark or an upper hand would name a role that is in no move any more.
    """
    follow = _Following(sequence, rewrite)
    after = replace(
        sequence,
        phrases=rewrite.fight,
        takes=tuple(follow.take(take) for take in sequence.takes),
        cuts=tuple(follow.cut(cut) for cut in sequence.cuts),
    )
    for sentence in _nameless(after):
        raise UseFault(sentence)
    return after


def card_text(moves: tuple[Move, ...]) -> str:
    """What stands on a card that an assembly puts in the place of moves."""
    return "; ".join(f"{move.number} {move.label}" for move in moves)


class _Following:
    """One rewriting of one sequence, with what is asked for again and again looked up once."""

    def __init__(self, sequence: Sequence, rewrite: Rewrite) -> None:
        self._now = {old: new for new, old in rewrite.moves.items()}
        self._placed = rewrite.placed
        self._before, self._after = sequence.moves, tuple(move for phrase in rewrite.fight for move in phrase.moves)
        self._at = {move.number: index for index, move in enumerate(self._after)}
        self._phrase_now = {move.number: phrase.number for phrase in rewrite.fight for move in phrase.moves}
        self._phrase_before = {move.number: phrase.number for phrase in sequence.phrases for move in phrase.moves}
        self._become: dict[int, set[int]] = {phrase.number: set() for phrase in sequence.phrases}
        for new, old in rewrite.moves.items():
            self._become[self._phrase_before[old]].add(self._phrase_now[new])
        for phrase in rewrite.fight:
            # A phrase without moves is found by its number alone.
            if not phrase.moves and rewrite.phrases.get(phrase.number, phrase.number) in self._become:
                self._become[rewrite.phrases.get(phrase.number, phrase.number)].add(phrase.number)

    def take(self, take: Take) -> Take:
        """The take with its hits and its phrases as they are called now."""
        hits = tuple(replace(hit, move=self._now[hit.move]) for hit in take.hits if hit.move in self._now)
        played = [number for number in self._become if take.first_phrase <= number <= take.last_phrase and self._become[number]]
        # A hit that lies outside the take's phrases says nothing of them now either.
        inside = [hit.move for hit in take.hits if hit.move in self._now and self._phrase_before[hit.move] in played]
        landed = {self._phrase_now[self._now[move]] for move in inside}
        if not played:
            raise UseFault(
                f"Take {take.name} plays what would be gone of the fight (phrase {take.first_phrase}); join that phrase to another "
                "before its last move is removed, or take the take out of the takes table first."
            )
        first = min({min(self._shown(take, played[0]))} | landed)
        last = max({max(self._shown(take, played[-1]))} | landed)
        if (first, last, hits) == (take.first_phrase, take.last_phrase, take.hits):
            return take
        return replace(take, first_phrase=first, last_phrase=last, hits=hits)

    def _shown(self, take: Take, phrase: int) -> set[int]:
        """What the take plays of an old phrase that may have been split: where it has hits of it, or all where it has none."""
        hits = {
            self._phrase_now[self._now[hit.move]] for hit in take.hits if hit.move in self._now and self._phrase_before[hit.move] == phrase
        }
        return hits or self._become[phrase]

    def cut(self, cut: Cut) -> Cut:
        """The cut with its cards as they are now."""
        shots = tuple(self._shot(shot) for shot in cut.shots)
        return cut if shots == cut.shots else replace(cut, shots=shots)

    def _shot(self, shot: Shot) -> Shot:
        card = shot.picture
        if not isinstance(card, Card) or card.first_move is None:
            return shot
        before = _held(self._before, card)
        held = sorted(self._at[self._now[move.number]] for move in before if move.number in self._now)
        if not held:
            return replace(shot, picture=replace(card, first_move=None, last_move=None))
        stay = [at for at in held if self._after[at].number not in self._placed] or held
        # What was carried off to another part of the fight does not stretch the card over all that lies between.
        held = [at for at in held if stay[0] - 1 <= at <= stay[-1] + 1]
        after = self._after[held[0] : held[-1] + 1]
        text = card_text(after) if card.text == card_text(before) else card.text
        last = None if card.last_move is None and len(after) == 1 else after[-1].number
        return replace(shot, picture=replace(card, text=text, first_move=after[0].number, last_move=last))


def _held(moves: tuple[Move, ...], card: Card) -> tuple[Move, ...]:
    first = card.first_move
    assert first is not None
    last = first if card.last_move is None else card.last_move
    return tuple(move for move in moves if first <= move.number <= last)


def _nameless(after: Sequence) -> Iterator[str]:
    """A sentence for each name of a role that no move and no casting knows any more."""
    roles = frozenset(after.roles)
    for move in after.moves:
        if move.upper_hand not in roles | {LEVEL}:
            yield (
                f"'{move.upper_hand}' would be in no move any more, but has the upper hand after move {move.number}; "
                "change that first, or write another name there."
            )
    known = roles | {one.role for one in after.cast}
    for where, role in _named(after):
        if role not in known:
            yield f"'{role}' would be in no move any more, but {where} names them; rename the role in the cast instead."


def _named(after: Sequence) -> Iterator[tuple[str, str]]:
    """Every mention of a role in a mark: what names it, and the role."""
    for take in after.takes:
        for casting in take.performers:
            yield f"take {take.name}", casting.role
        for framing in take.framings:
            if framing.screen_left:
                yield f"take {take.name}", framing.screen_left
            for face in framing.faces:
                yield f"take {take.name}", face.role
    for what, those in (("a treatment", after.treatments), ("a head", after.heads), ("a flight", after.flights)):
        for mark in those:
            yield f"{what} on tape {mark.reel}", mark.role
