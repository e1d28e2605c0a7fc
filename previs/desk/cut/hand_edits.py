"""Every edit of a shot by hand, as values: its words and keys, what it must ask, and which edit of `cut` it comes to; no Qt."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from previs.clock import first_grid_frame, parse_instant
from previs.cut import edits, retimes, transitions
from previs.desk.cut.chosen import Chosen
from previs.desk.cut.questions import Answers, Question
from previs.desk.cut.shot_questions import (
    card_questions,
    change_by,
    length,
    new_card_questions,
    pattern,
    speed_question,
    take_questions,
    where,
)
from previs.desk.words import tr
from previs.document.model import Black, Card, Footage, Sequence, Transition, TransitionKind
from previs.document.paths import stored_path
from previs.exchange.written import run_of_moves, speed
from previs.faults import UseFault

Frames = Callable[[Sequence, str, int, int], Sequence]
Plain = Callable[[Sequence, str, int], Sequence]


@dataclass(frozen=True, slots=True)
class Planned:
    """An edit ready to be made. `what` is what undo calls it, as the command line does.

    `now` is the number that the shot has then, told also when it only moved; `asked` the shot whose transition or sound the
    edit is to take away; `choose` the shot to be chosen afterwards where that is another than before.
    """

    what: str
    change: Callable[[Sequence], Sequence]
    now: int | None = None
    asked: int | None = None
    choose: int | None = None


@dataclass(frozen=True, slots=True)
class HandEdit:
    """One edit: its words, its keys, and what it comes to, given the answers to its questions."""

    text: str
    keys: str
    plan: Callable[[Chosen, Answers], Planned]
    questions: Callable[[Chosen], tuple[Question, ...]] = lambda _: ()
    do: str = ""


def hand_edits() -> tuple[tuple[HandEdit, ...], ...]:
    """All of them, in the groups in which a menu shows them."""
    return _places(), _put_in(), _playing(), _cut_point(), (HandEdit(tr("Lock it, or unlock it"), "P", _lock),)


def _places() -> tuple[HandEdit, ...]:
    later = change_by(tr("How much later; with a minus, earlier"))
    return (
        HandEdit(tr("Split it at this frame"), "X", _split),
        HandEdit(tr("Join it with the next"), "Shift+X", lambda one, _: _plain(one, "join shots {shot} and {next}", edits.join)),
        HandEdit(tr("Move it earlier"), "Ctrl+Up", partial(_move, -1)),
        HandEdit(tr("Move it later"), "Ctrl+Down", partial(_move, 1)),
        HandEdit(tr("Slide it between its neighbours ..."), "", _slide, lambda _: (later,)),
        HandEdit(tr("Remove it"), "Delete", lambda one, _: _plain(one, "remove shot {shot}", edits.remove)),
        HandEdit(tr("Leave a card in its place ..."), "Shift+Delete", _leave_card, card_questions, tr("Leave the card")),
        HandEdit(tr("Leave black in its place"), "", _leave_black),
    )


def _put_in() -> tuple[HandEdit, ...]:
    return (
        HandEdit(tr("Put in a shot from a take ..."), "Insert", _insert_take, take_questions, tr("Put it in")),
        HandEdit(tr("Put in a card ..."), "Shift+Insert", _insert_card, new_card_questions, tr("Put it in")),
        HandEdit(tr("Put in black ..."), "", _insert_black, lambda one: (where(one), length("12")), tr("Put it in")),
    )


def _playing() -> tuple[HandEdit, ...]:
    return (
        HandEdit(tr("Play it at another speed ..."), "V", _speed, speed_question),
        HandEdit(
            tr("Play it in another length ..."),
            "",
            lambda one, answers: _frames(one, "change the length of shot {shot}", retimes.retime_to_length, answers),
            lambda one: (length(str(one.shot_itself.frames), tr("The same frames of the tape; the speed follows.")),),
        ),
        HandEdit(tr("Play it backwards"), "", lambda one, _: _plain(one, "reverse shot {shot}", retimes.reverse)),
        HandEdit(tr("Hold the picture from this frame on"), "", _freeze),
    )


def _cut_point() -> tuple[HandEdit, ...]:
    lasts = partial(length, hint=tr("0 takes it away."))
    early = Question("frames", tr("How long before its picture"), "6", tr("Frames, seconds (0.25s) or time code; with a minus, after it."))
    return (
        HandEdit(tr("Dissolve into it ..."), "T", partial(_transition, TransitionKind.DISSOLVE), lambda _: (lasts("12"),)),
        HandEdit(tr("Wipe to it ..."), "", partial(_transition, TransitionKind.WIPE), lambda _: (lasts("12"), pattern())),
        HandEdit(tr("Fade it in from black ..."), "", _fade_in, lambda _: (lasts("24"),)),
        HandEdit(tr("Fade it out to black ..."), "", _fade_out, lambda _: (lasts("24"),)),
        HandEdit(tr("Let its sound begin earlier or later ..."), "", _sound, lambda _: (early,)),
    )


# What they come to


def _plain(one: Chosen, what: str, change: Plain, *, asked: bool = False) -> Planned:
    named = what.format(shot=one.shot, next=one.shot + 1)
    return Planned(named, lambda now: change(now, one.cut, one.shot), asked=one.shot if asked else None)


def _frames(one: Chosen, what: str, change: Frames, answers: Answers, *, asked: bool = False, now: int | None = None) -> Planned:
    frames = one.frames(answers["frames"])
    asked_of = one.shot if asked else None
    return Planned(what.format(shot=one.shot), lambda before: change(before, one.cut, one.shot, frames), now, asked_of)


def _split(one: Chosen, _: Answers) -> Planned:
    at = one.own_frame
    return Planned(f"split shot {one.shot}", lambda now: edits.split(now, one.cut, one.shot, at), choose=one.shot + 1)


def _freeze(one: Chosen, _: Answers) -> Planned:
    at = one.own_frame
    return Planned(f"freeze shot {one.shot}", lambda now: retimes.freeze(now, one.cut, one.shot, at))


def _move(by: int, one: Chosen, _: Answers) -> Planned:
    to = one.shot + by
    return Planned(f"move shot {one.shot} to place {to}", lambda now: edits.move(now, one.cut, one.shot, to), now=to)


def _slide(one: Chosen, answers: Answers) -> Planned:
    return _frames(one, "slide shot {shot}", edits.slide, answers, now=one.shot)


def _leave_card(one: Chosen, answers: Answers) -> Planned:
    card = _card(one, answers)
    return _plain(one, "remove shot {shot}", lambda now, cut, shot: edits.remove(now, cut, shot, card))


def _leave_black(one: Chosen, _: Answers) -> Planned:
    return _plain(one, "remove shot {shot}", lambda now, cut, shot: edits.remove(now, cut, shot, Black()))


def _insert_take(one: Chosen, answers: Answers) -> Planned:
    take = one.sequence.take(answers["take"])
    tape = one.sequence.tape(take.reel)
    begin = answers["from"]
    moment = parse_instant(begin, tape.timebase, tape.start_frame) if begin else take.start
    footage = Footage(take.name, first_grid_frame(moment, one.sequence.timebase.rate.fps))
    return _insert(one, f"take {take.name}", footage, answers)


def _insert_card(one: Chosen, answers: Answers) -> Planned:
    return _insert(one, "a card", _card(one, answers), answers)


def _insert_black(one: Chosen, answers: Answers) -> Planned:
    return _insert(one, "black", Black(), answers)


def _insert(one: Chosen, named: str, picture: Footage | Card | Black, answers: Answers) -> Planned:
    before, frames = int(answers["before"]), one.frames(answers["frames"])
    what = f"insert {named} as shot {before}"
    return Planned(what, lambda now: edits.insert(now, one.cut, before, picture, frames), choose=before)


def _speed(one: Chosen, answers: Answers) -> Planned:
    wanted = speed(answers["speed"])
    return _plain(one, "change the speed of shot {shot}", lambda now, cut, shot: retimes.retime_to_speed(now, cut, shot, wanted))


def _transition(kind: TransitionKind, one: Chosen, answers: Answers) -> Planned:
    what = "dissolve into shot {shot}" if kind is TransitionKind.DISSOLVE else "wipe to shot {shot}"
    wipe = int(answers["wipe"]) if kind is TransitionKind.WIPE else 0

    def change(now: Sequence, cut: str, shot: int, frames: int) -> Sequence:
        if frames == 0:
            return transitions.remove_transition(now, cut, shot)
        return transitions.add_transition(now, cut, shot, Transition(kind, frames, wipe))

    return _frames(one, what, change, answers, asked=True)


def _fade_in(one: Chosen, answers: Answers) -> Planned:
    def change(now: Sequence, cut: str, shot: int, frames: int) -> Sequence:
        return transitions.fade_in(now, cut, shot, frames) if frames else transitions.remove_fade_in(now, cut, shot)

    return _frames(one, "fade in shot {shot}", change, answers, asked=True)


def _fade_out(one: Chosen, answers: Answers) -> Planned:
    def change(now: Sequence, cut: str, shot: int, frames: int) -> Sequence:
        return transitions.fade_out(now, cut, shot, frames) if frames else transitions.remove_fade_out(now, cut, shot)

    return _frames(one, "fade out shot {shot}", change, answers, asked=True)


def _sound(one: Chosen, answers: Answers) -> Planned:
    return _frames(one, "lead the sound of shot {shot}", transitions.lead_sound, answers, asked=True)


def _lock(one: Chosen, _: Answers) -> Planned:
    lock = not one.shot_itself.locked
    what = "lock shot {shot}" if lock else "unlock shot {shot}"
    return _plain(one, what, lambda now, cut, shot: edits.lock(now, cut, shot, lock))


def _card(one: Chosen, answers: Answers) -> Card:
    text, moves, image = answers["text"], answers["moves"], answers["image"]
    if not text:
        raise UseFault(tr("A card needs a word at least."))
    first, last = run_of_moves(moves) if moves else (None, None)
    if image and not Path(image).is_file():
        raise UseFault(tr("There is no drawing or still at {image}; check the name.", image=image))
    return Card(text, first, last, stored_path(Path(image), one.path) if image else "")
