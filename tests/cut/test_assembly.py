"""Assembly: its rules one by one, then what holds for every fight, then against brute force over whole cuts."""

from __future__ import annotations

from fractions import Fraction

import pytest
from fights import phrase, sequence, take, tape
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from previs.cut import prices
from previs.cut.assembly import assemble, next_name, with_cut
from previs.cut.choices import choices, playing_speed
from previs.cut.placing import hits_seen, moves_held, place
from previs.document.invariants import faults_in
from previs.document.model import Black, Card, Casting, Face, Footage, Framing, Role, Sequence, Settings, Shot, Shows, Size
from previs.faults import UseFault


def shown(one: Sequence) -> list[int]:
    return [seen.move.number for seen in hits_seen(one, place(one, one.cuts[-1]))]


def cut_of(one: Sequence, target: int | None = None) -> Sequence:
    return with_cut(one, assemble(one, next_name(one), target).cut)


def test_one_take_of_one_phrase_plays_with_wind_up_and_follow_through() -> None:
    fight = sequence(phrases=(phrase(1, range(1, 4), breath=0),), tapes=(tape(),), takes=(take("T1", {1: 2, 2: 3, 3: 4}),))
    # From half a second before the hit at 2 s to a third of a second after the one at 4 s.
    made = assemble(fight, "v1", 24 * 2 + 12 + 1 + 8)
    assert len(made.cut.shots) == 1
    first = made.cut.shots[0].picture
    assert first == Footage(take="T1", first_frame=48 - 12, speed=Fraction(1))
    assert made.cut.frames == made.cut.target_frames
    assert made.remarks == ("The cut lasts its target to the frame.",)


def test_every_cut_inside_a_phrase_comes_four_frames_before_a_hit() -> None:
    fight = sequence(
        phrases=(phrase(1, range(1, 7)),),
        tapes=(tape("A1"), tape("B1")),
        takes=(
            take("A1-1", {n: 1 + n for n in range(1, 7)}),
            take("B1-1", {n: 10 + Fraction(11, 10) * n for n in range(1, 7)}, reel="B1", size=Size.MEDIUM),
        ),
    )
    fight = cut_of(fight, 180)
    placed = place(fight, fight.cuts[0])
    landing = {seen.move.number: seen for seen in hits_seen(fight, placed)}
    assert shown(fight) == [1, 2, 3, 4, 5, 6]
    assert {one.source.tape.reel for one in placed if one.source} == {"A1", "B1"}
    for one in placed[1:]:
        first_move = moves_held(fight, placed)[one.number][0]
        assert landing[first_move].record_frame - one.record.start == 4


def test_the_best_rated_take_plays_when_the_rest_is_equal() -> None:
    fight = sequence(
        phrases=(phrase(1, range(1, 5)),),
        tapes=(tape("A1"), tape("B1")),
        takes=(
            take("good", {n: 1 + n for n in range(1, 5)}, rating=5),
            take("poor", {n: 20 + n for n in range(1, 5)}, reel="B1", rating=2),
        ),
    )
    assert {shot.picture.take for shot in assemble(fight, "v1").cut.shots if isinstance(shot.picture, Footage)} == {"good"}


def test_a_learning_take_is_speeded_to_performance_by_a_whole_tenth_of_a_frame_a_second() -> None:
    speed = playing_speed(Fraction(7, 10), Fraction(24))
    assert speed == Fraction(343, 240)
    assert (speed * 24 * 10).denominator == 1
    assert playing_speed(Fraction(96, 100), Fraction(24)) == 1
    fight = sequence(
        phrases=(phrase(1, range(1, 3)),), tapes=(tape(),), takes=(take("slow", {1: 3, 2: Fraction(24, 5)}, tempo=Fraction(7, 10)),)
    )
    fight = cut_of(fight, 12 + 31 + 1 + 8 + 24)
    landing = {seen.move.number: seen.record_frame for seen in hits_seen(fight, place(fight, fight.cuts[0]))}
    # 1.8 s of tape at 343/240 is 30.2 frames on screen.
    assert landing[2] - landing[1] in (30, 31)
    assert "Speed 1.429" in " ".join(fight.cuts[0].shots[0].reasons)


def two_phrases() -> Sequence:
    return sequence(
        phrases=(phrase(1, range(1, 3), breath=30), phrase(2, range(3, 5), breath=17)),
        tapes=(tape(),),
        takes=(take("T1", {1: 2, 2: 3}, end=9), take("T2", {3: 12, 4: 13}, phrases=(2, 2), start=10, end=20)),
    )


def test_breaths_and_speeds_give_way_until_the_target_is_met_to_the_frame() -> None:
    fight = two_phrases()
    # Each phrase at its own speed is 12 + 24 + 1 + 8 frames, and its breath.
    natural = 2 * 45 + 30 + 17
    assert all(shot.picture.speed == 1 for shot in assemble(fight, "v1", natural).cut.shots if isinstance(shot.picture, Footage))
    # Least: ceil(45 x 0.92) twice and a third of each breath; most: floor(45 x 1.08) twice and the whole breaths.
    for target in range(42 * 2 + 10 + 6, 48 * 2 + 30 + 17 + 1):
        assert assemble(fight, "v1", target).cut.frames == target


def test_a_target_that_cannot_be_met_says_what_can() -> None:
    fight = two_phrases()
    over = assemble(fight, "v1", 90)
    assert over.cut.frames == 42 * 2 + 10 + 6
    assert "No cut lasts 00:00:03:18; this one is 10 frames longer, the nearest there is." in over.remarks
    assert "The shortest possible is 00:00:04:04, the longest 00:00:05:23." in over.remarks
    # 90 frames less 16 of breath leaves 37 a phrase: 37/45 is 17.8 % down.
    assert "Retiming up to 18 % (now 8%) would make it fit." in over.remarks
    under = assemble(fight, "v1", 400)
    assert under.cut.frames == 143
    assert "needs longer breaths" in under.remarks[-1]


def test_locked_shots_stay_and_the_rest_is_solved_around_them() -> None:
    fight = two_phrases()
    first = with_cut(fight, assemble(fight, "v1", 130).cut)
    shots = first.cuts[0].shots
    cut = replace(first.cuts[0], shots=(Shot("x1", 12, Black(), locked=True), replace(shots[0], frames=60, locked=True), *shots[1:]))
    again = assemble(first, "v2", 132, around=cut)
    assert again.cut.frames == 132
    assert again.cut.shots[:2] == cut.shots[:2]
    assert again.cut.shots[2].frames == 60


def test_a_double_seen_and_a_crossed_line_are_avoided() -> None:
    seen, hidden = (Face("Odile", Shows.FULL),), (Face("Odile", Shows.HIDDEN),)
    hits = {1: 2, 2: 3, 3: 4}
    double = (Casting("Odile", "Pim Oster"), Casting("Reeve", "Abel Quist"))
    fight = sequence(
        cast=(Role("Odile", "Juno Vale", ("Pim Oster",)),),
        phrases=(phrase(1, range(1, 4), breath=0),),
        tapes=(tape("A1"), tape("B1")),
        takes=(
            replace(take("face", hits, rating=4), performers=double, framings=(Framing(Fraction(0), Size.MEDIUM, faces=seen),)),
            replace(
                take("back", hits, reel="B1", rating=3), performers=double, framings=(Framing(Fraction(0), Size.MEDIUM, faces=hidden),)
            ),
        ),
    )
    assert {shot.picture.take for shot in assemble(fight, "v1", 69).cut.shots} == {"back"}  # type: ignore[union-attr]
    plain = replace(fight, cast=())
    assert {shot.picture.take for shot in assemble(plain, "v1", 69).cut.shots} == {"face"}  # type: ignore[union-attr]


def test_jumps_follow_the_thirty_degree_rule() -> None:
    def framing(size: Size, angle: int | None) -> Framing:
        return Framing(Fraction(0), size, angle)

    full = framing(Size.FULL, 0)
    assert prices.jump_price(full, framing(Size.FULL, 29), same_camera=False)[1] == prices.JUMP_CUT
    assert prices.jump_price(full, framing(Size.FULL, 30), same_camera=False)[1] == 0
    assert prices.jump_price(full, framing(Size.MEDIUM_WIDE, 29), same_camera=False)[1] == prices.SOFT_JUMP
    assert prices.jump_price(full, framing(Size.MEDIUM, 29), same_camera=False)[1] == 0
    assert prices.jump_price(framing(Size.FULL, 170), framing(Size.FULL, -170), same_camera=False)[1] == prices.JUMP_CUT
    assert prices.jump_price(full, framing(Size.FULL, None), same_camera=False)[1] == 0


def test_a_move_without_footage_is_a_card_and_an_optional_one_is_left_out() -> None:
    fight = sequence(phrases=(phrase(1, range(1, 6), optional=(4,)),), tapes=(tape(),), takes=(take("T1", {1: 2, 2: 3}),))
    made = assemble(fight, "v1", 1000)
    cards = [shot.picture for shot in made.cut.shots if isinstance(shot.picture, Card)]
    assert [(card.first_move, card.last_move) for card in cards] == [(3, 3), (5, 5)]
    assert "Left out, being optional: 4 (cut 4)." in made.remarks
    assert "Move 3 (cut 3): no take shows it land, so a card holds its place." in made.remarks
    held = moves_held(fight, place(fight, made.cut))
    assert [move for number in sorted(held) for move in held[number]] == [1, 2, 3, 5]


def test_a_take_broken_off_is_used_up_to_where_it_breaks() -> None:
    fight = sequence(
        phrases=(phrase(1, range(1, 5), breath=0),),
        tapes=(tape("A1"), tape("B1")),
        takes=(
            take("broken", {1: 2, 2: 3}, rating=5, end=4),
            take("whole", {n: 10 + n for n in range(1, 5)}, reel="B1", rating=1, start=8),
        ),
    )
    fight = cut_of(fight, 1000)
    assert shown(fight) == [1, 2, 3, 4]


def test_there_is_nothing_to_cut_without_moves() -> None:
    with pytest.raises(UseFault, match="no moves yet"):
        assemble(sequence(), "v1")


def test_a_cut_name_is_used_once() -> None:
    fight = cut_of(sequence(phrases=(phrase(1, range(1, 3)),)))
    assert next_name(fight) == "v2"
    with pytest.raises(UseFault, match="a cut named 'v1' already"):
        with_cut(fight, fight.cuts[0])


@st.composite
def fights(draw: st.DrawFn) -> Sequence:
    """Fights of one to three phrases with takes of every tempo, some broken off, some missing moves."""
    phrases, takes, number = [], [], 1
    for index in range(draw(st.integers(1, 3))):
        count = draw(st.integers(1, 6))
        moves = range(number, number + count)
        optional = tuple(draw(st.sets(st.sampled_from(moves))))
        phrases.append(phrase(index + 1, moves, breath=draw(st.integers(0, 40)), optional=optional))
        for copy in range(draw(st.integers(0, 3))):
            at, hits = Fraction(draw(st.integers(0, 48)), 24), {}
            for move in moves[: draw(st.integers(0, count))]:
                at += Fraction(draw(st.integers(5, 60)), draw(st.sampled_from((24, 25, 30))))
                if draw(st.integers(0, 5)):
                    hits[move] = at
            takes.append(
                replace(
                    # A tape each: on one tape they would lie over each other, and a shot of one would show the moves of all.
                    take(f"T{index}-{copy}", hits, reel=f"{draw(st.sampled_from('AB'))}{index}{copy}", phrases=(index + 1, index + 1)),
                    rating=draw(st.integers(0, 5)),
                    tempo=Fraction(draw(st.integers(60, 110)), 100),
                    end_exclusive=at + Fraction(draw(st.integers(1, 40)), 24),
                )
            )
        number += count
    return sequence(
        phrases=tuple(phrases),
        tapes=tuple(tape(one.reel) for one in takes),
        takes=tuple(takes),
        settings=Settings(lead_frames=draw(st.integers(1, 4))),
    )


@given(fights(), st.integers(1, 2000))
@settings(deadline=None, max_examples=100)
def test_any_fight_gives_a_sound_cut_with_every_move_once_and_in_order(fight: Sequence, target: int) -> None:
    made = assemble(fight, "v1", target)
    after = with_cut(fight, made.cut)
    assert faults_in(after) == ()
    placed = place(after, made.cut)
    held = moves_held(after, placed)
    order = [move for number in sorted(held) for move in held[number]]
    assert order == sorted(set(order))
    left_out = {move.number for move in fight.moves} - set(order)
    assert all(move.optional for move in fight.moves if move.number in left_out)
    assert not any(isinstance(shot.picture, Black) for shot in made.cut.shots)
    assert assemble(fight, "v1", target) == made


@given(fights())
@settings(max_examples=40, deadline=None)
def test_every_length_of_every_choice_costs_what_its_reasons_add_up_to(fight: Sequence) -> None:
    fps = fight.timebase.rate.fps
    for choice in choices(fight)[0]:
        for frames, cost in zip(choice.lengths, choice.costs(), strict=True):
            assert sum(price for _, price in choice.items_at(frames, fight)) == cost
            # The limit is one of length: 8 % shorter is 8.7 % faster; the speed is then rounded to a tenth of a frame.
            change = choice.speed_at(frames, fps) / choice.speed - 1
            assert abs(change) <= 1 / (1 - fight.settings.most_retiming) - 1 + Fraction(1, 20) / (choice.speed * fps)


@given(st.integers(0, 10**9), st.integers(1, 10**6))
def test_nearest_whole_is_pythons_own_rounding_of_a_fraction(part: int, of: int) -> None:
    assert prices.nearest_whole(part, of) == round(Fraction(part, of))
