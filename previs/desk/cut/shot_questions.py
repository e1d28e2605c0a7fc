"""What the edits of a shot ask before they can be made, with what is proposed; no Qt."""

from __future__ import annotations

from previs.desk.cut.chosen import Chosen
from previs.desk.cut.questions import Question
from previs.desk.words import tr
from previs.document.model import Footage
from previs.document.wipes import DRAWN
from previs.exchange.lists import moves_text, tape_label


def length(given: str, hint: str = "") -> Question:
    """How long something is to last, in frames of the sequence."""
    return Question("frames", tr("How long"), given, f"{tr('Frames (36), seconds (1.5s) or time code.')} {hint}".strip())


def change_by(asked: str) -> Question:
    """By how much something is to move."""
    return Question("frames", asked, "1", tr("Frames, seconds (0.25s) or time code."))


def where(one: Chosen) -> Question:
    """Where something new is put in: before the chosen shot, or at the end."""
    choices = (str(one.shot), tr("before shot {shot}", shot=one.shot)), (str(one.last + 1), tr("at the end of the cut"))
    return Question("before", tr("Where"), str(one.shot), choices=choices)


def pattern() -> Question:
    """Which of the wipes that can be drawn."""
    choices = tuple((str(number), tr("{number}: {words}", number=number, words=words)) for number, words in DRAWN.items())
    return Question("wipe", tr("Which wipe"), "1", tr("The number is the one on the edit list."), choices)


def speed_question(one: Chosen) -> tuple[Question, ...]:
    """How fast, the speed of now proposed."""
    picture = one.shot_itself.picture
    now = abs(picture.speed) if isinstance(picture, Footage) and picture.speed else 1
    return (Question("speed", tr("How fast"), f"{float(100 * now):.6g}%", tr("Of as shot: 80%, 4/5 or 2x; the length follows.")),)


def take_questions(one: Chosen) -> tuple[Question, ...]:
    """What a new shot from a take must know; the take of the chosen shot is proposed."""
    picture = one.shot_itself.picture
    takes = tuple(
        (take.name, tr("{take}, {size}, from {at}", take=take.name, size=take.framings[0].size.value, at=_take_in(one, take.name)))
        for take in one.sequence.takes
    )
    return (
        Question("take", tr("Take"), picture.take if isinstance(picture, Footage) else "", choices=takes or (("", tr("no take yet")),)),
        Question("from", tr("From where on its tape"), "", tr("Time code of the tape; where the take begins when nothing is written.")),
        length("2s"),
        where(one),
    )


def _take_in(one: Chosen, name: str) -> str:
    take = one.sequence.take(name)
    return tape_label(one.sequence.tape(take.reel), take.start)


def card_questions(one: Chosen) -> tuple[Question, ...]:
    """For a card in the shot's place: it stands for the shot's moves."""
    held = one.moves
    labels = {move.number: move.label for move in one.sequence.moves}
    held = one.moves
    text = "; ".join(f"{move} {labels.get(move, '')}".strip() for move in held)
    in_a_row = bool(held) and held == tuple(range(held[0], held[-1] + 1))
    return _about_card(text, moves_text(held) if in_a_row else "")


def new_card_questions(one: Chosen) -> tuple[Question, ...]:
    """For a card that is put in."""
    return (*_about_card("", ""), length("24"), where(one))


def _about_card(text: str, moves: str) -> tuple[Question, ...]:
    return (
        Question("text", tr("What the card says"), text),
        Question("moves", tr("Moves that it stands for"), moves, tr("7, or 7-9, or nothing.")),
        Question("image", tr("A drawing or a still, if there is one"), is_file=True),
    )
