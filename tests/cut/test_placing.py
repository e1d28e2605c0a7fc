"""What of the marks is on screen, against a frame-by-frame enumeration that knows no formula."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from fights import phrase, sequence, take, tape, treatment
from hypothesis import given, settings
from hypothesis import strategies as st

from previs.clock import frame_played
from previs.cut.placing import hits_seen, moves_held, place, treatments_seen
from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot

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
        shots.append(Shot(ident=f"s{number}", frames=frames, picture=picture))
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


def frames_on_screen(one: Sequence) -> list[tuple[int, str, int]]:
    """Record frame, reel and tape frame of every frame of footage."""
    found, at = [], 0
    for shot in one.cuts[0].shots:
        if isinstance(shot.picture, Footage):
            reel = one.take(shot.picture.take).reel
            found += [(at + k, reel, frame_played(shot.picture.first_frame, shot.picture.speed, k)) for k in range(shot.frames)]
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
        (frame, reel, mark)
        for frame, reel, tape_frame in frames_on_screen(one)
        for mark in one.treatments
        if mark.reel == reel and mark.start <= tape_frame / fps < mark.end_exclusive
    }
    seen = treatments_seen(one, place(one, one.cuts[0]))
    got = {(frame, item.treatment.reel, item.treatment) for item in seen for frame in range(item.record.start, item.record.end_exclusive)}
    assert got == wanted


@given(cuts())
@settings(deadline=None)
def test_a_hit_is_seen_when_its_frame_lies_between_the_first_and_last_shown(one: Sequence) -> None:
    fps = one.timebase.rate.fps
    for item in hits_seen(one, place(one, one.cuts[0])):
        source = item.placed.source
        assert source is not None
        shown = frame_played(source.first_frame, source.speed, item.record_frame - item.placed.record.start)
        # Shown at the hit's own frame, or at the next one shown where the speed steps over it.
        assert 0 <= shown - item.hit.at * fps < 1 + max(1, abs(source.speed))
    counted = sum(
        1
        for placed in place(one, one.cuts[0])
        if placed.source
        for hit in placed.source.take.hits
        if placed.source.played.start <= -((-hit.at * fps) // 1) < placed.source.played.end_exclusive
    )
    assert counted == len(hits_seen(one, place(one, one.cuts[0])))


def test_a_card_holds_its_moves() -> None:
    one = sequence(
        phrases=(phrase(1, range(1, 5)),),
        cuts=(Cut(name="v1", shots=(Shot(ident="a", frames=9, picture=Card(text="", first_move=2, last_move=3)),), target_frames=9),),
    )
    assert moves_held(one, place(one, one.cuts[0])) == {1: (2, 3)}
