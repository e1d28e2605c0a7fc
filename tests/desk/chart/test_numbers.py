"""Move numbers beside their ticks: all that fit, none over another, none across a higher step."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from previs.desk.chart.numbers import Label, Skyline, Tick, labels

ASCENT, CEILING, WIDE = 11.0, 0.0, 14.0
GROUND = Skyline([(0.0, 500.0, 200.0)])


def placed(ticks: list[Tick], skyline: Skyline = GROUND, *, crowded: bool = False) -> list[Label | None]:
    return labels(ticks, ASCENT, CEILING, skyline, crowded=crowded)


def test_a_number_stands_beside_its_tick_where_there_is_room() -> None:
    assert placed([Tick(100, 200, WIDE, 40)]) == [Label(104, 197)]


def test_numbers_of_hits_that_come_fast_stand_above_and_all_can_be_read() -> None:
    found = placed([Tick(x, 200, WIDE, 8) for x in (100, 108, 116, 124)])
    assert all(found)
    assert len({one.base for one in found if one}) > 1
    assert placed([Tick(x, 200, WIDE, 8) for x in (100, 108, 116, 124)], crowded=True) == [None] * 4


def test_a_number_keeps_off_a_higher_step_and_off_the_words_above() -> None:
    beside_a_wall = Skyline([(0.0, 110.0, 200.0), (110.0, 160.0, 60.0)])
    (found,) = placed([Tick(102, 200, WIDE, 8)], beside_a_wall)
    assert found and found.left + WIDE < 110
    assert placed([Tick(20, 5, WIDE, 8)], Skyline([(0.0, 40.0, 5.0)])) == [None]


@given(st.lists(st.tuples(st.integers(1, 30), st.sampled_from((60.0, 130.0, 200.0))), min_size=1, max_size=40))
def test_no_two_numbers_meet_and_none_is_crossed_by_a_step(steps: list[tuple[int, float]]) -> None:
    ticks, runs, x = [], [], 0.0
    for wide, top in steps:
        ticks.append(Tick(x + 2, top, WIDE, wide - 2))
        runs.append((x, x + wide, top))
        x += wide
    found = [one for one in placed(ticks, Skyline(runs)) if one]
    for at, one in enumerate(found):
        for other in found[at + 1 : at + 8]:
            apart = one.left + WIDE <= other.left or other.left + WIDE <= one.left
            assert apart or abs(one.base - other.base) >= ASCENT
        for left, right, top in runs:
            beside = any(one == Label(tick.x + 4, tick.top - 3) for tick in ticks)
            assert beside or right <= one.left or left >= one.left + WIDE or one.base <= top
