"""The file's text: there and back without loss, the same bytes for equal values, and a sentence for every kind of damage."""

from __future__ import annotations

import json
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import msgspec
import pytest
from document.drawn import plain_sequence, sequences
from hypothesis import HealthCheck, given, settings

from previs.document import migrations, text
from previs.document.invariants import faults_in
from previs.document.model import Footage, Sequence, Settings
from previs.document.text import DocumentFault, from_text, to_text
from previs.faults import UseFault

Raw = dict[str, Any]


@settings(deadline=None, max_examples=200, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(sequences())
def test_there_and_back_loses_nothing(sequence: Sequence) -> None:
    assert faults_in(sequence) == ()
    written = to_text(sequence)
    read = from_text(written, "a.previs")
    assert read == sequence
    assert to_text(read) == written
    assert written.encode().decode() == written


def test_equal_values_give_equal_text_whatever_objects_they_hold() -> None:
    # 960 and Fraction(1) are the defaults, here as objects of their own, as arithmetic makes them.
    spelled_out = Settings(least_breath=Fraction(2, 6), raster_width=int("960"))
    sequence = plain_sequence()
    other = msgspec.structs.replace(sequence, settings=spelled_out)
    assert other == sequence
    assert to_text(other) == to_text(sequence)
    assert Footage("T1", 0, Fraction(3, 3)) == Footage("T1", 0)
    assert '"speed"' not in to_text(sequence)


def test_a_person_can_read_the_text() -> None:
    lines = to_text(plain_sequence()).splitlines(keepends=True)
    assert lines[:4] == ["{\n", '  "document": "previs sequence",\n', '  "schema": 4,\n', '  "title": "The Salt Stair",\n']
    assert '        {"move": 2, "at": "1001/300"}\n' in lines
    assert '  "treatments": [{"reel": "A1", "start": "2", "end_exclusive": "3", "kind": "digital double", "role": "Odile"}],\n' in lines
    assert lines[-1] == "}\n"
    assert max(map(len, lines)) <= 121


def test_a_byte_order_mark_is_passed_over() -> None:
    assert from_text("\ufeff" + to_text(plain_sequence()), "a.previs") == plain_sequence()


def told(written: str) -> str:
    """The one sentence that refusing this text gives; also that it is a fault of use, and one sentence."""
    with pytest.raises(DocumentFault) as caught:
        from_text(written, "salt.previs")
    assert isinstance(caught.value, UseFault)
    sentence = str(caught.value)
    assert sentence.startswith("salt.previs ") and sentence.endswith(".") and "\n" not in sentence and len(sentence) < 400
    return sentence


SOUND = to_text(plain_sequence())
OF_SCHEMA_1 = SOUND.replace('"schema": 4,', '"schema": 1,')
LARGE = "1" + "0" * 4000


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("", "line 1, column 1 is not JSON"),
        (SOUND[:-3], "is not JSON"),
        (SOUND.replace('"takes": [', '"takes": ['[:-1]), "is not JSON"),
        ("[1, 2]", "is JSON, but not a previs document"),
        ("{}", "it does not say so in its first lines"),
        (SOUND.replace("previs sequence", "shopping list"), "it does not say so in its first lines"),
        (SOUND.replace('"schema": 4,', '"schema": "1",'), "it does not say so in its first lines"),
        (SOUND.replace('"schema": 4,', '"schema": true,'), "it does not say so in its first lines"),
        (SOUND.replace('"schema": 4,', '"schema": 0,'), "it does not say so in its first lines"),
        (SOUND.replace('"schema": 4,', '"schema": 5,'), "was made by a newer previs: schema 5, this one reads up to 4; update previs"),
        (SOUND.replace('"target_frames": 48', '"target_frames": NaN'), "NaN is not a number"),
        (SOUND.replace('"target_frames": 48', '"target_frames": -Infinity'), "-Infinity is not a number"),
        (SOUND.replace('"target_frames": 48', '"target_frames": 48, "target_frames": 96'), "has the field 'target_frames' twice"),
        (SOUND.replace('"target_frames": 48', '"target_frames": ' + "9" * 5000), "salt.previs is damaged"),
        ("[" * 100_000, "nested too deep"),
        ('{"document":' * 100_000, "nested too deep"),
        (" " * (text.LARGEST_TEXT + 1), "is larger than 64 MB"),
    ],
)
def test_what_is_no_document_is_refused(written: str, said: str) -> None:
    assert said in told(written)


def put(*path: str | int, value: object) -> Callable[[Raw], None]:
    def change(raw: Any) -> None:
        for step in path[:-1]:
            raw = raw[step]
        raw[path[-1]] = value

    return change


def twice(*path: str) -> Callable[[Raw], None]:
    def change(raw: Any) -> None:
        for step in path:
            raw = raw[step] if not step.isdecimal() else raw[int(step)]
        raw.append(raw[0])

    return change


TAPE, TAKE, HITS, FRAMING = ("tapes", 0), ("takes", 0), ("takes", 0, "hits"), ("takes", 0, "framings", 0)
CUT, SHOTS, MOVE, NOTE = ("cuts", 0), ("cuts", 0, "shots"), ("phrases", 0, "moves", 0), ("notes", 0)

DAMAGE: list[tuple[Callable[[Raw], None], str]] = [
    # wrong types
    (put("title", value=7), "$.title: expected str, got int"),
    (put("target_frames", value=48.5), "$.target_frames: expected int, got float"),
    (put("target_frames", value=None), "$.target_frames: expected int, got null"),
    (put(*TAKE, "rating", value="5"), "$.takes[0].rating: expected int, got str"),
    (put(*TAKE, "stars", value=5), "$.takes[0]: object contains unknown field stars"),
    (put(*HITS, value={}), "$.takes[0].hits: expected array, got object"),
    (put(*HITS, 1, value={"move": 2}), "$.takes[0].hits[1]: object missing required field at"),
    (put(*FRAMING, "size", value="cowboy"), "$.takes[0].framings[0].size: invalid enum value 'cowboy'"),
    (put(*SHOTS, 0, "picture", "type", value="hologram"), "$.cuts[0].shots[0].picture.type: invalid value 'hologram'"),
    # fractions
    (put(*HITS, 1, "at", value=3.337), '$.takes[0].hits[1].at: expected a fraction written as text, such as "7/10"'),
    (put(*HITS, 1, "at", value=3), "$.takes[0].hits[1].at: expected a fraction written as text"),
    (put(*HITS, 1, "at", value="NaN"), "$.takes[0].hits[1].at: expected a fraction written as text"),
    (put(*HITS, 1, "at", value="3/0"), '$.takes[0].hits[1].at: "3/0" divides by zero'),
    (put(*HITS, 1, "at", value="1/10**100000"), "$.takes[0].hits[1].at: expected a fraction written as text"),
    (put(*HITS, 1, "at", value="1e400000000"), "$.takes[0].hits[1].at: expected a fraction written as text"),
    (put(*HITS, 1, "at", value=f"1/{LARGE}"), "$.takes[0].hits[1].at: expected a fraction written as text"),
    (put(*HITS, 1, "at", value="٣"), "$.takes[0].hits[1].at: expected a fraction written as text"),
    (put("target_frames", value=10**15 + 1), "$.target_frames: the number is too large"),
    (put("target_frames", value=10**400), "$.target_frames: "),
    (put(*SHOTS, 0, "picture", "speed", value="9" * 60), "$.cuts[0].shots[0].picture.first_frame: the shot plays tape frames 0 to 22999"),
    # notes
    (twice("notes"), "$.notes: the note 'n1' is there 2 times"),
    (put(*NOTE, "ident", value="n1\n"), "$.notes[0].ident: a note's mark is 1 to 64 letters"),
    (put(*NOTE, "kind", value="praise"), "$.notes[0].kind: invalid enum value 'praise'"),
    (put(*NOTE, "state", value="lost"), "$.notes[0].state: invalid enum value 'lost'"),
    (put(*NOTE, "frames", value=0), "$.notes[0].frames: 0 frames from 20 are no stretch of a cut"),
    (put(*NOTE, "first_frame", value=-1), "$.notes[0].frames: 4 frames from -1 are no stretch of a cut"),
    (put(*NOTE, "written", value="yesterday"), "$.notes[0].written: 'yesterday' is no moment with a time zone"),
    (put(*NOTE, "written", value="2026-11-25T10:00:00"), "$.notes[0].written: '2026-11-25T10:00:00' is no moment with a time zone"),
    (put(*NOTE, "drawings", 0, "to_y", value=1001), "$.notes[0].drawings[0]: a drawing lies within the picture"),
    (put(*NOTE, "text", value="half \ud83d"), "$.notes[0].text: the text holds half a character"),
    # the sequence as a whole
    (put("rate_name", value="26"), "$.rate_name: '26' is not a frame rate"),
    (put("drop", value=True), "$.rate_name: Drop-frame time code exists at 29.97 and 59.94 only"),
    (put("start_frame", value=24 * 86400), "$.start_frame: 2073600 is not a frame of the day"),
    (put("target_frames", value=0), "$.target_frames: a target of 0 frames is not a length"),
    (put("settings", value={"lead_frames": -1}), "$.settings.lead_frames: -1 is less than 0"),
    (put("settings", value={"least_breath": "4/3"}), "$.settings.least_breath: 4/3 is not a share"),
    (put("settings", value={"most_retiming": "1"}), "$.settings.most_retiming: 1 is not a share"),
    (put("settings", value={"wanted_shot_seconds": "0"}), "$.settings.wanted_shot_seconds: 0 s is not a length"),
    (put("title", value="half \ud83d"), "$.title: the text holds half a character"),
    # cast and fight
    (twice("cast"), "$.cast: the role 'Odile' is there 2 times"),
    (put("cast", 0, "role", value="level"), "$.cast[0].role: 'level' cannot be the name of a role"),
    (twice("phrases"), "$.phrases: phrase number 1 follows 1; they must rise"),
    (put(*MOVE, "number", value=2), "$.phrases: move number 2 follows 2; they must rise"),
    (put(*MOVE, "number", value=3), "$.phrases: move number 2 follows 3; they must rise"),
    (put(*MOVE, "attacker", value=""), "$.phrases[0].moves[0].attacker: '' cannot be the name of a role"),
    (put(*MOVE, "upper_hand", value="the crowd"), "$.phrases[0].moves[0].upper_hand: 'the crowd' is neither a role"),
    (put("phrases", 0, "breath_frames", value=-1), "$.phrases[0].breath_frames: -1 is less than nothing"),
    # tapes
    (twice("tapes"), "$.tapes: the reel name 'a1' is there 2 times"),
    (put(*TAPE, "reel", value="A12345678"), "$.tapes[0].reel: 'A12345678' is not 1 to 8 letters"),
    (put(*TAPE, "reel", value="A 1"), "$.tapes[0].reel: 'A 1' is not 1 to 8 letters"),
    (put(*TAPE, "rate_name", value="23"), "$.tapes[0].rate_name: '23' is not a frame rate"),
    (put(*TAPE, "start_frame", value=-1), "$.tapes[0].start_frame: -1 is not a frame of the day"),
    (put(*TAPE, "duration", value="-10"), "$.tapes[0].duration: -10 is not more than nothing"),
    (put(*TAPE, "width", value=0), "$.tapes[0].width: 0 is not more than nothing"),
    (put(*TAPE, "rotation", value=45), "$.tapes[0].rotation: 45 is not 0, 90, 180 or 270 degrees"),
    (put(*TAPE, "sound", "channels", value=0), "$.tapes[0].sound: sound needs at least one channel"),
    # takes
    (twice("takes"), "$.takes: the take name 'T1' is there 2 times"),
    (put(*TAKE, "name", value=""), "$.takes[0].name: a take needs a name"),
    (put(*TAKE, "reel", value="B9"), "$.takes[0].reel: there is no tape with reel name 'B9'"),
    (put("takes", 1, "end_exclusive", value="9"), "$.takes[1].end_exclusive: 9 s is not after the start, 9 s"),
    (put("takes", 1, "end_exclusive", value="8"), "$.takes[1].end_exclusive: 8 s is not after the start, 9 s"),
    (put("takes", 1, "end_exclusive", value="11"), "$.takes[1].end_exclusive: 11 s is past the end of the tape, 10 s"),
    (put(*TAKE, "start", value="-1"), "$.takes[0].start: -1 s is before the tape begins"),
    (put(*TAKE, "first_phrase", value=4), "$.takes[0].first_phrase: there is no phrase 4"),
    (put(*TAKE, "last_phrase", value=0), "$.takes[0].last_phrase: there is no phrase 0"),
    (put(*TAKE, "tempo", value="0"), "$.takes[0].tempo: 0 is not more than nothing"),
    (put(*TAKE, "rating", value=-1), "$.takes[0].rating: -1 is less than nothing"),
    (put(*TAKE, "framings", value=[]), "$.takes[0].framings: a take needs at least one framing"),
    (twice("takes", "0", "framings"), "$.takes[0].framings: moment 0 follows 0; they must rise"),
    (twice("takes", "0", "performers"), "$.takes[0].performers: the role 'Odile' is there 2 times"),
    (put(*TAKE, "performers", 0, "role", value="Reve"), "$.takes[0].performers[0].role: there is no role 'Reve' in the fight"),
    (put(*FRAMING, "at", value="-1/2"), "$.takes[0].framings[0].at: -1/2 s is before the tape begins"),
    (put(*FRAMING, "angle", value=181), "$.takes[0].framings[0].angle: 181 is not between -180 and 180 degrees"),
    (put(*FRAMING, "screen_left", value="Reve"), "$.takes[0].framings[0].screen_left: there is no role 'Reve'"),
    (put(*FRAMING, "faces", 1, "role", value="Reve"), "$.takes[0].framings[0].faces[1].role: there is no role 'Reve'"),
    (twice("takes", "0", "framings", "0", "faces"), "$.takes[0].framings[0].faces: the role 'Odile' is there 2 times"),
    (put(*HITS, 1, "move", value=9), "$.takes[0].hits[1].move: there is no move 9"),
    (put(*HITS, 1, "at", value="1/2"), "$.takes[0].hits[1].at: 1/2 s comes before the hit listed ahead of it, 1 s"),
    (put(*HITS, 1, "at", value="9"), "$.takes[0].hits[1].at: 9 s is not within its take, 0 to 9 s"),
    # treatments
    (put("treatments", 0, "reel", value="B9"), "$.treatments[0].reel: there is no tape with reel name 'B9'"),
    (put("treatments", 0, "role", value="Reve"), "$.treatments[0].role: there is no role 'Reve' in the fight"),
    (put("treatments", 0, "end_exclusive", value="2"), "$.treatments[0].end_exclusive: 2 s is not after the start, 2 s"),
    # cuts
    (twice("cuts"), "$.cuts: the cut name 'v1' is there 2 times"),
    (put(*CUT, "name", value=""), "$.cuts[0].name: a cut needs a name"),
    (put(*CUT, "target_frames", value=-5), "$.cuts[0].target_frames: a target of -5 frames is not a length"),
    (twice("cuts", "0", "shots"), "$.cuts[0].shots: the shot ident 's1' is there 2 times"),
    (put(*SHOTS, 0, "ident", value=""), "$.cuts[0].shots[0].ident: a shot needs an ident"),
    (put(*SHOTS, 0, "frames", value=0), "$.cuts[0].shots[0].frames: 0 frames is not a length"),
    (put(*SHOTS, 0, "picture", "take", value="T9"), "$.cuts[0].shots[0].picture.take: there is no take 'T9'"),
    (put(*SHOTS, 0, "picture", "first_frame", value=-1), "the shot plays tape frames -1 to 22, but tape A1 has 0 to 239"),
    (put(*SHOTS, 0, "picture", "first_frame", value=217), "the shot plays tape frames 217 to 240, but tape A1 has 0 to 239"),
    (put(*SHOTS, 0, "picture", "speed", value="-1"), "the shot plays tape frames -23 to 0, but tape A1 has 0 to 239"),
    (put(*SHOTS, 1, "picture", "first_move", value=9), "$.cuts[0].shots[1].picture.first_move: there is no move 9"),
    (put(*SHOTS, 1, "picture", "first_move", value=None), "$.cuts[0].shots[1].picture.last_move: move 2 needs a first move"),
    (put(*SHOTS, 1, "transition", "frames", value=13), "$.cuts[0].shots[1].transition.frames: 13 frames do not fit the shot's 12"),
    (put(*SHOTS, 1, "transition", "frames", value=0), "$.cuts[0].shots[1].transition.frames: 0 frames do not fit the shot's 12"),
    (put(*SHOTS, 1, "transition", "wipe", value=1000), "$.cuts[0].shots[1].transition.wipe: there is no wipe 1000"),
    (put(*SHOTS, 1, "transition", "kind", value="dissolve"), "$.cuts[0].shots[1].transition.wipe: a dissolve has no pattern"),
]


@pytest.mark.parametrize(("damage", "said"), DAMAGE, ids=[said[:60] for _, said in DAMAGE])
def test_damage_is_named_with_its_path(damage: Callable[[Raw], None], said: str) -> None:
    raw = json.loads(SOUND)
    damage(raw)
    sentence = told(json.dumps(raw))
    assert f"is damaged at {said}" in sentence or (said.startswith("the shot plays") and said in sentence)
    assert sentence.endswith("; correct it there, or go back to a kept version.")


def test_the_last_frame_of_the_tape_can_be_used_and_the_next_one_cannot() -> None:
    # 10 s and a little at 24: grid frame 240 begins at 10 s, before the tape ends, so it is the last.
    for duration, last in (("10", 239), ("10.0001", 240), ("241/24", 240)):
        raw = json.loads(SOUND)
        raw["tapes"][0]["duration"] = str(Fraction(duration))
        raw["cuts"][0]["shots"][0] |= {"frames": 1, "picture": {"type": "footage", "take": "T1", "first_frame": last}}
        assert from_text(json.dumps(raw), "salt.previs").cuts[0].shots[0].frames == 1
        raw["cuts"][0]["shots"][0]["picture"]["first_frame"] = last + 1
        assert f"but tape A1 has 0 to {last}" in told(json.dumps(raw))


def test_all_faults_are_found_and_the_sentence_says_how_many_more() -> None:
    raw = json.loads(SOUND)
    raw["takes"][0]["rating"], raw["takes"][1]["rating"], raw["target_frames"] = -1, -2, 0
    assert "$.target_frames: a target of 0 frames is not a length (and 2 more)" in told(json.dumps(raw))


def test_a_fraction_that_could_not_be_read_back_is_found_before_it_is_written() -> None:
    most = Fraction(10**60 - 1, 10**59 + 7)
    for speed, faults in ((most, 0), (Fraction(10**60, 10**59 + 7), 1), (Fraction(1, 10**60), 1)):
        settings = Settings(wanted_shot_seconds=speed)
        sequence = msgspec.structs.replace(plain_sequence(), settings=settings)
        assert len(faults_in(sequence)) == faults
        if not faults:
            assert from_text(to_text(sequence), "a.previs") == sequence


def test_writing_refuses_what_is_no_document_value() -> None:
    wrong = msgspec.structs.replace(plain_sequence(), target_frames=48.5)
    with pytest.raises(TypeError, match="does not hold a float"):
        to_text(wrong)


def from_one(raw: Raw) -> Raw:
    return {**raw, "title": raw["name"]} | {"steps": [*raw.get("steps", []), 1]}


def from_two(raw: Raw) -> Raw:
    return {name: value for name, value in raw.items() if name != "name"} | {"steps": [*raw["steps"], 2]}


def test_migration_goes_step_by_step_from_the_schema_of_the_file() -> None:
    steps = {1: from_one, 2: from_two}
    old = {"schema": 1, "name": "The Salt Stair"}
    assert migrations.migrate(old, 1, to=3, steps=steps) == {"schema": 3, "title": "The Salt Stair", "steps": [1, 2]}
    assert old == {"schema": 1, "name": "The Salt Stair"}
    assert migrations.migrate({"schema": 2, "name": "", "steps": []}, 2, to=3, steps=steps) == {"schema": 3, "steps": [2]}
    assert migrations.migrate({"schema": 3}, 3, to=3, steps=steps) == {"schema": 3}


def test_every_older_schema_has_its_step() -> None:
    assert set(migrations.STEPS) == set(range(1, text.SCHEMA))


def test_an_old_file_is_read_through_its_migration(monkeypatch: pytest.MonkeyPatch) -> None:
    """As for a file of schema 1 whose title stood under another name."""

    def renamed(raw: Raw) -> Raw:
        return {("title" if name == "name" else name): value for name, value in raw.items()}

    monkeypatch.setattr(text, "migrate", lambda raw, schema: migrations.migrate(raw, schema, steps={**migrations.STEPS, 1: renamed}))
    assert from_text(OF_SCHEMA_1.replace('"title"', '"name"'), "old.previs") == plain_sequence()


def test_a_file_of_the_first_schema_is_read_as_it_is() -> None:
    assert from_text(OF_SCHEMA_1, "old.previs") == plain_sequence()


def test_a_damaged_old_file_that_breaks_its_migration_is_said_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text, "migrate", lambda raw, schema: migrations.migrate(raw, schema, steps={**migrations.STEPS, 1: from_two}))
    assert "is of schema 1 and is too damaged to be brought up to" in told(OF_SCHEMA_1)
