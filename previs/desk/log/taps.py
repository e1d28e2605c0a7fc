"""Tapping hits: each tap takes the next move, snaps if that is wanted, and is one edit; the rules are in `analysis.tapping`."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import partial

from previs.analysis.tapping import REACH_FRAMES, Found, hit_of, snap, stepped_move
from previs.clock import first_grid_frame
from previs.cut.wording import counted
from previs.desk.log.hand import Hand
from previs.desk.words import tr
from previs.document.mark_edits import change_take, contradicted, put_hit, remove_hit
from previs.document.model import SURE, Take
from previs.media.sound import SAMPLE_RATE


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a hit is put: its moment, what is there (None: nothing was near, or nobody asked), how many frames off."""

    at: Fraction
    found: Found | None
    moved_frames: int


class Taps:
    """Puts, takes back and moves hits of the take at hand."""

    def __init__(self, hand: Hand) -> None:
        self._hand = hand
        self._made: list[tuple[str, str, int]] = []

    def beat(self) -> None:
        """The next move of the take at the frame lands now."""
        hand, take = self._hand, self._hand.take_here
        if take is None:
            hand.tell(tr("No take is here: T begins one."))
            return
        hand.choose(take.name, seek=False)
        move = hand.next_move
        if move is None:
            hand.tell(tr("Every move of take {take} has been tapped. If it plays on, choose its last phrase on the right.", take=take.name))
            return
        signals = hand.hearing.of(hand.reel)
        where = self._placed(hand.reel, hand.frame, snapping=hand.snap)
        if self._put(take, move.number, where.at):
            hand.tell(told(move.number, where, snapping=hand.snap, listening=hand.snap and signals is None))

    def take_back(self) -> None:
        """Take the last tap back; the move is the next one again."""
        hand = self._hand
        while self._made:
            what, name, move = self._made.pop()
            take = next((one for one in hand.sequence.takes if one.name == name), None)
            if take is None or hit_of(take, move) is None:
                continue  # it was undone otherwise
            if hand.file.steps[0] == what:
                hand.file.undo()
            else:
                hand.file.edit(partial(remove_hit, take_name=name, move=move), tr("take back move {move}", move=move))
            hand.want_move(name, move)
            hand.tell(tr("Move {move} was taken back.", move=move))
            return
        hand.tell(tr("There is no tap to take back; Delete removes the hit at the frame."))

    def put_at(self, name: str, move: int, frame: int, *, snapping: bool) -> None:
        """Move a hit to a frame of the tape's grid, as a drag or a key does; `snapping` lets it look for evidence nearby."""
        hand = self._hand
        take = next((one for one in hand.sequence.takes if one.name == name), None)
        if take is None:
            return
        where = self._placed(take.reel, frame, snapping=snapping)
        what = tr("move the hit of move {move} on {take}", move=move, take=name)
        if hand.file.edit(lambda one: put_hit(one, name, move, where.at), what):
            hand.tell(told(move, where, snapping=snapping, listening=False))

    def remove(self, name: str, move: int) -> None:
        """Remove one hit."""
        what = tr("remove the hit of move {move} on {take}", move=move, take=name)
        if self._hand.file.edit(lambda one: remove_hit(one, name, move), what):
            self._hand.tell(tr("The hit of move {move} is removed.", move=move))

    def clear(self) -> None:
        """Remove every hit of the chosen take."""
        take = self._hand.take
        if take is None:
            self._hand.tell(tr("Choose a take first."))
            return
        name = take.name
        if not take.hits:
            self._hand.tell(tr("Take {take} has no hits.", take=name))
        elif self._hand.file.edit(lambda one: change_take(one, name, hits=()), tr("remove all hits of {take}", take=name)):
            self._made.clear()
            self._hand.tell(tr("All hits of take {take} are removed; undo brings them back.", take=name))

    def _placed(self, reel: str, frame: int, *, snapping: bool) -> Placed:
        hand = self._hand
        signals, moment = hand.hearing.of(reel), frame / hand.fps
        found = snap(signals.evidence, float(moment), float(REACH_FRAMES / hand.fps)) if signals and snapping else None
        if found is None:
            return Placed(moment, None, 0)
        at = Fraction(round(found.at * SAMPLE_RATE), SAMPLE_RATE)
        return Placed(at, found.found, first_grid_frame(at, hand.fps) - frame)

    def _put(self, take: Take, move: int, at: Fraction) -> bool:
        hand, name = self._hand, take.name
        gone = [hit.move for hit in contradicted(hand.sequence, name, move, at) if hit.confidence < SURE]
        what = tr("hit of move {move} on {take}", move=move, take=name)
        if not hand.file.edit(lambda one: put_hit(one, name, move, at), what):
            return False
        self._made.append((what, name, move))
        hand.want_move(name, stepped_move(hand.sequence, hand.sequence.take(name), move, 1))
        if gone:
            moves = ", ".join(map(str, gone))
            hand.file.say(tr("Carried hits that no longer fit went: moves {moves}. Undo brings them back.", moves=moves))
        return True


def told(move: int, where: Placed, *, snapping: bool, listening: bool) -> str:
    """What a tap came to, in a sentence."""
    far = counted(abs(where.moved_frames), "frame")
    if listening:
        return tr("Move {move}: where it was tapped, for the tape is still being listened to.", move=move)
    if not snapping:
        return tr("Move {move}: where it was tapped.", move=move)
    if where.found is None:
        return tr("Move {move}: where it was tapped, for nothing strikes nearby.", move=move)
    if where.moved_frames == 0:
        return {
            Found.STRIKE: tr("Move {move}: right on a strike.", move=move),
            Found.LANDING: tr("Move {move}: right on a landing.", move=move),
            Found.STOP: tr("Move {move}: right on a sudden stop.", move=move),
        }[where.found]
    if where.moved_frames < 0:
        return {
            Found.STRIKE: tr("Move {move}: snapped {far} back to a strike.", move=move, far=far),
            Found.LANDING: tr("Move {move}: snapped {far} back to a landing.", move=move, far=far),
            Found.STOP: tr("Move {move}: snapped {far} back to a sudden stop.", move=move, far=far),
        }[where.found]
    return {
        Found.STRIKE: tr("Move {move}: snapped {far} on to a strike.", move=move, far=far),
        Found.LANDING: tr("Move {move}: snapped {far} on to a landing.", move=move, far=far),
        Found.STOP: tr("Move {move}: snapped {far} on to a sudden stop.", move=move, far=far),
    }[where.found]
