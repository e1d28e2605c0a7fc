"""Edits of the written fight, each a function from a sequence to a sequence: moves, phrases, breaths; pure, no files.

Takes, hits and cards follow (`following.py`). Numbers change as little as an edit allows, since they stand on papers that are
out already: a new move takes the number after the one before it, and those behind it make way until there is a gap; where a
move is taken out, a gap stays.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping

from msgspec.structs import replace

from previs.clock import parse_length
from previs.document.fight_words import tidy_move
from previs.document.following import Rewrite, rewritten
from previs.document.model import Move, Phrase, Sequence
from previs.faults import UseFault

MOST = 999_999_999
"""The largest number of a move or a phrase."""
_NUMBER = re.compile(r"\d{1,9}", re.ASCII)


def change_move(sequence: Sequence, number: int, changed: Move) -> Sequence:
    """The sequence with other words for a move, which keeps its number (see `renumber_move`) and its hits.

    Blanks around the words fall away, and a role is spelled as it is elsewhere in the fight. Raises `UseFault` for a blank
    where there must be a word, and for a name that no role can have.
    """
    move = tidy_move(sequence, replace(changed, number=number), _move(sequence, number))
    return _with_moves(sequence, lambda one: move if one.number == number else one)


def change_cell(sequence: Sequence, number: int, column: str, text: str) -> Sequence:
    """The sequence with what a person typed in one cell of a move; `column` is a field of `Move`, or phrase, move or breath.

    A breath is a length as `parse_length` reads it, with a decimal comma too, blank for none; `optional` is yes or blank.
    Raises `UseFault` for what cannot stand there.
    """
    move = _move(sequence, number)
    if column == "phrase":
        return set_phrase(sequence, number, _whole(text, number, column))
    if column == "move":
        return renumber_move(sequence, number, _whole(text, number, column))
    if column == "breath":
        frames = parse_length(text.replace(",", "."), sequence.timebase) if text.strip() else 0
        return set_breath(sequence, sequence.phrase_of(number).number, frames)
    if column == "optional":
        return change_move(sequence, number, replace(move, optional=bool(text)))
    return change_move(sequence, number, replace(move, **{column: text}))


def _whole(text: str, number: int, column: str) -> int:
    if not _NUMBER.fullmatch(text.strip()):
        raise UseFault(f"Move {number}, {column}: '{text.strip()}' is not a whole number from 0 to {MOST}.")
    return int(text)


def insert_move(sequence: Sequence, after: int | None, move: Move) -> Sequence:
    """The sequence with a new move behind the move `after`, in its phrase, or before all others; its number is given here.

    Without `after` in a fight that has no phrase yet, it begins one. Raises as `change_move`.
    """
    first = sequence.moves[0].number if sequence.moves else 2
    # A fight may begin with move 0; then the others make way.
    number = (first - 1 if first > 1 else first) if after is None else _move(sequence, after).number + 1
    new = tidy_move(sequence, replace(move, number=number), None)
    shifted = _make_way([one.number for one in sequence.moves], number)
    phrases: list[Phrase] = []
    for phrase in sequence.phrases or (Phrase(1, ()),):
        moves = [replace(one, number=shifted[one.number]) for one in phrase.moves]
        at = next((place for place, one in enumerate(phrase.moves, start=1) if one.number == after), None)
        if at is not None or (after is None and not phrases):
            moves.insert(at or 0, new)
        phrases.append(replace(phrase, moves=tuple(moves)))
    return rewritten(sequence, Rewrite(tuple(phrases), {now: old for old, now in shifted.items()}))


def move_like(sequence: Sequence, number: int, label: str) -> Move:
    """A move to begin with behind another one: its roles, weapon and place, and the upper hand as it is then."""
    one = _move(sequence, number)
    return Move(0, label, one.attacker, one.defender, one.upper_hand, weapon=one.weapon, place=one.place)


def remove_moves(sequence: Sequence, numbers: Collection[int]) -> Sequence:
    """The sequence without these moves and their hits; a phrase that is left without a move is gone, with its breath.

    Raises `UseFault` where a take plays nothing else, or a mark names a role that nothing else does.
    """
    for number in numbers:
        _move(sequence, number)
    kept = [(phrase, tuple(move for move in phrase.moves if move.number not in numbers)) for phrase in sequence.phrases]
    fight = tuple(replace(phrase, moves=moves) for phrase, moves in kept if moves or not phrase.moves)
    return rewritten(sequence, Rewrite(fight, {move.number: move.number for move in sequence.moves if move.number not in numbers}))


def hits_of(sequence: Sequence, numbers: Collection[int]) -> int:
    """How many hits of these moves are logged, on all takes."""
    return sum(hit.move in numbers for take in sequence.takes for hit in take.hits)


def move_earlier(sequence: Sequence, number: int) -> Sequence:
    """The sequence with a move one place earlier: before its neighbour, whose number it takes, or across the breath before it.

    Raises `UseFault` for the first move of the fight.
    """
    at = _index(sequence, number)
    if at == 0:
        raise UseFault(f"Move {number} is the first of the fight already.")
    before = sequence.moves[at - 1].number
    if sequence.phrase_of(before) == sequence.phrase_of(number):
        return _swapped(sequence, before, number, number)
    return _across(sequence, number, sequence.phrase_of(before).number)


def move_later(sequence: Sequence, number: int) -> Sequence:
    """The sequence with a move one place later; see `move_earlier`."""
    at = _index(sequence, number)
    if at == len(sequence.moves) - 1:
        raise UseFault(f"Move {number} is the last of the fight already.")
    after = sequence.moves[at + 1].number
    if sequence.phrase_of(after) == sequence.phrase_of(number):
        return _swapped(sequence, number, after, number)
    return _across(sequence, number, sequence.phrase_of(after).number)


def split_phrase(sequence: Sequence, number: int) -> Sequence:
    """The sequence with a new phrase that begins at this move; the breath stays behind the second part, the first has none yet.

    Raises `UseFault` for a move that begins its phrase.
    """
    phrase = sequence.phrase_of(number)
    at = [move.number for move in phrase.moves].index(number)
    if at == 0:
        raise UseFault(f"Move {number} begins phrase {phrase.number} already.")
    return _split(sequence, phrase, at, phrase.number + 1)


def join_phrase(sequence: Sequence, number: int) -> Sequence:
    """The sequence with the phrase of this move joined to the one before it, under that one's number; the breath between is gone.

    Raises `UseFault` for the first phrase.
    """
    phrase = sequence.phrase_of(number)
    at = sequence.phrases.index(phrase)
    if at == 0:
        raise UseFault(f"Phrase {phrase.number} is the first; there is none before it to join it to.")
    before = sequence.phrases[at - 1]
    joined = Phrase(before.number, (*before.moves, *phrase.moves), phrase.breath_frames)
    return _rewritten(sequence, (*sequence.phrases[: at - 1], joined, *sequence.phrases[at + 1 :]))


def set_phrase(sequence: Sequence, number: int, phrase: int) -> Sequence:
    """The sequence with a move in the phrase of that number.

    The next phrase's number takes it and what follows it in its phrase there, the previous phrase's it and what comes before it.
    A free number between the two begins a phrase of that number at it. Raises `UseFault` for any other.
    """
    own = sequence.phrase_of(number)
    if phrase == own.number:
        return sequence
    at, place = sequence.phrases.index(own), [move.number for move in own.moves].index(number)
    before = sequence.phrases[at - 1] if at else None
    after = sequence.phrases[at + 1] if at + 1 < len(sequence.phrases) else None
    if after and phrase == after.number:
        moved = replace(after, moves=(*own.moves[place:], *after.moves))
        left = (replace(own, moves=own.moves[:place]),) if place else ()
        return _rewritten(sequence, (*sequence.phrases[:at], *left, moved, *sequence.phrases[at + 2 :]))
    if before and phrase == before.number:
        if place + 1 == len(own.moves):
            return join_phrase(sequence, number)
        moved = replace(before, moves=(*before.moves, *own.moves[: place + 1]))
        left = (replace(own, moves=own.moves[place + 1 :]),)
        return _rewritten(sequence, (*sequence.phrases[: at - 1], moved, *left, *sequence.phrases[at + 1 :]))
    least = own.number + 1 if place else (before.number + 1 if before else 0)
    most = after.number - 1 if after else MOST
    if not least <= phrase <= most:
        raise UseFault(f"Move {number} cannot be in phrase {phrase}; phrases must rise down the fight.")
    if place:
        return _split(sequence, own, place, phrase)
    fight = tuple(replace(one, number=phrase) if one is own else one for one in sequence.phrases)
    return _rewritten(sequence, fight, {phrase: own.number})


def set_breath(sequence: Sequence, phrase: int, frames: int) -> Sequence:
    """The sequence with a breath of so many frames after a phrase; raises `UseFault` for no such phrase and for less than none."""
    if phrase not in {one.number for one in sequence.phrases}:
        raise UseFault(f"There is no phrase {phrase} in the fight.")
    if frames < 0:
        raise UseFault(f"A breath cannot last {frames} frames; give 0 or more.")
    fight = tuple(replace(one, breath_frames=frames) if one.number == phrase else one for one in sequence.phrases)
    return replace(sequence, phrases=fight)


def renumber_move(sequence: Sequence, number: int, new: int) -> Sequence:
    """The sequence with another number for a move, its hits with it; raises `UseFault` where moves would not rise any more."""
    at = _index(sequence, number)
    least = sequence.moves[at - 1].number + 1 if at else 0
    most = sequence.moves[at + 1].number - 1 if at + 1 < len(sequence.moves) else MOST
    if not least <= new <= most:
        there = f"only {least}" if least == most else f"from {least} to {most}" if least < most else "no other"
        raise UseFault(f"Move {number} cannot be move {new}: moves must rise down the fight, and here {there} is free.")
    return _renumbered(sequence, {move.number: new if move.number == number else move.number for move in sequence.moves}, {})


def number_anew(sequence: Sequence) -> Sequence:
    """The sequence with moves and phrases counted from 1 without gaps, hits and takes with them."""
    moves = {move.number: place for place, move in enumerate(sequence.moves, start=1)}
    return _renumbered(sequence, moves, {phrase.number: place for place, phrase in enumerate(sequence.phrases, start=1)})


def _move(sequence: Sequence, number: int) -> Move:
    return sequence.moves[_index(sequence, number)]


def _index(sequence: Sequence, number: int) -> int:
    for at, move in enumerate(sequence.moves):
        if move.number == number:
            return at
    raise UseFault(f"There is no move {number} in the fight.")


def _make_way(numbers: list[int], new: int) -> dict[int, int]:
    """The numbers with those from `new` on made larger by one, up to the first gap."""
    shifted, wanted = {}, new
    for number in numbers:
        shifted[number] = number + 1 if number == wanted else number
        wanted += number == wanted
    return shifted


def _with_moves(sequence: Sequence, change: Callable[[Move], Move]) -> Sequence:
    """The sequence with every move changed so, under the number it has."""
    return _rewritten(sequence, tuple(replace(one, moves=tuple(map(change, one.moves))) for one in sequence.phrases))


def _rewritten(sequence: Sequence, fight: tuple[Phrase, ...], phrases: Mapping[int, int] | None = None) -> Sequence:
    """The sequence with this fight, in which every move has the number it had."""
    return rewritten(sequence, Rewrite(fight, {move.number: move.number for move in sequence.moves}, phrases or {}))


def _renumbered(sequence: Sequence, moves: Mapping[int, int], phrases: Mapping[int, int]) -> Sequence:
    """The sequence with these numbers, from old to new, in the place of the ones it has."""
    fight = tuple(
        replace(
            phrase,
            number=phrases.get(phrase.number, phrase.number),
            moves=tuple(replace(move, number=moves[move.number]) for move in phrase.moves),
        )
        for phrase in sequence.phrases
    )
    return rewritten(sequence, Rewrite(fight, {new: old for old, new in moves.items()}, {new: old for old, new in phrases.items()}))


def _swapped(sequence: Sequence, one: int, other: int, placed: int) -> Sequence:
    """The sequence with two neighbours of a phrase in each other's place and number; `placed` is the one that was meant."""
    there = {move.number: move for move in sequence.moves}
    now = {one: replace(there[other], number=one), other: replace(there[one], number=other)}
    fight = tuple(replace(phrase, moves=tuple(now.get(move.number, move) for move in phrase.moves)) for phrase in sequence.phrases)
    old = {move.number: move.number for move in sequence.moves} | {one: other, other: one}
    return rewritten(sequence, Rewrite(fight, old, placed=frozenset({other if placed == one else one})))


def _across(sequence: Sequence, number: int, phrase: int) -> Sequence:
    """The sequence with a move across the breath, in a neighbouring phrase; one that it was alone in is gone.

    Where the move goes back over the breath alone, the breath that came after it comes after it still.
    """
    own, move = sequence.phrase_of(number), _move(sequence, number)
    if len(own.moves) == 1 and phrase < own.number:
        return join_phrase(sequence, number)
    fight = []
    for one in sequence.phrases:
        if one.number == phrase:
            fight.append(replace(one, moves=(*one.moves, move) if phrase < own.number else (move, *one.moves)))
        elif one is not own or len(own.moves) > 1:
            fight.append(replace(one, moves=tuple(each for each in one.moves if each.number != number)))
    return _rewritten(sequence, tuple(fight))


def _split(sequence: Sequence, phrase: Phrase, at: int, number: int) -> Sequence:
    """The sequence with a phrase split before its move at place `at`; the second part has this number."""
    shifted = _make_way([one.number for one in sequence.phrases if one.number > phrase.number], number)
    fight: list[Phrase] = []
    for one in sequence.phrases:
        if one is phrase:
            fight += [Phrase(one.number, one.moves[:at]), Phrase(number, one.moves[at:], one.breath_frames)]
        else:
            fight.append(replace(one, number=shifted.get(one.number, one.number)))
    return _rewritten(sequence, tuple(fight), {now: old for old, now in shifted.items()} | {number: phrase.number})
