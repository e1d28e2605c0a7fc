"""A long show, made quickly and worked through: tapes that are few clips under many names, a long cut, and every verb once.

Run as a program, `long_show.py FOLDER TAPES SHOTS`, it prints a line of JSON for each piece of work: what, and its seconds.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path
from time import perf_counter

from clips import make_clip
from msgspec.structs import replace

from previs.cut.codes import with_codes
from previs.cut.edits import trim_tail
from previs.cut.pace import pace
from previs.document.model import (
    Black,
    Card,
    Cut,
    Footage,
    Framing,
    Hit,
    Kind,
    Move,
    Phrase,
    Sequence,
    Settings,
    Shot,
    Size,
    Take,
    Transition,
    TransitionKind,
    Treatment,
)
from previs.document.paths import cache_folder
from previs.document.sitting import Sitting
from previs.document.store import create, open_document
from previs.exchange.captions import write_captions
from previs.exchange.edit_list_files import edit_list_files
from previs.exchange.lists import rows
from previs.exchange.otio import write_timeline
from previs.exchange.pace_text import pace_lines
from previs.exchange.shot_lists import shot_list_files
from previs.exchange.step_chart import Format, step_chart_bytes
from previs.fight.checks import checks
from previs.handoff.call_sheets import Department
from previs.handoff.pull_files import Wanted, pulls_due
from previs.handoff.sheet_files import Paper
from previs.handoff.sheet_folder import write_sheets
from previs.media.cut_movies import publish_cut
from previs.media.fingerprint import fingerprint
from previs.media.ingest import take_in, with_tapes
from previs.progress import silent

CLIPS, CLIP_FRAMES, SHOT_FRAMES, MOVES_A_TAKE = 3, 96, 24, 3
LISTS = ("tapes", "takes", "moves", "hits", "shots", "treatments", "cuts")
MADE = date(2027, 5, 3)
Work = tuple[str, Callable[[], object]]


def make_tapes(folder: Path, count: int) -> list[Path]:
    """So many movies of different content: copies of a few clips, each with a free atom of its own at its end."""
    clips = [
        make_clip(
            folder / f"clip{number}.mp4",
            frames=CLIP_FRAMES,
            rate=Fraction(24),
            size=(160, 90),
            first_number=number * 1000,
            click_frames=(24, 48, 72),
            options={"g": "24", "preset": "ultrafast"},
        ).path.read_bytes()
        for number in range(CLIPS)
    ]
    tapes = []
    for number in range(count):
        note = f"tape {number:04d}".encode()
        tapes.append(folder / f"T{number:04d}.mp4")
        tapes[-1].write_bytes(clips[number % CLIPS] + (8 + len(note)).to_bytes(4) + b"free" + note)
    return tapes


def with_marks(sequence: Sequence) -> Sequence:
    """The sequence with a fight whose phrases are each on ten tapes, a take on every tape, and every fifth tape treated."""
    phrases = len(sequence.tapes) // 10
    return replace(
        sequence,
        phrases=tuple(Phrase(number, tuple(_move(number, one) for one in range(MOVES_A_TAKE)), 6) for number in range(1, phrases + 1)),
        takes=tuple(
            Take(
                name=f"{tape.reel}-1",
                reel=tape.reel,
                start=Fraction(0),
                end_exclusive=Fraction(4),
                first_phrase=number // 10 + 1,
                last_phrase=number // 10 + 1,
                framings=(Framing(Fraction(0), list(Size)[number % 8], angle=number * 7 % 90, screen_left="Odile"),),
                rating=number % 5 + 1,
                hits=tuple(Hit(_move(number // 10 + 1, one).number, Fraction(one + 1)) for one in range(MOVES_A_TAKE)),
            )
            for number, tape in enumerate(sequence.tapes)
        ),
        treatments=tuple(
            Treatment(tape.reel, Fraction(1, 2), Fraction(3, 2), list(Kind)[number % 3], "Odile")
            for number, tape in enumerate(sequence.tapes[::5])
        ),
    )


def _move(phrase: int, one: int) -> Move:
    number = (phrase - 1) * MOVES_A_TAKE + one + 1
    roles = ("Odile", "Reeve") if number % 2 else ("Reeve", "Odile")
    return Move(number, f"cut {number}", *roles, upper_hand=roles[0], weapon="staff")


def with_long_cut(sequence: Sequence, shots: int) -> Sequence:
    """The sequence with a cut v1 of so many shots of a second, through all takes in order; dissolves, retimes, cards and black in it."""
    laid = tuple(_shot(number, sequence.takes[number * len(sequence.takes) // shots].name) for number in range(shots))
    return replace(sequence, cuts=(Cut("v1", laid, shots * SHOT_FRAMES),))


def _shot(number: int, take: str) -> Shot:
    picture: Footage | Card | Black = Footage(take, number * 12 % 60 + 6, Fraction(3, 2) if number % 20 == 7 else Fraction(1))
    if number % 50 == 11:
        picture = Card(f"cart {number}")
    elif number % 100 == 33:
        picture = Black()
    change = Transition(TransitionKind.DISSOLVE, 6) if number % 10 == 3 else None
    return Shot(f"s{number + 1}", SHOT_FRAMES, picture, change)


def work_through(folder: Path, tapes: int, shots: int) -> list[Work]:
    """Every piece of work on a long show, in order; each needs those before it."""
    document, out = folder / "long.previs", folder / "out"
    begun = Sequence(
        title="The Salt Stair",
        rate_name="24",
        start_frame=86400,
        target_frames=shots * SHOT_FRAMES,
        settings=Settings(raster_width=160, raster_height=90),
    )

    def begin() -> None:
        out.mkdir()
        create(document, begun)

    def edit(change: Callable[[Sequence], Sequence], what: str) -> None:
        with Sitting(document) as sitting:
            sitting.edit(change, what)

    def ingest() -> None:
        taken = take_in(sorted(folder.glob("T*.mp4")), begun, document, silent)
        assert not taken.refused and len(taken.tapes) == tapes
        edit(lambda sequence: with_tapes(sequence, taken.tapes), "take tapes in")

    def here() -> tuple[Sequence, Cut]:
        sequence = open_document(document).sequence
        return sequence, sequence.cut("v1")

    def edits() -> None:
        with Sitting(document) as sitting:
            for number in range(1, shots, shots // 9):
                sitting.edit(lambda sequence, number=number: trim_tail(sequence, "v1", number, -1), "trim")
                sitting.undo()

    def edit_list() -> None:
        (made,) = edit_list_files(here()[0], "v1", document, out / "long.edl").values()
        assert (made.first_event, made.last_event) == (1, shots)

    def sheets() -> None:
        write_sheets(*here(), Department, out / "sheets", Paper.A4, MADE, lambda _: None)

    def draft() -> None:
        made = publish_cut(*here(), document, out / "long.mp4", quality="draft", report=silent, leader=True, beep=True)
        assert made.frames == (shots + 8) * SHOT_FRAMES

    return [
        ("make tapes", lambda: make_tapes(folder, tapes)),
        ("begin", begin),
        ("ingest", ingest),
        ("marks and cut", lambda: edit(lambda one: with_codes(with_long_cut(with_marks(one), shots), "v1"), "marks and a cut")),
        ("open", here),
        ("edit and undo", edits),
        ("lists", lambda: [rows(here()[0], what, None if what in ("tapes", "cuts") else "v1") for what in LISTS]),
        ("check", lambda: checks(*here())),
        ("pace", lambda: pace_lines(*here(), pace(*here()))),
        ("step chart", lambda: step_chart_bytes(*here(), Format.PDF)),
        ("edit list", edit_list),
        ("timeline", lambda: write_timeline(*here())),
        ("captions", lambda: write_captions(*here(), 0)),
        ("shot list", lambda: shot_list_files(here()[0], "v1", out / "shots.xlsx", datetime(2027, 5, 3, tzinfo=UTC))),
        ("sheets", sheets),
        ("pulls planned", lambda: pulls_due(*here(), out / "pulls", Wanted())),
        ("publish draft", draft),
    ]


def main(folder: Path, tapes: int, shots: int) -> None:
    """Do it all, and tell of each piece when it is done."""
    for what, work in work_through(folder, tapes, shots):
        begun = perf_counter()
        work()
        print(json.dumps({"what": what, "seconds": round(perf_counter() - begun, 2)}), flush=True)
    assert len({fingerprint(path) for path in folder.glob("T*.mp4")}) == tapes
    assert len(list((cache_folder(folder / "long.previs") / "copies").iterdir())) == tapes


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
