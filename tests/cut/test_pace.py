"""Pace against published shot lists and their figures, and against cuts that can be counted by hand."""

from __future__ import annotations

from fractions import Fraction

import pandas as pd
import pytest
from fights import phrase, sequence, take, tape
from msgspec.structs import replace as changed

from previs.cut.pace import Pace, camera_side, pace, shot_lengths
from previs.document.model import Black, Card, Cut, Footage, Framing, Move, Phrase, Sequence, Shot, Size, Transition, TransitionKind
from previs.faults import UseFault


def cards(rate: str, *frames: int) -> Pace:
    """The pace of a cut of shots that last so many frames."""
    shots = tuple(Shot(f"s{number}", length, Card("a shot")) for number, length in enumerate(frames, start=1))
    one = sequence(rate_name=rate, cuts=(Cut("v1", shots, sum(frames)),))
    return pace(one, one.cut())


def test_a_published_list_of_four_events() -> None:
    # OpenTimelineIO's CMX3600 sample of four events at 25 fps: record 00:00:00:00, 06:11, 14:11, 17:22, 19:21. Its mean of 124
    # frames, median 123.5 and standard deviation (n - 1) 68.83 were computed from it by hand beforehand.
    lengths = cards("25", 161, 200, 86, 49).lengths
    assert (lengths.count, lengths.average, lengths.median) == (4, pytest.approx(124 / 25), pytest.approx(123.5 / 25))
    assert lengths.deviation == pytest.approx(68.83 / 25, abs=0.005 / 25)
    assert (lengths.shortest, lengths.longest) == (49 / 25, 200 / 25)


def test_the_first_ten_shots_of_redferns_list() -> None:
    # N. Redfern, Computational Film Analysis with R, 2022, Data/edl.csv: the first ten events, read at 25 fps.
    found = cards("25", 474, 192, 235, 127, 248, 353, 195, 503, 165, 112)
    assert found.frames == 2604
    assert (found.lengths.average, found.lengths.median) == (pytest.approx(260.4 / 25), pytest.approx(215 / 25))
    # A shot's neighbours, two on either side, and fewer at the ends.
    assert found.shots["moving_median_seconds"].iloc[[0, 2, 9]].tolist() == [235 / 25, 235 / 25, 165 / 25]


def test_six_shots_of_blackmail() -> None:
    # N. Redfern, Computational Film Analysis with R, 2022, Tables 6.2 and 6.3: seconds of six shots of Blackmail (1929).
    lengths = shot_lengths(pd.Series([6.88, 4.67, 2.96, 1.75, 2.67, 6.21]))
    assert (lengths.average, lengths.median) == (pytest.approx(4.19), pytest.approx(3.815))


def test_the_first_ten_shots_of_die_hard_2() -> None:
    # N. Redfern, hollywood-hawkes (MIT), data/cutting.csv: seconds of the first ten shots, in tenths; at 30 fps they are whole frames.
    tenths = (116, 15, 26, 35, 44, 42, 10, 20, 30, 23)
    found = cards("30", *(3 * tenth for tenth in tenths))
    assert found.frames / 30 == pytest.approx(36.1)
    assert (found.lengths.average, found.lengths.median) == (pytest.approx(3.61), pytest.approx(2.8))


def test_shots_a_minute_and_their_average_are_one_figure() -> None:
    # Redfern, as above, ch. 7, "Key concepts": 100 shots in 10 minutes are 10 a minute and 6 s on average.
    found = cards("24", *[144] * 100)
    assert (found.shots_per_minute, found.lengths.average, found.lengths.deviation) == (pytest.approx(10), pytest.approx(6), 0)


def test_a_single_shot_has_no_deviation() -> None:
    assert cards("24", 48).lengths.deviation is None


def test_a_dissolve_is_shared_at_its_midpoint_and_black_belongs_to_the_shot_before() -> None:
    dissolve = Transition(TransitionKind.DISSOLVE, 9)
    shots = (
        Shot("s1", 10, Black()),
        Shot("s2", 40, Card("a"), dissolve),
        Shot("s3", 40, Card("b"), dissolve),
        Shot("s4", 10, Black(), dissolve),
        Shot("s5", 20, Card("c")),
    )
    one = sequence(cuts=(Cut("v1", shots, 120),))
    found = pace(one, one.cut())
    # Salt: a dissolve's boundary is its midpoint, here 50 + 9 / 2. What comes first begins with the cut.
    assert found.shots["frames"].tolist() == [54.5, 45.5, 20]
    assert found.shots["shot"].tolist() == [2, 3, 5]
    assert found.shots["frames"].sum() == found.frames == 120
    assert found.lengths.average == pytest.approx(120 / 24 / 3)


def test_a_cut_that_shows_nothing_has_no_pace() -> None:
    one = sequence(cuts=(Cut("v1", (Shot("s1", 24, Black()),), 24),))
    with pytest.raises(UseFault, match="no shot that shows anything"):
        pace(one, one.cut())


def fight() -> Sequence:
    """Two places, two cameras; the second camera's take goes from medium to close at 3 s of tape."""
    moves = tuple(Move(n, f"cut {n}", "Odile", "Reeve", "level", place="corridor" if n < 3 else "stair") for n in range(1, 5))
    hits = {1: 1, 2: 2, 3: 4, 4: 5}
    close = (Framing(Fraction(0), Size.MEDIUM, 40, "pan", "Odile"), Framing(Fraction(3), Size.CLOSE, 40, "pan", "Odile"))
    shots = (
        Shot("s1", 36, Footage("T1", 12)),
        Shot("s2", 48, Footage("T2", 48)),
        Shot("s3", 24, Footage("T1", 84)),
        Shot("s4", 24, Footage("T1", 108)),
        Shot("s5", 12, Card("the fall")),
    )
    return sequence(
        phrases=(Phrase(1, moves),),
        tapes=(tape("A1"), tape("B1")),
        takes=(take("T1", hits), changed(take("T2", hits, reel="B1"), framings=close)),
        cuts=(Cut("v1", shots, 144),),
    )


def test_hits_and_the_spans_without_one() -> None:
    one = fight()
    found = pace(one, one.cut())
    # Moves 1, 2, 3 and 4 land at tape frames 24, 48, 96 and 120.
    assert found.hits == (12, 36, 96, 120)
    assert found.hits_per_second == pytest.approx(4 / 6)
    assert [(span.start, span.length) for span in found.dead_air] == [(36, 60), (12, 24), (96, 24), (120, 24), (0, 12)]
    assert found.shots["hits"].tolist() == [1, 1, 1, 1, 0]


def test_sizes_share_the_running_time_also_inside_a_shot() -> None:
    one = fight()
    found = pace(one, one.cut())
    assert found.sizes[["size", "frames", "shots"]].values.tolist() == [
        ["full", 84, 3],
        ["medium", 24, 1],
        ["close", 24, 1],
        ["card", 12, 1],
    ]
    assert found.sizes["share"].sum() == pytest.approx(1)
    assert found.kinds[["size", "movement"]].values.tolist() == [["full", ""], ["medium", "pan"], ["close", "pan"]]
    assert found.shots["size"].tolist() == ["full", "medium", "full", "full", "card"]


def test_set_ups_are_grouped_by_place_side_and_size() -> None:
    one = fight()
    table = pace(one, one.cut()).set_ups
    assert table[["place", "screen_left", "size", "shots"]].values.tolist() == [
        ["corridor", "Odile", "full", 1],
        ["corridor", "Odile", "medium", 1],
        ["stair", "Odile", "full", 2],
        ["stair", "", "card", 1],
    ]
    assert [None if pd.isna(one) else int(one) for one in table["bearing"]] == [0, 30, 0, None]
    assert table["screen_seconds"].tolist() == [1.5, 2, 2, 0.5]
    # Two shots with eight frames of handle at both ends of each: 48 + 32 frames.
    assert table["shoot_seconds"].iloc[2] == pytest.approx(80 / 24)


@pytest.mark.parametrize(
    ("angle", "bearing"),
    [(0, 0), (14, 0), (15, 30), (-15, 0), (-16, -30), (164, 150), (165, 180), (180, 180), (-180, 180), (-166, 180), (-165, -150)],
)
def test_bearings_fall_into_sectors_of_thirty_degrees(angle: int, bearing: int) -> None:
    assert camera_side(Framing(Fraction(0), Size.FULL, angle, screen_left="Odile")) == ("Odile", bearing)
    assert camera_side(Framing(Fraction(0), Size.FULL)) == ("", None)


def test_two_moves_on_one_frame_are_two_hits() -> None:
    one = sequence(
        phrases=(phrase(1, range(1, 3)),),
        tapes=(tape("A1"),),
        takes=(take("T1", {1: 1, 2: 1}),),
        cuts=(Cut("v1", (Shot("s1", 48, Footage("T1", 0)),), 48),),
    )
    found = pace(one, one.cut())
    assert (found.hits, found.hits_per_second) == ((24, 24), 1)
    assert [span.length for span in found.dead_air] == [24, 24]


def test_black_and_cards_are_no_kinds_of_shot() -> None:
    one = fight()
    shots = (*one.cut().shots, Shot("s6", 12, Black()))
    found = pace(one, Cut("v1", shots, 156))
    assert {"card", "black"} <= set(found.sizes["size"]) and not {"card", "black"} & set(found.kinds["size"])
    cards_alone = pace(one, Cut("v1", shots[4:], 24))
    assert len(cards_alone.kinds) == 0 and cards_alone.lengths.count == 1
