"""What a returned list changes: each change made on purpose is found, and nothing else is."""

from __future__ import annotations

from fractions import Fraction

import fights
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from random_cuts import cuts
from random_cuts import sequence as random_sequence

from previs.clock import Span
from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot, Transition, TransitionKind
from previs.exchange.cmx3600 import write_edl
from previs.exchange.cmx3600_reading import ReadList, read_list
from previs.exchange.comparing import Change, Compared, compare, rows
from previs.faults import UseFault

DISSOLVE = Transition(TransitionKind.DISSOLVE, 6)


def sequence() -> Sequence:
    return fights.sequence(
        phrases=(fights.phrase(1, range(1, 4)),),
        tapes=(fights.tape("A1", seconds=200), fights.tape("B1", seconds=200)),
        takes=(fights.take("1A", {}, end=200), fights.take("1B", {}, reel="B1", end=200)),
    )


VALUE = sequence()


def shot(number: int, first: int, frames: int = 24, take: str = "1A", speed: Fraction | int = 1, change: Transition | None = None) -> Shot:
    return Shot(f"s{number}", frames, Footage(take, first, Fraction(speed)), change)


SHOTS = tuple(shot(number, 240 * number, take="1A" if number % 2 else "1B") for number in range(1, 7))
CUT = Cut("v1", SHOTS, 240)


def returned(shots: tuple[Shot, ...], value: Sequence = VALUE) -> ReadList:
    (written,) = write_edl(value, Cut("returned", shots, 240))
    return read_list(written.text, value.timebase)


def compared(shots: tuple[Shot, ...], cut: Cut = CUT) -> dict[int | str, Compared]:
    """By the shot's number, or, for what is new, by the event's."""
    return {one.shot or str(one.event): one for one in compare(VALUE, cut, [returned(shots)])}


def changed(at: int, **fields: object) -> tuple[Shot, ...]:
    """The shots with one, counted from 1, otherwise; `first_frame` and `speed` go to its picture."""
    one = SHOTS[at - 1]
    picture = {name: fields.pop(name) for name in ("first_frame", "speed") if name in fields}
    one = replace(one, picture=replace(one.picture, **picture), **fields)  # type: ignore[arg-type, type-var]
    return (*SHOTS[: at - 1], one, *SHOTS[at:])


@pytest.mark.parametrize(("rate", "drop"), [("24", False), ("29.97", True)])
@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_a_cut_that_comes_back_untouched_is_kept(rate: str, drop: bool, data: st.DataObject) -> None:
    value = random_sequence(rate, drop)
    cut = data.draw(cuts(value))
    found = compare(value, cut, [returned(cut.shots, value)])
    assert [(one.shot, one.changes, one.details) for one in found] == [(at, (Change.KEPT,), ()) for at in range(1, len(cut.shots) + 1)]
    assert all(one.had == one.has for one in found)


@pytest.mark.parametrize(
    ("shots", "number", "changes", "details"),
    [
        (changed(3, first_frame=725, frames=19), 3, (Change.TRIMMED,), ("head shorter by 5 frames",)),
        (changed(3, first_frame=719, frames=25), 3, (Change.TRIMMED,), ("head longer by 1 frame",)),
        (changed(3, frames=20), 3, (Change.TRIMMED,), ("tail shorter by 4 frames",)),
        (changed(3, frames=30), 3, (Change.TRIMMED,), ("tail longer by 6 frames",)),
        (changed(3, first_frame=724, frames=10), 3, (Change.TRIMMED,), ("head shorter by 4 frames", "tail shorter by 10 frames")),
        (changed(3, first_frame=724), 3, (Change.SLIPPED,), ("shows 4 frames of tape later",)),
        (changed(3, speed=Fraction(1, 2)), 3, (Change.RETIMED,), ("speed 1, now 1/2",)),
        (changed(3, speed=Fraction(0)), 3, (Change.RETIMED,), ("speed 1, now 0",)),
        (
            changed(3, first_frame=743, speed=Fraction(-1)),
            3,
            (Change.RETIMED, Change.TRIMMED),
            ("speed 1, now -1", "begins 23 frames of tape later"),
        ),
        (changed(3, transition=DISSOLVE), 3, (Change.TRANSITION,), ("cut, now dissolve of 6 frames",)),
        (changed(3, transition=Transition(TransitionKind.WIPE, 1, 19)), 3, (Change.TRANSITION,), ("cut, now wipe 019 of 1 frame",)),
        (
            changed(3, first_frame=724, transition=DISSOLVE),
            3,
            (Change.SLIPPED, Change.TRANSITION),
            ("shows 4 frames of tape later", "cut, now dissolve of 6 frames"),
        ),
    ],
)
def test_one_change_is_found_and_the_rest_is_kept(
    shots: tuple[Shot, ...], number: int, changes: tuple[Change, ...], details: tuple[str, ...]
) -> None:
    found = compared(shots)
    assert (found[number].changes, found[number].details) == (changes, details)
    assert {one.changes for key, one in found.items() if key != number} == {(Change.KEPT,)}
    assert set(found) == set(range(1, 7))
    # What follows stands earlier or later on record, and that alone is no change.
    ripple = sum(one.frames for one in shots) - 144
    assert found[6].had == Span(120, 144)
    assert found[6].has == Span(120, 144).shifted(ripple)


def test_what_was_trimmed_backwards_and_fast_is_counted_as_it_plays() -> None:
    cut = Cut("v1", (shot(1, 1000, 24, speed=-1), shot(2, 2000, 24, "1B", 2), shot(3, 3000, 24, speed=0)), 240)
    found = compared((shot(1, 996, 20, speed=-1), shot(2, 2006, 22, "1B", 2), shot(3, 3000, 30, speed=0)), cut)
    assert [found[number].details for number in (1, 2, 3)] == [
        ("head shorter by 4 frames",),
        ("head shorter by 3 frames", "tail longer by 1 frame"),
        ("tail longer by 6 frames",),
    ]


def test_removed_moved_and_new() -> None:
    one, two, three, _, five, six = SHOTS
    fresh, more = shot(9, 4000), shot(8, 1446, 12, "1B")
    found = compare(VALUE, CUT, [returned((one, five, two, three, fresh, six, more))])
    assert [(row.shot, row.event, row.changes) for row in found] == [
        (1, "001", (Change.KEPT,)),
        (5, "002", (Change.MOVED,)),
        (2, "003", (Change.KEPT,)),
        (3, "004", (Change.KEPT,)),
        (4, None, (Change.REMOVED,)),
        (None, "005", (Change.NEW,)),
        (6, "006", (Change.KEPT,)),
        (None, "007", (Change.NEW,)),
    ]
    by_event = {row.event: row for row in found}
    assert by_event["005"].details == ("a span that the cut does not use",)
    assert by_event["007"].details == ("more of what shot 6 plays",)
    gone = next(row for row in found if row.shot == 4)
    assert (gone.had, gone.has, gone.source) == (Span(72, 96), None, "B1")


@given(st.permutations(range(6)), st.sets(st.integers(0, 5), max_size=5))
def test_any_order_and_any_removal(order: list[int], removed: set[int]) -> None:
    kept = [at for at in order if at not in removed]
    found = compare(VALUE, CUT, [returned(tuple(SHOTS[at] for at in kept))])
    assert {row.shot for row in found if Change.REMOVED in row.changes} == {at + 1 for at in removed}
    still = [row for row in found if row.has is not None]
    assert [row.shot for row in still] == [at + 1 for at in kept]
    unmoved = [row.shot for row in still if row.changes == (Change.KEPT,)]
    assert unmoved == sorted(unmoved, key=int)
    # The longest rising run is the most that can be said to have stayed.
    longest = max(sum(1 << bit & mask > 0 for bit in range(len(kept))) for mask in range(1 << len(kept)) if _rises(kept, mask))
    assert len(unmoved) == longest


def _rises(order: list[int], mask: int) -> bool:
    picked = [at for bit, at in enumerate(order) if 1 << bit & mask]
    return picked == sorted(picked)


def test_of_two_shots_of_the_same_frames_the_nearer_one_is_there_still() -> None:
    cut = Cut("v1", (*SHOTS, replace(SHOTS[0], ident="again")), 240)
    found = compared(cut.shots[1:], cut)
    assert found[1].changes == (Change.REMOVED,)
    assert {one.changes for number, one in found.items() if number != 1} == {(Change.KEPT,)}


def test_unknown_reels_and_tapes_that_no_take_uses() -> None:
    text = returned(SHOTS).events
    assert len(text) == 6
    (written,) = write_edl(VALUE, CUT)
    renamed = written.text.replace("003  A1 ", "003  ZZ ")
    found = {row.event: row for row in compare(VALUE, CUT, [read_list(renamed, VALUE.timebase)])}
    assert found["003"].changes == (Change.NEW,)
    assert (found["003"].source, found["003"].details) == ("ZZ", ("reel ZZ (1A) is no tape here",))
    assert found[None].shot == 3


def test_black_comes_back_as_a_gap_and_cards_as_cards() -> None:
    cut = Cut("v1", (SHOTS[0], Shot("b", 12, Black()), Shot("c", 24, Card("x")), Shot("d", 24, Card("y")), SHOTS[1]), 240)
    (written,) = write_edl(VALUE, cut)
    without_black = "".join(line for line in written.text.splitlines(keepends=True) if not line.startswith("002 "))
    found = compare(VALUE, cut, [read_list(without_black, VALUE.timebase)])
    assert {row.changes for row in found} == {(Change.KEPT,)}
    assert [(row.shot, row.event) for row in found] == [(1, "001"), (2, None), (3, "003"), (4, "004"), (5, "005")]


def test_speeds_that_one_m2_line_cannot_tell_apart_are_equal() -> None:
    cut = Cut("v1", (shot(1, 100, 24, speed=Fraction(2, 7)),), 240)
    (written,) = write_edl(VALUE, cut)
    without_comments = "".join(line for line in written.text.splitlines(keepends=True) if not line.startswith("*"))
    (row,) = compare(VALUE, cut, [read_list(without_comments, VALUE.timebase)])
    assert row.changes == (Change.KEPT,)


def test_rows_have_record_time_code_and_lengths() -> None:
    found = rows(VALUE, compare(VALUE, CUT, [returned(changed(2, frames=20)[:2])]))
    assert found[1] == {
        "change": "trimmed",
        "shot": 2,
        "event": "002",
        "source": "B1",
        "had in": "01:00:01:00",
        "had out": "01:00:02:00",
        "has in": "01:00:01:00",
        "has out": "01:00:01:20",
        "had frames": 24,
        "has frames": 20,
        "details": "tail shorter by 4 frames",
    }
    assert (found[2]["change"], found[2]["has in"], found[2]["has frames"]) == ("removed", "", None)


def test_lists_at_another_rate_or_without_picture_are_refused() -> None:
    text = "1 R V C 00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00"
    with pytest.raises(UseFault, match="does not count at 24"):
        compare(VALUE, CUT, [read_list(text.replace("01:00 ", "01:24 "))])
    with pytest.raises(UseFault, match="no picture"):
        compare(VALUE, CUT, [read_list(text.replace(" V ", " AA "), VALUE.timebase)])
