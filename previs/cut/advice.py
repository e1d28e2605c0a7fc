"""What a person should know about an assembled cut, in sentences: what is missing, and what would make it meet its target."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from msgspec.structs import replace as changed

from previs.cut.placing import moves_held, place
from previs.cut.planning import Locked, Plan, plan_of
from previs.cut.solving import Lengths, lengths
from previs.document.model import Cut, Sequence
from previs.document.settings import share_text

_MOST_RETIMING_TRIED = 25
"""In percent: beyond it a fight looks played at the wrong speed; common practice, no source."""


def remarks(plan: Plan, cut: Cut, possible: Lengths, loose: list[Locked], around: Cut | None) -> Iterator[str]:
    """Moves without a take, moves left out, and whether the target is met; `loose` are locked shots that hold no move."""
    sequence = plan.sequence
    yield from _without_takes(plan)
    held = {move for moves in moves_held(sequence, place(sequence, cut)).values() for move in moves}
    lifted = [move for move in sequence.moves if move.number not in held]
    if lifted:
        yield "Left out, being optional: " + ", ".join(f"{move.number} ({move.label})" for move in lifted) + "."
    over = cut.frames - cut.target_frames
    if not over:
        yield "The cut lasts its target to the frame."
    elif any(take.hits for take in sequence.takes):
        yield from _missed(plan, cut, possible, loose, around)


def _without_takes(plan: Plan) -> Iterator[str]:
    cards = [choice.moves[0] for choice in plan.choices if choice.take is None]
    if not plan.sequence.takes:
        yield "No takes yet, so cards hold the places of all moves: log takes and their hits, or read them from tables."
    elif not any(take.hits for take in plan.sequence.takes):
        yield "The takes have no hits yet, so cards hold the places of all moves: log them, or read them from a table."
    elif len(cards) == 1:
        yield f"Move {cards[0].number} ({cards[0].label}) has no usable take, so a card holds its place."
    elif cards:
        yield f"{len(cards)} moves have no usable take, so cards hold their places: {_runs(move.number for move in cards)}."


def _missed(plan: Plan, cut: Cut, possible: Lengths, loose: list[Locked], around: Cut | None) -> Iterator[str]:
    label = plan.sequence.timebase.duration
    over, target = cut.frames - cut.target_frames, cut.target_frames
    fixed = sum(one.shot.frames for one in loose)
    misses = f"{abs(over)} frame{'' if abs(over) == 1 else 's'} {'longer' if over > 0 else 'shorter'}"
    locks = [*plan.locked, *loose]
    condition = " around the locked shots" if locks else ""
    yield f"No cut lasts {label(target)}{condition}; this one is {misses}, the nearest there is."
    yield f"The shortest possible is {label(possible.shortest + fixed)}, the longest {label(possible.longest + fixed)}."
    if locks and around is not None and _reaches(plan.sequence, [], target):
        numbers = [one.number for one in sorted(locks, key=lambda one: one.number)]
        named = f"shot {numbers[0]} is" if len(numbers) == 1 else f"shots {_runs(numbers)} are"
        yield (
            f"The locks are the cause: {named} locked in cut {around.name}, and without locks the fight would last its target; "
            f"unlock {'it' if len(numbers) == 1 else 'one of them'} and assemble again."
        )
    yield _least_change(plan, target - fixed, over)


def _least_change(plan: Plan, target: int, over: int) -> str:
    """The smallest loosening of one limit that would let the moves last `target` frames, around the locked shots."""
    sequence = plan.sequence
    percent = _least_retiming(sequence, plan.locked, target)
    if percent is not None:
        now = share_text(sequence.settings.most_retiming)
        return f"Retiming up to {percent}% (now {now}) would make it fit: allow that much, and assemble again."
    if over > 0 and _reaches(changed(sequence, settings=changed(sequence.settings, least_breath=Fraction(0))), plan.locked, target):
        return "Giving up the breaths altogether would make it fit: let 0% of a breath stay, and assemble again."
    direction = "shorter or fewer moves" if over > 0 else "longer breaths, more moves"
    return f"No retiming up to {_MOST_RETIMING_TRIED}% makes it fit: it needs {direction}, or another target."


def _least_retiming(sequence: Sequence, locked: list[Locked], target: int) -> int | None:
    """The least whole percent of retiming that reaches the target, or None when the most that is tried does not."""

    def reaches(percent: int) -> bool:
        looser = changed(sequence, settings=changed(sequence.settings, most_retiming=Fraction(percent, 100)))
        return _reaches(looser, locked, target)

    fails, fits = (sequence.settings.most_retiming * 100).__floor__(), _MOST_RETIMING_TRIED
    if fails >= fits or not reaches(fits):
        return None
    # A looser limit keeps every length that a tighter one allows, so halving finds the least.
    while fits - fails > 1:
        middle = (fails + fits) // 2
        if reaches(middle):
            fits = middle
        else:
            fails = middle
    return fits


def _reaches(sequence: Sequence, locked: list[Locked], target: int) -> bool:
    if target < 1:
        return False
    possible = lengths(plan_of(sequence, locked).problem, target)
    return possible is not None and possible.below == target


def _runs(numbers: Iterable[int]) -> str:
    """Rising numbers as runs: `1-12, 14`."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)
