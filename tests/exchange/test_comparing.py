"""What a returned list changes: each change made on purpose is found, and nothing else is."""

from __future__ import annotations

from fractions import Fraction

import fights
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from random_cuts import cuts, with_leads
from random_cuts import sequence as random_sequence

from previs.clock import Span
from previs.cut.changes import changes
from previs.cut.differences import ChangeKind
from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot, Transition, TransitionKind
from previs.exchange.cmx3600 import write_edl
from previs.exchange.cmx3600_reading import ReadList, read_list
from previs.exchange.comparing import Compared, compare, rows, summary
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
    return {one.shot or str(one.event): one for one in compare(VALUE, cut, [returned(shots)]).rows}


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
    cut = data.draw(with_leads(value, cuts(value)))
    found = compare(value, cut, [returned(cut.shots, value)]).rows
    assert [(one.shot, one.changes, one.details) for one in found] == [(at, (), ()) for at in range(1, len(cut.shots) + 1)]
    assert all(one.had == one.has for one in found)


@pytest.mark.parametrize(
    ("shots", "number", "kinds", "details"),
    [
        (changed(3, first_frame=725, frames=19), 3, (ChangeKind.TRIMMED,), ("head 5 frames shorter",)),
        (changed(3, first_frame=719, frames=25), 3, (ChangeKind.TRIMMED,), ("head 1 frame longer",)),
        (changed(3, frames=20), 3, (ChangeKind.TRIMMED,), ("tail 4 frames shorter",)),
        (changed(3, frames=30), 3, (ChangeKind.TRIMMED,), ("tail 6 frames longer",)),
        (changed(3, first_frame=724, frames=10), 3, (ChangeKind.TRIMMED,), ("head 4 frames shorter and tail 10 frames shorter",)),
        (changed(3, first_frame=724), 3, (ChangeKind.SLIPPED,), ("same place, but 4 frames later on the tape",)),
        (
            changed(3, speed=Fraction(1, 2)),
            3,
            (ChangeKind.RETIMED, ChangeKind.TRIMMED),
            ("speed from 1.000 to 0.500, which alone makes it 48 frames long", "tail 24 frames shorter"),
        ),
        (changed(3, speed=Fraction(0)), 3, (ChangeKind.RETIMED,), ("speed from 1.000 to frozen",)),
        (
            changed(3, first_frame=743, speed=Fraction(-1)),
            3,
            (ChangeKind.RETIMED,),
            ("speed from 1.000 to 1.000 backwards",),
        ),
        (changed(3, transition=DISSOLVE), 3, (ChangeKind.TRANSITION,), ("straight cut, now dissolve of 6 frames",)),
        (
            changed(3, transition=Transition(TransitionKind.WIPE, 1, 19)),
            3,
            (ChangeKind.TRANSITION,),
            ("straight cut, now wipe of 1 frame, pattern 19",),
        ),
        (
            changed(3, first_frame=724, transition=DISSOLVE),
            3,
            (ChangeKind.SLIPPED, ChangeKind.TRANSITION),
            ("same place, but 4 frames later on the tape", "straight cut, now dissolve of 6 frames"),
        ),
    ],
)
def test_one_change_is_found_and_the_rest_is_kept(
    shots: tuple[Shot, ...], number: int, kinds: tuple[ChangeKind, ...], details: tuple[str, ...]
) -> None:
    found = compared(shots)
    assert (found[number].changes, found[number].details) == (kinds, details)
    assert {one.changes for key, one in found.items() if key != number} == {()}
    assert set(found) == set(range(1, 7))
    # What follows stands earlier or later on record, and that alone is no change.
    ripple = sum(one.frames for one in shots) - 144
    assert found[6].had == Span(120, 144)
    assert found[6].has == Span(120, 144).shifted(ripple)


def test_what_was_trimmed_backwards_and_fast_is_counted_as_it_plays() -> None:
    cut = Cut("v1", (shot(1, 1000, 24, speed=-1), shot(2, 2000, 24, "1B", 2), shot(3, 3000, 24, speed=0)), 240)
    found = compared((shot(1, 996, 20, speed=-1), shot(2, 2006, 22, "1B", 2), shot(3, 3000, 30, speed=0)), cut)
    assert [found[number].details for number in (1, 2, 3)] == [
        ("head 4 frames shorter",),
        ("head 3 frames shorter and tail 1 frame longer",),
        ("tail 6 frames longer",),
    ]


def test_removed_moved_and_new() -> None:
    one, two, three, _, five, six = SHOTS
    fresh, more = shot(9, 4000), shot(8, 1446, 12, "1B")
    found = compare(VALUE, CUT, [returned((one, five, two, fresh, three, six, more))]).rows
    assert [(row.shot, row.event, row.changes) for row in found] == [
        (1, "001", ()),
        (5, "002", (ChangeKind.MOVED,)),
        (2, "003", ()),
        (None, "004", (ChangeKind.ADDED,)),
        (3, "005", ()),
        (4, None, (ChangeKind.REMOVED,)),
        (6, "006", ()),
        (None, "007", (ChangeKind.ADDED,)),
    ]
    by_event = {row.event: row for row in found}
    assert by_event["004"].details == ("a span that the cut does not use",)
    assert by_event["007"].details == ("more of what shot 6 plays",)
    gone = next(row for row in found if row.shot == 4)
    assert (gone.had, gone.has, gone.source) == (Span(72, 96), None, "B1")


@given(st.permutations(range(6)), st.sets(st.integers(0, 5), max_size=5))
def test_any_order_and_any_removal(order: list[int], removed: set[int]) -> None:
    kept = [at for at in order if at not in removed]
    found = compare(VALUE, CUT, [returned(tuple(SHOTS[at] for at in kept))]).rows
    assert {row.shot for row in found if ChangeKind.REMOVED in row.changes} == {at + 1 for at in removed}
    still = [row for row in found if row.has is not None]
    assert [row.shot for row in still] == [at + 1 for at in kept]
    unmoved = [row.shot for row in still if row.changes == ()]
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
    assert found[1].changes == (ChangeKind.REMOVED,)
    assert {one.changes for number, one in found.items() if number != 1} == {()}


def test_unknown_reels_and_tapes_that_no_take_uses() -> None:
    (written,) = write_edl(VALUE, CUT)
    renamed = written.text.replace("003  A1 ", "003  ZZ ").replace("* FROM CLIP NAME: 1A", "* FROM CLIP NAME: quay")
    compared = compare(VALUE, CUT, [read_list(renamed, VALUE.timebase)])
    assert [(row.shot, row.event, row.changes) for row in compared.rows if row.changes] == [(3, "003", (ChangeKind.REPLACED,))]
    row = compared.rows[2]
    assert (row.source, row.had, row.has, row.details) == ("A1", row.has, row.had, ("now 24 frames of unknown reel ZZ (quay)",))
    assert compared.remarks == ("1 reel is unknown: ZZ; 1 event; say which tape one is with --reel LISTNAME=REEL.",)
    assert compare(VALUE, CUT, [read_list(renamed, VALUE.timebase)], {"ZZ": "A1"}).rows[2].changes == ()


def test_time_that_no_event_fills_is_a_row_of_black_and_shows_in_the_total() -> None:
    label = VALUE.timebase.label
    (written,) = write_edl(VALUE, CUT)
    text = written.text
    for at in (144, 120, 96):
        text = text.replace(label(86400 + at), label(86410 + at))
    # The out of event 4 and the in of event 5 are one label: put the out back.
    text = text.replace(f"{label(86472)} {label(86506)}", f"{label(86472)} {label(86496)}")
    found = compare(VALUE, CUT, [read_list(text, VALUE.timebase, strict=True)])
    (row,) = (row for row in found.rows if row.changes)
    assert (row.changes, row.event, row.source, row.has) == ((ChangeKind.ADDED,), None, "(black)", Span(96, 106))
    assert summary(VALUE, CUT, found) == [
        "6 of the 6 shots of cut v1 are kept as they were; 1 row tells of changes.",
        "Cut v1 lasts 00:00:06:00 (144 frames); the list lasts 00:00:06:10 (154 frames), 10 frames longer.",
    ]
    assert "(144 frames), the same." in summary(VALUE, CUT, compare(VALUE, CUT, [returned(SHOTS)]))[1]


def test_sound_that_the_list_drops_or_lets_begin_otherwise_is_told() -> None:
    led = (*SHOTS[:3], replace(SHOTS[3], sound_lead_frames=6), *SHOTS[4:])
    cut = Cut("v1", led, 240)
    (written,) = write_edl(VALUE, cut)
    assert not any(row.changes for row in compare(VALUE, cut, [read_list(written.text, VALUE.timebase)]).rows)
    dropped = written.text.replace("002  B1       AA/V", "002  B1       V   ")
    found = compare(VALUE, cut, [read_list(dropped, VALUE.timebase)]).rows
    assert [(row.shot, row.changes, row.details) for row in found if row.changes] == [(2, (ChangeKind.SOUND,), ("its sound is left out",))]
    found = compare(VALUE, CUT, [read_list(written.text, VALUE.timebase)]).rows
    assert [(row.shot, row.details) for row in found if row.changes] == [
        (4, ("sound began with its picture, now 6 frames before its picture",))
    ]
    silent = compare(VALUE, CUT, [read_list(written.text.replace("AA/V", "V   "), VALUE.timebase)])
    assert silent.remarks == ("The list lays no sound at all.",)


def test_fades_are_called_so() -> None:
    faded = (replace(SHOTS[0], transition=DISSOLVE), *SHOTS[1:], Shot("b", 12, Black(), replace(DISSOLVE, frames=12)))
    cut = Cut("v1", (*SHOTS, Shot("b", 12, Black())), 240)
    assert [row.details for row in compare(VALUE, cut, [returned(faded)]).rows if row.changes] == [
        ("straight cut, now fade in from black over 6 frames",),
        ("straight cut, now fade out to black over 12 frames",),
    ]


def test_cards_without_their_comments_are_cards_still() -> None:
    cut = Cut("v1", (SHOTS[0], Shot("c", 24, Card("x")), SHOTS[1]), 240)
    (written,) = write_edl(VALUE, cut)
    bare = "".join(line for line in written.text.splitlines(keepends=True) if not line.startswith("*"))
    assert not any(row.changes for row in compare(VALUE, cut, [read_list(bare, VALUE.timebase)]).rows)


@st.composite
def edited(draw: st.DrawFn) -> tuple[Shot, ...]:
    """The shots in another order, some left out, trimmed, retimed, split, and with others put in."""
    wipe = Transition(TransitionKind.WIPE, 2, 7)
    found: list[Shot] = []
    for at in draw(st.permutations(range(6)))[: draw(st.integers(1, 6))]:
        if draw(st.integers(0, 3)) == 0:
            found.append(shot(20 + at, draw(st.integers(3000, 3400))))
        frames, change, speed = draw(st.integers(10, 40)), draw(st.sampled_from([None, wipe])), draw(st.sampled_from([1, Fraction(1, 2)]))
        first = 240 * (at + 1) + draw(st.integers(-3, 3))
        found.append(shot(at + 1, first, frames, "1B" if at % 2 else "1A", speed, change))
    return tuple(found)


@settings(deadline=None)
@given(edited())
def test_a_returned_list_and_a_change_list_tell_one_story(shots: tuple[Shot, ...]) -> None:
    after = Cut("v2", shots, 240)
    by_changes = sorted((step.kind, step.after.number if step.after else 0) for step in changes(VALUE, CUT, after))
    events = compare(VALUE, CUT, [returned(shots)]).rows
    by_list = sorted((kind, int(row.event or 0)) for row in events for kind in row.changes)
    assert by_list == by_changes


def test_black_comes_back_as_a_gap_and_cards_as_cards() -> None:
    cut = Cut("v1", (SHOTS[0], Shot("b", 12, Black()), Shot("c", 24, Card("x")), Shot("d", 24, Card("y")), SHOTS[1]), 240)
    (written,) = write_edl(VALUE, cut)
    without_black = "".join(line for line in written.text.splitlines(keepends=True) if not line.startswith("002 "))
    found = compare(VALUE, cut, [read_list(without_black, VALUE.timebase)]).rows
    assert {row.changes for row in found} == {()}
    assert [(row.shot, row.event) for row in found] == [(1, "001"), (2, None), (3, "003"), (4, "004"), (5, "005")]


def test_speeds_that_one_m2_line_cannot_tell_apart_are_equal() -> None:
    cut = Cut("v1", (shot(1, 100, 24, speed=Fraction(2, 7)),), 240)
    (written,) = write_edl(VALUE, cut)
    without_comments = "".join(line for line in written.text.splitlines(keepends=True) if not line.startswith("*"))
    (row,) = compare(VALUE, cut, [read_list(without_comments, VALUE.timebase)]).rows
    assert row.changes == ()


def test_rows_have_record_time_code_and_lengths() -> None:
    found = rows(VALUE, compare(VALUE, CUT, [returned(changed(2, frames=20)[:2])]).rows)
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
        "details": "tail 4 frames shorter",
    }
    assert (found[2]["change"], found[2]["has in"], found[2]["has frames"]) == ("removed", "", None)


def test_lists_at_another_rate_or_without_picture_are_refused() -> None:
    text = "1 R V C 00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00"
    with pytest.raises(UseFault, match="does not count at 24"):
        compare(VALUE, CUT, [read_list(text.replace("01:00 ", "01:24 "))])
    with pytest.raises(UseFault, match="no picture"):
        compare(VALUE, CUT, [read_list(text.replace(" V ", " AA "), VALUE.timebase)])
