"""What the chart says in words: of a shot, of the upper hand, of a drag; it draws nothing."""

from __future__ import annotations

from collections.abc import Mapping

from previs.cut.told import shots_now, went_along
from previs.cut.wording import lead_said
from previs.desk.chart.dragging import Drag, Grip, Preview, Stop
from previs.desk.chart.scale import Part
from previs.desk.chart.sheet import ChartSheet, Step
from previs.desk.words import tr
from previs.document.model import LEVEL, Sequence
from previs.exchange.lists import against_target, record_label


def of_shot(sequence: Sequence, sheet: ChartSheet, step: Step, checks: Mapping[int, str]) -> str:
    """A shot in a few lines: length, take, sizes, moves, treatments, what changes into it, whether it is locked, checks."""
    shot, source = step.placed.shot, step.placed.source
    lines = [_length(sequence, step.number, shot.frames)]
    if source:
        sizes = ", ".join(dict.fromkeys(size.value for _, size in step.runs))
        lines.append(tr("take {take}, {sizes}", take=source.take.name, sizes=sizes))
        if source.speed == 0:
            lines.append(tr("its picture is held"))
        elif source.speed != 1:
            lines.append(tr("played at {speed:.0%} of its speed", speed=float(source.speed)))
    elif step.card:
        lines.append(tr("card: {text}", text=step.card.text))
    else:
        lines.append(tr("black"))
    if step.moves:
        lines.append(tr("moves {moves}", moves=step.moves))
    kinds = {(part.kind, part.role): None for part in sheet.hatched if part.shot == step.number}
    lines += [tr("{kind}: {role}", kind=kind.value, role=role) for kind, role in kinds]
    if shot.transition:
        lines.append(tr("comes in by a {kind} of {frames} frames", kind=shot.transition.kind.value, frames=shot.transition.frames))
    if shot.sound_lead_frames:
        lines.append(tr("sound begins {when}", when=lead_said(shot.sound_lead_frames)))
    if shot.locked:
        lines.append(tr("locked"))
    if step.number in checks:
        lines.append(checks[step.number])
    return "\n".join(lines)


def of_hand(sequence: Sequence, sheet: ChartSheet, frame: int) -> str:
    """Who has the upper hand at a record frame, from when to when; empty outside the cut."""
    spell = next((spell for spell in sheet.spells if spell.record.holds(frame)), None)
    if spell is None:
        return ""
    start, end = record_label(sequence, spell.record.start), record_label(sequence, spell.record.end_exclusive)
    if spell.holder == LEVEL:
        return tr("The two are level from {start} to {end}.", start=start, end=end)
    return tr("{role} has the upper hand from {start} to {end}.", role=spell.holder, start=start, end=end)


def of_drag(before: Sequence, grip: Grip, preview: Preview, stop: Stop | None) -> tuple[str, list[str]]:
    """What a drag comes to: the change in large words, and lines below it: shot, total against the target, where it stopped."""
    now = preview.sequence or before
    frames = now.cut(grip.cut).shots[grip.shot - 1].frames
    change = frames - before.cut(grip.cut).shots[grip.shot - 1].frames
    if grip.drag is Drag.ROLL:
        change = preview.frames
    elif grip.drag is Drag.SLIP:
        # A picture that is pulled to the right shows what was earlier on the tape.
        change = -preview.frames
    lines = [_length(now, grip.shot, frames), *_total(now, grip.cut)]
    if stop:
        lines.append(_stopped_at(before, stop))
    if preview.stopped:
        lines.append(preview.stopped)
    return tr("{change:+d} frames", change=change), lines


def of_made(before: Sequence, after: Sequence, grip: Grip) -> str:
    """What a drag that was let go of has done: the edit, where its shots stand now, what went with it, and the length if that changed."""
    told = [tr("Done: {what}.", what=grip.what), *shots_now(before, after, grip.cut), *went_along(before, after, grip.cut)]
    cut = after.cut(grip.cut)
    if cut.frames != before.cut(grip.cut).frames:
        total, against = sequence_length(after, grip.cut), against_target(after, cut)
        told.append(tr("The cut lasts {total}, {against}.", total=total, against=against))
    return " ".join(told)


def of_part(step: Step, part: Part) -> str:
    """What can be done with the mouse on a part of a shot; empty for the middle of a card and of black."""
    if part is Part.BODY and step.placed.source is None:
        return ""
    if part is Part.BODY:
        return tr("Ctrl or Alt and drag: other frames of the take in the same place")
    return tr("Drag: longer or shorter; with Shift: this cut earlier or later, and all others stay")


def sequence_length(sequence: Sequence, cut_name: str) -> str:
    """How long a cut lasts, as time code."""
    return sequence.timebase.duration(sequence.cut(cut_name).frames)


def _total(sequence: Sequence, cut_name: str) -> tuple[str, str]:
    cut = sequence.cut(cut_name)
    return tr("The cut: {total}", total=sequence_length(sequence, cut_name)), against_target(sequence, cut)


def _length(sequence: Sequence, number: int, frames: int) -> str:
    seconds = float(frames / sequence.timebase.rate.fps)
    return tr("Shot {number}: {frames} frames, {seconds:.2f} s", number=number, frames=frames, seconds=seconds)


def _stopped_at(sequence: Sequence, stop: Stop) -> str:
    if stop.is_target:
        return tr("at the target")
    if stop.move is None:
        return tr("at the frame that is shown")
    return tr("{frames} frames before move {move} lands", frames=sequence.settings.lead_frames, move=stop.move)
