"""Tapping hits: each tap takes the next move, snaps if that is wanted, and is one edit; the rules are in `analysis.tapping`."""

from __future__ import annotations

from functools import partial

from previs.analysis.tapping import Placed, Sign, placed, stepped_move
from previs.clock import first_grid_frame
from previs.cut.wording import counted
from previs.desk.log.hand import Hand
from previs.desk.words import tr
from previs.document.mark_edits import clear_hits, contradicted, hit_of, put_hit, remove_hit
from previs.document.model import SURE, Take


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
            hand.tell(tr("Every move of take {take} has been tapped. Page Up goes back to one.", take=take.name))
            return
        signals = hand.hearing.of(hand.reel)
        where = placed(hand.frame, hand.fps, signals.evidence if signals else None, snap=hand.snap)
        if self._put(take, move.number, where.frame):
            listening = hand.snap and signals is None
            hand.tell(told(move.number, where, snap=hand.snap, listening=listening))

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
                hand.file.edit(partial(remove_hit, name=name, move=move), tr("take back move {move}", move=move))
            again = next((one for one in hand.sequence.moves if one.number == move), None)
            hand.want_move(name, again)
            hand.tell(tr("Move {move} was taken back.", move=move))
            return
        hand.tell(tr("There is no tap to take back; Delete removes the hit at the frame."))

    def put_at(self, name: str, move: int, frame: int, *, snap: bool) -> None:
        """Move a hit to a frame of the tape's grid, as a drag or a key does; `snap` lets it look for evidence nearby."""
        hand = self._hand
        take = next((one for one in hand.sequence.takes if one.name == name), None)
        if take is None:
            return
        signals = hand.hearing.of(take.reel)
        where = placed(frame, hand.fps, signals.evidence if signals else None, snap=snap)
        at = where.frame / hand.fps
        what = tr("move the hit of move {move} on {take}", move=move, take=name)
        if hand.file.edit(lambda one: put_hit(one, name, move, at), what):
            hand.tell(told(move, where, snap=snap, listening=False))

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
        if self._hand.file.edit(lambda one: clear_hits(one, name), tr("remove all hits of {take}", take=name)):
            self._made.clear()
            self._hand.tell(tr("All hits of take {take} are removed; undo brings them back.", take=name))

    def _put(self, take: Take, move: int, frame: int) -> bool:
        hand, name, at = self._hand, take.name, frame / self._hand.fps
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


def told(move: int, where: Placed, *, snap: bool, listening: bool) -> str:
    """What a tap came to, in a sentence."""
    far = counted(abs(where.moved_frames), "frame")
    if listening:
        return tr("Move {move}: where it was tapped, for the tape is still being listened to.", move=move)
    if not snap:
        return tr("Move {move}: where it was tapped.", move=move)
    if where.sign is None:
        return tr("Move {move}: where it was tapped, for nothing strikes nearby.", move=move)
    if where.moved_frames == 0:
        return {
            Sign.STRIKE: tr("Move {move}: right on a strike.", move=move),
            Sign.LANDING: tr("Move {move}: right on a landing.", move=move),
            Sign.STOP: tr("Move {move}: right on a sudden stop.", move=move),
        }[where.sign]
    if where.moved_frames < 0:
        return {
            Sign.STRIKE: tr("Move {move}: snapped {far} back to a strike.", move=move, far=far),
            Sign.LANDING: tr("Move {move}: snapped {far} back to a landing.", move=move, far=far),
            Sign.STOP: tr("Move {move}: snapped {far} back to a sudden stop.", move=move, far=far),
        }[where.sign]
    return {
        Sign.STRIKE: tr("Move {move}: snapped {far} on to a strike.", move=move, far=far),
        Sign.LANDING: tr("Move {move}: snapped {far} on to a landing.", move=move, far=far),
        Sign.STOP: tr("Move {move}: snapped {far} on to a sudden stop.", move=move, far=far),
    }[where.sign]


def frame_of(take: Take, move: int, hand: Hand) -> int | None:
    """The frame of the tape's grid on which a move of a take lands, or None."""
    hit = hit_of(take, move)
    return None if hit is None else first_grid_frame(hit.at, hand.fps)
