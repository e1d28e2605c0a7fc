"""Which frames of a pull its contact sheet shows: those on which a treatment begins and ends; it takes no picture.

Where a digital double takes over, the two frames on either side are what the match is made to; where a wire or a face is
treated, the first, the middle and the last. A pull without a treatment is shown at its cut in, its middle and its cut out.
"""

from __future__ import annotations

from dataclasses import dataclass

from previs.handoff.pull_log import Planned
from previs.handoff.pulls import Element, Takeover


@dataclass(frozen=True, slots=True)
class ContactRow:
    """A row of the sheet: the words over it, and each picture's number in the pull with a word on it, which may be empty."""

    caption: str
    shown: tuple[tuple[int, str], ...]


def contact_rows(one: Planned) -> tuple[ContactRow, ...]:
    """The rows of one pull: one for each of its treatments."""
    pull = one.pull
    name = f"{one.entry.name}   cut {pull.cut_in} - {pull.cut_out}"
    if not pull.elements:
        return (ContactRow(f"{name}   no treatment", _three(pull.cut_in, pull.cut_out)),)
    return tuple(ContactRow(f"{name}   {_treated(element)}", _shown(element)) for element in pull.elements)


def _treated(element: Element) -> str:
    treatment = element.seen.treatment
    holds = f", {element.holds.value}" if element.holds else ""
    return f"{treatment.kind.value}: {treatment.role}, {element.first} - {element.last}{holds}"


def _shown(element: Element) -> tuple[tuple[int, str], ...]:
    return _takeover(element.takeover) if element.takeover else _three(element.first, element.last)


def _takeover(frames: Takeover) -> tuple[tuple[int, str], ...]:
    either = (
        (frames.performer_until, "performer"),
        (frames.digital_from, "digital"),
        (frames.digital_to, "digital"),
        (frames.performer_from, "performer"),
    )
    return tuple(dict.fromkeys((number, what) for number, what in either if number is not None))


def _three(first: int, last: int) -> tuple[tuple[int, str], ...]:
    return tuple(dict.fromkeys((number, "") for number in (first, (first + last) // 2, last)))
