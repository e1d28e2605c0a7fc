"""What of the marks is on screen, against a frame-by-frame enumeration that knows no formula."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from fights import phrase, sequence, take, tape, treatment
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace as changed

from previs.clock import frame_played
from previs.cut.placing import hits_faded, hits_seen, moves_held, place, plays_on, treatments_seen
from previs.document.model import Black, Card, Cut, Footage, Framing, Sequence, Shot, Size, Transition, TransitionKind

speeds = st.one_of(
    st.sampled_from([Fraction(1), Fraction(0), Fraction(-1), Fraction(1, 2), Fraction(343, 240), Fraction(-3, 2)]),
    st.fractions(min_value=Fraction(-3), max_value=Fraction(3), max_denominator=240),
)


@st.composite
def cuts(draw: st.DrawFn) -> Sequence:
    """A cut of one to six shots over two tapes with treatments and hits at odd times."""
    rate = draw(st.sampled_from(["23.976", "24", "25", "29.97"]))
    moments = st.fractions(min_value=0, max_value=20, max_denominator=120)
    shots = []
    for number in range(draw(st.integers(1, 6))):
        frames = draw(st.integers(1, 90))
        picture = draw(
            st.one_of(
                st.just(Black()),
                st.just(Card(text="to come", first_move=2, last_move=3)),
                st.builds(Footage, take=st.sampled_from(["T1", "T2"]), first_frame=st.integers(280, 500), speed=speeds),
            )
        )
        change = draw(st.none() | st.integers(1, frames))
        shots.append(Shot(f"s{number}", frames, picture, Transition(TransitionKind.DISSOLVE, change) if change else None))
    treatments = []
    for reel, start, length in draw(st.lists(st.tuples(st.sampled_from(["A1", "B1"]), moments, moments), max_size=4)):
        treatments.append(treatment(start, start + length + Fraction(1, 24), reel=reel))
    hits = sorted(draw(st.sets(moments, min_size=4, max_size=4)))
    return sequence(
        rate_name=rate,
        phrases=(phrase(1, range(1, 5)),),
        tapes=(tape("A1"), tape("B1")),
        takes=(take("T1", dict(zip(range(1, 5), hits, strict=True))), take("T2", {2: hits[0]}, reel="B1")),
        treatments=tuple(treatments),
        cuts=(Cut(name="v1", shots=tuple(shots), target_frames=100),),
    )


def frames_on_screen(one: Sequence, part: Fraction = Fraction(1)) -> list[tuple[int, int, str, int]]:
    """Shot, record frame, reel and tape frame of every frame of footage, up to `part` of the transition into the next shot."""
    found, at = [], 0
    shots = one.cuts[0].shots
    for number, shot in enumerate(shots, start=1):
        following = shots[number].transition if number < len(shots) else None
        under = [k for k in range(following.frames if following else 0) if following and k < part * following.frames]
        if isinstance(shot.picture, Footage):
            reel = one.take(shot.picture.take).reel
            for k in range(shot.frames + len(under)):
                found.append((number, at + k, reel, frame_played(shot.picture.first_frame, shot.picture.speed, k)))
        at += shot.frames
    return found


@given(cuts())
@settings(deadline=None)
def test_shots_abut_and_add_up(one: Sequence) -> None:
    placed = place(one, one.cuts[0])
    assert placed[0].record.start == 0
    assert placed[-1].record.end_exclusive == one.cuts[0].frames
    assert all(a.record.end_exclusive == b.record.start for a, b in pairwise(placed))


@given(cuts())
@settings(deadline=None)
def test_treatments_in_the_cut_are_the_marks_met_with_its_frames(one: Sequence) -> None:
    fps = one.timebase.rate.fps
    wanted = {
        (shot, frame, reel, mark)
        for shot, frame, reel, tape_frame in frames_on_screen(one)
        for mark in one.treatments
        if mark.reel == reel and mark.start <= tape_frame / fps < mark.end_exclusive
    }
    seen = treatments_seen(one, place(one, one.cuts[0]))
    got = {
        (item.placed.number, frame, item.treatment.reel, item.treatment)
        for item in seen
        for frame in range(item.record.start, item.record.end_exclusive)
    }
    assert got == wanted
    for item in seen:
        assert item.under_frames == max(0, item.record.end_exclusive - max(item.placed.record.end_exclusive, item.record.start))


@given(cuts())
@settings(deadline=None)
def test_a_framing_holds_on_the_frames_that_show_its_tape(one: Sequence) -> None:
    fps = one.timebase.rate.fps
    pushed = tuple(Framing(Fraction(at), size) for at, size in ((0, Size.WIDE), (15, Size.FULL), (Fraction(371, 24), Size.CLOSE)))
    one = changed(one, takes=tuple(changed(each, framings=pushed) for each in one.takes))
    for placed in place(one, one.cuts[0]):
        held = [(frame, framing.size) for span, framing in placed.framings(fps) for frame in range(span.start, span.end_exclusive)]
        assert held == [
            (frame, one.takes[0].framing_at(tape_frame / fps).size)
            for number, frame, _, tape_frame in frames_on_screen(one)
            if number == placed.number
        ]


@given(cuts())
@settings(deadline=None)
def test_a_hit_is_seen_when_its_frame_lies_between_the_first_and_last_shown(one: Sequence) -> None:
    fps = one.timebase.rate.fps
    placed = place(one, one.cuts[0])
    halves = frames_on_screen(one, Fraction(1, 2))
    for item in hits_seen(one, placed):
        source = item.placed.source
        assert source is not None
        shown = frame_played(source.first_frame, source.speed, item.record_frame - item.placed.record.start)
        # Shown at the hit's own frame, or at the next one shown where the speed steps over it.
        assert 0 <= shown - item.hit.at * fps < 1 + max(1, abs(source.speed))
        assert (item.placed.number, item.record_frame) in {(number, frame) for number, frame, _, _ in halves}
    both = [(hit.placed.number, hit.hit) for hit in (*hits_seen(one, placed), *hits_faded(one, placed))]
    wanted = {
        (each.number, hit)
        for each in placed
        if each.source
        for hit in each.source.take.hits
        if each.source.seen.start <= -((-hit.at * fps) // 1) < each.source.seen.end_exclusive
    }
    assert len(both) == len(set(both)) and set(both) <= wanted
    # Left out is only what the next shot shows of the same move on the same frame.
    for number, hit in wanted - set(both):
        assert any(
            after.placed.number == number + 1 and after.hit.move == hit.move
            for after in (*hits_seen(one, placed), *hits_faded(one, placed))
        )


def test_a_card_holds_its_moves() -> None:
    one = sequence(
        phrases=(phrase(1, range(1, 5)),),
        cuts=(Cut(name="v1", shots=(Shot(ident="a", frames=9, picture=Card(text="", first_move=2, last_move=3)),), target_frames=9),),
    )
    assert moves_held(one, place(one, one.cuts[0])) == {1: (2, 3)}


DISSOLVE = Transition(TransitionKind.DISSOLVE, 12)


def two_takes(*shots: Shot) -> Sequence:
    """Takes that meet on one tape and overlap for a second, and these shots of them."""
    return sequence(
        phrases=(phrase(1, range(1, 5)),),
        tapes=(tape("A1"),),
        takes=(take("T1", {1: 2, 2: 9}, end=10), take("T2", {2: Fraction(217, 24), 3: 12, 1: 13}, start=9, end=20)),
        treatments=(treatment(Fraction(23, 12), Fraction(31, 12)),),
        cuts=(Cut("v1", shots, 100),),
    )


def landings(one: Sequence) -> list[tuple[int, int, int]]:
    return [(hit.placed.number, hit.record_frame, hit.move.number) for hit in hits_seen(one, place(one, one.cuts[0]))]


def test_a_shot_shows_the_hits_of_every_take_that_it_runs_into_and_a_move_of_two_logs_once() -> None:
    one = two_takes(Shot("a", 300, Footage("T1", 24)))
    # T2 has move 2 a frame later, within T1, which tells of it itself; move 1 lands there again.
    assert landings(one) == [(1, 24, 1), (1, 192, 2), (1, 264, 3), (1, 288, 1)]
    assert moves_held(one, place(one, one.cuts[0])) == {1: (1, 2, 3)}


def test_a_split_under_a_dissolve_shows_its_hit_once_in_the_shot_that_comes_in() -> None:
    one = two_takes(Shot("a", 20, Footage("T1", 24)), Shot("b", 40, Footage("T1", 44), DISSOLVE))
    assert landings(one) == [(2, 24, 1)]
    assert landings(two_takes(Shot("a", 20, Footage("T1", 24)), Shot("b", 40, Black(), DISSOLVE))) == [(1, 24, 1)]
    faded = two_takes(Shot("a", 18, Footage("T1", 24)), Shot("b", 40, Black(), DISSOLVE))
    assert landings(faded) == []
    assert [hit.record_frame for hit in hits_faded(faded, place(faded, faded.cuts[0]))] == [24]


def test_a_treatment_runs_on_to_the_end_of_the_transition() -> None:
    one = two_takes(Shot("a", 20, Footage("T1", 24)), Shot("b", 40, Black(), DISSOLVE))
    (seen,) = treatments_seen(one, place(one, one.cuts[0]))
    assert (seen.record.start, seen.record.end_exclusive, seen.under_frames) == (22, 32, 10)
    assert (seen.tape.start, seen.tape.end_exclusive) == (46, 56)


def test_the_tape_runs_on_through_a_split_a_change_of_speed_and_a_still_and_not_otherwise() -> None:
    def on(first: tuple[int, int | Fraction], second: tuple[int, int | Fraction]) -> bool:
        shots = [Shot(f"s{frame}", 10, Footage("T1", frame, Fraction(speed))) for frame, speed in (first, second)]
        one = two_takes(changed(shots[0], ident="a"), changed(shots[1], ident="b"))
        return plays_on(*place(one, one.cuts[0]))

    assert on((20, 1), (30, 1)) and on((20, 1), (30, Fraction(1, 2))) and on((40, -1), (30, -1))
    assert on((20, 1), (29, 0)) and on((20, 1), (30, 0)) and on((30, 0), (30, 1)) and on((30, 0), (31, 1)) and on((30, 0), (29, -1))
    assert not on((20, 1), (31, 1)) and not on((20, 1), (30, -1)) and not on((20, 1), (28, 0)) and not on((30, 0), (32, 1))
