"""The page's file read: everything that it can hold comes back, and hostile ones are refused in a sentence or read as text."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from document.drawn import notes
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from review.making_notes import file_text, written

from previs.document.notes import Drawing, Note, NoteKind, NoteState, Shape
from previs.faults import UseFault
from previs.review.notes_file import LARGEST_BYTES, LONGEST_TEXT, MOST_NOTES, notes_from_file, notes_from_text

NOTE = Note(
    "n1",
    "v1",
    "Mara",
    "2026-11-25T10:00:00.125Z",
    NoteKind.LONGER,
    "hold it",
    "s4",
    80,
    12,
    "SSA01",
    310,
    7,
    (Drawing(Shape.ARROW, 1, 2, 3, 4),),
)


BROWSER_MOMENTS = st.datetimes().map(lambda moment: f"{moment.isoformat(timespec='milliseconds')}Z")
MADE = st.builds(lambda note, moment: replace(note, written=moment), notes(cut=st.just("v1")), BROWSER_MOMENTS)


@settings(deadline=None, max_examples=60)
@given(st.text(max_size=30), st.lists(MADE, max_size=4, unique_by=lambda note: note.ident))
def test_there_and_back_loses_nothing_but_what_became_of_the_notes(title: str, made: list[Note]) -> None:
    title = title.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    read = notes_from_text(file_text(title, "v1", tuple(made)), "notes.json")
    assert (read.title, read.cut) == (title, "v1")
    assert read.notes == tuple(replace(note, state=NoteState.OPEN, answer="") for note in made)


def test_a_byte_order_mark_is_passed_over() -> None:
    assert notes_from_text(b"\xef\xbb\xbf" + file_text("The Salt Stair", "v1", (NOTE,)), "n.json").notes == (NOTE,)


@pytest.mark.parametrize(
    "words", ["<script>alert(1)</script>", "=HYPERLINK(1)", "../../etc/passwd", "\x1b[2J\x00\u202e", "a\nb\r\n\t", "x" * LONGEST_TEXT]
)
def test_any_words_are_read_as_words(words: str) -> None:
    short = words[:200]
    given = replace(NOTE, text=words, reviewer=short.strip(), shot=short, reel=short)
    (read,) = notes_from_text(file_text("t", "v1", (given,)), "n.json").notes
    assert (read.text, read.shot, read.reel, read.reviewer) == (words, short, short, short.strip())


def test_half_a_character_becomes_a_sign_and_a_whole_one_stays() -> None:
    text = file_text("t \\ud83d", "v1", (replace(NOTE, text="cut \\ud83d, whole \\ud83d\\udde1"),)).replace(b"\\\\ud", b"\\ud")
    read = notes_from_text(text, "n.json")
    assert read.title == "t \ufffd"
    assert read.notes[0].text == "cut \ufffd, whole \U0001f5e1"


def file(**changes: Any) -> bytes:
    record = {"document": "previs notes", "schema": 1, "sequence": "t", "cut": "v1", "notes": [written(NOTE)]} | changes
    return json.dumps({name: value for name, value in record.items() if value is not None}).encode()


def one(**changes: Any) -> bytes:
    return file(notes=[{name: value for name, value in (written(NOTE) | changes).items() if value is not ...}])


REFUSED: dict[str, tuple[bytes, str]] = {
    "nothing": (b"", "is no JSON text"),
    "no text": (b"\xff\xfe\x00\x01", "is no JSON text"),
    "a movie": (b"\x00\x00\x00\x18ftypmp42" * 1000, "is no JSON text"),
    "cut off": (file()[:-5], "is no JSON text"),
    "a list": (b"[]", "it does not say so"),
    "a number": (b"7", "it does not say so"),
    "another document": (file(document="previs sequence"), "it does not say so"),
    "document twice": (b'{"document": "previs notes", "document": "previs notes"}', "a field twice"),
    "a later schema": (file(schema=2), "schema 2, not 1"),
    "no schema": (file(schema=None), "schema None, not 1"),
    "schema of text": (file(schema="1" * 10**6), "schema '1111"),
    "schema true": (file(schema=True), "$.schema: expected int, got bool"),
    "no cut": (file(cut=None), "missing required field cut"),
    "notes of one": (file(notes={}), "$.notes: expected array"),
    "too many": (file(notes=[written(replace(NOTE, ident=f"n{n}")) for n in range(MOST_NOTES + 1)]), "length <= 5000"),
    "ten megabytes": (b" " * (LARGEST_BYTES + 1), "is larger than 10 MB"),
    "a text too long": (one(text="x" * (LONGEST_TEXT + 1)), "notes[0].text"),
    "a text of ten megabytes": (one(text="x" * (LARGEST_BYTES - 1000)), "notes[0].text"),
    "a name too long": (one(reviewer="x" * 201), "notes[0].reviewer"),
    "a field of a million": (one(**{"<script>\n" * 100_000: 1}), "unknown field"),
    "an unknown field": (one(state="done"), "unknown field state"),
    "deep lists": (b"[" * 200_000, "nested too deep"),
    "deep records": (b'{"notes":' * 200_000, "nested too deep"),
    "NaN": (file().replace(b'"first_frame": 80', b'"first_frame": NaN'), "NaN is no number"),
    "Infinity": (file().replace(b'"first_frame": 80', b'"first_frame": -Infinity'), "-Infinity is no number"),
    "a huge whole number": (file().replace(b'"first_frame": 80', b'"first_frame": ' + b"9" * 5000), "is no JSON text"),
    "a large whole number": (file().replace(b'"first_frame": 80', b'"first_frame": ' + b"9" * 40), "notes[0].first_frame"),
    "half a frame": (one(first_frame=0.5), "notes[0].first_frame"),
    "before the first": (one(first_frame=-1), "notes[0].first_frame"),
    "no frames": (one(frames=0), "notes[0].frames"),
    "a frame of text": (one(tape_frame="7"), "notes[0].tape_frame"),
    "an unknown kind": (one(kind="praise"), "invalid enum value 'praise'"),
    "an ident with a path": (one(ident="../n1"), "notes[0].ident"),
    "an ident with a line end": (one(ident="n1\n"), "notes[0].ident"),
    "an empty ident": (one(ident=""), "notes[0].ident"),
    "no ident": (one(ident=...), "missing required field ident"),
    "a moment of words": (one(written="yesterday"), "notes[0].written"),
    "a moment without a zone": (one(written="2026-11-25T10:00:00"), "notes[0].written"),
    "a moment in other figures": (one(written="२०२६-11-25T10:00:00Z"), "notes[0].written"),
    "a day that never was": (one(written="2026-02-30T10:00:00Z"), "which never was"),
    "a zone that never was": (one(written="2026-02-03T10:00:00+99:00"), "which never was"),
    "twice the same": (file(notes=[written(NOTE), written(NOTE)]), "has the note n1 twice"),
    "a drawing outside": (one(drawings=[{"shape": "circle", "from_x": 0, "from_y": 0, "to_x": 1001, "to_y": 0}]), "drawings[0].to_x"),
    "an unknown shape": (one(drawings=[{"shape": "star", "from_x": 0, "from_y": 0, "to_x": 1, "to_y": 0}]), "drawings[0].shape"),
    "many drawings": (one(drawings=[written(NOTE)["drawings"][0]] * 51), "notes[0].drawings"),
}


@pytest.mark.parametrize(("content", "said"), REFUSED.values(), ids=REFUSED)
def test_what_is_refused_and_how(content: bytes, said: str) -> None:
    with pytest.raises(UseFault) as caught:
        notes_from_text(content, "mara.json")
    sentence = str(caught.value)
    assert said in sentence
    assert sentence.startswith("mara.json ") and sentence.endswith(".") and len(sentence) < 400
    assert sentence.isprintable()


@settings(deadline=None, max_examples=300)
@given(st.data())
def test_a_file_damaged_anywhere_is_refused_or_read(data: st.DataObject) -> None:
    content = bytearray(file())
    for _ in range(data.draw(st.integers(1, 4))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    try:
        read = notes_from_text(bytes(content), "n.json")
    except UseFault as fault:
        assert str(fault).isprintable()
    else:
        assert len(read.notes) <= 1


def test_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(UseFault, match="cannot be read"):
        notes_from_file(tmp_path)
    with pytest.raises(UseFault, match="No such file"):
        notes_from_file(tmp_path / "nowhere.json")
    with pytest.raises(UseFault, match="larger than 10 MB"):
        notes_from_file(Path("/dev/zero"))
