"""Going through the hits that nobody has looked at: each in a loop at half speed, confirmed or moved by one key."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from previs.analysis.all_takes import DOUBTFUL_BELOW, confirmed
from previs.analysis.tapping import hit_of, next_doubtful
from previs.clock import first_grid_frame
from previs.desk.log.hand import Hand
from previs.desk.log.taps import Taps
from previs.desk.words import tr
from previs.document.model import SURE

HALF = Fraction(1, 2)


class Doubts:
    """`at` is the hit that is being looked at, as (take, move), or None; `show_around` is called with its frame."""

    def __init__(self, hand: Hand, taps: Taps, show_around: Callable[[int], None]) -> None:
        self.at: tuple[str, int] | None = None
        self._hand, self._taps, self._show_around = hand, taps, show_around
        self._below = DOUBTFUL_BELOW

    def next(self, below: int = DOUBTFUL_BELOW) -> None:
        """Look at the next hit that is less sure than `below`, over all takes."""
        self._below = below
        hand = self._hand
        found = next_doubtful(hand.sequence, below, self.at)
        if found is None:
            self._none_left(below)
            return
        take, hit = found
        self.at = take.name, hit.move
        frame = first_grid_frame(hit.at, hand.fps)
        hand.player.pause()
        hand.player.unloop()
        hand.choose(take.name, seek=False)
        hand.look_at(take.reel, frame)
        half = hand.sequence.timebase.rate.nominal // 2
        hand.player.loop(max(0, frame - half), min(frame + half, hand.player.frames))
        hand.player.seek(max(0, frame - half))
        hand.player.play(HALF)
        self._show_around(frame)
        hand.want_move(take.name, hit.move)
        hand.tell(
            tr(
                "Take {take}, move {move}: {sure} % sure. Y: it is right. M: it is at the frame shown. N: the next.",
                take=take.name,
                move=hit.move,
                sure=hit.confidence,
            )
        )

    def confirm(self) -> None:
        """The hit being looked at, or the one at the frame, is right; then the next doubtful one."""
        at = self._at_hand()
        if at is None:
            self._hand.tell(tr("No hit is at this frame; N goes to one that is in doubt."))
            return
        name, move = at
        looking = self.at is not None
        what = tr("confirm move {move} on {take}", move=move, take=name)
        if not self._hand.file.edit(lambda one: confirmed(one, name, frozenset({move})), what):
            return
        if looking:
            self.next(self._below)
        else:
            self._hand.tell(tr("Move {move} is confirmed.", move=move))

    def move_here(self) -> None:
        """The hit being looked at, or the next move's, is at the frame that is shown."""
        hand = self._hand
        hand.player.pause()
        if self.at is not None:
            self._taps.put_at(*self.at, hand.frame, snapping=False)
            return
        take, move = hand.take_here, hand.next_move
        if take is None or move is None or hit_of(take, move.number) is None:
            hand.tell(tr("There is no hit to move here: Page Up and Page Down choose a move that has one."))
            return
        self._taps.put_at(take.name, move.number, hand.frame, snapping=False)

    def end(self) -> None:
        """Look at doubtful hits no more."""
        if self.at is not None:
            self.at = None
            self._hand.player.unloop()

    def _at_hand(self) -> tuple[str, int] | None:
        hand = self._hand
        if self.at is not None:
            take = next((one for one in hand.sequence.takes if one.name == self.at[0]), None)
            return self.at if take and hit_of(take, self.at[1]) else None
        take = hand.take_here
        hits = take.hits if take else ()
        here = next((hit for hit in hits if first_grid_frame(hit.at, hand.fps) == hand.frame), None)
        return (take.name, here.move) if take and here else None

    def _none_left(self, below: int) -> None:
        self.end()
        hand = self._hand
        hand.player.pause()
        rest = sum(hit.confidence < SURE for take in hand.sequence.takes for hit in take.hits)
        if rest and below < SURE:
            hand.tell(tr("No hit is in doubt any more. Shift+N goes through the {rest} that nobody has looked at.", rest=rest))
        else:
            hand.tell(tr("Every hit has been looked at."))
