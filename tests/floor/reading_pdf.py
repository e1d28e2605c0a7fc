"""A reader of the lines of a PDF, written for the tests: streams unpacked, paths followed; it knows only what our sheets use."""

from __future__ import annotations

import base64
import re
import zlib
from dataclasses import dataclass

POINTS_A_MM = 72 / 25.4
"""A PDF's unit is 1/72 of an inch (ISO 32000-1, 8.3.2.3)."""
_TOKEN = re.compile(rb"\((?:\\.|[^\\)])*\)|<[0-9a-fA-F]*>|/[^\s/\[\]<>()]+|\[|\]|<<|>>|[^\s/\[\]<>()]+", re.DOTALL)


@dataclass(frozen=True)
class Stroke:
    """One path that is drawn: its corners in millimetres of the paper, and the width of its line in points."""

    corners: tuple[tuple[float, float], ...]
    width: float
    colour: tuple[float, ...]


def page_streams(data: bytes) -> list[bytes]:
    """The content of every page, in the order of the pages."""
    objects = {int(number): body for number, body in re.findall(rb"(\d+) 0 obj(.*?)endobj", data, re.DOTALL)}
    kids = next(body for body in objects.values() if b"/Type /Pages" in body)
    found = re.search(rb"/Kids \[(.*?)\]", kids, re.DOTALL)
    assert found is not None
    streams = []
    for number in re.findall(rb"(\d+) 0 R", found[1]):
        contents = re.search(rb"/Contents (\d+) 0 R", objects[int(number)])
        assert contents is not None
        packed = re.search(rb"stream\r?\n(.*?)\r?\n?endstream", objects[int(contents[1])], re.DOTALL)
        assert packed is not None
        streams.append(zlib.decompress(base64.a85decode(packed[1].strip().removesuffix(b"~>"))))
    return streams


def page_size_mm(data: bytes, page: int) -> tuple[float, float]:
    """Width and height of a page, by its number from 0."""
    boxes = re.findall(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", data)
    return float(boxes[page][0]) / POINTS_A_MM, float(boxes[page][1]) / POINTS_A_MM


def strokes(stream: bytes) -> list[Stroke]:
    """Every path that is stroked, in order; curves are kept by their ends alone, and moves of the page itself (cm) must not occur."""
    found: list[Stroke] = []
    held: list[bytes] = []
    path: list[tuple[float, float]] = []
    state: tuple[float, tuple[float, ...]] = (1.0, (0.0,))
    kept: list[tuple[float, tuple[float, ...]]] = []
    moved = [False]
    for token in _TOKEN.findall(stream):
        if re.fullmatch(rb"[-+.\d]+|\(.*\)|<.*>|/.*|\[|\]", token, re.DOTALL):
            held.append(token)
            continue
        numbers = [float(one) for one in held if re.fullmatch(rb"[-+]?\d*\.?\d+", one)]
        if token == b"q":
            kept.append(state)
            moved.append(moved[-1])
        elif token == b"Q":
            state = kept.pop()
            moved.pop()
        elif token == b"cm":
            moved[-1] = moved[-1] or numbers != [1, 0, 0, 1, 0, 0]
        elif token == b"w":
            state = (numbers[0], state[1])
        elif token == b"RG":
            state = (state[0], tuple(numbers))
        elif token in (b"m", b"l"):
            path = [*(path if token == b"l" else []), (numbers[0], numbers[1])]
        elif token == b"c":
            path.append((numbers[4], numbers[5]))
        elif token == b"re":
            x, y, wide, high = numbers
            path = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high), (x, y)]
        elif token in (b"S", b"s", b"B", b"b", b"B*", b"b*"):
            if not moved[-1]:
                found.append(Stroke(tuple((x / POINTS_A_MM, y / POINTS_A_MM) for x, y in path), *state))
            path = []
        elif token in (b"f", b"n", b"f*"):
            path = []
        held = []
    return found
