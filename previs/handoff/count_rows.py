"""The rows of a count sheet: every pull, every element in it against the shot, and every frame of a shot that is not at speed.

An `in` names the first frame and an `out` the frame after the last, as in every list; numbers of a pull name first and last.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from previs.cut.placing import place
from previs.document.model import Cut
from previs.document.model import Sequence as Fight
from previs.exchange.lists import Row, framing_text, moves_text, record_label, shown_labels, speed_value, tape_rate
from previs.fight.checks import checks
from previs.fight.findings import Code
from previs.handoff.pull_log import Entry, Planned
from previs.handoff.pulls import Element

_FOR_EFFECTS = frozenset(
    {
        Code.FACE_TOO_CLOSE,
        Code.DOUBLE_SEEN,
        Code.TAKEOVER_CUT_INTO,
        Code.DOUBLED_ELSEWHERE,
        Code.FACE_IS_THE_ACTORS,
        Code.TREATMENT_IN_NO_TAKE,
    }
)

Heads = Mapping[tuple[str, str], float]
"""Largest heights of heads in the shots, in pixels of the delivery picture, by pull code and role."""


def pull_rows(sequence: Fight, planned: Sequence[Planned]) -> list[Row]:
    """One row a pull, in running order."""
    return [_pull_row(sequence, one) for one in planned]


def element_rows(sequence: Fight, planned: Sequence[Planned], heads: Heads | None = None) -> list[Row]:
    """One row for each treatment on screen, in running order; `head px` stays empty where `heads` has none."""
    return [_element_row(sequence, one, element, heads or {}) for one in planned for element in one.pull.elements]


def frame_rows(sequence: Fight, planned: Sequence[Planned]) -> list[Row]:
    """For shots at another speed than the tape's, the pull's number on each frame of the shot."""
    return [
        {
            "pull": one.entry.name,
            "shot frame": k + 1,
            "record": record_label(sequence, one.pull.placed.record.start + k),
            "pull frame": one.pull.shown(k),
        }
        for one in planned
        if one.pull.source.speed != 1
        for k in range(one.pull.placed.shot.frames)
    ]


def settle_rows(sequence: Fight, cut: Cut) -> list[Row]:
    """What the checks of the cut find for visual effects: replaced faces too close, doubles' faces with nothing marked, takeovers off."""
    codes = {one.number: one.shot.code for one in place(sequence, cut)}
    return [
        {
            "code": codes.get(found.shot or 0, ""),
            "shot": found.shot,
            "record": "" if found.record_frame is None else record_label(sequence, found.record_frame),
            "check": found.code.value.split()[0],
            "what": found.sentence,
            "what would mend it": found.mend,
        }
        for found in checks(sequence, cut)
        if found.code in _FOR_EFFECTS
    ]


def away_rows(fell_out: Sequence[Entry]) -> list[Row]:
    """Pulls that the folder holds and the cut does not want now; their files stay."""
    return [{"pull": entry.name, "code": entry.code, "version": entry.version} for entry in fell_out]


def _pull_row(sequence: Fight, one: Planned) -> Row:
    pull, fps = one.pull, sequence.timebase.rate.fps
    tape, placed = pull.source.tape, pull.placed
    return {
        "pull": one.entry.name,
        "code": pull.code,
        "version": one.entry.version,
        "this time": one.state.value,
        "shot": placed.number,
        "take": pull.source.take.name,
        "record in": record_label(sequence, placed.record.start),
        "record out": record_label(sequence, placed.record.end_exclusive),
        "shot frames": placed.shot.frames,
        "speed": speed_value(pull.source.speed),
        "tape": tape.reel,
        "tape rate": tape_rate(tape),
        "tape in": shown_labels(tape, pull.played, fps)[0],
        "tape out": shown_labels(tape, pull.played, fps)[1],
        "first": pull.first,
        "cut in": pull.cut_in,
        "cut out": pull.cut_out,
        "last": pull.last,
        "frames": pull.frames,
        "head": pull.head,
        "tail": pull.tail,
        "picture": f"{tape.width}x{tape.height}",
        "elements": len(pull.elements),
        "remarks": " ".join(one.remarks),
    }


def _element_row(sequence: Fight, one: Planned, element: Element, heads: Heads) -> Row:
    seen, pull, fps = element.seen, one.pull, sequence.timebase.rate.fps
    tape, takeover = pull.source.tape, element.takeover
    return {
        "pull": one.entry.name,
        "shot": pull.placed.number,
        "kind": seen.treatment.kind.value,
        "role": seen.treatment.role,
        "performer": element.performer,
        "record in": record_label(sequence, seen.record.start),
        "record out": record_label(sequence, seen.record.end_exclusive),
        "frames": seen.record.length,
        "tape": tape.reel,
        "tape rate": tape_rate(tape),
        "tape in": shown_labels(tape, seen.tape, fps)[0],
        "tape out": shown_labels(tape, seen.tape, fps)[1],
        "first": element.first,
        "last": element.last,
        "marked first": element.marked_first,
        "marked last": element.marked_last,
        "performer until": takeover.performer_until if takeover else None,
        "digital from": takeover.digital_from if takeover else None,
        "digital to": takeover.digital_to if takeover else None,
        "performer from": takeover.performer_from if takeover else None,
        "framing": " > ".join(framing_text(framing) for framing in seen.framings),
        "head px": heads.get((pull.code, seen.treatment.role)),
        "replacement": element.holds.value if element.holds else "",
        "actor learns": moves_text(element.learns),
        "note": seen.treatment.note,
    }
