"""Large fights made from a seed, for the bench: moves, takes of every tempo, some broken off. Plain numbers, no tapes on disk."""

from __future__ import annotations

import random
from fractions import Fraction

from msgspec.structs import replace

from previs.cut.assembly import assemble, with_cut
from previs.cut.edits import split
from previs.document.model import Framing, Hit, Move, Phrase, Sequence, Size, Take, Tape

MOVES_IN_A_PHRASE = 6
SECONDS_A_MOVE = Fraction(6, 5)


def large_fight(moves: int, takes_a_phrase: int, target_frames: int, seed: int = 1) -> Sequence:
    """A fight of so many moves in phrases of six, each phrase taken so many times on tapes of its own."""
    dice = random.Random(seed)
    phrases = tuple(
        Phrase(
            number=index + 1,
            breath_frames=dice.randrange(6, 25),
            moves=tuple(
                Move(number=number, label=f"cut {number}", attacker="Odile", defender="Reeve", upper_hand="level")
                for number in range(first, min(first + MOVES_IN_A_PHRASE, moves + 1))
            ),
        )
        for index, first in enumerate(range(1, moves + 1, MOVES_IN_A_PHRASE))
    )
    tapes, takes = [], []
    for phrase in phrases:
        for number in range(takes_a_phrase):
            reel = f"R{phrase.number:03d}{number:03d}"
            tempo = Fraction(dice.randrange(60, 105), 100)
            at, hits = Fraction(2), []
            for move in phrase.moves:
                hits.append(Hit(move.number, at))
                at += SECONDS_A_MOVE * Fraction(dice.randrange(60, 150), 100) / tempo
            if dice.random() < 0.2:
                hits = hits[: dice.randrange(1, len(hits) + 1)]
            tapes.append(_tape(reel))
            takes.append(
                Take(
                    name=f"T{phrase.number}-{number}",
                    reel=reel,
                    start=Fraction(0),
                    end_exclusive=hits[-1].at + 3,
                    first_phrase=phrase.number,
                    last_phrase=phrase.number,
                    framings=(
                        Framing(
                            Fraction(0),
                            dice.choice(tuple(Size)),
                            angle=dice.randrange(-90, 90, 5),
                            screen_left=dice.choice(("Odile", "Odile", "Reeve")),
                        ),
                    ),
                    rating=dice.randrange(1, 6),
                    tempo=tempo,
                    camera=reel[0],
                    hits=tuple(hits),
                )
            )
    return Sequence(
        title="A large fight",
        rate_name="24",
        start_frame=86400,
        target_frames=target_frames,
        phrases=phrases,
        tapes=tuple(tapes),
        takes=tuple(takes),
    )


def _tape(reel: str) -> Tape:
    return Tape(
        reel=reel,
        path=f"tapes/{reel}.mp4",
        fingerprint="0" * 32,
        rate_name="24",
        frames=60 * 24,
        duration=Fraction(60),
        width=1280,
        height=720,
        codec="h264",
        camera=reel[-1],
        start_frame=0,
        drop=False,
        sound=None,
    )


def large_show(shots: int = 200, tapes: int = 60, moves: int = 200, takes_a_phrase: int = 11) -> Sequence:
    """A fight of `moves` moves with about ten times as many hits, on so many tapes, and a cut v1 of exactly so many shots."""
    fight = large_fight(moves, takes_a_phrase, round(float(moves * SECONDS_A_MOVE) * 24))
    laid: dict[str, Fraction] = {}
    takes = []
    for number, take in enumerate(fight.takes):
        reel = f"B{number % tapes:03d}"
        begin = laid.get(reel, Fraction(0))
        laid[reel] = begin + take.end_exclusive + 1
        takes.append(
            replace(
                take,
                reel=reel,
                start=begin,
                end_exclusive=begin + take.end_exclusive,
                framings=tuple(replace(framing, at=begin + framing.at) for framing in take.framings),
                hits=tuple(replace(hit, at=begin + hit.at) for hit in take.hits),
            )
        )
    longest = int(max(laid.values())) + 2
    show = replace(
        fight,
        takes=tuple(takes),
        tapes=tuple(replace(_tape(reel), frames=longest * 24, duration=Fraction(longest)) for reel in sorted(laid)),
    )
    show = with_cut(show, assemble(show, "v1").cut)
    while len(cut := show.cut("v1").shots) < shots:
        number, longest_shot = max(enumerate(cut, start=1), key=lambda one: one[1].frames)
        show = split(show, "v1", number, longest_shot.frames // 2)
    return show
