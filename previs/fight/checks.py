"""What is wrong with a cut, or will be once it leaves the room, as coded findings; it mends nothing and calls nothing safe."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import groupby, pairwise

from previs.clock import Span, grid_span
from previs.cut import prices
from previs.cut.placing import Placed, Source, plays_on
from previs.document.invariants import usable_grid_frames
from previs.document.model import Black, Cut, Sequence, Tape
from previs.fight import move_checks, performer_checks
from previs.fight.findings import Code, Finding, Severity
from previs.fight.view import View, frames, listed, view_of


def checks(sequence: Sequence, cut: Cut) -> tuple[Finding, ...]:
    """Everything found in the cut, in running order and the heaviest first where two stand at one place.

    What concerns the whole cut comes first. A cut with a shot that lasts no frames gets that finding alone, since
    nothing else in it has a place. Raises `UseFault` when a shot's take or tape is not in the sequence.
    """
    found = list(_empty_shots(cut))
    if not found:
        view = view_of(sequence, cut)
        found = [finding for check in _CHECKS for finding in check(view)]
    weights = list(Severity)
    return tuple(
        sorted(found, key=lambda one: (-1 if one.record_frame is None else one.record_frame, weights.index(one.severity), one.code))
    )


def _empty_shots(cut: Cut) -> Iterator[Finding]:
    for number, shot in enumerate(cut.shots, start=1):
        if shot.frames < 1:
            sentence = f"Shot {number} lasts {shot.frames} frames."
            yield Finding(Code.NOTHING_ON_SCREEN, Severity.ERROR, sentence, "Remove it, or give it a length.", number)


def _length(view: View) -> Iterator[Finding]:
    over = view.cut.frames - view.cut.target_frames
    if over > 0:
        sentence = f"The cut is {frames(over)} longer than its target."
        yield Finding(Code.LENGTH_OFF_TARGET, Severity.ERROR, sentence, "Trim it, or assemble it again to the target.")
    elif over < 0:
        sentence = f"The cut is {frames(-over)} shorter than its target."
        yield Finding(Code.LENGTH_OFF_TARGET, Severity.NOTE, sentence, "There is room to let it breathe.")


def _reels(view: View) -> Iterator[Finding]:
    # Our own list keeps them apart by a number (exchange/reels.py); what other programs make of the signs is not known, and
    # dropping them is what we look at. Common practice, no source.
    def bare(tape: Tape) -> str:
        return "".join(sign for sign in tape.reel.upper() if sign.isalnum() or sign == "_")[:8]

    for name, group in groupby(sorted(view.sequence.tapes, key=bare), key=bare):
        reels = [tape.reel for tape in group]
        if len(reels) > 1:
            sentence = f"Tapes {listed(reels)} fall together as {name or 'nothing'} in an edit list, which takes A-Z, 0-9 and _ alone."
            mend = "Send the edit list's reel table with it, or give one of them another reel name."
            yield Finding(Code.REELS_ALIKE, Severity.WARNING, sentence, mend)


def _lengths_of_shots(view: View) -> Iterator[Finding]:
    """What is on screen too briefly, counted as the pace is; shots between which the tape runs on are one."""
    least = view.sequence.settings.least_shot_frames
    for run in view.runs:
        first, lasts = run[0], run[-1].goes_out - run[0].comes_in
        if lasts < least and not isinstance(first.shot.picture, Black):
            halved = " between the middles of its transitions" if first.shot.transition or run[-1].leaves_by else ""
            sentence = f"Shot {first.number} lasts {frames(lasts)}{halved}; under {least} it cannot be read."
            mend = f"Lengthen it by {(least - lasts).__ceil__()}, or join what it shows to a neighbour."
            yield Finding(Code.SHOT_TOO_SHORT, Severity.WARNING, sentence, mend, first.number, first.record.start)


def _cut_points(view: View) -> Iterator[Finding]:
    """Jump cuts, and cuts across which the roles change sides: prices.py has the rules and their sources."""
    for one, other in pairwise(view.placed):
        if one.source is None or other.source is None or plays_on(one, other):
            continue
        leaving, coming = one.framing_at(one.record.end_exclusive - 1, view.fps), other.framing_at(other.record.start, view.fps)
        assert leaving is not None and coming is not None
        cut = f"The cut from shot {one.number} to shot {other.number}"
        here = other.number, other.record.start
        before, after = one.source.take, other.source.take
        same_camera = before == after or before.camera == after.camera != ""
        words, price = prices.jump_price(leaving, coming, same_camera)
        # A dissolve or a wipe says that time passes, so the picture may jump under it.
        if price and other.shot.transition is None:
            severity = Severity.WARNING if price >= prices.JUMP_CUT else Severity.NOTE
            mend = "Take another camera for one of them, or a size that is two steps away."
            yield Finding(Code.JUMP_CUT, severity, f"{cut} may jump: {words}.", mend, *here)
        if prices.line_price(leaving, coming)[1]:
            sentence = f"{cut} crosses the line: {leaving.screen_left} is on the left, then {coming.screen_left}."
            mend = "Take a camera from the same side, or put a shot along the line between them."
            yield Finding(Code.LINE_CROSSED, Severity.WARNING, sentence, mend, *here)


def _tape_room(view: View) -> Iterator[Finding]:
    """Shots that play beyond their tape, and tape that is missing under a transition or for handles."""
    wanted = view.sequence.settings.handle_frames
    for one in view.placed:
        if one.source is None:
            continue
        reel, number, last = one.source.tape.reel, one.number, one.record.end_exclusive - 1
        before, after = _room(view, one.source, one.shot.frames)
        for room, edge, frame in ((before, "head", one.record.start), (after, "tail", last)):
            if room < 0:
                side = "start" if (edge == "head") == (one.source.speed >= 0) else "end"
                sentence = f"Shot {number} plays {frames(-room)} beyond the {side} of tape {reel}."
                yield Finding(Code.OFF_TAPE, Severity.ERROR, sentence, f"Trim its {edge} by {-room}, or slip it.", number, frame)
        if one.leaves_by is not None and 0 <= after < one.under_frames:
            kind = one.leaves_by.kind
            sentence = (
                f"Shot {number} cannot play on under the {kind} of {frames(one.under_frames)} into shot {number + 1}: "
                f"tape {reel} has {after}."
            )
            mend = f"Shorten the {kind} to {after}, or trim the tail of shot {number}."
            yield Finding(Code.HANDLES_SHORT, Severity.ERROR, sentence, mend, number, last)
        # A transition plays what would have been the handle.
        beyond = f" and the {one.leaves_by.kind} out of it" if one.leaves_by else ""
        for room, edge, frame, past in ((before, "head", one.record.start, ""), (after - one.under_frames, "tail", last, beyond)):
            if 0 <= room < wanted:
                sentence = f"Shot {number}{past} has {frames(room)} of handle at its {edge} on tape {reel}; {wanted} are wanted."
                mend = "Slip or trim the shot, or say to visual effects and the editor that the tape ends there."
                yield Finding(Code.HANDLES_SHORT, Severity.WARNING, sentence, mend, number, frame)


def _room(view: View, source: Source, frames_played: int) -> tuple[int, int]:
    """For how many frames more the shot could play before its first and after its last, at its speed; negative beyond the tape."""
    there = usable_grid_frames(source.tape, view.fps)
    speed = abs(source.speed)
    # Seen along the direction of play, so that one formula serves forwards and backwards.
    at = source.first_frame if source.speed >= 0 else there - 1 - source.first_frame
    if speed == 0:
        unlimited = view.sequence.timebase.frames_per_day
        return (at if at < 0 else unlimited), (there - 1 - at if at >= there else unlimited)
    return (at / speed).__floor__(), ((there - at) / speed).__ceil__() - frames_played


def _past_takes(view: View) -> Iterator[Finding]:
    """Shots that run past the in or the out of their take, onto tape that may hold another take or none."""
    for one in view.placed:
        if one.source is None:
            continue
        take, there = grid_span(one.source.take.span, view.fps), Span(0, usable_grid_frames(one.source.tape, view.fps))
        seen = one.source.seen.meet(there)
        if seen is None:
            continue
        for words, start, end in (
            ("before the in", seen.start, min(take.start, seen.end_exclusive)),
            ("past the out", max(take.end_exclusive, seen.start), seen.end_exclusive),
        ):
            shown = one.showing(Span(start, end)) if start < end else None
            if shown:
                yield _past_take(view, one, words, Span(start, end), shown)


def _past_take(view: View, one: Placed, words: str, tape: Span, shown: Span) -> Finding:
    source = one.source
    assert source is not None
    takes = [take for take in view.sequence.takes if take.reel == source.tape.reel and take.name != source.take.name]
    onto = [take.name for take in takes if grid_span(take.span, view.fps).meet(tape)]
    into = f", into take{'s' if len(onto) > 1 else ''} {listed(onto, most=4)}" if onto else ""
    own = shown.meet(one.record)
    under = "" if own else f" under the {one.leaves_by.kind}" if one.leaves_by else ""
    sentence = f"Shot {one.number} plays {frames(shown.length)} {words} of take {source.take.name}{under}{into}."
    if own:
        edge = "head" if shown.start == one.record.start else "tail"
        mend = f"Trim its {edge} by {own.length}, or split it there and name the take that it shows."
    else:
        mend = "Shorten the transition, unless that stretch of tape may be seen."
    return Finding(Code.PAST_ITS_TAKE, Severity.WARNING if own else Severity.NOTE, sentence, mend, one.number, shown.start)


def _black(view: View) -> Iterator[Finding]:
    """Black that is no fade: nothing goes into it and nothing comes out of it."""
    for one in view.placed:
        if isinstance(one.shot.picture, Black) and one.shot.transition is None and one.leaves_by is None:
            sentence = f"Shot {one.number} is black for {frames(one.shot.frames)}, and nothing fades there."
            mend = "Put a shot or a card in its place, unless the black is meant."
            yield Finding(Code.NOTHING_ON_SCREEN, Severity.WARNING, sentence, mend, one.number, one.record.start)


_CHECKS: tuple[Callable[[View], Iterator[Finding]], ...] = (
    _length,
    _reels,
    move_checks.moves,
    move_checks.hits_cut_off,
    _lengths_of_shots,
    _cut_points,
    performer_checks.replaced_faces,
    performer_checks.doubles,
    _tape_room,
    _past_takes,
    _black,
    performer_checks.takeovers,
    performer_checks.doubled_elsewhere,
    performer_checks.unknown_performers,
    performer_checks.treatments_in_no_take,
)
