"""A sequence as the JSON text of its file, and back; pure text, no files.

The text is the same, byte for byte, for equal sequences: fields stand in the order of `model.py`, fields at their
default are left out, fractions are written as text (`"1001/30"`, `"7"`), and a short record stands on one line of its own.
"""

from __future__ import annotations

import json
import re
from fractions import Fraction
from functools import cache
from typing import Any, NoReturn

import msgspec

from previs.document.invariants import LARGEST_PART_DIGITS, faults_in
from previs.document.migrations import Raw, migrate
from previs.document.model import SCHEMA, Cut, Phrase, Sequence, Shot, Take, Tape
from previs.document.notes import Note
from previs.document.remembering import Parts, remembered
from previs.faults import UseFault

LARGEST_TEXT = 64 * 1024 * 1024
"""Bytes, or characters, beyond which a file is not read: a whole feature's fights stay far below."""

_MARK = "previs sequence"
_LINE = 120
_PARTS = frozenset((Tape, Take, Phrase, Cut, Shot, Note))
"""What an edit leaves the very same, all but one or two; their texts are kept."""
_parts: Parts[str] = Parts()
_FRACTION = re.compile(rf"-?\d{{1,{LARGEST_PART_DIGITS}}}(?:/\d{{1,{LARGEST_PART_DIGITS}}})?", re.ASCII)


class DocumentFault(UseFault):
    """A file that is not a sound previs document; the sentence says what is wrong at which path."""


@remembered(newest=2)
def to_text(sequence: Sequence) -> str:
    """The file's text, ending with a newline. It does not check the sequence: see `invariants.faults_in`."""
    items = _items(sequence, 0)
    _parts.turn()
    items = [f'"document": {json.dumps(_MARK)}', f'"schema": {SCHEMA}', *(item for item in items if not item.startswith('"schema": '))]
    return _joined(items, "{", "}", 0, a_line_each=True) + "\n"


def from_text(text: str, where: str) -> Sequence:
    """The sequence that a file's text holds; `where` is the file as the person knows it.

    Raises `DocumentFault` for anything else than a sound document of this schema or an older one.
    """
    if len(text) > LARGEST_TEXT:
        raise DocumentFault(f"{where} is larger than {LARGEST_TEXT // 1024**2} MB, which no previs document is; open another file.")
    raw = _read_json(text, where)
    schema = raw.pop("schema", None)
    if raw.pop("document", None) != _MARK or type(schema) is not int or schema < 1:
        raise DocumentFault(f"{where} is not a previs document (it does not say so in its first lines); open another file.")
    if schema > SCHEMA:
        raise DocumentFault(f"{where} was made by a newer previs: schema {schema}, this one reads up to {SCHEMA}; update previs.")
    try:
        raw = migrate({**raw, "schema": schema}, schema)
    except (LookupError, TypeError, ValueError, AttributeError) as error:
        raise DocumentFault(f"{where} is of schema {schema} and is too damaged to be brought up to {SCHEMA}; {_WAY_OUT}.") from error
    try:
        sequence = msgspec.convert(raw, Sequence, dec_hook=_fraction)
    except msgspec.ValidationError as error:
        reason, _, place = str(error).partition(" - at ")
        raise DocumentFault(
            f"{where} is damaged at {place.strip('`') or '$'}: {reason[0].lower()}{reason[1:].replace('`', '')}; {_WAY_OUT}."
        ) from error
    except UnicodeEncodeError as error:
        raise DocumentFault(f"{where} is damaged: the name of a field or a kind in it holds half a character; {_WAY_OUT}.") from error
    if faults := faults_in(sequence):
        more = f" (and {len(faults) - 1} more)" if len(faults) > 1 else ""
        raise DocumentFault(f"{where} is damaged at {faults[0]}{more}; {_WAY_OUT}.")
    return sequence


_WAY_OUT = "correct it there, or go back to a kept version"


def _read_json(text: str, where: str) -> Raw:
    try:
        # Some editors put a byte order mark ahead of the text.
        raw = json.loads(text.removeprefix("\ufeff"), object_pairs_hook=_record, parse_constant=_no_number)
    except json.JSONDecodeError as error:
        raise DocumentFault(
            f"{where} is not a previs document: line {error.lineno}, column {error.colno} is not JSON ({error.msg}); {_WAY_OUT}."
        ) from error
    except RecursionError as error:
        raise DocumentFault(f"{where} is not a previs document: its records are nested too deep; {_WAY_OUT}.") from error
    except ValueError as error:
        raise DocumentFault(f"{where} is damaged: {error}; {_WAY_OUT}.") from error
    if not isinstance(raw, dict):
        raise DocumentFault(f"{where} is JSON, but not a previs document; open another file.")
    return raw


def _record(pairs: list[tuple[str, Any]]) -> Raw:
    """A JSON object; a field written twice, as careless merging leaves it, would otherwise lose one of its values."""
    record = dict(pairs)
    if len(record) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"a record has the field '{twice}' twice")
    return record


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a number that previs can count with")


def _fraction(wanted: type, found: object) -> Fraction:
    if wanted is not Fraction:
        raise NotImplementedError(f"the document has no field of type {wanted}")
    if not isinstance(found, str) or not _FRACTION.fullmatch(found):
        raise ValueError('expected a fraction written as text, such as "7/10" or "12"')
    numerator, _, denominator = found.partition("/")
    if denominator and int(denominator) == 0:
        raise ValueError(f'"{found}" divides by zero')
    return Fraction(int(numerator), int(denominator or 1))


@cache
def _fields(kind: type[msgspec.Struct]) -> tuple[tuple[str, object], ...]:
    return tuple((field.name, field.default) for field in msgspec.structs.fields(kind))


def _laid_out(value: Any, indent: int) -> str:
    """A value of the document as JSON, two spaces a level; a record that fits on its line stays on it."""
    if isinstance(value, msgspec.Struct):
        return _part(value, indent) if type(value) in _PARTS else _joined(_items(value, indent), "{", "}", indent)
    if isinstance(value, tuple):
        # One mark a line, so that a comparison of two versions shows which mark was moved.
        each = len(value) > 1 and isinstance(value[0], msgspec.Struct)
        return _joined([_laid_out(item, indent + 2) for item in value], "[", "]", indent, a_line_each=each)
    if isinstance(value, Fraction):
        return f'"{value}"'
    if value is None or isinstance(value, str | int):
        return json.dumps(value, ensure_ascii=False)
    raise TypeError(f"a document does not hold a {type(value).__name__}")


def _part(value: msgspec.Struct, indent: int) -> str:
    if (known := _parts.known(value, indent)) is not None:
        return known
    text = _joined(_items(value, indent), "{", "}", indent)
    _parts.keep(value, text, indent)
    return text


def _items(value: msgspec.Struct, indent: int) -> list[str]:
    """The fields that are not at their default; defaults go by equality, where msgspec's own writer goes by identity."""
    tag = value.__struct_config__.tag
    items = [f'"type": {json.dumps(tag)}'] if tag else []
    for name, default in _fields(type(value)):
        item = getattr(value, name)
        if item != default:
            items.append(f'"{name}": {_laid_out(item, indent + 2)}')
    return items


def _joined(items: list[str], opening: str, closing: str, indent: int, *, a_line_each: bool = False) -> str:
    line = opening + ", ".join(items) + closing
    if not a_line_each and "\n" not in line and indent + len(line) <= _LINE:
        return line
    inner = " " * (indent + 2)
    return f"{opening}\n{inner}" + f",\n{inner}".join(items) + f"\n{' ' * indent}{closing}"
