"""The steps that bring a file of an older layout up to this one, on plain JSON values; no typed document, no files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from previs.document.model import SCHEMA

Raw = dict[str, Any]
"""A document as JSON gives it, before any checking."""

Step = Callable[[Raw], Raw]
"""Takes a document of one schema and returns it in the next; must not change what it is given."""


def _with_syncs_and_heads(raw: Raw) -> Raw:
    """Schema 2 only adds what may be left out: confidence of hits, syncs of tapes, head boxes, flights, codes, the newest cut's number."""
    return raw


def _with_notes(raw: Raw) -> Raw:
    """Schema 3 only adds what may be left out: reviewers' notes."""
    return raw


def _with_floor(raw: Raw) -> Raw:
    """Schema 4 only adds what may be left out: the floor."""
    return raw


STEPS: Mapping[int, Step] = {1: _with_syncs_and_heads, 2: _with_notes, 3: _with_floor}
"""`STEPS[n]` turns schema n into n + 1."""


def migrate(raw: Raw, schema: int, to: int = SCHEMA, steps: Mapping[int, Step] = STEPS) -> Raw:
    """The document `raw` of `schema`, step by step in the layout of `to`; `schema` must not be newer than `to`."""
    for number in range(schema, to):
        raw = {**steps[number](raw), "schema": number + 1}
    return raw
