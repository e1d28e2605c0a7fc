"""Remembering what was worked out from the very same frozen values; what is worked out is the callers' business."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from threading import Lock
from typing import ParamSpec, TypeVar

Given = ParamSpec("Given")
Result = TypeVar("Result")


def remembered(newest: int) -> Callable[[Callable[Given, Result]], Callable[Given, Result]]:
    """A pure function of frozen values that remembers its newest results, so that a chain of calls on one value works once.

    Values count as the same by identity, which costs nothing on a document of thousands of marks. Arguments are given by
    position, and no caller may change a result.
    """

    def decorate(function: Callable[Given, Result]) -> Callable[Given, Result]:
        # The values are kept with the result, so that their identities stay theirs.
        known: dict[tuple[int, ...], tuple[object, Result]] = {}
        changing = Lock()

        @wraps(function)
        def call(*values: Given.args, **named: Given.kwargs) -> Result:
            key = tuple(map(id, values))
            if (found := known.get(key)) is not None:
                return found[1]
            result = function(*values, **named)
            with changing:
                known[key] = (values, result)
                while len(known) > newest:
                    del known[next(iter(known))]
            return result

        return call

    return decorate
