"""What holds after any run of edits: a sound sequence, marks where the tape says, and undo back to the first byte."""

from __future__ import annotations

from collections import Counter
from itertools import zip_longest
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from cut.small_cut import CUT, a_cut, random_edit, shots, tape_frames, total
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace as changed

from previs.clock import span_played
from previs.cut.edit_rules import lacks
from previs.cut.placing import place, treatments_seen
from previs.document.history import record, undo
from previs.document.invariants import faults_in, usable_grid_frames
from previs.document.model import Footage, Sequence, Shot
from previs.document.store import create, open_document, save
from previs.document.text import from_text, to_text
from previs.faults import UseFault


def seen_by_brute_force(one: Sequence) -> set[tuple[int, str, object]]:
    """Record frame, reel and mark of every frame that shows a treated tape frame, also under the transition into the next."""
    fps, found, at = one.timebase.rate.fps, set(), 0
    for each, following in zip_longest(shots(one), shots(one)[1:]):
        if isinstance(each.picture, Footage):
            reel = one.take(each.picture.take).reel
            under = following.transition.frames if following and following.transition else 0
            for k, tape_frame in enumerate(tape_frames(changed(each, frames=each.frames + under))):
                for mark in one.treatments:
                    if mark.reel == reel and mark.start <= tape_frame / fps < mark.end_exclusive:
                        found.add((at + k, reel, mark))
        at += each.frames
    return found


def check_sound(one: Sequence) -> None:
    """Everything that an edit must leave true."""
    assert faults_in(one) == ()
    placed = place(one, one.cut(CUT))
    assert total(one) == sum(each.frames for each in shots(one)) == placed[-1].record.end_exclusive
    before: Shot | None = None
    for each in shots(one):
        assert each.frames >= 1
        if isinstance(each.picture, Footage):
            on_tape(one, each.picture, each.frames)
        if each.transition and before and isinstance(before.picture, Footage):
            on_tape(one, before.picture, before.frames + each.transition.frames)
        before = each
    got = {
        (frame, item.treatment.reel, item.treatment)
        for item in treatments_seen(one, placed)
        for frame in range(item.record.start, item.record.end_exclusive)
    }
    assert got == seen_by_brute_force(one)


def on_tape(one: Sequence, picture: Footage, frames: int) -> None:
    played = span_played(picture.first_frame, picture.speed, frames)
    there = usable_grid_frames(one.tape(one.take(picture.take).reel), one.timebase.rate.fps)
    assert 0 <= played.start < played.end_exclusive <= there


@given(st.randoms(use_true_random=False), st.sampled_from(["24", "23.976", "25", "29.97"]), st.integers(1, 25))
@settings(deadline=None, max_examples=60)
def test_any_run_of_edits_keeps_the_sequence_sound(luck: Random, rate: str, count: int) -> None:
    one = a_cut(rate)
    assert not list(lacks(one, list(shots(one))))
    others = one.cuts[1:]
    for _ in range(count):
        locked = [each for each in shots(one) if each.locked]
        name, edit = random_edit(luck, one)
        try:
            edited = edit(one)
        except UseFault:
            continue
        check_sound(edited)
        assert edited.cuts[1:] == others and (edited.tapes, edited.takes, edited.treatments) == (one.tapes, one.takes, one.treatments)
        if name != "lock":
            assert set(locked) <= set(shots(edited))
        one = edited


def test_of_many_random_edits_each_kind_is_sometimes_done_and_sometimes_refused() -> None:
    """The run above would say nothing if its edits were refused always or never."""
    luck, done, not_done = Random(20260301), Counter[str](), Counter[str]()
    for _ in range(150):
        one = a_cut()
        for _ in range(40):
            name, edit = random_edit(luck, one)
            try:
                one = edit(one)
                done[name] += 1
            except UseFault:
                not_done[name] += 1
    assert len(done) == 25 and min(done.values()) >= 5, done
    assert len(not_done) == 25, not_done


@given(st.randoms(use_true_random=False))
@settings(deadline=None, max_examples=6)
def test_undoing_every_edit_gives_the_first_document_back_byte_for_byte(luck: Random) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "salt.previs"
        create(path, a_cut())
        first, saved = path.read_bytes(), 0
        while saved < 8:
            opened = open_document(path)
            try:
                edited = random_edit(luck, opened.sequence)[1](opened.sequence)
            except UseFault:
                continue
            if edited == opened.sequence:
                continue
            with record(path, to_text(opened.sequence), to_text(edited), "an edit"):
                save(opened, edited)
            saved += 1
        for _ in range(saved):
            opened = open_document(path)
            with undo(path) as step:
                save(opened, from_text(step.text, "history"))
        assert path.read_bytes() == first
