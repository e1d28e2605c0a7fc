"""Lists for people and programs: tapes, takes, moves, hits, shots, treatments, cuts, as rows; derived, never stored.

A row is a mapping from column name to plain value. Times are time code, of the cut (`record`) or of the tape (`tape`).
"""

from __future__ import annotations

import csv
import io
from fractions import Fraction

from previs.clock import Span, frame_played, tape_frame_at
from previs.cut.placing import Placed, hits_seen, moves_held, place, treatments_seen
from previs.document.model import Card, Footage, Framing, Sequence, Shot, Take, Tape, TransitionKind

Value = str | int | float | bool | None
Row = dict[str, Value]


def rows(sequence: Sequence, what: str, cut_name: str | None = None) -> list[Row]:
    """The rows of one list. `what` is tapes, takes, moves, hits, shots, treatments, marks or cuts; shots and treatments
    are those of `cut_name` or the newest cut, marks are the treatments on all tapes. Every `out` is the label after the
    last frame. Raises `UseFault` when that cut is not there.
    """
    if what == "tapes":
        return [tape_row(tape) for tape in sequence.tapes]
    if what == "takes":
        return [_take_row(sequence, take) for take in sequence.takes]
    if what == "moves":
        return _move_rows(sequence, cut_name)
    if what == "hits":
        return [
            {"take": take.name, "move": hit.move, "tape": take.reel, "at": tape_label(sequence.tape(take.reel), hit.at)}
            for take in sequence.takes
            for hit in take.hits
        ]
    if what == "shots":
        return _shot_rows(sequence, cut_name)
    if what == "treatments":
        return _treatment_rows(sequence, cut_name)
    if what == "marks":
        return _marked_treatment_rows(sequence, cut_name)
    if what == "cuts":
        return [_cut_row(sequence, cut.name) for cut in sequence.cuts]
    raise ValueError(f"no list is called {what}")


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


def tape_label_after(tape: Tape, last: Fraction) -> str:
    """The label after the tape's frame that is on screen at `last`: where a span that ends with it ends, not included."""
    counting = tape.timebase
    return counting.label(counting.wrap(tape.start_frame + tape_frame_at(last, counting.rate) + 1))


def speed_text(speed: Fraction) -> str:
    """A speed as lists show it: nothing for the tape's own, `freeze`, or a factor."""
    return "" if speed == 1 else "freeze" if speed == 0 else f"{float(speed):.3f}"


def sizes_text(sequence: Sequence, take: Take, first_frame: int, speed: Fraction, frames: int) -> str:
    """The shot sizes that a shot shows, in the order shown: `wide > close` where the framing changes in it."""
    fps = sequence.timebase.rate.fps
    ends = sorted((first_frame / fps, frame_played(first_frame, speed, frames - 1) / fps))
    sizes = _sizes_between(take, *ends)
    return " > ".join(sizes if speed >= 0 else reversed(sizes))


def _sizes_in(sequence: Sequence, take: Take, tape: Span) -> str:
    fps = sequence.timebase.rate.fps
    return " > ".join(_sizes_between(take, tape.start / fps, (tape.end_exclusive - 1) / fps))


def _sizes_between(take: Take, first: Fraction, last: Fraction) -> list[str]:
    sizes = [take.framing_at(first).size.value, *(framing.size.value for framing in take.framings if first < framing.at <= last)]
    return [size for at, size in enumerate(sizes) if at == 0 or size != sizes[at - 1]]


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
        "out": tape_label(tape, take.end_exclusive),
        "slate": take.slate,
        "rating": take.rating,
        "tempo": round(float(take.tempo), 3),
        "phrases": str(take.first_phrase) if take.first_phrase == take.last_phrase else f"{take.first_phrase}-{take.last_phrase}",
        "hits": len(take.hits),
        "framing": framing_text(take.framings[0]),
        "performers": "; ".join(f"{cast.role}: {cast.performer}" for cast in take.performers),
        "note": take.note,
    }


def _move_rows(sequence: Sequence, cut_name: str | None) -> list[Row]:
    landing: dict[int, str] = {}
    if sequence.cuts:
        for seen in hits_seen(sequence, place(sequence, sequence.cut(cut_name))):
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


def _shot_rows(sequence: Sequence, cut_name: str | None) -> list[Row]:
    placed = place(sequence, sequence.cut(cut_name))
    held = moves_held(sequence, placed)
    treated: dict[int, list[str]] = {}
    for seen in treatments_seen(sequence, placed):
        said = f"{seen.treatment.kind}: {seen.treatment.role}"
        if said not in treated.setdefault(seen.placed.number, []):
            treated[seen.placed.number].append(said)
    return [_shot_row(sequence, one, held[one.number], treated.get(one.number, [])) for one in placed]


def _shot_row(sequence: Sequence, one: Placed, moves: tuple[int, ...], treatments: list[str]) -> Row:
    picture = one.shot.picture
    row: Row = {
        "shot": one.number,
        "record in": record_label(sequence, one.record.start),
        "record out": record_label(sequence, one.record.end_exclusive),
        "frames": one.shot.frames,
        "seconds": round(float(one.shot.frames / sequence.timebase.rate.fps), 2),
        "take": "",
        "tape": "",
        "tape in": "",
        "tape out": "",
        "speed": "",
        "size": "",
        "moves": moves_text(moves),
        "treatments": "; ".join(treatments),
        "comes in": transition_text(one.shot),
        "sound lead": one.shot.sound_lead_frames or "",
        "locked": "locked" if one.shot.locked else "",
    }
    if one.source is not None and isinstance(picture, Footage):
        tape, fps = one.source.tape, sequence.timebase.rate.fps
        played = one.source.played
        row |= {
            "take": one.source.take.name,
            "tape": tape.reel,
            "tape in": tape_label(tape, played.start / fps),
            "tape out": tape_label_after(tape, (played.end_exclusive - 1) / fps),
            "speed": speed_text(picture.speed),
            "size": sizes_text(sequence, one.source.take, one.source.first_frame, picture.speed, one.shot.frames),
        }
    elif isinstance(picture, Card):
        row["take"] = "card"
    else:
        row["take"] = "black"
    return row


def transition_text(shot: Shot) -> str:
    """How a shot comes in, in a few words; nothing for a cut."""
    if shot.transition is None:
        return ""
    named = f"wipe {shot.transition.wipe:03d}" if shot.transition.kind is TransitionKind.WIPE else str(shot.transition.kind)
    return f"{named} {shot.transition.frames}"


def _treatment_rows(sequence: Sequence, cut_name: str | None) -> list[Row]:
    fps = sequence.timebase.rate.fps
    found: list[Row] = []
    for seen in treatments_seen(sequence, place(sequence, sequence.cut(cut_name))):
        tape, source = sequence.tape(seen.treatment.reel), seen.placed.source
        found.append(
            {
                "shot": seen.placed.number,
                "kind": seen.treatment.kind.value,
                "role": seen.treatment.role,
                "record in": record_label(sequence, seen.record.start),
                "record out": record_label(sequence, seen.record.end_exclusive),
                "frames": seen.record.length,
                "tape": tape.reel,
                "tape in": tape_label(tape, seen.tape.start / fps),
                "tape out": tape_label_after(tape, (seen.tape.end_exclusive - 1) / fps),
                "under transition": max(0, seen.record.end_exclusive - seen.placed.record.end_exclusive),
                "take": source.take.name if source else "",
                "speed": speed_text(source.speed) if source else "",
                "performer": _performer(seen.placed, seen.treatment.role),
                "actor": next((one.actor for one in sequence.cast if one.role == seen.treatment.role), ""),
                "size": _sizes_in(sequence, source.take, seen.tape) if source else "",
                "note": seen.treatment.note,
            }
        )
    return found


def _performer(placed: Placed, role: str) -> str:
    casting = placed.source.take.performers if placed.source else ()
    return next((cast.performer for cast in casting if cast.role == role), "")


def _marked_treatment_rows(sequence: Sequence, cut_name: str | None) -> list[Row]:
    """Every treatment marked on a tape, and the shots of the cut that show it; none is told without a cut."""
    used: dict[int, list[int]] = {}
    if sequence.cuts or cut_name:
        for seen in treatments_seen(sequence, place(sequence, sequence.cut(cut_name))):
            used.setdefault(id(seen.treatment), []).append(seen.placed.number)
    return [
        {
            "tape": treatment.reel,
            "in": tape_label(sequence.tape(treatment.reel), treatment.start),
            "out": tape_label(sequence.tape(treatment.reel), treatment.end_exclusive),
            "seconds in": round(float(treatment.start), 3),
            "seconds out": round(float(treatment.end_exclusive), 3),
            "kind": treatment.kind.value,
            "role": treatment.role,
            "takes": ", ".join(take.name for take in sequence.takes if take.reel == treatment.reel and take.span.meet(treatment.span)),
            "in shots": ", ".join(map(str, dict.fromkeys(used.get(id(treatment), [])))) or "unused",
            "note": treatment.note,
        }
        for treatment in sequence.treatments
    ]


def _cut_row(sequence: Sequence, name: str) -> Row:
    cut = sequence.cut(name)
    return {
        "cut": cut.name,
        "shots": len(cut.shots),
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
