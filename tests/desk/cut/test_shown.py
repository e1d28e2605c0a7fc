"""Which frames of a cut and of a take that is tried are shown; pure."""

from __future__ import annotations

from fractions import Fraction

import pytest
from cut.small_cut import CUT, a_cut

from previs.cut import edits, retimes
from previs.cut.stand_ins import StandIn, stand_ins
from previs.desk.cut.shown import laid_over, shot_at, shot_span, tried
from previs.document.model import Footage, Sequence


def test_shots_and_frames_of_a_cut() -> None:
    cut = a_cut().cut(CUT)
    ends = 0
    for number, shot in enumerate(cut.shots, start=1):
        span = shot_span(cut, number)
        assert span and (span.start, span.length) == (ends, shot.frames)
        ends += shot.frames
        assert shot_at(cut, span.start) == shot_at(cut, ends - 1) == number
        assert laid_over(cut, ends - 1) == (ends if number < len(cut.shots) else None)
        assert laid_over(cut, ends - 2) is None
    assert shot_at(cut, ends) is None and shot_span(cut, 0) is None and shot_span(cut, 7) is None


def one_of(sequence: Sequence, number: int, take: str) -> StandIn:
    return next(one for one in stand_ins(sequence, CUT, number) if one.take.name == take)


def test_what_is_tried_is_what_the_shot_would_show() -> None:
    sequence = a_cut()
    found = one_of(sequence, 1, "T2")
    assert found.sequence is not None
    picture = found.sequence.cut(CUT).shots[0].picture
    assert isinstance(picture, Footage)
    shown = tried(found, sequence, sequence.cut(CUT), 1)
    assert (shown.strip.reel, shown.strip.first_frame, shown.speed) == ("B1", picture.first_frame, picture.speed)
    assert shown.strip.frames is not None and shown.strip.frames / shown.speed <= 30 + 1


def test_a_take_that_cannot_stand_in_is_tried_from_just_before_its_hit() -> None:
    sequence = a_cut()
    short = edits.trim_tail(sequence, CUT, 1, 100)
    found = one_of(short, 1, "T2")
    assert found.sequence is None and "past the end of tape B1" in found.fault
    shown = tried(found, short, short.cut(CUT), 1)
    assert 0 < found.first_frame - shown.strip.first_frame <= 4 * shown.speed


@pytest.mark.parametrize("speed", [Fraction(-1), Fraction(0)])
def test_backwards_and_frozen_stretches_have_frames_to_show(speed: Fraction) -> None:
    sequence = a_cut()
    sequence = retimes.reverse(sequence, CUT, 1) if speed < 0 else retimes.freeze(sequence, CUT, 1, 0)
    for found in stand_ins(sequence, CUT, 1):
        shown = tried(found, sequence, sequence.cut(CUT), 1)
        assert shown.speed >= 0 and shown.strip.first_frame >= 0 and shown.strip.frames
