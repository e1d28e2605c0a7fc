"""Pulls: their numbers, handles and takeover frames; their codes through versions; their pictures, read back frame by frame."""

from __future__ import annotations

from fractions import Fraction

import pytest
from fights import phrase, sequence, take, tape, treatment
from msgspec.structs import replace as changed

from previs.clock import Span, frame_played
from previs.cut import edits
from previs.cut.codes import with_codes
from previs.document.model import Card, Cut, Footage, Kind, Sequence, Settings, Shot, Transition, TransitionKind
from previs.faults import UseFault
from previs.handoff.pulls import Pull, prefix_of, pull_name, pulls_of


def fight(*shots: Shot, treatments: tuple[object, ...] = (treatment(0, 60),), **parts: object) -> Sequence:
    given = {"phrases": (phrase(1, range(1, 3)),), "tapes": (tape("A1"),), "takes": (take("T1", {1: 1}),), "treatments": treatments}
    return with_codes(sequence(cuts=(Cut("v1", shots, 240),), **(given | parts)), "v1")


def one_pull(*shots: Shot, **parts: object) -> Pull:
    made = fight(*shots, **parts)
    return pulls_of(made, made.cut("v1"))[0]


def test_forty_two_frames_and_handles_of_eight_are_1001_to_1058() -> None:
    pull = one_pull(Shot("s1", 42, Footage("T1", 100)))
    assert (pull.first, pull.cut_in, pull.cut_out, pull.last, pull.frames) == (1001, 1009, 1050, 1058, 58)
    assert pull.tape == Span(92, 150)


@pytest.mark.parametrize("handles", [0, 1, 8, 12])
@pytest.mark.parametrize("frames", [1, 2, 42, 97])
@pytest.mark.parametrize("first", [1001, 0, 101])
def test_the_identities_hold_for_any_length_and_handles(handles: int, frames: int, first: int) -> None:
    settings = Settings(handle_frames=handles, first_pull_frame=first)
    pull = one_pull(Shot("s1", frames, Footage("T1", 300)), settings=settings)
    assert pull.cut_in == first + handles
    assert pull.cut_out == first + handles + frames - 1
    assert pull.last == first + 2 * handles + frames - 1
    assert pull.frames == frames + 2 * handles
    assert not pull.remarks


def test_a_handle_is_cut_short_only_where_the_tape_ends_and_that_is_said() -> None:
    head = one_pull(Shot("s1", 20, Footage("T1", 5)))
    assert (head.head, head.tail, head.cut_in) == (5, 8, 1006)
    assert head.remarks == ("The head handle has 5 of 8 frames: tape A1 begins there.",)
    tail = one_pull(Shot("s1", 20, Footage("T1", 60 * 24 - 23)))
    assert (tail.head, tail.tail, tail.last) == (8, 3, 1031)
    assert tail.remarks == ("The tail handle has 3 of 8 frames: tape A1 ends there.",)


def test_a_shot_past_the_end_of_its_tape_is_refused() -> None:
    with pytest.raises(UseFault, match=r"Shot 1 \(take T1\) plays past the end of tape A1, which has 1440 frames"):
        one_pull(Shot("s1", 20, Footage("T1", 60 * 24 - 19)))


@pytest.mark.parametrize("speed", [Fraction(343, 240), Fraction(1, 2), Fraction(3), Fraction(-1), Fraction(-7, 5), Fraction(0)])
def test_a_pull_carries_each_tape_frame_once_and_the_speed_maps_into_it(speed: Fraction) -> None:
    pull = one_pull(Shot("s1", 30, Footage("T1", 200, speed)))
    shown = [frame_played(200, speed, k) for k in range(30)]
    assert pull.played == Span(min(shown), max(shown) + 1)
    assert pull.frames == max(shown) - min(shown) + 1 + 16
    assert [pull.tape.start + pull.shown(k) - pull.first for k in range(30)] == shown
    assert min(map(pull.shown, range(30))) == pull.cut_in
    assert max(map(pull.shown, range(30))) == pull.cut_out


def test_what_plays_on_under_a_transition_is_pulled_before_the_handle() -> None:
    dissolve = Transition(TransitionKind.DISSOLVE, 10)
    pull = one_pull(Shot("s1", 30, Footage("T1", 200)), Shot("s2", 30, Footage("T1", 300), dissolve))
    assert pull.tape == Span(192, 200 + 30 + 10 + 8)
    assert pull.remarks == ("Frames 1039 to 1048 play on under the dissolve into the next shot.",)


def test_a_digital_double_is_told_with_its_takeover_frames() -> None:
    marks = (treatment(Fraction(210, 24), Fraction(220, 24)),)
    (element,) = one_pull(Shot("s1", 30, Footage("T1", 200)), treatments=marks).elements
    assert element.takeover is not None
    takeover = element.takeover
    assert (takeover.performer_until, takeover.digital_from, takeover.digital_to, takeover.performer_from) == (1018, 1019, 1028, 1029)
    assert (element.first, element.last, element.performer) == (1019, 1028, "Juno Vale")


def test_a_digital_double_all_through_has_no_performer() -> None:
    (element,) = one_pull(Shot("s1", 30, Footage("T1", 200))).elements
    assert element.takeover is not None
    assert (element.takeover.performer_until, element.takeover.performer_from) == (None, None)
    assert (element.takeover.digital_from, element.takeover.digital_to) == (1001, 1046)
    assert (element.first, element.last) == (1009, 1038)


def test_which_shots_are_pulled() -> None:
    marks = (treatment(0, 2, kind=Kind.RIG_REMOVAL), treatment(10, 12, kind=Kind.FACE_REPLACEMENT))
    shots = (Shot("s1", 20, Footage("T1", 20)), Shot("s2", 20, Footage("T1", 120)), Shot("s3", 20, Footage("T1", 250)))
    made = fight(*shots, Shot("s4", 20, Card("the fall")), treatments=marks)
    cut = made.cut("v1")
    assert [pull.code for pull in pulls_of(made, cut)] == ["010", "030"]
    assert [pull.code for pull in pulls_of(made, cut, only=Kind.FACE_REPLACEMENT)] == ["030"]
    assert [pull.code for pull in pulls_of(made, cut, untreated=True)] == ["010", "020", "030"]


def test_codes_stay_through_insert_delete_and_reorder() -> None:
    made = fight(*(Shot(f"s{n}", 20, Footage("T1", 100 * n)) for n in range(1, 5)))

    def by_place(one: Sequence) -> dict[int, str]:
        coded = with_codes(one, "v1")
        return {pull.source.first_frame: pull.code for pull in pulls_of(coded, coded.cut("v1"))}

    before = by_place(made)
    assert before == {100: "010", 200: "020", 300: "030", 400: "040"}
    inserted = edits.insert(made, "v1", 2, Footage("T1", 700), 20)
    assert by_place(inserted) == before | {700: "015"}
    removed = edits.remove(with_codes(inserted, "v1"), "v1", 1)
    assert by_place(removed) == {place: code for place, code in (before | {700: "015"}).items() if place != 100}
    assert by_place(edits.move(made, "v1", 4, 1)) == before
    # Cut anew as v2, where the shots carry no codes, the first one gone and the order another.
    anew = tuple(Shot(f"n{n}", 24, Footage("T1", 100 * n - 2)) for n in (3, 2, 4))
    second = with_codes(changed(made, cuts=(*made.cuts, Cut("v2", anew, 240))), "v2")
    assert [shot.code for shot in second.cut("v2").shots] == ["030", "020", "040"]


@pytest.mark.parametrize(
    ("title", "prefix"),
    [("The Salt Stair", "SALT"), ("A Fall", "FALL"), ("Öl", "OL"), ("", "SEQ"), ("The", "THE"), ("=1+1", "1"), ("../x", "X")],
)
def test_names_of_files_are_made_of_plain_letters(title: str, prefix: str) -> None:
    assert prefix_of(title) == prefix
    assert pull_name(prefix, "010", 3) == f"{prefix}_010_v003"


def test_codes_that_make_the_same_file_name_are_refused() -> None:
    shots = (changed(Shot("s1", 20, Footage("T1", 20)), code="a/b"), changed(Shot("s2", 20, Footage("T1", 120)), code="A b"))
    made = sequence(tapes=(tape(),), takes=(take("T1", {}),), treatments=(treatment(0, 60),), cuts=(Cut("v1", shots, 40),))
    with pytest.raises(UseFault, match="codes of shots 1 and 2"):
        pulls_of(made, made.cut("v1"))
