"""Lists for people and programs: tapes, takes, moves, hits, marks, shots, treatments, cuts, as rows; derived, never stored.

A row is a mapping from column name to plain value. Times are time code, of the cut (`record`) or of the tape (`tape`); every
out is the frame after the last, on a tape the one after the last of its own frames that is shown.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from fractions import Fraction
from itertools import groupby

from previs.clock import Span, grid_span, tape_frame_at
from previs.cut.placing import Placed, SeenHit, SeenTreatment, hits_seen, moves_held, place, treatments_seen
from previs.cut.wording import counted
from previs.document.invariants import usable_grid_frames
from previs.document.model import Black, Card, Cut, Footage, Framing, Kind, Sequence, Take, Tape, TransitionKind, Treatment
from previs.fight.doubling import holds_in, learnt_in

Value = str | int | float | bool | None
Row = dict[str, Value]

EVENTS_A_LIST = 999
"""After so many events an edit list ends and the next begins at 1 again, as `cmx3600` writes them."""

_ON_A_SCREEN = {
    "shots": (
        *("shot", "record in", "record out", "frames", "seconds", "transition", "locked", "take", "tape", "tape in", "tape out"),
        *("speed", "size", "moves", "treatments"),
    ),
    "treatments": (
        *("shot", "kind", "role", "record in", "record out", "frames", "under transition", "tape", "tape in", "tape out", "held"),
        *("performer", "face of", "size", "replaced face", "actor learns", "note"),
    ),
}
"""The columns that are shown where there is little room; a list that is not named here is shown whole."""


def rows(sequence: Sequence, what: str, cut_name: str | None = None) -> list[Row]:
    """The rows of one list. `what` is tapes, takes, moves, hits, marks, shots, treatments or cuts.

    Shots, treatments when there is a cut, and what of the others depends on a cut are those of `cut_name` or the newest cut.
    Raises `UseFault` when a cut that is named is not there, whatever is listed.
    """
    cut = sequence.cut(cut_name) if cut_name is not None or what == "shots" else next(iter(sequence.cuts[-1:]), None)
    if what == "tapes":
        return [tape_row(tape) for tape in sequence.tapes]
    if what == "takes":
        return [_take_row(sequence, take) for take in sequence.takes]
    if what == "moves":
        return _move_rows(sequence, cut)
    if what == "hits":
        return [
            {"take": take.name, "move": hit.move, "tape": take.reel, "at": tape_label(sequence.tape(take.reel), hit.at)}
            for take in sequence.takes
            for hit in take.hits
        ]
    if what == "shots" and cut is not None:
        return _shot_rows(sequence, cut)
    if what == "treatments" and cut is not None:
        return _treatment_rows(sequence, cut)
    if what in ("marks", "treatments"):
        return _mark_rows(sequence, cut)
    if what == "cuts":
        return [_cut_row(sequence, cut) for cut in sequence.cuts]
    raise ValueError(f"no list is called {what}")


def for_a_screen(what: str, found: list[Row]) -> list[Row]:
    """The rows with the columns that a screen has room for, those apart in which nothing stands."""
    wanted = _ON_A_SCREEN.get(what)
    if wanted is None:
        return found
    shown = [name for name in wanted if any(row.get(name) not in ("", None) for row in found)]
    return [{name: row[name] for name in shown} for row in found]


def heading(sequence: Sequence, what: str, cut_name: str | None = None) -> str:
    """Which cut a list is of and what its columns mean, in a line or two; empty where there is nothing to say."""
    told = []
    if what in ("shots", "treatments", "moves", "marks") and (sequence.cuts or cut_name is not None):
        cut = sequence.cut(cut_name)
        told.append(f"Cut {cut.name}: {counted_shots(cut)}, {sequence.timebase.label(cut.frames)}, {against_target(sequence, cut)}.")
    if what in ("takes", "marks", "shots", "treatments"):
        told.append(OUT_NOTE)
    if what == "treatments" and sequence.cuts:
        told.append("Under a transition out of its shot a treatment is counted to the last frame.")
    return " ".join(told)


OUT_NOTE = "An out is the frame after the last."


def counted_shots(cut: Cut) -> str:
    """How many shots a cut has, black apart: `19 shots and 1 black`."""
    black = sum(isinstance(shot.picture, Black) for shot in cut.shots)
    return counted(len(cut.shots) - black, "shot") + (f" and {black} black" if black else "")


def against_target(sequence: Sequence, cut: Cut) -> str:
    """How the cut's length stands to its target, as time code and frames."""
    over = cut.frames - cut.target_frames
    if not over:
        return "its target to the frame"
    return f"{sequence.timebase.duration(abs(over))} ({counted(abs(over), 'frame')}) {'over' if over > 0 else 'under'} its target"


def tape_row(tape: Tape) -> Row:
    """One tape: what it is, and the time code of its first picture."""
    return {
        "reel": tape.reel,
        "camera": tape.camera,
        "start": tape.timebase.label(tape.timebase.wrap(tape.start_frame)),
        "time code from": tape.start_from,
        "rate": tape.rate_name + (" variable" if tape.variable else ""),
        "frames": tape.frames,
        "seconds": round(float(tape.duration), 3),
        "picture": f"{tape.width}x{tape.height}",
        "turned": tape.rotation,
        "codec": tape.codec,
        "sound": f"{tape.sound.channels} x {tape.sound.sample_rate} Hz" if tape.sound else "none",
        "path": tape.path,
    }


def tape_label(tape: Tape, moment: Fraction) -> str:
    """The tape's own time code at a moment in seconds from its first picture."""
    return tape.timebase.label(tape.timebase.wrap(tape.start_frame + tape_frame_at(moment, tape.timebase.rate)))


def tape_out_label(tape: Tape, end_exclusive: Fraction) -> str:
    """The tape's own time code of the frame after the last that begins before a moment in seconds from its first picture."""
    frames = (end_exclusive * tape.timebase.rate.fps).__ceil__()
    return tape.timebase.label(tape.timebase.wrap(tape.start_frame + frames))


def tape_rate(tape: Tape) -> str:
    """How a tape's own time code counts: `29.97 NDF`."""
    return f"{tape.rate_name} {'DF' if tape.drop else 'NDF'}"


def shown_labels(tape: Tape, shown: Span, fps: Fraction) -> tuple[str, str]:
    """In and out of a span of grid frames, in the tape's own time code; the out follows the tape frame that is shown last."""
    last = tape_frame_at((shown.end_exclusive - 1) / fps, tape.timebase.rate)
    return tape_label(tape, shown.start / fps), tape.timebase.label(tape.timebase.wrap(tape.start_frame + last + 1))


def framing_text(framing: Framing) -> str:
    """A framing in a few words: `medium wide, 20 degrees, hand-held`."""
    angle = "" if framing.angle is None else f"{framing.angle} degrees"
    return ", ".join(part for part in (framing.size.value, angle, framing.movement) if part)


def moves_text(numbers: tuple[int, ...]) -> str:
    """Move numbers as runs: `3-5, 7`."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)


def _take_row(sequence: Sequence, take: Take) -> Row:
    tape = sequence.tape(take.reel)
    return {
        "take": take.name,
        "tape": take.reel,
        "in": tape_label(tape, take.start),
        "out": tape_out_label(tape, take.end_exclusive),
        "slate": take.slate,
        "rating": take.rating,
        "tempo": round(float(take.tempo), 3),
        "phrases": str(take.first_phrase) if take.first_phrase == take.last_phrase else f"{take.first_phrase}-{take.last_phrase}",
        "hits": len(take.hits),
        "framing": framing_text(take.framings[0]),
        "performers": "; ".join(f"{cast.role}: {cast.performer}" for cast in take.performers),
        "note": take.note,
    }


def _move_rows(sequence: Sequence, cut: Cut | None) -> list[Row]:
    landing: dict[int, str] = {}
    if cut is not None:
        for seen in hits_seen(sequence, place(sequence, cut)):
            landing.setdefault(seen.move.number, record_label(sequence, seen.record_frame))
    shown: dict[int, int] = {}
    for take in sequence.takes:
        for hit in take.hits:
            shown[hit.move] = shown.get(hit.move, 0) + 1
    return [
        {
            "phrase": phrase.number,
            "move": move.number,
            "label": move.label,
            "attacker": move.attacker,
            "defender": move.defender,
            "line": move.line,
            "upper hand": move.upper_hand,
            "optional": "yes" if move.optional else "",
            "place": move.place,
            "takes": shown.get(move.number, 0),
            "lands at": landing.get(move.number, ""),
        }
        for phrase in sequence.phrases
        for move in phrase.moves
    ]


def _shot_rows(sequence: Sequence, cut: Cut) -> list[Row]:
    placed = place(sequence, cut)
    held = moves_held(sequence, placed)
    treated: dict[int, list[str]] = {}
    for seen in treatments_seen(sequence, placed):
        treated.setdefault(seen.placed.number, []).append(f"{seen.treatment.kind}: {seen.treatment.role}")
    return [_shot_row(sequence, placed, one, held[one.number], treated.get(one.number, [])) for one in placed]


def _shot_row(sequence: Sequence, placed: tuple[Placed, ...], one: Placed, moves: tuple[int, ...], treatments: list[str]) -> Row:
    fps, source, picture = sequence.timebase.rate.fps, one.source, one.shot.picture
    tape_in, tape_out = shown_labels(source.tape, source.played, fps) if source else ("", "")
    framings = [framing for _, framing in one.framings(fps)]
    return {
        "shot": one.number,
        "event": event_number(one.number),
        "phrase": moves_text(tuple(dict.fromkeys(sequence.phrase_of(move).number for move in moves))),
        "record in": record_label(sequence, one.record.start),
        "record out": record_label(sequence, one.record.end_exclusive),
        "frames": one.shot.frames,
        "seconds": round(float(one.shot.frames / fps), 2),
        "transition": _transition_text(placed, one),
        "plays on": one.under_frames or None,
        "sound lead": one.shot.sound_lead_frames or None,
        "locked": "locked" if one.shot.locked else "",
        "take": source.take.name if source else "card" if isinstance(picture, Card) else "black",
        "camera": (source.take.camera or source.tape.camera) if source else "",
        "tape": source.tape.reel if source else "",
        "tape in": tape_in,
        "tape out": tape_out,
        "speed": speed_value(picture.speed) if isinstance(picture, Footage) else "",
        "size": _changing(framing.size.value for framing in framings),
        "angle": _angle([framing.angle for framing in framings]),
        "movement": _changing(framing.movement for framing in framings),
        "moves": moves_text(moves),
        "treatments": "; ".join(dict.fromkeys(treatments)),
    }


def event_number(shot: int) -> int:
    """The event of the edit list that a shot is, counted as the list counts."""
    return (shot - 1) % EVENTS_A_LIST + 1


def _transition_text(placed: tuple[Placed, ...], one: Placed) -> str:
    """How a shot comes in: nothing for a straight cut; a dissolve from or to black is a fade."""
    transition = one.shot.transition
    if transition is None:
        return ""
    lasts = counted(transition.frames, "frame")
    if transition.kind is TransitionKind.WIPE:
        return f"wipe {transition.wipe}, {lasts}"
    if isinstance(one.shot.picture, Black):
        return f"fade out, {lasts}"
    from_black = one.number == 1 or isinstance(placed[one.number - 2].shot.picture, Black)
    return f"{'fade in' if from_black else 'dissolve'}, {lasts}"


def speed_value(speed: Fraction) -> Value:
    """A shot's speed as a number that people read: 1, 1.35, or `freeze`; the exact fraction is the document's."""
    if speed == 0:
        return "freeze"
    return int(speed) if speed.denominator == 1 else round(float(speed), 3)


def _changing(values: Iterable[str]) -> str:
    """What holds one after the other: `wide > close`."""
    return " > ".join(value for value, _ in groupby(values))


def _angle(angles: list[int | None]) -> Value:
    """A bearing in degrees as a number, one that changes as `20 > 40`, and nothing where none was noted."""
    if len(set(angles)) <= 1:
        return next(iter(angles), None)
    return _changing("?" if angle is None else str(angle) for angle in angles)


def _treatment_rows(sequence: Sequence, cut: Cut) -> list[Row]:
    placed = place(sequence, cut)
    hits = hits_seen(sequence, placed)
    return [_treatment_row(sequence, placed, seen, hits) for seen in treatments_seen(sequence, placed)]


def _treatment_row(sequence: Sequence, placed: tuple[Placed, ...], seen: SeenTreatment, hits: tuple[SeenHit, ...]) -> Row:
    source, treatment, fps = seen.placed.source, seen.treatment, sequence.timebase.rate.fps
    assert source is not None
    tape_in, tape_out = shown_labels(source.tape, seen.tape, fps)
    landing = [hit.move.number for hit in hits if hit.placed is seen.placed and seen.record.holds(hit.record_frame)]
    leaves_by, holds = seen.placed.leaves_by, holds_in(sequence.settings, seen)
    return {
        "shot": seen.placed.number,
        "event": event_number(seen.placed.number),
        "kind": treatment.kind.value,
        "role": treatment.role,
        "record in": record_label(sequence, seen.record.start),
        "record out": record_label(sequence, seen.record.end_exclusive),
        "frames": seen.record.length,
        "under transition": f"{seen.under_frames} under the {leaves_by.kind}" if seen.under_frames and leaves_by else "",
        "take": source.take.name,
        "tape": source.tape.reel,
        "tape in": tape_in,
        "tape out": tape_out,
        "from second": round(float(seen.tape.start / fps), 3),
        "to second": round(float(seen.tape.end_exclusive / fps), 3),
        "speed": speed_value(source.speed),
        "moves": moves_text(tuple(landing)),
        "held": _held(grid_span(treatment.span, fps), seen.tape),
        "handle before": seen.tape.start,
        "handle after": usable_grid_frames(source.tape, fps) - seen.tape.end_exclusive,
        "performer": source.take.performer_of(treatment.role),
        "face of": next((role.actor for role in sequence.cast if role.role == treatment.role), "") if _shows_actor(treatment) else "",
        "size": _changing(framing.size.value for framing in seen.framings),
        "replaced face": holds.value if holds else "",
        "actor learns": moves_text(learnt_in(sequence, placed, seen.placed, treatment.role)),
        "note": treatment.note,
    }


def _held(marked: Span, shown: Span) -> str:
    """Whether all of a mark is on screen, or which end of it is cut off."""
    lost = [end for end, is_lost in (("head", shown.start > marked.start), ("tail", shown.end_exclusive < marked.end_exclusive)) if is_lost]
    return f"{' and '.join(lost)} cut off" if lost else "whole"


def _shows_actor(treatment: Treatment) -> bool:
    """True for a treatment that puts the actor's face where another one's is."""
    return treatment.kind in (Kind.FACE_REPLACEMENT, Kind.DIGITAL_DOUBLE)


def _mark_rows(sequence: Sequence, cut: Cut | None) -> list[Row]:
    """Every treatment marked on the tapes, and which shots of the cut show it."""
    shots: dict[int, list[int]] = {}
    for seen in treatments_seen(sequence, place(sequence, cut)) if cut else ():
        shots.setdefault(id(seen.treatment), []).append(seen.placed.number)
    return [
        {
            "tape": mark.reel,
            "in": tape_label(sequence.tape(mark.reel), mark.start),
            "out": tape_out_label(sequence.tape(mark.reel), mark.end_exclusive),
            "from second": round(float(mark.start), 3),
            "to second": round(float(mark.end_exclusive), 3),
            "kind": mark.kind.value,
            "role": mark.role,
            "takes": ", ".join(take.name for take in sequence.takes if take.reel == mark.reel and take.span.meet(mark.span)),
            "used": "no cut yet" if cut is None else f"used in cut {cut.name}" if id(mark) in shots else "unused",
            "shots": moves_text(tuple(shots.get(id(mark), ()))),
            "note": mark.note,
        }
        for mark in sequence.treatments
    ]


def _cut_row(sequence: Sequence, cut: Cut) -> Row:
    black = sum(isinstance(shot.picture, Black) for shot in cut.shots)
    return {
        "cut": cut.name,
        "shots": len(cut.shots) - black,
        "black": black,
        "length": sequence.timebase.label(cut.frames),
        "frames": cut.frames,
        "target": sequence.timebase.label(cut.target_frames),
        "over": cut.frames - cut.target_frames,
        "note": cut.note,
    }


def record_label(sequence: Sequence, frame: int) -> str:
    """The record time code of a frame counted from the cut's first."""
    return sequence.timebase.label(sequence.timebase.wrap(sequence.start_frame + frame))


def summary(sequence: Sequence) -> Row:
    """The whole file in a few facts."""
    timebase = sequence.timebase
    newest = sequence.cuts[-1] if sequence.cuts else None
    return {
        "title": sequence.title,
        "rate": timebase.rate.name + (" drop-frame" if timebase.drop else ""),
        "start": timebase.label(sequence.start_frame),
        "target": timebase.label(sequence.target_frames),
        "phrases": len(sequence.phrases),
        "moves": len(sequence.moves),
        "roles": ", ".join(sequence.roles),
        "tapes": len(sequence.tapes),
        "tape seconds": round(float(sum((tape.duration for tape in sequence.tapes), Fraction(0))), 1),
        "takes": len(sequence.takes),
        "hits": sum(len(take.hits) for take in sequence.takes),
        "treatments": len(sequence.treatments),
        "cuts": len(sequence.cuts),
        "newest cut": newest.name if newest else "none",
        "newest cut length": timebase.label(newest.frames) if newest else "",
        "frames over target": newest.frames - newest.target_frames if newest else None,
    }


def as_csv_text(found: list[Row]) -> str:
    """Rows as CSV (RFC 4180), safe to open in a spreadsheet: no cell from a name or a note can run as a formula."""
    from previs.exchange.table_files import neutral

    text = io.StringIO()
    if found:
        writer = csv.writer(text)
        writer.writerow(found[0])
        writer.writerows([neutral(value) if isinstance(value, str) else value for value in row.values()] for row in found)
    return text.getvalue()
