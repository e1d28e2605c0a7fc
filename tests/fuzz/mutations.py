"""Inputs made worse: bytes turned, cut and repeated, pieces of a format put where they do not belong, numbers and texts that are none."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from typing import Any

ODD_TEXTS = (
    "", " ", "\0", "\ufeff", "\ud800", "\udfff\ud800", "\u202e gnp", "\x1b[2J\x1b[31m", "\r\n", "\t", "\x7f", "\u2028", "\U000e0001",
    "é",
    "ﬃ", "١٢", "²", "½", "-", "+", "=1+1", "@SUM(A1)", "=cmd|' /C calc'!A0", "'=1", "../../x", "/etc/passwd", "C:\\x", "NUL", "CON.txt",
    "x", "None", "nan", "NaN", "inf", "-inf", "Infinity", "true", "null", "<script>alert(1)</script>", "</script>", "%s%n", "${x}",
    "{0}",
)  # fmt: skip
ODD_NUMBERS = (
    "0", "-0", "-1", "1e309", "-1e309", "1e-320", "9" * 400, "99999999999", "4294967296", "2147483648", "9223372036854775808", "1/0",
    "1/3", "0x10", "1_000", "00", "1.5", "1,5", ".5", "5.", "1e5", "-9999999", "1000000", "999999", "1001/30000", "3/-4",
)  # fmt: skip
ODD_TIMES = (
    "00:00:00:00", "23:59:59:23", "24:00:00:00", "99:99:99:99", "01:00:00;00", "01:00:00.12", "1:0:0:0", "f0", "f-1", "f999999999", "0s",
    "1e9s",
    "-1s", "12.4s", "0.000001s", "00:01:00;00", "noon",
)  # fmt: skip
BLOCKS = (
    b"\0",
    b"\xff",
    b"\xfe\xff",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b"\x1a",
    b"\r",
    b"\n",
    b"\r\n",
    b'"',
    b"'",
    b",",
    b";",
    b"\t",
    b"{",
    b"[",
    b"\\",
    b"\\u0000",
)
LARGE = 10 * 1024 * 1024


def worse(data: bytes, tokens: tuple[str, ...], chance: random.Random) -> bytes:
    """The input after one to six changes; `tokens` are pieces of its format."""
    pieces = [token.encode("utf-8", "surrogatepass") for token in (*tokens, *ODD_TEXTS, *ODD_NUMBERS, *ODD_TIMES)] + list(BLOCKS)
    for _ in range(chance.choice((1, 1, 1, 2, 3, 6))):
        data = chance.choice(_CHANGES)(data, pieces, chance)
    return data


def as_encoded(data: bytes, chance: random.Random) -> bytes:
    """The same text in an encoding that nobody expects, or with a mark ahead."""
    text = data.decode("utf-8", "replace")
    named = chance.choice(("utf-16", "utf-16-be", "utf-32", "latin-1", "cp1252", "utf-7", "utf-8-sig", "cp037"))
    return text.encode(named, "replace")


def large(data: bytes, tokens: tuple[str, ...], chance: random.Random) -> bytes:
    """Ten megabytes: of one sign, of the input over and over, or of one piece of it."""
    piece = chance.choice(
        (b"x", b"9", b" ", b"\n", b",", b'"', b"[", b"(", data or b"x", chance.choice(tokens or ("x",)).encode("utf-8", "replace") or b"x")
    )
    middle = piece * (LARGE // len(piece))
    at = _at(data, chance)
    return chance.choice((middle, data[:at] + middle + data[at:]))


def _at(data: bytes, chance: random.Random) -> int:
    return chance.randrange(len(data) + 1)


def _turn(data: bytes, pieces: list[bytes], chance: random.Random) -> bytes:
    if not data:
        return data
    changed = bytearray(data)
    for _ in range(chance.choice((1, 1, 4, 32))):
        changed[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
    return bytes(changed)


def _set(data: bytes, pieces: list[bytes], chance: random.Random) -> bytes:
    """Some bytes in a row set to one that stands for an end of a range."""
    at, length = _at(data, chance), chance.choice((1, 2, 4, 8))
    return data[:at] + bytes([chance.choice((0, 1, 0x7F, 0x80, 0xFF))]) * length + data[at + length :]


def _cut(data: bytes, pieces: list[bytes], chance: random.Random) -> bytes:
    start, end = sorted((_at(data, chance), _at(data, chance)))
    return chance.choice((data[:start], data[:start] + data[end:], data[start:end], data[start:]))


def _repeat(data: bytes, pieces: list[bytes], chance: random.Random) -> bytes:
    start = _at(data, chance)
    end = min(len(data), start + chance.choice((1, 8, 80, 2000)))
    return data[:start] + data[start:end] * chance.choice((2, 2, 5, 200)) + data[end:]


def _splice(data: bytes, pieces: list[bytes], chance: random.Random) -> bytes:
    at = _at(data, chance)
    return data[:at] + chance.choice(pieces) + data[at + chance.choice((0, 0, 1, 4, 12)) :]


def _swap(data: bytes, pieces: list[bytes], chance: random.Random) -> bytes:
    one, two, three = sorted(_at(data, chance) for _ in range(3))
    return data[:one] + data[two:three] + data[one:two] + data[three:]


def _token(data: bytes, pieces: list[bytes], chance: random.Random) -> bytes:
    """One piece of the format in the place of another that is there."""
    there = [piece for piece in pieces if piece and piece in data]
    if not there:
        return _splice(data, pieces, chance)
    return data.replace(chance.choice(there), chance.choice(pieces), chance.choice((1, 1, -1)))


def _line(data: bytes, pieces: list[bytes], chance: random.Random) -> bytes:
    """Lines twice, away, or in another place."""
    lines = data.split(b"\n")
    taken = lines.pop(chance.randrange(len(lines)))
    for _ in range(chance.choice((0, 1, 2, 50))):
        lines.insert(chance.randrange(len(lines) + 1), taken)
    return b"\n".join(lines)


_CHANGES: tuple[Callable[[bytes, list[bytes], random.Random], bytes], ...] = (
    *(_turn, _set, _cut, _repeat, _splice, _splice, _swap, _token, _token, _line),
)


def worse_json(data: bytes, tokens: tuple[str, ...], chance: random.Random) -> bytes:
    """JSON whose structure stays JSON: values of another kind, fields away, twice or new, records moved, nested deep."""
    try:
        value = json.loads(data)
    except (ValueError, RecursionError):
        return worse(data, tokens, chance)
    for _ in range(chance.choice((1, 1, 2, 4))):
        value = _changed(value, tokens, chance)
    text = json.dumps(value, ensure_ascii=chance.random() < 0.5)
    if chance.random() < 0.05:
        depth = chance.choice((50, 900, 5000, 200_000))
        text = text[:-1] + ', "x": ' + chance.choice(("[", '{"a":')) * depth
    return text.encode("utf-8", "surrogatepass")


def _changed(value: Any, tokens: tuple[str, ...], chance: random.Random) -> Any:
    if isinstance(value, dict) and value and chance.random() < 0.85:
        name = chance.choice(list(value))
        how = chance.random()
        if how < 0.75:
            return {**value, name: _changed(value[name], tokens, chance)}
        if how < 0.87:
            return {key: one for key, one in value.items() if key != name}
        return {**value, chance.choice((*tokens, *ODD_TEXTS) or ("x",)): value[name]}
    if isinstance(value, list) and value and chance.random() < 0.85:
        at = chance.randrange(len(value))
        how = chance.random()
        if how < 0.7:
            return [*value[:at], _changed(value[at], tokens, chance), *value[at + 1 :]]
        if how < 0.8:
            return value[:at] + value[at + 1 :]
        if how < 0.9:
            return [*value, *[value[at]] * chance.choice((1, 3, 1000))]
        return chance.sample(value, len(value))
    return odd_value(tokens, chance)


def odd_value(tokens: tuple[str, ...], chance: random.Random) -> Any:
    """Something that may stand in JSON, rarely what is wanted there."""
    texts = (*tokens, *ODD_TEXTS, *ODD_NUMBERS, *ODD_TIMES)
    numbers = (
        0,
        -1,
        1,
        2,
        7,
        10**6,
        10**9 + 1,
        2**31,
        2**63,
        2**64,
        10**15,
        10**16,
        10**300,
        0.5,
        -0.0,
        1e300,
        1e-300,
        float("nan"),
        float("inf"),
    )
    return chance.choice(
        (None, True, False, [], {}, [[]], chance.choice(numbers), chance.choice(numbers), chance.choice(texts), chance.choice(texts))
    )


def worse_table(data: bytes, tokens: tuple[str, ...], chance: random.Random) -> bytes:
    """Comma-separated cells: others in their place, swapped, columns and rows more or fewer, another separator."""
    rows = [line.split(",") for line in data.decode("utf-8", "replace").rstrip("\n").split("\n")]
    texts = (*tokens, *ODD_TEXTS, *ODD_NUMBERS, *ODD_TIMES)
    for _ in range(chance.choice((1, 1, 2, 5))):
        row = chance.choice(rows)
        at = chance.randrange(len(row)) if row else 0
        how = chance.random()
        if how < 0.6 and row:
            row[at] = chance.choice(texts) if chance.random() < 0.7 else row[at] + chance.choice(texts)
        elif how < 0.7 and row and (other := chance.choice(rows)):
            there = at % len(other)
            row[at], other[there] = other[there], row[at]
        elif how < 0.8:
            row.insert(at, chance.choice(texts))
        elif how < 0.9 and row:
            row.pop(at)
        else:
            rows += [list(row) for _ in range(chance.choice((1, 2, 300)))]
    separator = chance.choice((",", ",", ",", ",", ";", "\t"))
    return chance.choice(("\n", "\n", "\r\n", "\r")).join(separator.join(row) for row in rows).encode("utf-8", "surrogatepass")
