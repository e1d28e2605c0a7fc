"""Checks of who is seen and what is to be done to it: doubles, replaced faces, digital doubles, casting."""

from __future__ import annotations

from collections.abc import Iterator

from previs.clock import Span, grid_span, tape_frame_at
from previs.cut.placing import Placed, SeenTreatment
from previs.document.model import Casting, Kind, Role, Sequence, Shows
from previs.fight.doubling import Holds, replacement_holds
from previs.fight.findings import Code, Finding, Severity
from previs.fight.recasting import ways_out_of_replacement
from previs.fight.view import View, article, frames, listed


def replaced_faces(view: View) -> Iterator[Finding]:
    """Face replacements in a size that is too close for them, from where it is, and those that the actor needs none of."""
    actors = _actors(view.sequence)
    for seen in view.treatments:
        if seen.treatment.kind is not Kind.FACE_REPLACEMENT or seen.placed.source is None:
            continue
        number, role = seen.placed.number, seen.treatment.role
        performer = seen.placed.source.take.performer_of(role)
        if performer and performer == actors.get(role):
            sentence = f"Shot {number} has a face replacement for {role}, but {performer}, who plays {role}, is the one seen there."
            mend = "Take the mark off the tape, or correct who performs on the take."
            yield Finding(Code.FACE_IS_THE_ACTORS, Severity.WARNING, sentence, mend, number, seen.record.start)
        yield from _too_close(view, seen)


def _too_close(view: View, seen: SeenTreatment) -> Iterator[Finding]:
    sizes = [(shown.start, framing.size) for span, framing in seen.placed.framings(view.fps) if (shown := span.meet(seen.record))]
    frame, size = max(sizes, key=lambda one: one[1].closeness)
    judged = replacement_holds(view.sequence.settings, size)
    if judged is Holds.GOOD:
        return
    closer = judged is Holds.NOT
    told = f"Shot {seen.placed.number} has a face replacement for {seen.treatment.role} in {article(size)}"
    sentence = f"{told}; that close it is not recommended." if closer else f"{told}: look closely at it."
    mend = _ways_out(view, seen) if closer else "See it at full size before it is turned over."
    yield Finding(Code.FACE_TOO_CLOSE, Severity.WARNING if closer else Severity.NOTE, sentence, mend, seen.placed.number, frame)


def _ways_out(view: View, seen: SeenTreatment) -> str:
    """What can be done about a replaced face that is too close, by the first move of the role that it covers."""
    role = seen.treatment.role
    moves = [
        hit.move.number
        for hit in view.hits
        if hit.placed.number == seen.placed.number
        and role in (hit.move.attacker, hit.move.defender)
        and seen.treatment.span.holds(hit.hit.at)
    ]
    if not moves:
        return "Take a wider take of it, or one where the actor plays."
    ways = ways_out_of_replacement(view.sequence, moves[0], role)
    return f"{ways[0][0].upper()}{ways[0][1:]}; or {'; or '.join(ways[1:])}."


def doubles(view: View) -> Iterator[Finding]:
    """Doubles whose face shows in frames where neither a face replacement nor a digital double is marked."""
    actors = _actors(view.sequence)
    uncast: set[str] = set()
    for one in view.placed:
        for casting in one.source.take.performers if one.source else ():
            if casting.role not in actors:
                uncast.add(casting.role)
            elif casting.performer != actors[casting.role]:
                yield from _double_seen(view, one, casting)
    if uncast:
        sentence = f"Nothing says which actor plays {listed(sorted(uncast))}, so a double's face cannot be told from the actor's."
        yield Finding(Code.DOUBLE_SEEN, Severity.NOTE, sentence, "Cast the role: say who plays it and who doubles it.")


def _double_seen(view: View, one: Placed, double: Casting) -> Iterator[Finding]:
    """One finding for the shot: where the double's face shows first, and how much of it at most."""
    assert one.source is not None
    covering = (Kind.FACE_REPLACEMENT, Kind.DIGITAL_DOUBLE)
    marks = [mark for mark in view.sequence.treatments if (mark.reel, mark.role) == (one.source.tape.reel, double.role)]
    covered = [shown for mark in marks if mark.kind in covering and (shown := one.showing(grid_span(mark.span, view.fps)))]
    bare: list[tuple[Shows, Span]] = []
    for span, framing in one.framings(view.fps):
        shows = framing.face_of(double.role)
        if shows is not Shows.HIDDEN:
            bare += [(shows, left) for left in span.without(covered)]
    if bare:
        full = any(shows is Shows.FULL for shows, _ in bare)
        face = f"{double.performer}'s face shows {'' if full else 'in part '}as {double.role}"
        count = frames(sum(span.length for _, span in bare))
        sentence = f"{face} in {count} of shot {one.number}, and no face replacement is marked."
        mend = "Mark a face replacement there, take the actor's take, or one that hides the face."
        severity = Severity.WARNING if full else Severity.NOTE
        yield Finding(Code.DOUBLE_SEEN, severity, sentence, mend, one.number, min(span.start for _, span in bare))


def takeovers(view: View) -> Iterator[Finding]:
    """Digital doubles whose takeover, or whose handing back, is not on screen because what plays begins or ends inside."""
    runs = view.run_of()
    groups: dict[tuple[int, int], list[SeenTreatment]] = {}
    for seen in view.treatments:
        if seen.treatment.kind is Kind.DIGITAL_DOUBLE:
            groups.setdefault((runs[seen.placed.number], id(seen.treatment)), []).append(seen)
    for (run, _), group in groups.items():
        treatment = group[0].treatment
        treated = grid_span(treatment.span, view.fps)
        played = [one.source.seen for one in view.runs[run] if one.source]
        begins_inside = min(span.start for span in played) > treated.start
        ends_inside = max(span.end_exclusive for span in played) < treated.end_exclusive
        lost = [word for word, is_lost in (("the takeover", begins_inside), ("the handing back", ends_inside)) if is_lost]
        if lost:
            seen = group[0] if begins_inside else group[-1]
            verb = "is" if len(lost) == 1 else "are"
            sentence = (
                f"Shot {seen.placed.number} cuts into the digital double of {treatment.role}: {' and '.join(lost)} {verb} not on screen."
            )
            mend = "Trim the shot to hold the whole span, or tell visual effects that the digital double begins or ends on the cut."
            yield Finding(Code.TAKEOVER_CUT_INTO, Severity.WARNING, sentence, mend, seen.placed.number, seen.record.start)


def doubled_elsewhere(view: View) -> Iterator[Finding]:
    """Actors in moves that are marked for a digital double of their role on another take, and not on this one."""
    actors = _actors(view.sequence)
    marked: dict[tuple[int, str], list[str]] = {}
    for mark in view.sequence.treatments:
        for take in view.sequence.takes if mark.kind is Kind.DIGITAL_DOUBLE else ():
            if mark.reel == take.reel and mark.start < take.end_exclusive and take.start < mark.end_exclusive:
                for hit in take.hits:
                    if mark.span.holds(hit.at):
                        marked.setdefault((hit.move, mark.role), []).append(take.name)
    for seen in view.hits:
        assert seen.placed.source is not None
        own = seen.placed.source.take
        for role in actors:
            takes = marked.get((seen.move.number, role), [])
            if takes and own.name not in takes and own.performer_of(role) == actors[role]:
                move, number = seen.move.number, seen.placed.number
                others = f"take{'s' if len(takes) > 1 else ''} {listed(takes, most=4)}"
                sentence = f"{actors[role]} does move {move} in shot {number}; on {others} it is marked for a digital double of {role}."
                mend = "Mark the digital double here too, take a take that has it, or leave it if the actor may do the move."
                yield Finding(Code.DOUBLED_ELSEWHERE, Severity.NOTE, sentence, mend, number, seen.record_frame)


def unknown_performers(view: View) -> Iterator[Finding]:
    """Performers whom nobody has cast for the role, each where they are seen first."""
    cast: dict[str, Role] = {role.role: role for role in view.sequence.cast}
    told: set[Casting] = set()
    for one in view.placed:
        for casting in one.source.take.performers if one.source else ():
            role = cast.get(casting.role)
            if role is None or casting in told or casting.performer in (role.actor, *role.doubles):
                continue
            told.add(casting)
            sentence = f"{casting.performer} performs {role.role} in shot {one.number}, and is neither its actor nor one of its doubles."
            mend = f"Add the double to those who are cast as {role.role}, or correct the take's performers."
            yield Finding(Code.UNKNOWN_PERFORMER, Severity.WARNING, sentence, mend, one.number, one.record.start)


def treatments_in_no_take(view: View) -> Iterator[Finding]:
    """Marks on stretches of tape that no take holds, so that no cut can come to show them by its takes."""
    for mark in view.sequence.treatments:
        if any(take.reel == mark.reel and take.span.meet(mark.span) for take in view.sequence.takes):
            continue
        tape = view.sequence.tape(mark.reel)
        at = tape.timebase.label(tape.timebase.wrap(tape.start_frame + tape_frame_at(mark.start, tape.timebase.rate)))
        sentence = f"The {mark.kind} of {mark.role} on tape {mark.reel} at {at} lies in no take."
        yield Finding(Code.TREATMENT_IN_NO_TAKE, Severity.NOTE, sentence, "Correct the tape or the times of the mark, or mark the take.")


def _actors(sequence: Sequence) -> dict[str, str]:
    return {role.role: role.actor for role in sequence.cast}
