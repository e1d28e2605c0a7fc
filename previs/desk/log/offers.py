"""What the ears and eyes offer: proposed takes and hits to take over, and hits carried from take to take; each an edit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from previs.analysis.all_takes import CarriedAll, TakeReport, carry_all
from previs.analysis.takes import ProposedTake
from previs.analysis.tapping import carried_onto
from previs.analysis.tempo import tempi, with_tempi
from previs.clock import TapeSpan
from previs.cut.wording import counted
from previs.desk.log.hand import Hand
from previs.desk.log.hearing import proposals_on
from previs.desk.log.taps import Taps
from previs.desk.words import tr
from previs.document.mark_edits import put_take, take_like_the_last
from previs.document.model import Sequence, Tape
from previs.media.signals import Signals

_MILLISECONDS = 1000


@dataclass(frozen=True, slots=True)
class Offer:
    """A proposed take as a stretch of tape, with the evidence in words."""

    span: TapeSpan
    why: str


def open_offers(sequence: Sequence, tape: Tape, proposed: tuple[ProposedTake, ...]) -> tuple[Offer, ...]:
    """The proposals that no take covers by half yet."""
    found = []
    for one in proposed:
        begin, end = (Fraction(round(edge * _MILLISECONDS), _MILLISECONDS) for edge in (one.begin, one.end))
        span = TapeSpan(max(Fraction(0), begin), min(end, tape.duration)) if begin < tape.duration else None
        if span and span.length and not any(_covers(take.span, span) for take in sequence.takes if take.reel == tape.reel):
            found.append(Offer(span, one.why))
    return tuple(found)


class Offers:
    """`shown` is whether takes are proposed on the sheet."""

    def __init__(self, hand: Hand, taps: Taps) -> None:
        self.shown = False
        self._hand, self._taps = hand, taps
        self._proposed: tuple[Signals | None, tuple[ProposedTake, ...]] = (None, ())

    def on_tape(self) -> tuple[Offer, ...]:
        """What is offered on the tape at hand; nothing before it was asked for and listened to."""
        tape = self._hand.tape
        signals = self._hand.hearing.of(tape.reel) if tape else None
        if not self.shown or tape is None or signals is None:
            return ()
        if self._proposed[0] is not signals:
            self._proposed = signals, proposals_on(tape, signals)
        return open_offers(self._hand.sequence, tape, self._proposed[1])

    def propose(self) -> None:
        """Show proposed takes, or no more."""
        hand = self._hand
        if hand.tape is None:
            hand.tell(tr("Choose a tape first."))
            return
        self.shown = not self.shown
        if self.shown:
            hand.hearing.want(hand.reel)
        self.tell()

    def tell(self) -> None:
        """Say what is offered."""
        hand = self._hand
        if not self.shown:
            hand.tell(tr("No takes are proposed."))
        elif hand.hearing.of(hand.reel) is None:
            hand.tell(tr("Tape {reel} is still being listened to; what it offers is shown then.", reel=hand.reel))
        elif offers := self.on_tape():
            takes = counted(len(offers), "take")
            hand.tell(tr("{takes} proposed. Enter takes over the one at the frame, Ctrl+Enter all of them.", takes=takes))
        else:
            hand.tell(tr("Nothing is proposed on {reel} that is not marked already.", reel=hand.reel))

    def accept(self) -> None:
        """Take over what is offered at the frame: a take, else a hit for the next move."""
        hand, tape = self._hand, self._hand.tape
        offer = next((one for one in self.on_tape() if one.span.holds(hand.moment)), None)
        if offer is not None and tape is not None:
            if hand.file.edit(lambda one: _with(one, tape.reel, (offer,)), tr("take over a take on {reel}", reel=tape.reel)):
                hand.tell(tr("The proposed take is marked: {why}.", why=offer.why))
            return
        take, signals = hand.take_here, hand.hearing.of(hand.reel)
        near = any(abs(hit.at * float(hand.fps) - hand.frame - 0.5) <= 1 for hit in signals.hits) if signals else False
        if take is None or not near:
            hand.tell(tr("Nothing is offered at this frame."))
            return
        self._taps.beat()

    def accept_all(self) -> None:
        """Take over every take that is offered on the tape."""
        hand, tape, offers = self._hand, self._hand.tape, self.on_tape()
        if tape is None or not offers:
            hand.tell(tr("No takes are offered here; P proposes some."))
            return
        if hand.file.edit(lambda one: _with(one, tape.reel, offers), tr("take over the takes on {reel}", reel=tape.reel)):
            hand.tell(tr("{takes} taken over; their phrases are yours to set.", takes=counted(len(offers), "take")))

    def carry(self) -> None:
        """Carry the hits of every logged take to those that no person has logged."""
        self._carry(None)

    def carry_from_this(self) -> None:
        """Carry the hits of the chosen take alone."""
        take = self._hand.take
        if take is None:
            self._hand.tell(tr("Choose the logged take to carry from."))
            return
        self._carry(take.name)

    def note_tempi(self) -> None:
        """Note for every take the tempo that its hits show against the performance take of the same phrase."""
        hand = self._hand
        if not tempi(hand.sequence):
            hand.tell(tr("No tempo shows yet: it needs two takes of a phrase with hits, one of them at performance tempo, 95% and up."))
            return
        noted, found = hand.sequence.takes, with_tempi(hand.sequence).takes
        others = sum(one.tempo != other.tempo for one, other in zip(noted, found, strict=True))
        if not others:
            hand.tell(tr("The tempo that is noted for every take is the one that its hits show."))
        elif hand.file.edit(with_tempi, "tempo of takes"):
            hand.tell(tr("The tempo of {takes} is noted as the hits show it.", takes=counted(others, "take")))

    def _carry(self, name: str | None) -> None:
        hand = self._hand

        def job(sequence: Sequence, signals: Mapping[str, Signals]) -> object:
            return carry_all(sequence, {reel: one.evidence for reel, one in signals.items()}, name)

        if not hand.sequence.tapes:
            hand.tell(tr("Choose a tape first."))
            return
        hand.hearing.with_all(tr("Carrying hits from take to take"), job, self._carried)
        hand.tell(tr("The hits are being carried to the other takes."))

    def _carried(self, before: Sequence, found: object) -> None:
        assert isinstance(found, CarriedAll)
        hand = self._hand
        if not found.reports:
            hand.tell(tr("Every take is logged already, or no logged take holds the phrases of the others."))
            return
        if not hand.file.edit(lambda now: carried_onto(now, before, found.sequence), tr("carry hits from take to take")):
            return
        hits, doubtful = sum(one.hits for one in found.reports), sum(one.doubtful for one in found.reports)
        parts = {"hits": counted(hits, "hit"), "takes": counted(len(found.reports), "take"), "doubtful": doubtful}
        told = tr("{hits} carried to {takes}, none of them in doubt.", **parts)
        if doubtful:
            told = tr("{hits} carried to {takes}, {doubtful} of them in doubt: N goes through those.", **parts)
        hand.file.say(told, details="\n".join(map(_report_said, found.reports)))
        hand.tell(told)


def _report_said(one: TakeReport) -> str:
    told = tr("{take}, from {source}: {hits} of {moves} moves", take=one.take, source=one.source, hits=one.hits, moves=one.moves)
    return "; ".join([told, *one.remarks])


def _covers(take: TapeSpan, offer: TapeSpan) -> bool:
    both = take.meet(offer)
    return both is not None and both.length * 2 > min(offer.length, take.length)


def _with(sequence: Sequence, reel: str, offers: tuple[Offer, ...]) -> Sequence:
    for offer in offers:
        sequence = put_take(sequence, take_like_the_last(sequence, reel, offer.span.start, offer.span.end_exclusive))
    return sequence
