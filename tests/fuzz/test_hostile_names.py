"""Hostile names through everything that writes: nothing outside the chosen folder is touched, and nothing written runs anywhere."""

from __future__ import annotations

import csv
import io
import json
import re
import zipfile
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest
from fuzz.hostile import NAMES, WITH_CONTROLS, Watched, put_down, run_watched

from previs.handoff.played import in_a_file_name, in_file_names

PERFORMERS = 4
PROGRAMS = re.compile(r"(?:.*/)?(?:ffmpeg[\w.-]*|ffplay|fc-list|python[\d.]*)")
"""What the libraries start: the coder, and what lists the fonts."""
MOVED = ("open", "os.remove", "os.mkdir", "os.rmdir", "os.rename", "os.link", "os.symlink", "os.truncate", "os.chmod")
DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}


@dataclass(frozen=True)
class Ran:
    root: Path
    before: frozenset[str]
    watched: Watched

    @property
    def written(self) -> list[Path]:
        return [path for path in (self.root / "out").rglob("*") if path.is_file()]


def every_file(root: Path) -> frozenset[str]:
    return frozenset(str(path.relative_to(root)) for path in root.rglob("*"))


def ran(root: Path, names: tuple[str, ...], *, movies: bool) -> Ran:
    for name in ("show", "out"):
        (root / name).mkdir()
    document = str(put_down(root / "show", names))
    out, cut = root / "out", names[0]
    commands = [["fit", document]]
    commands += [
        ["sheets", document, "--cut", name, "--department", "mats", "-o", str(out / f"sheets{n}")] for n, name in enumerate(names[1:4])
    ]
    named = [("edl", "a.edl"), ("otio", "a.otio"), ("captions", "a.vtt"), ("shots", "a.xlsx"), ("shots", "b.csv")]
    named += [("cues", "c.xlsx"), ("cues", "c.csv"), ("setups", "s.xlsx"), ("setups", "s.csv"), ("pace", "p.csv")]
    named += [("handoff", "handed"), ("publish", "m.mp4"), ("pace", "p.svg"), ("report", "r.pdf"), ("cues", "c.pdf")] if movies else []
    commands += [[verb, document, "--cut", cut, "-o", str(out / name)] for verb, name in named]
    commands += [
        ["tapeout", document, "-o", str(out / "tape")],
        ["detect", document, "-o", str(out / "found")],
        ["cues", document, "--cut", cut, "-o", str(out / "c.txt")],
        ["changes", document, cut, names[1], "-o", str(out / "ch.txt")],
        ["notes", document, "-o", str(out / "n.csv")],
        ["notes", document, "-o", str(out / "n.xlsx")],
        ["notes", document, "-o", str(out / "n.pdf")],
    ]
    commands += [
        ["changes", document, cut, names[1], "-o", str(out / "ch.csv")],
        ["list", document, "shots"],
        ["who", document, "--cut", cut],
    ]
    before = every_file(root)
    return Ran(root, before, run_watched(commands, root))


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Ran:
    return ran(tmp_path_factory.mktemp("hostile"), NAMES[:PERFORMERS], movies=True)


@pytest.fixture(scope="module")
def controlled(tmp_path_factory: pytest.TempPathFactory) -> Ran:
    return ran(tmp_path_factory.mktemp("controlled"), WITH_CONTROLS, movies=False)


def test_every_verb_writes_what_it_was_asked_for(hostile: Ran) -> None:
    for command, code, said in hostile.watched.ran:
        assert code == 0, (command, said)
    assert {path.suffix for path in hostile.written} >= {
        ".csv",
        ".xlsx",
        ".pdf",
        ".mp4",
        ".mov",
        ".html",
        ".edl",
        ".otio",
        ".vtt",
        ".dxf",
        ".svg",
    }


def test_names_with_control_characters_are_written_or_refused(controlled: Ran) -> None:
    for command, code, said in controlled.watched.ran:
        assert code in (0, 1, 2) and "fault of its own" not in said, (command, said)
        assert all(letter.isprintable() or letter == "\n" for letter in said), (command, said)


@pytest.mark.parametrize("which", ["hostile", "controlled"])
def test_nothing_outside_the_chosen_folder_is_touched(which: str, request: pytest.FixtureRequest) -> None:
    one: Ran = request.getfixturevalue(which)
    allowed = (one.root / "out", one.root / "scratch", one.root / "home", one.root / "show")
    opened = [event for event in one.watched.events if event[0] in MOVED]
    assert len(opened) > 50
    for event, *paths in opened:
        for path in paths:
            assert path == "/dev/null" or any(Path(path).is_relative_to(place) for place in allowed), (event, path)
    appeared = every_file(one.root) - one.before
    assert all(path.split("/")[0] in ("out", "scratch", "home") or path.startswith("show/stair.previs.") for path in appeared), appeared


def test_only_the_coder_is_started_and_nobody_is_called(hostile: Ran) -> None:
    started = [event for event in hostile.watched.events if event[0] in ("subprocess.Popen", "os.exec", "os.posix_spawn")]
    assert started
    for event in started:
        assert PROGRAMS.fullmatch(event[1]), event
    kinds = {event[0] for event in hostile.watched.events}
    assert not kinds & {"os.system", "urllib.Request", "socket.getaddrinfo", "socket.connect"}


def test_every_name_of_a_file_is_one_on_every_system(hostile: Ran) -> None:
    for path in (hostile.root / "out").rglob("*"):
        assert not re.search(r'[<>:"/\\|?*\x00-\x1f]', path.name), path
        assert not path.name.endswith((".", " ")), path
        assert path.name.split(".")[0].casefold() not in DEVICES, path


@pytest.mark.parametrize("name", (*NAMES, *WITH_CONTROLS, "COM1", "lpt9.pdf", "Aux", "", "\ud800"))
def test_a_name_in_a_file_name(name: str) -> None:
    part = in_a_file_name(name)
    assert part and Path(part).name == part and len(part.encode()) <= 61
    assert part.split(".")[0].casefold() not in DEVICES
    assert not re.search(r'[<>:"/\\|?*\x00-\x1f]', part) and not part.startswith((".", "-o", " "))


def test_two_names_never_get_one_file() -> None:
    names = ("A B", "a/b", "a_b", "x" * 300, "x" * 301, "A_B_2")
    found = in_file_names(names)
    assert tuple(found) == names
    assert len({part.casefold() for part in found.values()}) == len(names)


def runs(cell: str) -> bool:
    """Whether a spreadsheet would take a cell of CSV for a formula; a plain number is none."""
    return cell.startswith(("=", "+", "-", "@", "\t", "\r")) and not re.fullmatch(r"[+-]?\d+(?:[.,]\d+)?", cell)


@pytest.mark.parametrize("which", ["hostile", "controlled"])
def test_no_cell_of_a_table_runs_as_a_formula(which: str, request: pytest.FixtureRequest) -> None:
    one: Ran = request.getfixturevalue(which)
    tables, seen = [path for path in one.written if path.suffix == ".csv"], 0
    for path in tables:
        for row in csv.reader(io.StringIO(path.read_text("utf-8"), newline="")):
            for cell in row:
                assert not runs(cell), (path.name, cell)
                seen += "HYPERLINK" in cell
    assert len(tables) > 5 and seen > 10


def test_no_cell_of_a_workbook_is_a_formula(hostile: Ran) -> None:
    books = [path for path in hostile.written if path.suffix == ".xlsx"]
    assert len(books) > 5
    for path in books:
        with zipfile.ZipFile(path) as packed:
            text = "".join(packed.read(part).decode() for part in packed.namelist() if part.endswith(".xml"))
        assert not re.search(r"<f[ >]|<hyperlink|ddeLink|externalLink", text), path


class _Elements(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


def test_no_name_becomes_a_part_of_the_page(hostile: Ran) -> None:
    (page,) = [path for path in hostile.written if path.suffix == ".html"]
    text = page.read_text("utf-8")
    assert "hurt()" in text
    reading = _Elements()
    reading.feed(text)
    for tag, attributes in reading.found:
        assert tag not in ("img", "iframe", "object", "embed"), attributes
        assert not any(name.startswith("on") for name in attributes), (tag, attributes)
        assert not any("hurt" in (attributes.get(name) or "") for name in ("href", "src", "style", "id", "class")), (tag, attributes)
    for script in re.findall(r"<script[^>]*>(.*?)</script", text, re.DOTALL):
        assert not script.strip().startswith("hurt()")


def test_no_name_becomes_a_part_of_a_drawing(hostile: Ran) -> None:
    (chart,) = [path for path in hostile.written if path.suffix == ".svg"]
    for one in ElementTree.parse(chart).iter():
        kind = str(one.tag).rpartition("}")[2]
        assert kind not in ("script", "foreignObject", "image", "a"), kind
        for name, value in one.attrib.items():
            assert not name.startswith("on") and (not name.endswith("href") or value.startswith("#")), (name, value)


def test_no_page_of_paper_does_anything(hostile: Ran) -> None:
    papers = [path for path in hostile.written if path.suffix == ".pdf"]
    assert len(papers) > 5
    for path in papers:
        assert not re.search(rb"/(?:JS|JavaScript|Launch|URI|GoToR|SubmitForm|EmbeddedFile|RichMedia)\b", path.read_bytes()), path


@pytest.mark.parametrize("which", ["hostile", "controlled"])
def test_texts_steer_no_terminal(which: str, request: pytest.FixtureRequest) -> None:
    one: Ran = request.getfixturevalue(which)
    texts = [path for path in one.written if path.suffix in (".txt", ".edl", ".vtt")]
    assert len(texts) > 3
    for path in texts:
        for line in path.read_text("utf-8").splitlines():
            assert line.isprintable(), (path, line)


@pytest.mark.parametrize("which", ["hostile", "controlled"])
def test_plans_are_drawings_still(which: str, request: pytest.FixtureRequest) -> None:
    one: Ran = request.getfixturevalue(which)
    plans = [path for path in one.written if path.suffix == ".dxf"]
    assert plans
    for path in plans:
        audit = ezdxf.readfile(path).audit()
        assert not audit.has_errors and not audit.has_fixes, (path, audit.errors, audit.fixes)


@pytest.mark.parametrize("which", ["hostile", "controlled"])
def test_timelines_name_the_tape_and_nothing_else(which: str, request: pytest.FixtureRequest) -> None:
    one: Ran = request.getfixturevalue(which)
    timelines = [path for path in one.written if path.suffix == ".otio"]
    assert timelines
    for path in timelines:
        text = path.read_text("utf-8")
        assert {one.rpartition("../")[2] for one in re.findall(r'"target_url": "([^"]*)"', text)} == {"show/tape.mp4"}, path
        assert json.loads(text)["OTIO_SCHEMA"].startswith("Timeline.")


def test_lists_keep_their_lines(controlled: Ran) -> None:
    events = [line for line in (controlled.root / "out" / "a.edl").read_text("ascii").splitlines() if re.match(r"\d{3} ", line)]
    assert len(events) == 2
    captions = (controlled.root / "out" / "a.vtt").read_text("utf-8")
    assert captions.count("-->") == len(re.findall(r"(?m)^(?:phrase|move) \d+$", captions))
