"""Remembering what was worked out from the very same frozen values, whole or part by part; what is worked out is the callers' business."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from threading import Lock
from typing import Generic, ParamSpec, TypeVar

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


class Parts(Generic[Result]):
    """Results for parts of values, known by the part's identity and a number: an edit leaves most parts the very same.

    Kept are the parts that were asked for since the last turn but one: what an older value alone had is let go. No caller may
    change a result.
    """

    def __init__(self) -> None:
        self._newer: dict[tuple[int, int], tuple[object, Result]] = {}
        self._older: dict[tuple[int, int], tuple[object, Result]] = {}
        self._changing = Lock()

    def known(self, part: object, number: int = 0) -> Result | None:
        """The result for this part, or None."""
        key = id(part), number
        with self._changing:
            found = self._newer.get(key)
            if found is None and (found := self._older.get(key)) is not None:
                self._newer[key] = found
        return None if found is None else found[1]

    def keep(self, part: object, result: Result, number: int = 0) -> None:
        """Remember a result; the part is kept with it, so that its identity stays its own."""
        with self._changing:
            self._newer[id(part), number] = part, result

    def turn(self) -> None:
        """The whole value has been gone through: what neither it nor the one before had goes."""
        with self._changing:
            self._older, self._newer = self._newer, {}
