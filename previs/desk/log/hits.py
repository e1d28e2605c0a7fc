"""The hits of the chosen take: taps, the next move, doubtful ones, carrying; each change is one edit of the file."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from previs.analysis.all_takes import CarriedAll, carry_all, confirmed
from previs.analysis.tapping import REACH_FRAMES, moves_of, next_move, snap
from previs.clock import first_grid_frame
from previs.desk.words import tr
from previs.document import mark_edits
from previs.document.model import SURE, Move, Sequence
from previs.media.signals import Signals
from previs.media.sound import SAMPLE_RATE

if TYPE_CHECKING:
    from previs.desk.log.place import LogPlace

HALF = Fraction(1, 2)


class Hits:
    """Marks hits at the place where the person is: its chosen take, the frame of its player."""

    def __init__(self, at: LogPlace) -> None:
        self._at, self._file = at, at.file
        self.snapping = True
        self._next: int | None = None
        self._taps: list[tuple[str, int]] = []

    @property
    def wanted(self) -> Move | None:
        """The move that the next tap takes."""
        take = self._at.take
        number = (self._next if self._next is not None else next_move(self._file.sequence, take)) if take else None
        return next((move for move in self._file.sequence.moves if move.number == number), None)

    @property
    def wanted_said(self) -> str:
        """That move in words."""
        move = self.wanted
        if self._at.take is None:
            return tr("Choose a take to tap its hits, or begin one with T.")
        if move is None:
            return tr("Every move of this take has its hit.")
        roles = tr("{attacker} to {defender}", attacker=move.attacker, defender=move.defender)
        line = tr("{roles}, {line}", roles=roles, line=move.line) if move.line else roles
        return tr("Next tap: move {n}, {label}: {line}", n=move.number, label=move.label, line=line)

    def forget_next(self) -> None:
        """The first move without a hit takes the next tap."""
        self._next = None

    def tap(self) -> None:
        """The next move lands now: on the evidence near this frame, or on the frame itself."""
        take, move = self._at.take, self.wanted
        if take is None or move is None:
            self._file.say(self.wanted_said)
            return
        at, told = self._at.moment, tr("Move {n} lands on this frame.", n=move.number)
        signals = self._at.signals()
        found = snap(signals.evidence, float(at), float(REACH_FRAMES / self._at.fps)) if self.snapping and signals else None
        if found:
            at = Fraction(round(found.at * SAMPLE_RATE), SAMPLE_RATE)
            off = first_grid_frame(at, self._at.fps) - self._at.player.frame
            told = tr("Move {n}: {off:+d} frames to {found}.", n=move.number, off=off, found=found.found.value)
        moves = moves_of(self._file.sequence, take)
        if self._file.edit(
            lambda one: mark_edits.put_hit(one, take.name, move.number, at), f"hit of move {move.number} on take {take.name}"
        ):
            self._taps.append((take.name, move.number))
            if self._next is not None:
                later = moves[moves.index(move.number) + 1 :] if move.number in moves else []
                self._next = later[0] if later else None
            self._file.say(told)
            self._at.show_file()

    def untap(self) -> None:
        """The last tap was a mistake; its move is the next one again."""
        if not self._taps:
            self._file.say(tr("There is no tap to take back."))
            return
        name, move = self._taps.pop()
        if self._file.edit(lambda one: mark_edits.remove_hit(one, name, move), f"no hit of move {move} on take {name}"):
            self._next = move
            self._at.show_file()

    def step_next(self, by: int) -> None:
        """Another move takes the next tap, `by` moves on."""
        take = self._at.take
        if take is None:
            return
        every, move = moves_of(self._file.sequence, take), self.wanted
        here = every.index(move.number) if move and move.number in every else len(every)
        self._next = every[min(max(here + by, 0), len(every) - 1)] if every else None
        self._at.show_next()
        self._at.player.update()

    def move_hit(self, name: str, move: int, frame: int) -> None:
        """A hit lands on another frame."""
        self._file.edit(lambda one: mark_edits.put_hit(one, name, move, frame / self._at.fps), f"hit of move {move} on take {name}")

    def remove_here(self) -> None:
        """The chosen take's hit on this frame was none."""
        take = self._at.take
        here = [hit for hit in take.hits if abs(first_grid_frame(hit.at, self._at.fps) - self._at.player.frame) <= 1] if take else []
        if take and here:
            self._file.edit(
                lambda one: mark_edits.remove_hit(one, take.name, here[0].move), f"no hit of move {here[0].move} on take {take.name}"
            )
        else:
            self._file.say(tr("No hit of the chosen take is on this frame."))

    def next_doubtful(self) -> None:
        """To the next hit that nobody has looked at, over all takes, a second around it again and again at half speed."""
        waiting = [(take, hit) for take in self._file.sequence.takes for hit in take.hits if hit.confidence < SURE]
        if not waiting:
            self._file.say(tr("Every hit has been looked at."))
            return
        order = {take.name: number for number, take in enumerate(self._file.sequence.takes)}
        here = (order.get(self._at.take_name, -1), self._at.moment)
        take, hit = next((one for one in waiting if (order[one[0].name], one[1].at) > here), waiting[0])
        self._at.choose(take.reel, take.name)
        frame, around = first_grid_frame(hit.at, self._at.fps), self._file.sequence.timebase.rate.nominal // 2
        self._at.player.seek(frame)
        self._next = hit.move
        self._at.player.loop(max(0, frame - around), frame + around)
        self._at.player.play(HALF)
        told = tr(
            "Move {n} on take {take}, {sure} % sure: Y if it is right, M on the right frame.",
            n=hit.move,
            take=take.name,
            sure=hit.confidence,
        )
        self._file.say(told)
        self._at.show_next()

    def confirm(self) -> None:
        """The doubtful hit is right; on to the next one."""
        take, move = self._at.take, self.wanted
        if take and move and any(hit.move == move.number for hit in take.hits):
            self._file.edit(
                lambda one: confirmed(one, take.name, frozenset({move.number})), f"hit of move {move.number} on take {take.name} is right"
            )
            self._at.player.pause()
            self._at.player.unloop()
            self.next_doubtful()

    def move_here(self) -> None:
        """The move that is looked at lands on this frame."""
        take, move = self._at.take, self.wanted
        if take and move:
            self._at.player.pause()
            self.move_hit(take.name, move.number, self._at.player.frame)

    def carry(self) -> None:
        """Find the hits of the other takes from those that are logged."""

        def with_signals(signals: dict[str, Signals]) -> None:
            sequence = self._file.sequence
            evidence = {reel: one.evidence for reel, one in signals.items()}
            self._file.do(
                tr("Carrying the hits to the other takes"), lambda _: carry_all(sequence, evidence), lambda made: put(sequence, made)
            )

        def put(before: Sequence, made: CarriedAll) -> None:
            if self._file.sequence is not before:
                self._file.say(tr("The file was changed meanwhile, so nothing was carried; carry again."))
            elif self._file.edit(lambda _: made.sequence, "carry the hits to the other takes"):
                found, doubtful = sum(one.hits for one in made.reports), sum(one.doubtful for one in made.reports)
                takes = len(made.reports)
                self._file.say(
                    tr(
                        "{found} hits on {takes} takes, {doubtful} of them doubtful: N goes through them.",
                        found=found,
                        takes=takes,
                        doubtful=doubtful,
                    )
                )

        self._at.evidence.of_all(with_signals)

    def toggle_snap(self) -> None:
        """Taps go to the evidence, or stay on their frame."""
        self.snapping = not self.snapping
        self._file.say(tr("Taps go to what is heard or seen near them.") if self.snapping else tr("Taps stay on their frame."))
