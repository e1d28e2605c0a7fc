"""The values of the review page are those of the rooms: frames, tape frames, levels, words, earlier notes."""

from __future__ import annotations

from fractions import Fraction

import msgspec
import pytest
from fights import phrase, sequence, take, tape
from msgspec.structs import replace

from previs.clock import Span
from previs.cut.pace import rushes
from previs.cut.placing import hits_seen, place
from previs.document.model import Black, Card, Cut, Footage, Sequence, Shot, Transition, TransitionKind
from previs.document.notes import Drawing, Note, NoteKind, NoteState, Shape
from previs.faults import UseFault
from previs.review.notes_file import LONGEST_TEXT
from previs.review.page_data import Asked, page_data, page_ident


@pytest.fixture
def fight() -> Sequence:
    """Two takes, a card, black with a fade, a shot at odd speed and one backwards."""
    shots = (
        Shot("s1", 40, Footage("T1", 20)),
        Shot("s2", 30, Footage("T2", 100, Fraction(-4, 5)), Transition(TransitionKind.DISSOLVE, 10)),
        Shot("s3", 20, Card("the leap", 4, 4)),
        Shot("s4", 48, Footage("T1", 110, Fraction(29, 20))),
        Shot("s5", 12, Black()),
    )
    made = sequence(
        phrases=(phrase(1, range(1, 4)), phrase(2, range(4, 7))),
        takes=(take("T1", {1: 1.0, 2: 2.0, 5: 5.0, 6: 6.0}), take("T2", {3: 3.5}, reel="B1")),
        tapes=(tape("A1"), tape("B1")),
    )
    return replace(made, cuts=(Cut("v1", shots, 160),), target_frames=160)


def test_rushes_are_the_quickest_runs_of_four_hits_that_share_no_frame() -> None:
    assert rushes((0, 10, 20, 30, 100, 104, 108, 110, 300)) == (Span(100, 111), Span(0, 31))
    assert rushes((5, 6, 7)) == ()
    assert rushes((5, 5, 5, 5)) == (Span(5, 6),)


def test_shots_and_hits_are_those_of_the_cut(fight: Sequence) -> None:
    cut = fight.cut()
    data = page_data(fight, cut, Asked())
    placed = place(fight, cut)
    assert [(one.first, one.frames) for one in data.shots] == [(one.record.start, one.record.length) for one in placed]
    assert [one.kind for one in data.shots] == ["tape", "tape", "card", "tape", "black"]
    assert [(one.frame, one.move, one.shot) for one in data.hits] == [
        (seen.record_frame, seen.move.number, seen.placed.number) for seen in hits_seen(fight, placed)
    ]
    assert (data.frames, data.target_frames, data.against_target) == (150, 160, "00:00:00:10 (10 frames) under its target")
    assert data.shots[1].transition_frames == 10


def test_the_tape_frame_of_every_record_frame_follows_from_the_values(fight: Sequence) -> None:
    data = page_data(fight, fight.cut(), Asked())
    for shown, one in zip(data.shots, place(fight, fight.cut()), strict=True):
        if one.source is None:
            continue
        top, bottom = int(shown.speed_numerator), int(shown.speed_denominator)
        for k in range(one.shot.frames):
            steps = k * abs(top) // bottom
            assert shown.tape_first + (-steps if top < 0 else steps) == one.source.frame(k)


def test_levels_are_heights_of_the_sizes_that_have_a_line(fight: Sequence) -> None:
    data = page_data(fight, fight.cut(), Asked())
    assert data.sizes == ("wide", "full", "medium wide")
    assert {run.level for shot in data.shots for run in shot.runs} == {2}
    assert {hit.level for hit in data.hits} == {2}


def test_the_pace_is_told_in_plain_words(fight: Sequence) -> None:
    told = page_data(fight, fight.cut(), Asked()).told
    assert told.length[0].words == "It lasts 6.2 s (00:00:06:06): 00:00:00:10 (10 frames) under its target."
    assert told.length[1].words.startswith("It has 4 shots and 1 black;")
    assert [one.words for one in told.dead if "on a card" in one.words]
    assert told.rush[0].first is not None
    assert told.winning[0].words.startswith("Who has the upper hand: Odile ")


def test_a_cut_without_hits_says_so(fight: Sequence) -> None:
    card = Cut("v1", (Shot("s1", 24, Card("nothing yet")),), 24)
    told = page_data(replace(fight, cuts=(card,)), card, Asked()).told
    assert told.dead[0].words == "No hit is seen, so nothing can be said of where it is dead."
    assert told.rush[0].words.startswith("Fewer than 4 hits are seen")


def test_a_cut_that_shows_nothing_has_no_page(fight: Sequence) -> None:
    black = Cut("v1", (Shot("s1", 24, Black()),), 24)
    with pytest.raises(UseFault, match="no shot that shows anything"):
        page_data(replace(fight, cuts=(black,)), black, Asked())


def test_the_version_beside_has_its_shots_and_what_changed(fight: Sequence) -> None:
    first = fight.cut()
    second = replace(first, name="v2", shots=(replace(first.shots[0], frames=36), *first.shots[2:]))
    both = replace(fight, cuts=(first, second))
    data = page_data(both, second, Asked(beside=first))
    assert data.beside is not None
    assert data.beside.shots == ((0, 40), (40, 30), (70, 20), (90, 48), (138, 12))
    assert [shot.earlier for shot in data.shots] == [1, 3, 4, 5]
    assert data.shots[0].changes == ("trimmed",)
    assert any("Take out shot 2 of v1" in line.words for line in data.beside.changes)
    assert all(line.first is not None and 0 <= line.first < second.frames for line in data.beside.changes)


def test_earlier_notes_stand_where_they_are_now_and_the_homeless_last(fight: Sequence) -> None:
    source = place(fight, fight.cut())[0].source
    assert source is not None
    drawn = (Drawing(Shape.ARROW, 1, 2, 3, 4),)
    there = Note("a", "v1", "M", "2027-01-01T00:00:00Z", NoteKind.UNCLEAR, "?", "s1", 9, 1, "A1", source.frame(9), drawings=drawn)
    gone = replace(there, ident="b", shot="none", reel="ZZ", state=NoteState.DECLINED, answer="No.")
    whole = Note("c", "v1", "M", "2027-01-01T00:00:00Z", NoteKind.OTHER, "All of it")
    earlier = page_data(replace(fight, notes=(gone, there, whole)), fight.cut(), Asked()).earlier
    assert [(one.ident, one.first, one.shot) for one in earlier] == [("c", 0, None), ("a", 9, 1), ("b", None, None)]
    assert [len(one.drawings) for one in earlier] == [0, 1, 0]
    assert earlier[2].how == "its frames, its hit and its shot are not in this version"
    assert (earlier[0].about, earlier[1].about) == ("the whole cut", "01:00:00:09")


def test_the_page_is_the_same_one_for_as_long_as_the_cut_shows_the_same(fight: Sequence) -> None:
    cut = fight.cut()
    ident = page_ident(fight, cut)
    assert ident == page_ident(replace(fight, notes=(), target_frames=9), replace(cut, note="x", target_frames=9))
    assert ident != page_ident(fight, replace(cut, shots=cut.shots[:-1]))
    assert ident != page_ident(replace(fight, title="Another"), cut)


def test_names_in_json_are_those_of_the_script_and_limits_those_of_the_reader(fight: Sequence) -> None:
    raw = msgspec.json.decode(msgspec.json.encode(page_data(fight, fight.cut(), Asked())))
    assert raw["shots"][3]["speedNumerator"] == "29"
    assert raw["limits"]["text"] == LONGEST_TEXT
    assert raw["kinds"] == [kind.value for kind in NoteKind]
    assert raw["clock"] == {"rate": "24", "fpsNumerator": 24, "fpsDenominator": 1, "nominal": 24, "drop": False, "startFrame": 86400}
