"""What a form asks, as values; no Qt."""

from __future__ import annotations

from dataclasses import dataclass

Answers = dict[str, str]
"""What was answered, by the questions' names."""


@dataclass(frozen=True, slots=True)
class Question:
    """One line of a form: what is asked, what is proposed, and how it is written.

    With `choices`, as (answer, shown), one of them is the answer. `is_file` lets a picture be looked for on disk.
    """

    name: str
    asked: str
    given: str = ""
    hint: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    is_file: bool = False
