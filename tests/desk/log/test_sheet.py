from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import fights
import numpy as np
import pytest

from previs.analysis.carrying import Evidence
from previs.analysis.motion import MotionCurve
from previs.analysis.onsets import Impulse, OnsetCurves
from previs.analysis.takes import ProposedTake
from previs.clock import Span
from previs.desk.chart.scale import Scale
from previs.desk.log.curves import motion_columns, wave_columns
from previs.desk.log.offers import open_offers
from previs.desk.log.rows import place_said, tape_rows
from previs.desk.log.sheet import Grip, Gripped, edge_under, hit_under, marks_of, sheet_data, take_under
from previs.document.mark_edits import change_take, put_treatment
from previs.document.model import Hit, Kind, Sequence
from previs.media.signals import Signals


@pytest.fixture
def sequence() -> Sequence:
    made = fights.sequence(
        phrases=(fights.phrase(1, range(1, 4)),),
        tapes=(fights.tape("A1"),),
        takes=(fights.take("A1-1", {1: 5, 2: 7, 3: 9}),),
    )
    take = made.takes[0]
    return change_take(made, take.name, hits=(*take.hits[:2], replace_hit(take.hits[2], 50)))


def replace_hit(hit: Hit, confidence: int) -> Hit:
    return Hit(hit.move, hit.at, confidence)


def signals(*strikes: float, wave: int = 0, energy: tuple[float, ...] = ()) -> Signals:
    nothing = np.zeros(0, np.float32)
    ramp = np.linspace(0, 1, wave, dtype=np.float32)
    return Signals(
        curves=OnsetCurves(nothing, nothing),
        strikes=tuple(Impulse(at, 20.0, 0.7, 0.05, 0.95) for at in strikes),
        slates=(),
        landings=(),
        motion=MotionCurve(Fraction(24), np.array(energy, np.float32), np.zeros(len(energy), np.float32)),
        stops=(),
        waveform=np.stack([-ramp, ramp], axis=1) if wave else np.zeros((0, 2), np.float32),
    )


def test_the_sheet_has_every_mark_on_its_frame(sequence: Sequence) -> None:
    sequence = put_treatment(sequence, "A1", Fraction(1), Fraction(2), Kind.RIG_REMOVAL, "Odile")
    data = sheet_data(sequence, "A1", None)
    assert data is not None
    take = sequence.takes[0]
    assert [(hit.move, hit.frame, hit.sure) for hit in data.hits] == [
        (hit.move, round(hit.at * 24), sure) for hit, sure in zip(take.hits, (True, True, False), strict=True)
    ]
    assert data.takes[0].span == Span(round(take.start * 24), round(take.end_exclusive * 24))
    assert data.hatched[0].span == Span(24, 48)
    assert sheet_data(sequence, "none", None) is None
    assert marks_of(data) == sorted({data.takes[0].span.start, data.takes[0].span.end_exclusive - 1, 24, 47, *(h.frame for h in data.hits)})


def test_a_hit_is_offered_only_where_none_is_marked(sequence: Sequence) -> None:
    marked = float(sequence.takes[0].hits[0].at)
    data = sheet_data(sequence, "A1", signals(marked + 0.05, marked + 0.5, wave=9))
    assert data is not None and data.offered == (int((marked + 0.5) * 24),)


def test_a_proposal_that_a_take_covers_is_no_offer(sequence: Sequence) -> None:
    sequence = change_take(sequence, "A1-1", start=Fraction(4), end_exclusive=Fraction(20))
    take, tape = sequence.takes[0], sequence.tapes[0]
    begin, end = float(take.start), float(take.end_exclusive)
    beyond = float(tape.duration)
    proposed = (
        ProposedTake(begin + 0.1, end - 0.1, 0.9, (), "covered"),
        ProposedTake(end + 1, end + 4, 0.9, (), "free"),
        ProposedTake(beyond - 2, beyond + 3, 0.9, (), "to the end"),
        ProposedTake(beyond + 1, beyond + 2, 0.9, (), "off the tape"),
    )
    offers = open_offers(sequence, tape, proposed)
    assert [one.why for one in offers] == ["free", "to the end"] and offers[1].span.end_exclusive == tape.duration


def test_what_lies_under_the_pointer(sequence: Sequence) -> None:
    data = sheet_data(sequence, "A1", None)
    assert data is not None
    scale = Scale(0.0, 4.0, 60.0, 2000.0)
    take, hit = data.takes[0], data.hits[1]
    assert hit_under(data, scale, scale.x(hit.frame + 0.5) + 5) == Gripped(Grip.HIT, take.name, 2)
    assert hit_under(data, scale, scale.x(hit.frame + 0.5) + 7) is None
    assert edge_under(data, scale, scale.x(take.span.start) - 5, "") == Gripped(Grip.BEGIN, take.name)
    assert edge_under(data, scale, scale.x(take.span.end_exclusive) - 5, "") == Gripped(Grip.END, take.name)
    assert edge_under(data, scale, scale.x(take.span.start) + 60, "") is None
    assert take_under(data, take.span.start, "") == take.name
    assert take_under(data, take.span.end_exclusive, "") == ""


def test_where_two_takes_meet_the_chosen_ones_edge_is_taken(sequence: Sequence) -> None:
    data = sheet_data(sequence, "A1", None)
    assert data is not None
    one = replace(data.takes[0], name="one", span=Span(10, 100))
    other = replace(data.takes[0], name="other", span=Span(100, 200))
    both = replace(data, takes=(one, other))
    scale = Scale(0.0, 2.0, 0.0, 1000.0)
    for chosen, found in (("one", Gripped(Grip.END, "one")), ("other", Gripped(Grip.BEGIN, "other"))):
        assert edge_under(both, scale, 201, chosen) == edge_under(both, scale, 199, chosen) == found
    assert edge_under(both, scale, 203, "") == Gripped(Grip.BEGIN, "other")
    assert edge_under(both, scale, 197, "") == Gripped(Grip.END, "one")


@pytest.mark.parametrize(("first", "each"), [(0.0, 0.5), (0.0, 6.0), (20.0, 24.0), (-5.0, 1.0)])
def test_the_curves_stand_over_their_own_frames(first: float, each: float) -> None:
    frames = 240
    loud, energy = np.zeros((1000, 2), np.float32), np.zeros(frames)
    loud[500] = (-0.5, 0.8)  # at 5 s, frame 120
    energy[120] = 0.4
    heard = replace(signals(energy=tuple(energy)), waveform=loud)
    scale = Scale(first, each, 40.0, 600.0)
    columns = wave_columns(heard, scale, Fraction(24))
    assert columns is not None
    moved = motion_columns(heard, scale)
    seen = (120 - first) * each
    for found in (columns[1], moved):
        assert len(found) == 600
        lit = np.flatnonzero(found)
        if seen < 600:
            assert len(lit) and abs(lit[0] - seen) <= max(each, 1) and abs(lit[-1] - seen) <= max(each, 1) + 1
        else:
            assert not len(lit)


def test_a_tape_without_sound_has_no_wave() -> None:
    scale = Scale(0.0, 1.0, 0.0, 50.0)
    assert wave_columns(signals(), scale, Fraction(24)) is None
    assert not motion_columns(signals(), scale).any()
    assert isinstance(signals(1.0).evidence, Evidence)


def test_the_list_counts_hits_moves_and_doubts(sequence: Sequence) -> None:
    row = tape_rows(sequence)[0]
    assert row.reel == "A1" and [(one.hits, one.doubtful) for one in row.takes] == [("3 of 3", "1")]


def test_the_panel_says_where_in_its_take_the_next_move_is(sequence: Sequence) -> None:
    take = sequence.takes[0]
    assert place_said(sequence, take, sequence.moves[1]) == "A1-1: 2 of 3, has a hit"
    assert place_said(sequence, take, None) == "A1-1: all 3 moves"
    assert place_said(sequence, None, None) == "no take here"
