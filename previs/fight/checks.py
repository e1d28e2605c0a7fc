"""What is wrong with a cut, or will be once it leaves the room, as coded findings; it mends nothing and calls nothing safe."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import groupby, pairwise

from previs.clock import Span, frame_played, grid_span, span_played
from previs.cut import prices
from previs.cut.placing import Placed, SeenHit, SeenTreatment, Source, hits_seen, moves_held, place, treatments_seen
from previs.document.invariants import usable_grid_frames
from previs.document.model import Black, Card, Casting, Cut, Framing, Kind, Sequence, Shows, Size, Tape
from previs.fight.doubling import Holds, replacement_holds
from previs.fight.findings import Code, Finding, Severity

HIT_READS_FRAMES = 4
"""How long after a hit its shot must stay, in frames of the sequence, for the hit to be read; common practice, no source."""


@dataclass(frozen=True, slots=True)
class _View:
    """A cut with everything derived from it that more than one check asks for."""

    sequence: Sequence
    cut: Cut
    placed: tuple[Placed, ...]
    hits: tuple[SeenHit, ...]
    treatments: tuple[SeenTreatment, ...]


def checks(sequence: Sequence, cut: Cut) -> tuple[Finding, ...]:
    """Everything found in the cut, in running order and the heaviest first where two stand at one place.

    What concerns the whole cut comes first. A cut with a shot that lasts no frames gets that finding alone, since
    nothing else in it has a place. Raises `UseFault` when a shot's take or tape is not in the sequence.
    """
    found = list(_empty_shots(cut))
    if not found:
        placed = place(sequence, cut)
        view = _View(sequence, cut, placed, hits_seen(sequence, placed), treatments_seen(sequence, placed))
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


def _length(view: _View) -> Iterator[Finding]:
    over = view.cut.frames - view.cut.target_frames
    if over > 0:
        sentence = f"The cut is {_frames(over)} longer than its target."
        yield Finding(Code.LENGTH_OFF_TARGET, Severity.ERROR, sentence, "Trim it, or assemble it again to the target.")
    elif over < 0:
        sentence = f"The cut is {_frames(-over)} shorter than its target."
        yield Finding(Code.LENGTH_OFF_TARGET, Severity.NOTE, sentence, "There is room to let it breathe.")


def _reels(view: _View) -> Iterator[Finding]:
    # Our own list keeps them apart by a number (exchange/reels.py); what other programs make of the signs is not known, and
    # dropping them is what we look at. Common practice, no source.
    def bare(tape: Tape) -> str:
        return "".join(sign for sign in tape.reel.upper() if sign.isalnum() or sign == "_")[:8]

    for name, group in groupby(sorted(view.sequence.tapes, key=bare), key=bare):
        reels = [tape.reel for tape in group]
        if len(reels) > 1:
            sentence = f"Tapes {_listed(reels)} fall together as {name or 'nothing'} in an edit list, which takes A-Z, 0-9 and _ alone."
            mend = "Send the edit list's reel table with it, or give one of them another reel name."
            yield Finding(Code.REELS_ALIKE, Severity.WARNING, sentence, mend)


def _moves(view: _View) -> Iterator[Finding]:
    """Every move on screen once and in order; a card holds the place of its moves."""
    shown: dict[int, list[tuple[int, int]]] = {}
    for seen in view.hits:
        shown.setdefault(seen.move.number, []).append((seen.record_frame, seen.placed.number))
    held = moves_held(view.sequence, view.placed)
    for one in view.placed:
        if isinstance(one.shot.picture, Card):
            for number in held[one.number]:
                shown.setdefault(number, []).append((one.record.start, one.number))
                sentence = f"Move {number} is held by a card in shot {one.number}."
                mend = "Shoot it, and put the take in the card's place."
                yield Finding(Code.MOVE_NEVER_SEEN, Severity.NOTE, sentence, mend, one.number, one.record.start)
    for move in view.sequence.moves:
        places = sorted(shown.get(move.number, []))
        if not places and not move.optional:
            yield _never_seen(view, move.number)
        for frame, shot in places[1:]:
            sentence = f"Move {move.number} is seen again in shot {shot}; it was seen in shot {places[0][1]}."
            mend = f"Trim shot {shot} or {places[0][1]}, unless the hit is meant to be seen twice."
            yield Finding(Code.MOVE_SEEN_TWICE, Severity.WARNING, sentence, mend, shot, frame)
    yield from _out_of_order(sorted((min(places), number) for number, places in shown.items()))


def _out_of_order(shown: list[tuple[tuple[int, int], int]]) -> Iterator[Finding]:
    """The fewest moves that would have to go elsewhere for all to be in order; `shown` is ((frame, shot), move), by frame."""
    # The longest row of rising numbers stays; what is not in it is out of place.
    longest: list[tuple[int, ...]] = []
    for at, (_, number) in enumerate(shown):
        before = max((row for row in longest if shown[row[-1]][1] < number), key=lambda row: len(row), default=())
        longest.append((*before, at))
    best: tuple[int, ...] = max(longest, key=lambda row: len(row), default=())
    staying = set(best)
    for at, ((frame, shot), number) in enumerate(shown):
        if at in staying:
            continue
        earlier = max((shown[other][1] for other in staying if other < at), default=0)
        if earlier > number:
            sentence = f"Move {number} is seen after move {earlier}."
        else:
            sentence = f"Move {number} is seen before move {min(shown[other][1] for other in staying if other > at)}."
        yield Finding(Code.ORDER_BROKEN, Severity.ERROR, sentence, f"Move shot {shot} to where the fight has it.", shot, frame)


def _never_seen(view: _View, move: int) -> Finding:
    takes = [take.name for take in view.sequence.takes if any(hit.move == move for hit in take.hits)]
    if takes:
        mend = f"Put in a shot of it: {_listed([*takes[:4], *(['others'] if len(takes) > 4 else [])])} can show it."
    else:
        mend = "No take shows it: shoot it, hold its place with a card, or make it optional."
    return Finding(Code.MOVE_NEVER_SEEN, Severity.ERROR, f"Move {move} is never seen.", mend)


def _hits_cut_off(view: _View) -> Iterator[Finding]:
    """Hits that land too near the end of their shot to be read, and hits that the cut lies just beside."""
    for seen in view.hits:
        left = seen.placed.record.start + seen.placed.clear_frames - seen.record_frame
        if left < HIT_READS_FRAMES and not _plays_on(view, seen.placed):
            sentence = f"Move {seen.move.number} lands {_frames(left)} before the end of shot {seen.placed.number}."
            mend = f"Give the tail of shot {seen.placed.number} {_frames(HIT_READS_FRAMES - left)} more."
            yield Finding(Code.HIT_CUT_OFF, Severity.WARNING, sentence, mend, seen.placed.number, seen.record_frame)
    whole = {seen.move.number for seen in view.hits}
    for one in view.placed:
        source = one.source
        if source is None or source.speed == 0:
            continue
        rate = view.sequence.timebase.rate.fps
        for hit in source.take.hits:
            if hit.move in whole:
                continue
            landing = (hit.at * rate).__ceil__()
            clear = span_played(source.first_frame, source.speed, one.clear_frames)
            before, after = clear.start - landing, landing - clear.end_exclusive + 1
            missed = max(before, after)
            if 0 < missed <= HIT_READS_FRAMES * abs(source.speed):
                early = (before > 0) == (source.speed > 0)
                what = f"begins {_frames(missed)} of tape after" if early else f"ends {_frames(missed)} of tape before"
                sentence = f"Shot {one.number} {what} move {hit.move} lands."
                mend = f"Give shot {one.number} the missing frames at its {'head' if early else 'tail'}."
                frame = one.record.start if early else one.record.end_exclusive - 1
                yield Finding(Code.HIT_CUT_OFF, Severity.WARNING, sentence, mend, one.number, frame)


def _plays_on(view: _View, one: Placed) -> bool:
    """True where the next shot shows what this one would have shown next: on screen there is no cut."""
    after = view.placed[one.number] if one.number < len(view.placed) else None
    if one.source is None or after is None or after.source is None or one.source.take != after.source.take:
        return False
    next_frame = frame_played(one.source.first_frame, one.source.speed, one.shot.frames)
    return after.source.first_frame == next_frame and after.source.speed == one.source.speed


def _runs_on(view: _View, one: Placed) -> bool:
    """True where the tape runs on across the cut to the next shot, at whatever speed: the picture cannot jump there."""
    after = view.placed[one.number] if one.number < len(view.placed) else None
    if one.source is None or after is None or after.source is None or one.source.take != after.source.take:
        return False
    next_frame = frame_played(one.source.first_frame, one.source.speed, one.shot.frames)
    step = max(1, abs(one.source.speed).__ceil__(), abs(after.source.speed).__ceil__())
    return abs(after.source.first_frame - next_frame) <= step


def _lengths_of_shots(view: _View) -> Iterator[Finding]:
    least = view.sequence.settings.least_shot_frames
    for one in view.placed:
        if one.clear_frames < least and not isinstance(one.shot.picture, Black):
            sentence = f"Shot {one.number} lasts {_frames(one.shot.frames)}; under {least} it cannot be read."
            mend = f"Lengthen it by {least - one.clear_frames}, or join what it shows to a neighbour."
            yield Finding(Code.SHOT_TOO_SHORT, Severity.WARNING, sentence, mend, one.number, one.record.start)


def _cut_points(view: _View) -> Iterator[Finding]:
    """Jump cuts, and cuts across which the roles change sides: prices.py has the rules and their sources."""
    for one, other in pairwise(view.placed):
        if one.source is None or other.source is None or _runs_on(view, one):
            continue
        leaving = _framing_shown(view, one.source, one.shot.frames - 1)
        coming = _framing_shown(view, other.source, 0)
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


def _framing_shown(view: _View, source: Source, k: int) -> Framing:
    """The framing that holds at a shot's own frame `k`."""
    return source.take.framing_at(frame_played(source.first_frame, source.speed, k) / view.sequence.timebase.rate.fps)


def _framings_over(view: _View, source: Source, tape: Span) -> Iterator[tuple[Framing, Span]]:
    """Each framing of the take that holds in this stretch of tape frames, and where it does."""
    framings, fps = source.take.framings, view.sequence.timebase.rate.fps
    begins = [tape.start, *((framing.at * fps).__ceil__() for framing in framings[1:]), tape.end_exclusive]
    for number, framing in enumerate(framings):
        holds = Span(begins[number], max(begins[number], begins[number + 1])).meet(tape)
        if holds:
            yield framing, holds


def _replaced_faces(view: _View) -> Iterator[Finding]:
    """Face replacements in a size that is too close for them."""
    for seen in view.treatments:
        if seen.treatment.kind is not Kind.FACE_REPLACEMENT or seen.placed.source is None:
            continue
        framings = list(_framings_over(view, seen.placed.source, seen.tape))
        size = max((framing.size for framing, _ in framings), key=lambda one: one.closeness)
        judged = replacement_holds(view.sequence.settings, size)
        if judged is Holds.GOOD:
            continue
        tight = [shown.start for framing, holds in framings if framing.size is size and (shown := seen.placed.showing(holds))]
        closer = judged is Holds.NOT
        told = f"Shot {seen.placed.number} has a face replacement for {seen.treatment.role} in {_a(size)}"
        sentence = f"{told}; that close it is not recommended." if closer else f"{told}: look closely at it."
        mend = (
            "Take a wider take of the move, or one where the actor plays it." if closer else "See it at full size before it is turned over."
        )
        severity = Severity.WARNING if closer else Severity.NOTE
        yield Finding(Code.FACE_TOO_CLOSE, severity, sentence, mend, seen.placed.number, min(tight, default=seen.record.start))


def _doubles(view: _View) -> Iterator[Finding]:
    """Doubles whose face shows in frames where neither a face replacement nor a digital double is marked."""
    actors = {role.role: role.actor for role in view.sequence.cast}
    uncast: set[str] = set()
    for one in view.placed:
        if one.source is None:
            continue
        for casting in one.source.take.performers:
            if casting.role not in actors:
                uncast.add(casting.role)
            elif casting.performer != actors[casting.role]:
                yield from _double_seen(view, one, one.source, casting)
    if uncast:
        sentence = f"Nothing says which actor plays {_listed(sorted(uncast))}, so a double's face cannot be told from the actor's."
        yield Finding(Code.DOUBLE_SEEN, Severity.NOTE, sentence, "Say who plays it with 'previs cast'.")


def _double_seen(view: _View, one: Placed, source: Source, double: Casting) -> Iterator[Finding]:
    """One finding for the shot: where the double's face shows first, and how much of it at most."""
    covering = (Kind.FACE_REPLACEMENT, Kind.DIGITAL_DOUBLE)
    fps, role = view.sequence.timebase.rate.fps, double.role
    marks = [mark for mark in view.sequence.treatments if (mark.reel, mark.role) == (source.tape.reel, role) and mark.kind in covering]
    covered = [grid_span(mark.span, fps) for mark in marks]
    bare: list[tuple[Shows, Span]] = []
    for framing, holds in _framings_over(view, source, source.seen):
        shows = next((face.shows for face in framing.faces if face.role == role), Shows.HIDDEN)
        if shows is not Shows.HIDDEN:
            bare += [(shows, left) for left in _without(holds, covered)]
    on_screen = [(shows, span) for shows, left in bare if (span := one.showing(left))]
    if on_screen:
        full = any(shows is Shows.FULL for shows, _ in on_screen)
        count = sum(span.length for _, span in on_screen)
        face = f"{double.performer}'s face shows {'' if full else 'in part '}as {role}"
        sentence = f"{face} in {_frames(count)} of shot {one.number}, and neither a face replacement nor a digital double is marked."
        mend = "Mark a face replacement there, take the actor's take, or one that hides the face."
        severity = Severity.WARNING if full else Severity.NOTE
        yield Finding(Code.DOUBLE_SEEN, severity, sentence, mend, one.number, min(span.start for _, span in on_screen))


def _without(span: Span, covered: list[Span]) -> list[Span]:
    """What is left of a span outside the covered ones."""
    left, at = [], span.start
    for cover in sorted(covered):
        if at < (end := min(cover.start, span.end_exclusive)):
            left.append(Span(at, end))
        at = max(at, cover.end_exclusive)
    return [*left, Span(at, span.end_exclusive)] if at < span.end_exclusive else left


def _tape_room(view: _View) -> Iterator[Finding]:
    """Shots that play beyond their tape, and tape that is missing under a transition or for handles."""
    wanted = view.sequence.settings.handle_frames
    for one in view.placed:
        if one.source is None:
            continue
        before, after = _room(view, one.source, one.shot.frames)
        reel, number = one.source.tape.reel, one.number
        # A transition into the next shot uses up tape that is then no handle; too little for itself is told further down.
        left = after - one.under_frames if after >= one.under_frames else max(after, wanted)
        for room, edge, frame in (
            (before, "head", one.record.start),
            (left if after >= 0 else after, "tail", one.record.end_exclusive - 1),
        ):
            side = "start" if (edge == "head") == (one.source.speed >= 0) else "end"
            if room < 0:
                sentence = f"Shot {number} plays {_frames(-room)} beyond the {side} of tape {reel}."
                yield Finding(Code.OFF_TAPE, Severity.ERROR, sentence, f"Trim its {edge} by {-room}, or slip it.", number, frame)
            elif room < wanted:
                sentence = f"Shot {number} has {_frames(room)} of handle at its {edge} on tape {reel}; {wanted} are wanted."
                mend = "Slip or trim the shot, or say to visual effects and the editor that the tape ends there."
                yield Finding(Code.HANDLES_SHORT, Severity.WARNING, sentence, mend, number, frame)
        following = view.placed[number] if number < len(view.placed) else None
        transition = following.shot.transition if following else None
        if transition is not None and 0 <= after < transition.frames:
            sentence = (
                f"Shot {number} cannot play on under the {transition.kind} of {_frames(transition.frames)} into shot {number + 1}: "
                f"tape {reel} has {after}."
            )
            mend = f"Shorten the {transition.kind} to {after}, or trim the tail of shot {number}."
            yield Finding(Code.HANDLES_SHORT, Severity.ERROR, sentence, mend, number, one.record.end_exclusive - 1)


def _room(view: _View, source: Source, frames: int) -> tuple[int, int]:
    """For how many frames more the shot could play before its first and after its last, at its speed; negative beyond the tape."""
    there = usable_grid_frames(source.tape, view.sequence.timebase.rate.fps)
    speed = abs(source.speed)
    # Seen along the direction of play, so that one formula serves forwards and backwards.
    at = source.first_frame if source.speed >= 0 else there - 1 - source.first_frame
    if speed == 0:
        unlimited = view.sequence.timebase.frames_per_day
        return (at if at < 0 else unlimited), (there - 1 - at if at >= there else unlimited)
    return (at / speed).__floor__(), ((there - at) / speed).__ceil__() - frames


def _past_the_take(view: _View) -> Iterator[Finding]:
    """Shots that show tape outside their take: what is there belongs to nobody, or to another take."""
    fps = view.sequence.timebase.rate.fps
    for one in view.placed:
        if one.source is None:
            continue
        inside = grid_span(one.source.take.span, fps)
        outside = max(0, inside.start - one.source.seen.start) + max(0, one.source.seen.end_exclusive - inside.end_exclusive)
        # The frame on which a mark begins or ends may be seen from either side of it.
        if outside > 1:
            sentence = f"Shot {one.number} shows {_frames(outside)} of tape outside take {one.source.take.name}."
            mend = "Trim or slip it, or set the take's in and out if they are wrong."
            yield Finding(Code.PAST_THE_TAKE, Severity.WARNING, sentence, mend, one.number, one.record.start)


def _casting(view: _View) -> Iterator[Finding]:
    """Marks and casting that contradict each other."""
    actors = {role.role: role for role in view.sequence.cast}
    for seen in view.treatments:
        source, role = seen.placed.source, actors.get(seen.treatment.role)
        if source is None or role is None or seen.treatment.kind is not Kind.FACE_REPLACEMENT:
            continue
        performer = next((cast.performer for cast in source.take.performers if cast.role == role.role), "")
        if performer == role.actor:
            sentence = f"Shot {seen.placed.number} has a face replacement for {role.role}, whom {performer} plays there in person."
            mend = "Take the mark away, or set who plays the take."
            yield Finding(Code.NEEDLESS_REPLACEMENT, Severity.WARNING, sentence, mend, seen.placed.number, seen.record.start)
    doubled = prices.doubled_moves(view.sequence)
    for hit in view.hits:
        source = hit.placed.source
        if source is not None and hit.move.number in doubled and source.take.name not in doubled[hit.move.number]:
            others = _listed(sorted(doubled[hit.move.number])[:3])
            sentence = (
                f"Move {hit.move.number} in shot {hit.placed.number} is done by a performer; on {others} it is marked for a digital double."
            )
            mend = "Take one of those takes, mark this one too, or see that the performer may do it."
            yield Finding(Code.PERFORMER_IN_DOUBLED_MOVE, Severity.NOTE, sentence, mend, hit.placed.number, hit.record_frame)


def _black(view: _View) -> Iterator[Finding]:
    """Black that is no fade: nothing goes into it and nothing comes out of it."""
    for one in view.placed:
        following = view.placed[one.number] if one.number < len(view.placed) else None
        fades = one.shot.transition is not None or (following is not None and following.shot.transition is not None)
        if isinstance(one.shot.picture, Black) and not fades:
            sentence = f"Shot {one.number} is black for {_frames(one.shot.frames)}, and nothing fades there."
            mend = "Put a shot or a card in its place, unless the black is meant."
            yield Finding(Code.NOTHING_ON_SCREEN, Severity.WARNING, sentence, mend, one.number, one.record.start)


def _takeovers(view: _View) -> Iterator[Finding]:
    """Digital doubles whose takeover, or whose handing back, is not on screen because the shot begins or ends inside."""
    for seen in view.treatments:
        if seen.treatment.kind is not Kind.DIGITAL_DOUBLE or seen.placed.source is None:
            continue
        treated, shown = grid_span(seen.treatment.span, view.sequence.timebase.rate.fps), seen.placed.source.seen
        comes_from = view.placed[seen.placed.number - 2] if seen.placed.number > 1 else None
        # Backwards the shot begins with the later tape.
        early = "the takeover" if seen.placed.source.speed >= 0 else "the handing back"
        late = "the handing back" if seen.placed.source.speed >= 0 else "the takeover"
        at_head, at_tail = (shown.start > treated.start, shown.end_exclusive < treated.end_exclusive)
        if seen.placed.source.speed < 0:
            at_head, at_tail = at_tail, at_head
        begins_inside = at_head and not (comes_from is not None and _runs_on(view, comes_from))
        ends_inside = at_tail and not _runs_on(view, seen.placed)
        if begins_inside or ends_inside:
            lost = [word for word, is_lost in ((early, begins_inside), (late, ends_inside)) if is_lost]
            sentence = (
                f"Shot {seen.placed.number} cuts into the digital double of {seen.treatment.role}: "
                f"{' and '.join(lost)} {'is' if len(lost) == 1 else 'are'} not on screen."
            )
            mend = "Trim the shot to hold the whole span, or tell visual effects that the digital double begins or ends on the cut."
            yield Finding(Code.TAKEOVER_CUT_INTO, Severity.WARNING, sentence, mend, seen.placed.number, seen.record.start)


_CHECKS: tuple[Callable[[_View], Iterator[Finding]], ...] = (
    _length,
    _reels,
    _moves,
    _hits_cut_off,
    _lengths_of_shots,
    _cut_points,
    _replaced_faces,
    _doubles,
    _tape_room,
    _black,
    _takeovers,
    _past_the_take,
    _casting,
)


def _frames(number: int) -> str:
    return "1 frame" if number == 1 else f"{number} frames"


def _a(size: Size) -> str:
    return f"{'an' if size.value.startswith('e') else 'a'} {size} shot"


def _listed(names: list[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]
