"""Each check on a cut that has exactly that fault, beside one that just has not."""

from __future__ import annotations

from fractions import Fraction

import pytest
from fights import phrase, sequence, take, tape, treatment
from msgspec.structs import replace as changed

from previs.clock import frame_played
from previs.cut import edits
from previs.cut.placing import hits_seen, place, treatments_seen
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
from previs.fight.findings import Code, Finding, Severity

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


def test_order_is_broken_by_the_move_that_comes_too_late() -> None:
    shots = list(sound().cut().shots)
    shots[1], shots[3] = shots[3], shots[1]
    broken = found(with_shots(sound(), *shots), Code.ORDER_BROKEN)
    assert [(one.sentence, one.shot, one.severity) for one in broken] == [
        ("Move 3 is seen after move 4.", 3, Severity.ERROR),
        ("Move 2 is seen after move 4.", 4, Severity.ERROR),
    ]


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


def faded(one: Sequence, number: int, frames: int) -> Sequence:
    """The sequence with the shot after `number` dissolving in over so many frames."""
    return with_shot(one, number + 1, transition=Transition(TransitionKind.DISSOLVE, frames))


def test_what_plays_on_under_a_dissolve_is_seen_to_its_middle_and_treated_to_its_end() -> None:
    """Shot 1 ends on tape frame 84; move 2 lands on 96, 12 frames under the dissolve."""
    one = changed(sound(), treatments=(treatment(Fraction(84, 24), Fraction(120, 24)),))
    one = with_shots(one, one.cut().shots[0], *one.cut().shots[2:])
    assert [two.sentence for two in found(one, Code.MOVE_NEVER_SEEN)] == ["Move 2 is never seen."]
    assert len(found(faded(one, 1, 24), Code.MOVE_NEVER_SEEN)) == 1
    assert found(faded(one, 1, 26), Code.MOVE_NEVER_SEEN) == []
    (seen,) = treatments_seen(faded(one, 1, 26), place(faded(one, 1, 26), faded(one, 1, 26).cut()))
    assert (seen.record.start, seen.record.end_exclusive) == (48, 48 + 26)
    assert treatments_seen(one, place(one, one.cut())) == ()


def test_a_shot_that_runs_past_its_take_shows_what_lands_there() -> None:
    one = changed(sound(), takes=(changed(sound().takes[0], end_exclusive=Fraction(7, 2)), take("T3", {9: 5}, start=4), sound().takes[1]))
    one = changed(
        one,
        phrases=(*one.phrases, phrase(2, range(9, 10))),
        takes=tuple(changed(two, hits=two.hits[:1]) if two.name == "T1" else two for two in one.takes),
    )
    inside = with_shots(one, Shot("s1", 48, Footage("T1", 36)))
    assert found(inside, Code.PAST_THE_TAKE) == []
    past = with_shots(one, Shot("s1", 100, Footage("T1", 36)))
    (told,) = found(past, Code.PAST_THE_TAKE)
    assert told.sentence == "Shot 1 shows 52 frames of tape outside take T1."
    assert [seen.move.number for seen in hits_seen(past, place(past, past.cut()))] == [1, 9]


def test_a_dissolve_uses_up_the_handle() -> None:
    """Tape B1 ends 12 frames after shot 2: enough for the handle of 8 by itself, but not beside a dissolve of 10."""
    one = changed(sound(), tapes=(tape("A1"), changed(tape("B1"), duration=Fraction(84 + 48 + 12, 24))))
    one = with_shots(one, *one.cut().shots[:2], Shot("s3", 48, Footage("T1", 132)))
    assert found(one, Code.HANDLES_SHORT) == []
    (told,) = found(with_shot(one, 3, transition=Transition(TransitionKind.DISSOLVE, 10)), Code.HANDLES_SHORT)
    assert told.sentence.startswith("Shot 2 has 2 frames of handle at its tail")


def test_tape_that_runs_on_neither_jumps_nor_loses_a_takeover() -> None:
    one = changed(sound(), treatments=(treatment(Fraction(70, 24), Fraction(100, 24)),))
    split = with_shots(one, Shot("a", 48, Footage("T1", 36)), Shot("b", 48, Footage("T1", 84)))
    frozen = with_shots(
        one, Shot("a", 48, Footage("T1", 36)), Shot("f", 20, Footage("T1", 84, Fraction(0))), Shot("b", 48, Footage("T1", 84))
    )
    for cut in (split, frozen):
        assert found(cut, Code.JUMP_CUT) == []
        assert found(cut, Code.TAKEOVER_CUT_INTO) == []
    apart = with_shots(one, Shot("a", 48, Footage("T1", 36)), Shot("b", 48, Footage("T1", 90)))
    assert len(found(apart, Code.JUMP_CUT)) == 1
    assert len(found(apart, Code.TAKEOVER_CUT_INTO)) == 2


def test_one_shot_out_of_place_is_told_and_not_its_neighbours() -> None:
    one = sound()
    first, second, third, fourth = one.cut().shots
    (told,) = found(with_shots(one, fourth, first, second, third), Code.ORDER_BROKEN)
    assert (told.shot, told.sentence) == (1, "Move 4 is seen before move 1.")
    (told,) = found(with_shots(one, second, third, fourth, first), Code.ORDER_BROKEN)
    assert (told.shot, told.sentence) == (4, "Move 1 is seen after move 4.")


def test_a_face_is_not_replaced_that_is_the_actors_own() -> None:
    marked = changed(sound(), treatments=(treatment(2, 3, kind=Kind.FACE_REPLACEMENT),))
    (told,) = found(marked, Code.NEEDLESS_REPLACEMENT)
    assert told.sentence == "Shot 1 has a face replacement for Odile, whom Juno Vale plays there in person."
    doubled = changed(marked, takes=tuple(changed(one, performers=(Casting("Odile", "Pim Oster"),)) for one in marked.takes))
    assert found(doubled, Code.NEEDLESS_REPLACEMENT) == []


def test_a_performer_in_a_move_that_is_doubled_elsewhere_is_noted() -> None:
    one = changed(sound(), treatments=(treatment(Fraction(7, 2), Fraction(9, 2), reel="B1"),))
    assert found(one, Code.PERFORMER_IN_DOUBLED_MOVE) == []
    plain = with_shot(one, 2, picture=Footage("T1", 84))
    (told,) = found(plain, Code.PERFORMER_IN_DOUBLED_MOVE)
    assert (told.shot, told.severity) == (2, Severity.NOTE)
    assert "Move 2 in shot 2 is done by a performer; on T2" in told.sentence


def test_a_face_gets_too_close_where_the_framing_does() -> None:
    one = changed(sound(), treatments=(treatment(2, 3, kind=Kind.FACE_REPLACEMENT),))
    closer = changed(one.takes[0], framings=(*one.takes[0].framings, Framing(Fraction(5, 2), Size.CLOSE, 0)))
    (told,) = found(changed(one, takes=(closer, one.takes[1])), Code.FACE_TOO_CLOSE)
    assert told.record_frame == 60 - 36
    assert "in a close shot" in told.sentence
