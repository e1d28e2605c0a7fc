"""Tables written and read back, CSV and XLSX: the same sequence comes out that went in."""

from __future__ import annotations

import csv
import io
import tempfile
from fractions import Fraction
from pathlib import Path

import fights
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from previs.clock import Rate, Timebase, time_of_tape_frame
from previs.document.invariants import faults_in
from previs.document.model import (
    LEVEL,
    Casting,
    Face,
    Framing,
    Hit,
    Kind,
    Move,
    Phrase,
    Sequence,
    Shows,
    Size,
    Take,
    Treatment,
)
from previs.exchange.table_files import as_typed
from previs.exchange.table_rows import moment_text, parse_moment
from previs.exchange.tables import (
    fight_table,
    hits_table,
    neutral,
    read_fight,
    read_hits,
    read_marks,
    read_takes,
    read_treatments,
    takes_table,
    treatments_table,
    write_table,
)

TIMEBASES = [("23.976", False), ("24", False), ("25", False), ("29.97", True), ("59.94", True)]
WRITERS = {"fight": fight_table, "takes": takes_table, "hits": hits_table, "treatments": treatments_table}

# Cells are trimmed when read, so text that begins or ends with a blank is not what this promises to keep.
WORDS = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), max_size=12).map(lambda text: text.strip(" \u00a0"))
TEXTS = st.one_of(WORDS, st.sampled_from(["=1+1", "+x", "-x", "@sum", "'=x", "''-y", "'plain", 'a "quoted", b', "one;two", "0.7", "01"]))
NOTES = st.one_of(TEXTS, st.just("first line\nsecond line"), st.just("\ttab"))
ROLE_NAMES = st.sampled_from(["Odile", "the Reeve", "-Tide", "@Quay", "Ünïque"])


@st.composite
def sequences(draw: st.DrawFn, rate: str, drop: bool) -> Sequence:
    """A sequence with something in every table, at any moment that a mark may have."""
    timebase = Timebase(Rate.parse(rate), drop)
    names = draw(st.lists(ROLE_NAMES, min_size=2, max_size=3, unique=True))
    numbers = iter(range(draw(st.integers(0, 5)), 999, draw(st.integers(1, 4))))
    phrases: list[Phrase] = []
    for number in range(3):
        moves = []
        for _ in range(draw(st.integers(1, 3))):
            attacker, defender = draw(st.permutations(names))[:2]
            moves.append(
                Move(
                    number=next(numbers),
                    label=draw(TEXTS.filter(bool)),
                    attacker=attacker,
                    defender=defender,
                    upper_hand=LEVEL,
                    line=draw(TEXTS),
                    weapon=draw(TEXTS),
                    optional=draw(st.booleans()),
                    place=draw(TEXTS),
                    note=draw(NOTES),
                )
            )
        phrases.append(Phrase(2 * number + 1, tuple(moves), draw(st.integers(0, 99))))
    tape = fights.tape("A1", rate=rate, drop=drop, start_frame=timebase.frame("23:59:40:10"))
    moments = st.one_of(
        st.integers(0, 1400).map(lambda frame: time_of_tape_frame(frame, timebase.rate)),
        st.fractions(0, 59, max_denominator=90_000),
        st.decimals(0, 59, places=9).map(Fraction),
    )
    made = Sequence(title="t", rate_name=rate, drop=drop, start_frame=0, target_frames=1, phrases=tuple(phrases), tapes=(tape,))
    takes = tuple(draw_take(draw, made, name, moments) for name in draw(st.lists(WORDS.filter(bool), min_size=1, max_size=3, unique=True)))
    treatments = []
    for _ in range(draw(st.integers(1, 3))):
        start, end = sorted(draw(st.lists(moments, min_size=2, max_size=2, unique=True)))
        treatments.append(Treatment("A1", start, end, draw(st.sampled_from(Kind)), draw(st.sampled_from(made.roles)), draw(NOTES)))
    return replace(made, takes=takes, treatments=tuple(treatments))


def draw_take(draw: st.DrawFn, made: Sequence, name: str, moments: st.SearchStrategy[Fraction]) -> Take:
    start, *between, end = sorted(draw(st.lists(moments, min_size=3, max_size=6, unique=True)))
    first, last = sorted(draw(st.lists(st.sampled_from([1, 3, 5]), min_size=2, max_size=2)))
    played = [move.number for phrase in made.phrases if first <= phrase.number <= last for move in phrase.moves]
    role_lists = st.lists(st.sampled_from(made.roles), unique=True, max_size=2)
    framings = tuple(
        Framing(
            at=at,
            size=draw(st.sampled_from(Size)),
            angle=draw(st.none() | st.integers(-180, 180)),
            movement=draw(TEXTS),
            screen_left=draw(st.sampled_from(["", *made.roles])),
            faces=tuple(Face(role, draw(st.sampled_from(Shows))) for role in draw(role_lists)),
        )
        for at in [start, *between][: draw(st.integers(1, 3))]
    )
    return Take(
        name=name,
        reel="A1",
        start=start,
        end_exclusive=end,
        first_phrase=first,
        last_phrase=last,
        framings=framings,
        slate=draw(TEXTS),
        rating=draw(st.integers(0, 5)),
        tempo=draw(st.fractions(Fraction(1, 100), 2, max_denominator=300)),
        camera=draw(TEXTS),
        performers=tuple(Casting(role, draw(st.sampled_from(["Pim Oster", "Abel=Quist", "=1"]))) for role in draw(role_lists)),
        note=draw(NOTES),
        hits=tuple(Hit(move, at) for move, at in zip(played, [start, *between], strict=False)),
    )


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
@pytest.mark.parametrize(("rate", "drop"), TIMEBASES)
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(data=st.data())
def test_what_is_written_is_read_back(rate: str, drop: bool, ending: str, data: st.DataObject) -> None:
    value = data.draw(sequences(rate, drop))
    assert faults_in(value) == ()
    tables = {kind: table(value) for kind, table in WRITERS.items()}
    if not any(take.hits for take in value.takes):
        del tables["hits"]
    with tempfile.TemporaryDirectory() as folder:
        paths = [Path(folder) / f"{kind}{ending}" for kind in tables]
        for path, table in zip(paths, tables.values(), strict=True):
            write_table(table, path)
        bare = replace(value, phrases=(), takes=(), treatments=())
        assert read_marks(reversed(paths), bare).sequence == value


def test_each_table_alone(tmp_path: Path) -> None:
    value = fights.sequence(
        phrases=(fights.phrase(1, range(1, 4)),),
        tapes=(fights.tape("A1"),),
        takes=(fights.take("1A", {1: 1, 2: Fraction(1001, 700)}),),
        treatments=(fights.treatment(1, 2),),
    )
    for kind, table in WRITERS.items():
        write_table(table(value), tmp_path / f"{kind}.csv")
    read = read_fight(tmp_path / "fight.csv", fights.sequence(tapes=value.tapes))
    read = read_takes(tmp_path / "takes.csv", read)
    assert [take.hits for take in read.takes] == [()]
    read = read_hits(tmp_path / "hits.csv", read)
    read = read_treatments(tmp_path / "treatments.csv", read)
    assert read == value
    # Read again, the takes keep the hits that no table brings.
    assert read_takes(tmp_path / "takes.csv", value) == value


def test_csv_is_as_rfc_4180_has_it(tmp_path: Path) -> None:
    write_table(pd.DataFrame([{"a": 'say "no", then', "b": "ü", "c": -30}]), tmp_path / "t.csv")
    # RFC 4180, 2: lines end with CR LF (rule 1); cells with commas and quotes stand in quotes (6); quotes are doubled (7).
    assert (tmp_path / "t.csv").read_bytes() == 'a,b,c\r\n"say ""no"", then",ü,-30\r\n'.encode()
    assert list(csv.reader(io.StringIO((tmp_path / "t.csv").read_text("utf-8"))))[1] == ['say "no", then', "ü", "-30"]


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_no_text_becomes_a_formula(tmp_path: Path, ending: str) -> None:
    label = '=HYPERLINK("http://example.invalid","x")'
    move = Move(1, label, "Odile", "Reeve", LEVEL, note="@x", place="-x", line="+x", weapon="\tx")
    value = fights.sequence(phrases=(Phrase(1, (move,)),))
    path = tmp_path / f"fight{ending}"
    write_table(fight_table(value), path)
    cells = pd.read_csv(path, dtype=str) if ending == ".csv" else pd.read_excel(path, dtype=str)
    row = cells.iloc[0]
    assert [row[name][:2] for name in ("label", "note", "place", "line", "weapon")] == ["'=", "'@", "'-", "'+", "'\t"]


@pytest.mark.parametrize("text", ["=x", "+x", "-x", "@x", "\tx", "\rx", "'=x", "''+x"])
def test_neutral_text_is_given_back(text: str) -> None:
    assert neutral(text)[0] == "'"
    assert as_typed(neutral(text)) == text


@given(st.text())
def test_neutral_never_loses_text(text: str) -> None:
    assert as_typed(neutral(text)) == text
    assert neutral(text)[:1] not in tuple("=+-@\t\r")


@pytest.mark.parametrize(("rate", "drop"), TIMEBASES)
@given(moment=st.fractions(0, 86_000, max_denominator=10**6))
def test_moments_are_written_without_loss(rate: str, drop: bool, moment: Fraction) -> None:
    tape = fights.tape(rate=rate, drop=drop, start_frame=1000)
    assert parse_moment(moment_text(moment, tape), tape.timebase, tape.start_frame) == moment


@pytest.mark.parametrize(
    ("moment", "text"),
    [
        (Fraction(0), "00:01:00;02"),
        (Fraction(1001, 30000), "00:01:00;03"),
        (Fraction(1, 2), "0.5s"),
        (Fraction(12), "12s"),
        (Fraction(1, 3), "1/3s"),
        (Fraction(1, 10**9), "0.000000001s"),
    ],
)
def test_moments_as_they_are_written(moment: Fraction, text: str) -> None:
    # Frame 1800 is 00:01:00;02 at 29.97 drop-frame: OpenTimelineIO, tests/test_opentime.py.
    assert moment_text(moment, fights.tape(rate="29.97", drop=True, start_frame=1800)) == text


FIGHT = "phrase,move,label,attacker,defender,line,weapon,upper_hand,optional,breath,place,note\n"
TAKES = "take,tape,in,out,slate,rating,tempo,phrases,camera,size,angle,movement,screen_left,faces,performers,note\n"


def bare() -> Sequence:
    return fights.sequence(phrases=(fights.phrase(1, range(1, 4)), fights.phrase(2, range(4, 6))), tapes=(fights.tape("A1"),))


def read_text(tmp_path: Path, text: str, sequence: Sequence) -> Sequence:
    path = tmp_path / "table.csv"
    path.write_bytes(text.encode())
    return read_marks([path], sequence).sequence


@pytest.mark.parametrize(("written", "frames"), [("1.0s", 24), ("1,5s", 36), ("f10", 10), ("00:00:02:00", 48), ("", 0), ("1/3s", 8)])
def test_breaths(tmp_path: Path, written: str, frames: int) -> None:
    read = read_text(tmp_path, f'{FIGHT}1,1,a,O,R,,,level,,,,\n1,2,b,R,O,,,O,x,"{written}",,\n', fights.sequence())
    assert read.phrases[0].breath_frames == frames
    assert [move.optional for move in read.moves] == [False, True]


def test_a_european_spreadsheets_table(tmp_path: Path) -> None:
    """A byte order mark, semicolons, a decimal comma, capitals and blanks in the header, blank rows, trailing blanks."""
    header = TAKES.replace(",", ";").replace("screen_left", "Screen Left").upper()
    row = 'T1 ;A1;1,5s;f240; ;4;0,7;1 to 2;A; Medium-Wide ;−30;pan;Odile;"Odile=Full; Reeve=hidden";Odile=Pim Oster;\n'
    (take,) = read_text(tmp_path, "\ufeff" + header + ";;;\n" + row + ";;;;;;;;;;;;;;;\n\n", bare()).takes
    assert (take.name, take.start, take.end_exclusive, take.tempo) == ("T1", Fraction(3, 2), Fraction(10), Fraction(7, 10))
    assert (take.first_phrase, take.last_phrase, take.rating) == (1, 2, 4)
    assert take.framings == (
        Framing(Fraction(3, 2), Size.MEDIUM_WIDE, -30, "pan", "Odile", (Face("Odile", Shows.FULL), Face("Reeve", Shows.HIDDEN))),
    )
    assert take.performers == (Casting("Odile", "Pim Oster"),)


@pytest.mark.parametrize(("written", "tempo"), [("70 %", "7/10"), ("70%", "7/10"), ("0.7", "7/10"), ("2/3", "2/3"), ("1", "1"), ("", "1")])
def test_tempos(tmp_path: Path, written: str, tempo: str) -> None:
    (take,) = read_text(tmp_path, f"{TAKES}T1,A1,0s,10s,,,{written},1,,wide,,,,,,\n", bare()).takes
    assert take.tempo == Fraction(tempo)


def test_numbers_that_a_workbook_keeps_as_numbers(tmp_path: Path) -> None:
    columns = TAKES.strip().split(",")
    row: list[object] = [12, "A1", "0s", "10s", 3.0, 4.0, 0.7, 1, "", "wide", -30, "", "", "", "", ""]
    pd.DataFrame([row], columns=columns).to_excel(tmp_path / "takes.xlsx", index=False)
    (take,) = read_takes(tmp_path / "takes.xlsx", bare()).takes
    assert (take.name, take.slate, take.rating, take.tempo, take.framings[0].angle) == ("12", "3", 4, Fraction(7, 10), -30)


def test_a_framing_that_changes_inside_a_take(tmp_path: Path) -> None:
    header = TAKES.replace("\n", ",from\n")
    text = f"{header}T1,A1,0s,10s,,,,1,,wide,,,,,,,\nT2,A1,10s,20s,,,,1,,full,,,,,,,\nT1,,,,,,,,,close,20,,,,,,4s\n"
    first, second = read_text(tmp_path, text, bare()).takes
    assert [(framing.at, framing.size) for framing in first.framings] == [(0, Size.WIDE), (4, Size.CLOSE)]
    assert len(second.framings) == 1


def test_hits_are_kept_in_order_of_time_whatever_the_rows(tmp_path: Path) -> None:
    value = replace(bare(), takes=(fights.take("T1", {}, phrases=(1, 2)), fights.take("T2", {1: 5})))
    read = read_text(tmp_path, "take,move,at\nT1,4,3s\nT1,1,1s\n", value)
    assert [hit.move for hit in read.takes[0].hits] == [1, 4]
    # The table is the whole truth about hits: what it does not name is gone.
    assert read.takes[1].hits == ()
