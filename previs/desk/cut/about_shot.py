"""What is to be said of one shot, as lines of words and values; no Qt."""

from __future__ import annotations

from itertools import groupby

from previs.cut.placing import Placed, moves_held, place, treatments_seen
from previs.cut.wording import lead_said, speed_said, transition_said
from previs.desk.words import tr
from previs.document.model import Black, Card, Cut, Sequence
from previs.exchange.lists import moves_text, record_label, tape_label


def about_shot(sequence: Sequence, cut: Cut, number: int) -> list[tuple[str, str]]:
    """What a shot is, as (what, value), what there is not left out."""
    placed = place(sequence, cut)
    one = placed[number - 1]
    fps = sequence.timebase.rate.fps
    held = moves_held(sequence, placed)[number]
    rows = [
        (
            tr("lasts"),
            tr(
                "{frames} frames ({seconds:.2f} s) from {at}",
                frames=one.shot.frames,
                seconds=float(one.shot.frames / fps),
                at=record_label(sequence, one.record.start),
            ),
        ),
        (tr("moves"), moves_text(held)),
        *_picture_rows(sequence, one),
        (tr("comes in"), _comes_in(placed, one)),
        (tr("sound begins"), lead_said(one.shot.sound_lead_frames) if one.shot.sound_lead_frames else ""),
        (tr("pull code"), one.shot.code),
        (tr("locked"), tr("yes: edits refuse to change it") if one.shot.locked else ""),
    ]
    return [(what, value) for what, value in rows if value]


def reasons_of(cut: Cut, number: int) -> tuple[str, ...]:
    """Why a shot is what it is; what is said several times in a row, as of an edge that was nudged along, is said once."""
    said = [(reason, sum(1 for _ in again)) for reason, again in groupby(cut.shots[number - 1].reasons)]
    told = tuple(reason if times == 1 else tr("{reason} ({times} times)", reason=reason, times=times) for reason, times in said)
    return told or (tr("It was put here by hand."),)


def _picture_rows(sequence: Sequence, one: Placed) -> list[tuple[str, str]]:
    if one.source is None:
        picture = one.shot.picture
        return [(tr("shows"), picture.text if isinstance(picture, Card) else tr("black"))]
    source, fps = one.source, sequence.timebase.rate.fps
    sizes = dict.fromkeys(framing.size.value for _, framing in one.framings(fps))
    performers = tr(", ").join(tr("{role}: {who}", role=casting.role, who=casting.performer) for casting in source.take.performers)
    treatments = [
        tr("{kind} of {role}", kind=seen.treatment.kind.value, role=seen.treatment.role) for seen in treatments_seen(sequence, (one,))
    ]
    return [
        (
            tr("take"),
            tr("{take}, rated {rating} of 5", take=source.take.name, rating=source.take.rating) if source.take.rating else source.take.name,
        ),
        (tr("tape"), tr("{reel} from {at}", reel=source.tape.reel, at=tape_label(source.tape, max(0, source.first_frame) / fps))),
        (tr("size"), tr(", ").join(sizes)),
        (tr("speed"), "" if source.speed == 1 else speed_said(source.speed)),
        (tr("performers"), performers),
        (tr("treatments"), tr(", ").join(dict.fromkeys(treatments))),
    ]


def _comes_in(placed: tuple[Placed, ...], one: Placed) -> str:
    """How it comes in, where that is not simply cut to."""
    if one.shot.transition is None:
        return ""
    return transition_said(one.shot.transition, from_black=_black(placed, one.number - 2), to_black=_black(placed, one.number - 1))


def _black(placed: tuple[Placed, ...], index: int) -> bool:
    return index < 0 or isinstance(placed[index].shot.picture, Black)
