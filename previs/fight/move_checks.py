"""Checks of the moves in a cut: whether each is seen, once, in order, and long enough to be read."""

from __future__ import annotations

from collections.abc import Iterator

from previs.clock import Span, first_grid_frame
from previs.cut.placing import Placed, SeenHit, moves_held, plays_on
from previs.document.model import Card
from previs.fight.findings import Code, Finding, Severity
from previs.fight.view import View, frames, listed

HIT_READS_FRAMES = 4
"""How long after a hit its shot must stay, in frames of the sequence, for the hit to be read; common practice, no source."""

_Places = dict[int, list[tuple[int, int]]]
"""For each move, the record frames at which it lands or its card begins, each with the shot's number, in running order."""


def moves(view: View) -> Iterator[Finding]:
    """Every move on screen once and in order; a card holds the place of its moves."""
    places: _Places = {}
    for seen in _landings(view):
        places.setdefault(seen.move.number, []).append((seen.record_frame, seen.placed.number))
    held = moves_held(view.sequence, view.placed)
    for one in view.placed:
        if isinstance(one.shot.picture, Card):
            for number in held[one.number]:
                places.setdefault(number, []).append((one.record.start, one.number))
                sentence = f"Move {number} is held by a card in shot {one.number}."
                mend = "Shoot it, and put the take in the card's place."
                yield Finding(Code.MOVE_NEVER_SEEN, Severity.NOTE, sentence, mend, one.number, one.record.start)
    for found in places.values():
        found.sort()
    for move in view.sequence.moves:
        if move.number not in places and not move.optional:
            yield _never_seen(view, move.number)
        for frame, shot in places.get(move.number, [])[1:]:
            yield _seen_again(move.number, places[move.number][0][1], shot, frame)
    yield from _order(view, {move: found[0] for move, found in places.items()})


def _landings(view: View) -> Iterator[SeenHit]:
    """The hits seen, each once where a split or a still shows its frame twice without a cut."""
    runs, before = view.run_of(), set()
    for seen in view.hits:
        once = runs[seen.placed.number], seen.hit
        if once not in before:
            yield seen
        before.add(once)


def _seen_again(move: int, first: int, again: int, frame: int) -> Finding:
    if first == again:
        sentence, mend = f"Move {move} is seen twice in shot {again}.", f"Trim shot {again}"
    else:
        sentence, mend = f"Move {move} is seen again in shot {again}; it was seen in shot {first}.", f"Trim shot {again} or {first}"
    return Finding(Code.MOVE_SEEN_TWICE, Severity.WARNING, sentence, f"{mend}, unless the hit is meant to be seen twice.", again, frame)


def _never_seen(view: View, move: int) -> Finding:
    takes = [take.name for take in view.sequence.takes if any(hit.move == move for hit in take.hits)]
    if takes:
        mend = f"Put in a shot of it: {listed(takes, most=4)} can show it."
    else:
        mend = "No take shows it: shoot it, hold its place with a card, or make it optional."
    return Finding(Code.MOVE_NEVER_SEEN, Severity.ERROR, f"Move {move} is never seen.", mend)


def _order(view: View, first: dict[int, tuple[int, int]]) -> Iterator[Finding]:
    """The shots that stand in the wrong place, and moves that come too late within those that do not."""
    moves_of: dict[int, list[int]] = {}
    for move, (_, shot) in sorted(first.items()):
        moves_of.setdefault(shot, []).append(move)
    shots = sorted(moves_of)
    kept = _most_in_order([(moves_of[shot][0], moves_of[shot][-1]) for shot in shots])
    stay = {shots[index] for index in kept}
    for shot in shots:
        if shot in stay:
            continue
        low, high = moves_of[shot][0], moves_of[shot][-1]
        following = next((other for other in sorted(stay) if moves_of[other][0] > high), None)
        named = f"move {low}" if low == high else f"moves {low} to {high}"
        sentence = f"Shot {shot}, with {named}, stands in the wrong place."
        mend = f"Move it to before shot {following}." if following else f"Move it to after shot {max(stay)}."
        # Between two shots that stay but share a stretch of moves there is no right place for it.
        if any(moves_of[other][0] < high and moves_of[other][-1] > low for other in stay):
            mend = "Trim it, or the shots whose moves it shows among its own."
        yield Finding(Code.ORDER_BROKEN, Severity.ERROR, sentence, mend, shot, view.placed[shot - 1].record.start)
    latest = 0
    for (frame, shot), move in sorted((place, move) for move, place in first.items() if place[1] in stay):
        if move < latest:
            sentence = f"Move {move} is seen after move {latest}."
            mend = f"Trim shot {shot}, or play it the other way round; other takes may have the moves in order."
            yield Finding(Code.ORDER_BROKEN, Severity.ERROR, sentence, mend, shot, frame)
        latest = max(latest, move)


def _most_in_order(spans: list[tuple[int, int]]) -> list[int]:
    """The largest choice of these spans in which each lies above the one before it, by index; the earliest of equal ones."""
    count, before = [1] * len(spans), [-1] * len(spans)
    for index, (low, _) in enumerate(spans):
        for earlier in range(index):
            if spans[earlier][1] < low and count[earlier] + 1 > count[index]:
                count[index], before[index] = count[earlier] + 1, earlier
    at = max(range(len(spans)), key=count.__getitem__, default=-1)
    chosen = []
    while at >= 0:
        chosen.append(at)
        at = before[at]
    return chosen[::-1]


def hits_cut_off(view: View) -> Iterator[Finding]:
    """Hits that land too near the end of their shot to be read, in the weak half of a transition, or just beside the shot."""
    for seen in view.hits:
        yield from _hard_to_read(view, seen)
    whole = {seen.move.number for seen in view.hits}
    for seen in view.faded:
        if seen.move.number not in whole and seen.placed.leaves_by:
            number, kind = seen.placed.number, seen.placed.leaves_by.kind
            sentence = f"Move {seen.move.number} lands in the second half of the {kind} out of shot {number}, where it hardly shows."
            mend = f"Shorten the {kind}, or give shot {number} a longer tail before it."
            yield Finding(Code.HIT_CUT_OFF, Severity.WARNING, sentence, mend, number, seen.record_frame)
    beside = whole | {seen.move.number for seen in view.faded}
    for one in view.placed:
        if one.source is not None and one.source.speed != 0:
            yield from _just_missed(view, one, beside)


def _hard_to_read(view: View, seen: SeenHit) -> Iterator[Finding]:
    one, move = seen.placed, seen.move.number
    left = one.carries.end_exclusive - seen.record_frame
    following = view.placed[one.number] if one.number < len(view.placed) else None
    if left < HIT_READS_FRAMES and not (following and plays_on(one, following)):
        sentence = f"Move {move} lands {frames(left)} before the end of shot {one.number}."
        mend = f"Give the tail of shot {one.number} {frames(HIT_READS_FRAMES - left)} more."
        yield Finding(Code.HIT_CUT_OFF, Severity.WARNING, sentence, mend, one.number, seen.record_frame)
    before = view.placed[one.number - 2] if one.number > 1 else None
    transition = one.shot.transition
    if transition is not None and seen.record_frame < one.comes_in and not (before and plays_on(before, one)):
        inside = seen.record_frame - one.record.start
        sentence = f"Move {move} lands {frames(inside)} into the {transition.kind} into shot {one.number}, before half of it shows."
        mend = f"Shorten the {transition.kind} to {frames(2 * inside)}" if inside else f"Take the {transition.kind} away"
        mend += f", or begin shot {one.number} earlier."
        yield Finding(Code.HIT_CUT_OFF, Severity.WARNING, sentence, mend, one.number, seen.record_frame)


def _just_missed(view: View, one: Placed, seen: set[int]) -> Iterator[Finding]:
    """Hits that the shot would show with a few frames of tape more."""
    source = one.source
    assert source is not None
    # A fade out has gone by the end of its transition, but its tape has been played.
    shown: Span = source.seen
    for hit in source.take.hits:
        landing = first_grid_frame(hit.at, view.fps)
        before, after = shown.start - landing, landing - shown.end_exclusive + 1
        missed = max(before, after)
        if hit.move not in seen and 0 < missed <= HIT_READS_FRAMES * abs(source.speed):
            early = (before > 0) == (source.speed > 0)
            what = f"begins {frames(missed)} of tape after" if early else f"ends {frames(missed)} of tape before"
            sentence = f"Shot {one.number} {what} move {hit.move} lands."
            mend = f"Give shot {one.number} the missing frames at its {'head' if early else 'tail'}."
            frame = one.record.start if early else one.on_screen.end_exclusive - 1
            yield Finding(Code.HIT_CUT_OFF, Severity.WARNING, sentence, mend, one.number, frame)
