"""Each check on a cut that has exactly that fault, beside one that just has not."""

from __future__ import annotations

from fractions import Fraction

import pytest
from fights import phrase, sequence, take, tape, treatment
from msgspec.structs import replace as changed

from previs.clock import frame_played
from previs.cut import edits, retimes
from previs.document.model import (
    Black,
    Card,
    Casting,
    Cut,
    Face,
    Footage,
    Framing,
    Kind,
    Role,
    Sequence,
    Shot,
    Shows,
    Size,
    Transition,
    TransitionKind,
)
from previs.fight.checks import checks
from previs.fight.findings import EXPLAINED, Code, Finding, Severity
from previs.fight.move_checks import _most_in_order

DISSOLVE = Transition(TransitionKind.DISSOLVE, 12)
HITS = {1: 2, 2: 4, 3: 6, 4: 8}


def sound() -> Sequence:
    """Four shots of two seconds each, from two cameras 40 degrees and two sizes apart, every hit half a second in."""
    first, second = take("T1", HITS), take("T2", HITS, reel="B1")
    return sequence(
        phrases=(phrase(1, range(1, 5)),),
        tapes=(tape("A1"), tape("B1")),
        takes=(framed(first, Size.FULL, 0), framed(second, Size.MEDIUM, 40)),
        cast=(Role("Odile", "Juno Vale", ("Pim Oster",)), Role("Reeve", "Abel Quist")),
        cuts=(Cut("v1", tuple(Shot(f"s{n + 1}", 48, Footage(("T1", "T2")[n % 2], 36 + 48 * n)) for n in range(4)), 192),),
    )


def framed(one, size=Size.FULL, angle=0, left="Odile", faces=()):
    return changed(one, framings=(Framing(Fraction(0), size, angle, screen_left=left, faces=faces),))


def with_shot(one: Sequence, number: int, **parts: object) -> Sequence:
    """The sequence with something else about a shot, and a target that fits."""
    shots = list(one.cut().shots)
    shots[number - 1] = changed(shots[number - 1], **parts)
    return with_shots(one, *shots)


def with_shots(one: Sequence, *shots: Shot) -> Sequence:
    return changed(one, cuts=(Cut("v1", shots, sum(shot.frames for shot in shots)),))


def with_take(one: Sequence, number: int, **parts: object) -> Sequence:
    takes = list(one.takes)
    takes[number - 1] = changed(takes[number - 1], **parts)
    return changed(one, takes=tuple(takes))


def found(one: Sequence, code: Code) -> list[Finding]:
    return [finding for finding in checks(one, one.cut()) if finding.code is code]


def only(one: Sequence, code: Code) -> Finding:
    (finding,) = checks(one, one.cut())
    assert finding.code is code
    return finding


def test_a_sound_cut_has_no_findings() -> None:
    assert checks(sound(), sound().cut()) == ()


def test_a_move_that_is_never_seen_is_an_error_that_names_the_takes_which_show_it() -> None:
    finding = only(with_shots(sound(), *sound().cut().shots[:3]), Code.MOVE_NEVER_SEEN)
    assert (finding.severity, finding.shot) == (Severity.ERROR, None)
    assert finding.sentence == "Move 4 is never seen." and "T1 and T2" in finding.mend
    unshot = changed(sound(), phrases=(phrase(1, range(1, 6)),))
    assert "No take shows it" in only(unshot, Code.MOVE_NEVER_SEEN).mend
    assert not found(changed(sound(), phrases=(phrase(1, range(1, 6), optional=(5,)),)), Code.MOVE_NEVER_SEEN)


def test_a_card_holds_its_moves_and_is_a_note() -> None:
    notes = checks(*cut_of(with_shot(sound(), 3, picture=Card("the fall", 3))))
    assert [(one.severity, one.code, one.shot, one.record_frame) for one in notes] == [
        (Severity.NOTE, Code.MOVE_NEVER_SEEN, 3, 96),
    ]


def cut_of(one: Sequence) -> tuple[Sequence, Cut]:
    return one, one.cut()


def test_a_move_seen_twice_is_told_where_it_is_seen_again() -> None:
    shots = sound().cut().shots
    finding = only(with_shots(sound(), *shots, Shot("s5", 48, Footage("T1", 180))), Code.MOVE_SEEN_TWICE)
    assert (finding.severity, finding.shot, finding.record_frame) == (Severity.WARNING, 5, 192 + 12)


def test_order_is_broken_by_the_shots_that_would_have_to_move() -> None:
    shots = list(sound().cut().shots)
    shots[1], shots[3] = shots[3], shots[1]
    broken = found(with_shots(sound(), *shots), Code.ORDER_BROKEN)
    assert [(one.sentence, one.mend, one.severity) for one in broken] == [
        ("Shot 3, with move 3, stands in the wrong place.", "Move it to before shot 2.", Severity.ERROR),
        ("Shot 4, with move 2, stands in the wrong place.", "Move it to before shot 2.", Severity.ERROR),
    ]


@pytest.mark.parametrize(("at", "mend"), [(0, "Move it to after shot 5."), (2, "Move it to after shot 5.")])
def test_one_misplaced_card_is_one_error_however_many_moves_it_holds(at: int, mend: str) -> None:
    longer = changed(sound(), phrases=(phrase(1, range(1, 9)),))
    shots = list(longer.cut().shots)
    shots.insert(at, Shot("s5", 24, Card("the stair", 5, 8)))
    (broken,) = found(with_shots(longer, *shots), Code.ORDER_BROKEN)
    assert (broken.shot, broken.mend) == (at + 1, mend)
    assert broken.sentence == f"Shot {at + 1}, with moves 5 to 8, stands in the wrong place."


def test_a_shot_played_backwards_has_its_moves_out_of_order_where_it_stands() -> None:
    one = with_shots(sound(), Shot("s1", 80, Footage("T1", 100, Fraction(-1))), *sound().cut().shots[2:])
    assert [finding.sentence for finding in found(one, Code.ORDER_BROKEN)] == ["Move 1 is seen after move 2."]


@pytest.mark.parametrize(
    ("sizes", "stay"),
    [((), []), (((1, 1), (4, 6), (2, 2), (3, 3)), [0, 2, 3]), (((1, 3), (2, 2)), [0]), (((5, 5), (4, 4), (6, 9)), [0, 2])],
)
def test_as_many_shots_as_can_be_stay_in_place(sizes: tuple[tuple[int, int], ...], stay: list[int]) -> None:
    assert _most_in_order(list(sizes)) == stay


@pytest.mark.parametrize(("left", "flagged"), [(4, False), (3, True), (1, True)])
def test_a_hit_needs_four_frames_before_its_shot_ends(left: int, flagged: bool) -> None:
    one = with_shot(sound(), 2, frames=12 + left)
    assert [finding.record_frame for finding in found(one, Code.HIT_CUT_OFF)] == ([60] if flagged else [])


@pytest.mark.parametrize(("first", "words"), [(49, "begins 1 frame of tape after"), (52, "begins 4 frames of tape after"), (53, None)])
def test_a_shot_that_begins_just_after_its_hit_says_so(first: int, words: str | None) -> None:
    one = with_shot(sound(), 1, picture=Footage("T1", first), frames=40)
    assert [finding.sentence for finding in found(one, Code.HIT_CUT_OFF)] == ([f"Shot 1 {words} move 1 lands."] if words else [])
    assert len(found(one, Code.MOVE_NEVER_SEEN)) == 1


def test_a_shot_that_ends_just_before_its_hit_says_so_also_backwards() -> None:
    forwards = with_shot(sound(), 4, frames=12)
    assert found(forwards, Code.HIT_CUT_OFF)[0].sentence == "Shot 4 ends 1 frame of tape before move 4 lands."
    backwards = with_shot(sound(), 4, picture=Footage("T2", 240, Fraction(-1)))
    assert found(backwards, Code.HIT_CUT_OFF)[0].sentence == "Shot 4 ends 1 frame of tape before move 4 lands."
    assert found(with_shot(backwards, 4, picture=Footage("T2", 190, Fraction(-1))), Code.HIT_CUT_OFF)[0].record_frame == 144


def test_a_shot_split_in_two_is_still_one_on_screen() -> None:
    assert not checks(*cut_of(edits.split(sound(), "v1", 2, 14)))


def test_a_short_shot_cannot_be_read() -> None:
    shots = (*sound().cut().shots, Shot("s5", 7, Card("title")))
    finding = only(with_shots(sound(), *shots), Code.SHOT_TOO_SHORT)
    assert (finding.shot, finding.record_frame) == (5, 192)
    assert not checks(*cut_of(with_shots(sound(), *shots[:4], changed(shots[4], frames=8))))


@pytest.mark.parametrize(
    ("angle", "size", "camera", "severity"),
    [
        # 29 degrees to the same size jumps and 30 does not; a change of size softens it: Wadsworth, The Editor's Toolkit, 2016, ch. 3.
        (29, Size.FULL, "B", Severity.WARNING),
        (-29, Size.FULL, "B", Severity.WARNING),
        (30, Size.FULL, "B", None),
        (29, Size.MEDIUM_WIDE, "B", Severity.NOTE),
        (29, Size.MEDIUM, "B", None),
        (120, Size.FULL, "A", Severity.WARNING),
        (None, Size.FULL, "B", None),
    ],
)
def test_cuts_under_thirty_degrees_jump(angle: int | None, size: Size, camera: str, severity: Severity | None) -> None:
    one = with_take(sound(), 2, framings=(Framing(Fraction(0), size, angle),), camera=camera)
    jumps = found(one, Code.JUMP_CUT)
    assert [(jump.shot, jump.severity) for jump in jumps] == ([(2, severity), (3, severity), (4, severity)] if severity else [])
    under_dissolves = with_shots(one, *(changed(shot, transition=DISSOLVE) for shot in one.cut().shots))
    assert not found(under_dissolves, Code.JUMP_CUT)


def test_the_line_is_crossed_when_the_roles_change_sides() -> None:
    crossed = with_take(sound(), 2, framings=(Framing(Fraction(0), Size.MEDIUM, 40, screen_left="Reeve"),))
    assert [one.shot for one in found(crossed, Code.LINE_CROSSED)] == [2, 3, 4]
    on_the_line = with_take(sound(), 2, framings=(Framing(Fraction(0), Size.MEDIUM, 90),))
    assert not found(on_the_line, Code.LINE_CROSSED)


@pytest.mark.parametrize(
    ("size", "severity"),
    [
        (Size.WIDE, None),
        (Size.FULL, None),
        (Size.MEDIUM_WIDE, Severity.NOTE),
        (Size.MEDIUM, Severity.WARNING),
        (Size.CLOSE, Severity.WARNING),
    ],
)
def test_a_replaced_face_holds_in_full_and_wider(size: Size, severity: Severity | None) -> None:
    marked = changed(sound(), treatments=(treatment(4, 5, reel="B1", kind=Kind.FACE_REPLACEMENT),))
    one = with_take(marked, 2, framings=(Framing(Fraction(0), size, 40),))
    assert [(close.shot, close.record_frame, close.severity) for close in found(one, Code.FACE_TOO_CLOSE)] == (
        [(2, 60, severity)] if severity else []
    )


def test_a_camera_that_moves_in_under_a_replaced_face_is_judged_by_the_closest_size() -> None:
    marked = changed(sound(), treatments=(treatment(4, 5, reel="B1", kind=Kind.FACE_REPLACEMENT),))
    for moved_in, flagged in ((Fraction(9, 2), True), (Fraction(5), False)):
        one = with_take(marked, 2, framings=(Framing(Fraction(0), Size.FULL, 40), Framing(moved_in, Size.MEDIUM, 40)))
        assert bool(found(one, Code.FACE_TOO_CLOSE)) is flagged


def doubled(shows: Shows, performer: str = "Pim Oster") -> Sequence:
    """The sound cut with Odile played on T2, in shots 2 and 4, by this performer, her face showing so much."""
    framing = Framing(Fraction(0), Size.MEDIUM, 40, faces=(Face("Odile", shows),))
    return with_take(sound(), 2, framings=(framing,), performers=(Casting("Odile", performer), Casting("Reeve", "Abel Quist")))


def test_a_doubles_face_is_told_with_its_frames_and_an_actors_is_not() -> None:
    seen = found(doubled(Shows.FULL), Code.DOUBLE_SEEN)
    assert [(one.shot, one.severity, one.record_frame) for one in seen] == [(2, Severity.WARNING, 48), (4, Severity.WARNING, 144)]
    assert "Pim Oster's face shows as Odile in 48 frames of shot 2" in seen[0].sentence
    assert [one.severity for one in found(doubled(Shows.PART), Code.DOUBLE_SEEN)] == [Severity.NOTE, Severity.NOTE]
    assert not found(doubled(Shows.HIDDEN), Code.DOUBLE_SEEN)
    assert not found(doubled(Shows.FULL, "Juno Vale"), Code.DOUBLE_SEEN)


@pytest.mark.parametrize(
    ("marks", "left", "begins"),
    [
        # Shot 2 plays tape seconds 3.5 to 5.5 at record frames 48 to 95.
        ([(3, 6, Kind.FACE_REPLACEMENT, "Odile")], 0, None),
        ([(3, 6, Kind.DIGITAL_DOUBLE, "Odile")], 0, None),
        ([(3, 6, Kind.RIG_REMOVAL, "Odile")], 48, 48),
        ([(3, 6, Kind.FACE_REPLACEMENT, "Reeve")], 48, 48),
        ([(3, 4, Kind.FACE_REPLACEMENT, "Odile")], 36, 60),
        ([(4, 5, Kind.FACE_REPLACEMENT, "Odile")], 24, 48),
        ([(3, 6, Kind.FACE_REPLACEMENT, "Odile"), (4, 5, Kind.DIGITAL_DOUBLE, "Odile")], 0, None),
        ([(3, 4, Kind.FACE_REPLACEMENT, "Odile"), (4, 6, Kind.DIGITAL_DOUBLE, "Odile")], 0, None),
    ],
)
def test_only_the_frames_without_a_replacement_are_counted(marks: list[tuple[int, int, Kind, str]], left: int, begins: int | None) -> None:
    treatments = tuple(treatment(start, end, reel="B1", kind=kind, role=role) for start, end, kind, role in marks)
    one = changed(doubled(Shows.FULL), treatments=treatments)
    seen = [finding for finding in found(one, Code.DOUBLE_SEEN) if finding.shot == 2]
    assert [finding.record_frame for finding in seen] == ([begins] if left else [])
    assert all(f" {left} frames" in finding.sentence for finding in seen)


def test_without_casting_a_double_cannot_be_told() -> None:
    finding = only(changed(sound(), cast=sound().cast[:1]), Code.DOUBLE_SEEN)
    assert finding.severity is Severity.NOTE and "plays Reeve" in finding.sentence


SPEEDS = (Fraction(1), Fraction(1, 2), Fraction(343, 240), Fraction(3), Fraction(-1), Fraction(-343, 240), Fraction(-1, 3))


@pytest.mark.parametrize("speed", SPEEDS, ids=str)
@pytest.mark.parametrize("first", [0, 3, 8, 11, 100, 230, 236, 239])
def test_handles_and_tape_ends_agree_with_playing_frame_by_frame(speed: Fraction, first: int) -> None:
    frames, there = 10, 240
    on_tape = {k: 0 <= frame_played(first, speed, k) < there for k in range(-1000, 1000)}
    before = next(k for k in range(1000) if not on_tape[-1 - k])
    after = next(k for k in range(1000 - frames) if not on_tape[frames + k])
    if beyond := [k for k in range(frames) if not on_tape[k]]:
        after = beyond[0] - frames
    one = sequence(
        tapes=(tape(seconds=10),),
        takes=(take("T1", {}, end=10),),
        cuts=(Cut("v1", (Shot("s1", frames, Footage("T1", first, speed)),), frames),),
    )
    told = {}
    for finding in found(one, Code.HANDLES_SHORT) + found(one, Code.OFF_TAPE):
        number = int(next(word for word in finding.sentence.split()[2:] if word.isdecimal()))
        told["head" if "head" in finding.sentence or "head" in finding.mend else "tail"] = (
            number if finding.code is Code.HANDLES_SHORT else -number
        )
    assert told == {edge: room for edge, room in (("head", before), ("tail", after)) if room < 8}


def test_a_shot_beyond_its_tape_is_an_error_and_a_freeze_needs_no_handles() -> None:
    early = with_shot(sound(), 1, picture=Footage("T1", -2))
    assert [(one.severity, one.sentence) for one in found(early, Code.OFF_TAPE)] == [
        (Severity.ERROR, "Shot 1 plays 2 frames beyond the start of tape A1.")
    ]
    late = with_shot(sound(), 4, picture=Footage("T2", 1400))
    assert [one.sentence for one in found(late, Code.OFF_TAPE)] == ["Shot 4 plays 8 frames beyond the end of tape B1."]
    frozen = with_shot(sound(), 4, picture=Footage("T2", 1439, Fraction(0)))
    assert not found(frozen, Code.OFF_TAPE) + found(frozen, Code.HANDLES_SHORT)
    assert found(with_shot(sound(), 4, picture=Footage("T2", 1440, Fraction(0))), Code.OFF_TAPE)[0].severity is Severity.ERROR


@pytest.mark.parametrize(("first", "missing"), [(1380, False), (1381, True)])
def test_a_transition_needs_tape_to_play_on_under_it(first: int, missing: bool) -> None:
    one = with_shot(with_shot(sound(), 1, picture=Footage("T1", first)), 2, transition=DISSOLVE)
    errors = [finding for finding in found(one, Code.HANDLES_SHORT) if finding.severity is Severity.ERROR]
    assert [finding.shot for finding in errors] == ([1] if missing else [])
    assert all("tape A1 has 11" in finding.sentence for finding in errors)


def test_a_shot_of_no_frames_is_the_only_finding() -> None:
    finding = only(with_shot(sound(), 2, frames=0), Code.NOTHING_ON_SCREEN)
    assert (finding.severity, finding.shot) == (Severity.ERROR, 2)
    assert only(with_shot(sound(), 2, frames=-3), Code.NOTHING_ON_SCREEN).sentence == "Shot 2 lasts -3 frames."


def test_black_is_a_hole_unless_something_fades_there() -> None:
    shots = sound().cut().shots
    black = Shot("s9", 12, Black())
    assert only(with_shots(sound(), *shots, black), Code.NOTHING_ON_SCREEN).shot == 5
    assert not checks(*cut_of(with_shots(sound(), *shots, changed(black, transition=DISSOLVE))))
    assert not checks(*cut_of(with_shots(sound(), black, changed(shots[0], transition=DISSOLVE), *shots[1:])))


@pytest.mark.parametrize(("reel", "alike"), [("A-1", True), ("a.1", True), ("A_1", False), ("A2", False)])
def test_tapes_that_an_edit_list_cannot_tell_apart(reel: str, alike: bool) -> None:
    one = changed(sound(), tapes=(*sound().tapes, tape(reel)))
    assert [finding.severity for finding in found(one, Code.REELS_ALIKE)] == ([Severity.WARNING] if alike else [])


def test_over_the_target_is_an_error_and_under_it_a_note() -> None:
    one = sound()
    for target, severity, words in ((191, Severity.ERROR, "1 frame longer"), (200, Severity.NOTE, "8 frames shorter")):
        finding = only(changed(one, cuts=(changed(one.cut(), target_frames=target),)), Code.LENGTH_OFF_TARGET)
        assert finding.severity is severity and words in finding.sentence


@pytest.mark.parametrize(
    ("start", "end", "lost"),
    [
        (Fraction(7, 2), Fraction(11, 2), None),
        (Fraction(7, 2) - Fraction(1, 24), Fraction(11, 2), "the takeover is"),
        (Fraction(4), Fraction(11, 2) + Fraction(1, 24), "the handing back is"),
        (Fraction(3), Fraction(6), "the takeover and the handing back are"),
    ],
)
def test_a_digital_doubles_takeover_must_be_on_screen(start: Fraction, end: Fraction, lost: str | None) -> None:
    one = changed(sound(), treatments=(treatment(start, end, reel="B1"),))
    told = found(one, Code.TAKEOVER_CUT_INTO)
    assert [finding.sentence for finding in told] == (
        [f"Shot 2 cuts into the digital double of Odile: {lost} not on screen."] if lost else []
    )


def test_findings_come_in_running_order_after_those_of_the_whole_cut() -> None:
    one = doubled(Shows.FULL)
    one = changed(one, cuts=(changed(one.cut(), target_frames=100),), treatments=(treatment(7, 8, reel="B1"),))
    frames = [-1 if finding.record_frame is None else finding.record_frame for finding in checks(one, one.cut())]
    assert frames == sorted(frames) and frames[0] == -1 and len(frames) > 3


def faded(frames: int, *, tail: int = 20) -> Sequence:
    """The sound cut, its last shot going to black in `frames` frames after `tail` of its own; move 4 lands 12 in."""
    shots = sound().cut().shots
    return with_shots(
        sound(), *shots[:3], changed(shots[3], frames=tail), Shot("s5", frames, Black(), Transition(TransitionKind.DISSOLVE, frames))
    )


@pytest.mark.parametrize(("tail", "frames", "sees"), [(10, 40, True), (1, 22, False), (1, 24, True), (12, 1, True), (12, 40, True)])
def test_a_hit_under_a_fade_out_is_seen_up_to_its_middle(tail: int, frames: int, sees: bool) -> None:
    # The hit is 12 frames into the shot: it is in the first half when 12 - tail < frames / 2.
    one = faded(frames, tail=tail)
    assert [finding.sentence for finding in found(one, Code.MOVE_NEVER_SEEN)] == ([] if sees else ["Move 4 is never seen."])
    told = [finding.sentence for finding in found(one, Code.HIT_CUT_OFF) if "second half" in finding.sentence]
    assert told == ([] if sees else ["Move 4 lands in the second half of the dissolve out of shot 4, where it hardly shows."])


def test_what_plays_on_under_a_transition_is_long_enough_and_has_its_hit() -> None:
    one = faded(40, tail=5)
    assert not found(one, Code.SHOT_TOO_SHORT) and not found(one, Code.HIT_CUT_OFF)
    (short,) = found(faded(5, tail=5), Code.SHOT_TOO_SHORT)
    assert short.sentence == "Shot 4 lasts 7.5 frames between the middles of its transitions; under 8 it cannot be read."


def test_a_hit_in_the_first_half_of_a_transition_in_is_told() -> None:
    one = with_shot(sound(), 2, transition=changed(DISSOLVE, frames=25))
    (told,) = found(one, Code.HIT_CUT_OFF)
    assert told.sentence == "Move 2 lands 12 frames into the dissolve into shot 2, before half of it shows."
    assert told.mend.startswith("Shorten the dissolve to 24 frames")
    assert not found(with_shot(sound(), 2, transition=changed(DISSOLVE, frames=24)), Code.HIT_CUT_OFF)


def test_faces_takeovers_and_sizes_count_under_the_transition() -> None:
    # Shot 2 plays tape seconds 3.5 to 5.5, and to 6 under the dissolve into shot 3.
    one = with_shot(sound(), 3, transition=DISSOLVE)
    late = treatment(Fraction(11, 2), Fraction(6), reel="B1", kind=Kind.FACE_REPLACEMENT)
    pushed = (Framing(Fraction(0), Size.FULL, 40), Framing(Fraction(23, 4), Size.CLOSE, 40))
    (close,) = found(with_take(changed(one, treatments=(late,)), 2, framings=pushed), Code.FACE_TOO_CLOSE)
    assert (close.shot, close.record_frame) == (2, 96 + 6)
    seen = found(changed(doubled(Shows.FULL), cuts=one.cuts), Code.DOUBLE_SEEN)
    assert "in 60 frames of shot 2" in seen[0].sentence
    assert not found(changed(one, treatments=(treatment(5, 6, reel="B1"),)), Code.TAKEOVER_CUT_INTO)
    assert found(changed(one, treatments=(treatment(5, Fraction(145, 24), reel="B1"),)), Code.TAKEOVER_CUT_INTO)


def test_a_face_is_too_close_from_where_it_turns_tight() -> None:
    marked = changed(sound(), treatments=(treatment(4, 5, reel="B1", kind=Kind.FACE_REPLACEMENT),))
    one = with_take(marked, 2, framings=(Framing(Fraction(0), Size.FULL, 40), Framing(Fraction(9, 2), Size.EXTREME_CLOSE, 40)))
    (close,) = found(one, Code.FACE_TOO_CLOSE)
    assert close.record_frame == 48 + 24 and "in an extreme close;" in close.sentence


def test_a_split_and_a_still_within_a_take_are_no_fault() -> None:
    marked = changed(sound(), treatments=(treatment(4, 5, reel="B1"),))
    for one in (
        edits.split(marked, "v1", 2, 20),
        edits.split(edits.split(marked, "v1", 2, 20), "v1", 3, 3),
        retimes.freeze(marked, "v1", 2, 40),
        retimes.freeze(sound(), "v1", 2, 12),
    ):
        assert not found(one, Code.TAKEOVER_CUT_INTO) + found(one, Code.JUMP_CUT) + found(one, Code.SHOT_TOO_SHORT), one.cut().shots
        assert not found(one, Code.MOVE_SEEN_TWICE)
    # A still of the frame that comes next, and the tape going on from it.
    shots = sound().cut().shots
    held = with_shots(sound(), *shots[:2], Shot("s9", 12, Footage("T2", 132, Fraction(0))), Shot("s10", 20, Footage("T2", 132)), *shots[2:])
    assert not found(held, Code.JUMP_CUT)
    assert found(with_shots(sound(), *shots[:2], Shot("s9", 20, Footage("T2", 140)), *shots[2:]), Code.JUMP_CUT)


def test_a_dissolve_eats_the_handle() -> None:
    # Shot 1 ends 20 frames before its tape does.
    one = with_shot(sound(), 1, picture=Footage("T1", 1372))
    assert not found(one, Code.HANDLES_SHORT)
    (short,) = found(with_shot(one, 2, transition=changed(DISSOLVE, frames=13)), Code.HANDLES_SHORT)
    assert (short.severity, short.shot) == (Severity.WARNING, 1)
    assert "has 7 frames of handle at its tail on tape A1" in short.sentence and "the dissolve out of it" in short.sentence


def test_a_shot_that_runs_past_its_take_shows_what_comes_there() -> None:
    one = changed(
        sound(), takes=(changed(sound().takes[0], end_exclusive=Fraction(4)), sound().takes[1], take("T3", {4: 5, 1: 6}, start=5, end=30))
    )
    past, _ = found(with_shot(one, 1, frames=96), Code.PAST_ITS_TAKE)
    assert past.sentence == "Shot 1 plays 36 frames past the out of take T1, into take T3."
    assert (past.severity, past.shot, past.record_frame) == (Severity.WARNING, 1, 60)
    assert past.mend == "Trim its tail by 36, or split it there and name the take that it shows."
    twice = [again.sentence for again in found(with_shot(one, 1, frames=96), Code.MOVE_SEEN_TWICE)]
    assert "Move 4 is seen again in shot 4; it was seen in shot 1." in twice
    early = with_take(sound(), 1, start=Fraction(2))
    assert found(early, Code.PAST_ITS_TAKE)[0].sentence == "Shot 1 plays 12 frames before the in of take T1."
    under = with_shot(with_take(sound(), 1, end_exclusive=Fraction(7, 2)), 2, transition=DISSOLVE)
    assert next((note.severity, note.shot) for note in found(under, Code.PAST_ITS_TAKE)) == (Severity.NOTE, 1)


def test_an_actor_in_a_move_that_is_doubled_elsewhere_is_a_note() -> None:
    one = changed(sound(), treatments=(treatment(Fraction(23, 12), Fraction(25, 12), reel="B1"),))
    (note,) = found(one, Code.DOUBLED_ELSEWHERE)
    assert (note.severity, note.shot, note.record_frame) == (Severity.NOTE, 1, 12)
    assert note.sentence == "Juno Vale does move 1 in shot 1; on take T2 it is marked for a digital double of Odile."
    here = changed(one, treatments=(*one.treatments, treatment(Fraction(23, 12), Fraction(25, 12))))
    assert not found(here, Code.DOUBLED_ELSEWHERE)
    doubled_here = with_take(one, 1, performers=(Casting("Odile", "Pim Oster"), Casting("Reeve", "Abel Quist")))
    assert not found(doubled_here, Code.DOUBLED_ELSEWHERE)


def test_an_actors_own_face_needs_no_replacement() -> None:
    one = changed(sound(), treatments=(treatment(4, 5, reel="B1", kind=Kind.FACE_REPLACEMENT),))
    (told,) = found(one, Code.FACE_IS_THE_ACTORS)
    assert (told.severity, told.shot) == (Severity.WARNING, 2) and "Juno Vale" in told.sentence
    double = changed(doubled(Shows.FULL), treatments=one.treatments)
    assert not found(double, Code.FACE_IS_THE_ACTORS)


def test_a_performer_whom_nobody_cast_is_told_once() -> None:
    (told,) = found(doubled(Shows.HIDDEN, "Rika Thorn"), Code.UNKNOWN_PERFORMER)
    assert (told.severity, told.shot) == (Severity.WARNING, 2) and "Rika Thorn performs Odile" in told.sentence
    assert not found(doubled(Shows.HIDDEN), Code.UNKNOWN_PERFORMER)


def test_a_mark_that_no_take_holds_is_a_note() -> None:
    one = with_take(sound(), 1, end_exclusive=Fraction(50))
    for start, told in ((50, True), (49, False)):
        notes = found(changed(one, treatments=(treatment(start, 55),)), Code.TREATMENT_IN_NO_TAKE)
        assert [note.sentence for note in notes] == (
            ["The digital double of Odile on tape A1 at 00:00:50:00 lies in no take."] if told else []
        )


def test_every_code_is_explained_and_they_are_numbered_in_sequence() -> None:
    assert list(EXPLAINED) == list(Code)
    assert [code.value.split()[0] for code in Code] == [f"C{number:02d}" for number in range(1, len(Code) + 1)]
