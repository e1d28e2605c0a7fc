"""What a returned edit list changes against a cut, shot by shot; it changes nothing itself.

Rules.
1. Which event is which shot follows `previs.cut.matching`, and what changed is told as `previs.cut.differences` does, so that
   a returned list and a change list tell one story. Cards are the same by their text, black is the same as a gap.
2. Speeds that one M2 line cannot tell apart are equal. Takes are not compared: a list names tapes.
3. A shot has moved when it is out of order against the longest run of shots that kept theirs. A later record time alone
   is no move: it follows from what came before. Time that no event fills is black, and is told of as what came in.
4. A sound lead is what our comment, or a split edit, says. A list that lays no sound at all is told of once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from previs.clock import Rate, Span
from previs.cut.changes import Labels
from previs.cut.differences import BLACK, ChangeKind, Side, differences, likenesses
from previs.cut.matching import matched, staying_in_order
from previs.cut.placing import Placed, place
from previs.cut.wording import counted, longer_said
from previs.document.model import Black, Card, Cut, Sequence
from previs.exchange.cmx3600_reading import ReadList
from previs.exchange.importing import Laid, Layout, lay_out
from previs.exchange.lists import Row, record_label
from previs.exchange.m2_speed import indistinct
from previs.exchange.plain import plain
from previs.exchange.reels import CARD_REEL

CARD = "(card)"
"""What a card's source is called: in brackets, so that no reel can be called so."""


@dataclass(frozen=True, slots=True)
class Compared:
    """One shot, one event, or the two as one: what changed (nothing where it was kept), and where each stands on record.

    `had` is the shot's record span in the cut, `has` the event's in the list, both in frames from the first picture.
    """

    changes: tuple[ChangeKind, ...]
    shot: int | None
    event: str | None
    source: str
    had: Span | None
    has: Span | None
    details: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Comparison:
    """A cut against a list: a row for every shot and event, both lengths, and sentences on the list as a whole."""

    rows: tuple[Compared, ...]
    cut_frames: int
    list_frames: int
    remarks: tuple[str, ...]


def compare(sequence: Sequence, cut: Cut, reads: Iterable[ReadList], given: Mapping[str, str] | None = None) -> Comparison:
    """Every shot and every event, in the list's order, a removed shot after the one that was ahead of it.

    `given` says which tapes reels are, as for `importing.lay_out`, which also says what raises `UseFault`.
    """
    placed, layout = place(sequence, cut), lay_out(sequence, reads, given)
    old = [_shot_side(one, side) for one, side in zip(placed, Labels(sequence).sides(placed), strict=True)]
    new = _event_sides(layout)
    shot_of = matched(likenesses(old, new), len(old), len(new))
    staying = set(staying_in_order(shot_of))
    found: list[tuple[tuple[int, int], Compared]] = []
    for at, one in enumerate(layout.laid):
        if at in shot_of:
            was = shot_of[at]
            compared = _both(sequence.timebase.rate, (placed[was], old[was]), (one, new[at]), moved=at not in staying)
        else:
            compared = _added(one, placed)
        found.append(((at, 0), compared))
    event_of = {was: at for at, was in shot_of.items()}
    last_event = -1
    for was, shot in enumerate(placed):
        last_event = event_of.get(was, last_event)
        if was not in event_of:
            removed = Compared((ChangeKind.REMOVED,), shot.number, None, _source_of(old[was]), shot.record, None)
            found.append(((last_event, was + 1), removed))
    rows = tuple(row for _, row in sorted(found, key=lambda row: row[0]))
    return Comparison(rows, cut.frames, layout.frames, tuple(_remarks(layout)))


def rows(sequence: Sequence, compared: Iterable[Compared]) -> list[Row]:
    """The comparison as rows for a table: had and has as record time code, outs exclusive, and lengths in frames."""

    def label(span: Span | None, end: bool) -> str:
        return record_label(sequence, span.end_exclusive if end else span.start) if span else ""

    return [
        {
            "change": ", ".join(one.changes) or "kept",
            "shot": one.shot,
            "event": one.event or "",
            "source": one.source,
            "had in": label(one.had, end=False),
            "had out": label(one.had, end=True),
            "has in": label(one.has, end=False),
            "has out": label(one.has, end=True),
            "had frames": one.had.length if one.had else None,
            "has frames": one.has.length if one.has else None,
            "details": "; ".join(one.details),
        }
        for one in compared
    ]


def summary(sequence: Sequence, cut: Cut, found: Comparison) -> list[str]:
    """The comparison in sentences: how much was kept, both lengths always, and what concerns the list as a whole."""
    kept = sum(not one.changes for one in found.rows if one.shot is not None)
    told = sum(bool(one.changes) for one in found.rows)
    label = Labels(sequence)
    net = found.list_frames - found.cut_frames
    by = f", {longer_said(net)}" if net else ", the same"
    shots = counted(len(cut.shots), "shot")
    are = "is kept as it was" if kept == 1 else "are kept as they were"
    changed = f"; {counted(told, 'row')} {'tells' if told == 1 else 'tell'} of changes" if told else ""
    return [
        f"{f'{kept} of the' if told else 'All'} {shots} of cut {cut.name} {are}{changed}.",
        f"Cut {cut.name} lasts {label.length(found.cut_frames)}; the list lasts {label.length(found.list_frames)}{by}.",
        *found.remarks,
    ]


def _remarks(layout: Layout) -> Iterator[str]:
    yield from layout.guesses()
    if reels := layout.unknown_reels():
        yield f"{reels}; say which tape one is with --reel LISTNAME=REEL."
    if not layout.sound.any_laid and (dropped := layout.dropped_sound()):
        yield f"{dropped}."
    if alone := layout.sound.alone:
        yield f"{counted(alone, 'event')} of sound alone {'runs' if alone == 1 else 'run'} with no picture of the same reel."


def _shot_side(one: Placed, side: Side) -> Side:
    """A shot as a list can tell of it: by tape, cards by their text as seven bits without blanks hold it."""
    key = _card_key(one.shot.picture) if isinstance(one.shot.picture, Card) else side.key
    return replace(side, key=key, take="", locked=None)


def _event_sides(layout: Layout) -> list[Side]:
    sides: list[Side] = []
    for one in layout.laid:
        after_black = not sides or sides[-1].key == BLACK
        sides.append(_event_side(one, after_black, silent=one.drops_sound and layout.sound.any_laid))
    return sides


def _event_side(one: Laid, after_black: bool, *, silent: bool) -> Side:
    length = counted(one.record.length, "frame")
    picture, event = one.picture, one.event
    if one.tape is not None:
        key, shown = one.tape.reel, f"{length} of tape {one.tape.reel}"
    elif isinstance(picture, Card):
        key, shown = _card_key(picture), f"{length} of the card '{picture.text}'"
    elif event is None or isinstance(picture, Black):
        key, shown = BLACK, f"{length} of black"
    else:
        unknown = f"unknown reel {event.reel} ({event.clip or 'no clip name'})" if not one.reel_known else one.unknown
        # A blank ahead, as no reel begins with one.
        key, shown = f" {event.reel}", f"{length} of {unknown}"
    return Side(
        key,
        shown,
        one.record.length,
        tape=one.tape is not None,
        first_frame=one.first_frame,
        speed=one.speed,
        transition=one.transition,
        after_black=after_black,
        sound_lead_frames=one.sound_lead,
        silent=silent,
    )


def _card_key(card: Card) -> str:
    return f"{CARD} {''.join(plain(card.text).split())}"


def _both(rate: Rate, shot: tuple[Placed, Side], event: tuple[Laid, Side], *, moved: bool) -> Compared:
    (placed, was), (laid, now) = shot, event
    if indistinct(was.speed, now.speed, rate):
        now = replace(now, speed=was.speed)
    if was.key.startswith(CARD) and laid.event and laid.event.reel.upper() == CARD_REEL and not laid.event.clip:
        # Cards come back without a word of theirs from programs that leave comments out.
        now = replace(now, key=was.key)
    found = list(differences(was, now))
    changes = ((ChangeKind.MOVED,) if moved else ()) + tuple(one.kind for one in found)
    number = laid.event.number if laid.event else None
    return Compared(changes, placed.number, number, _source_of(was), placed.record, laid.record, tuple(one.fact for one in found))


def _added(one: Laid, placed: tuple[Placed, ...]) -> Compared:
    also = [
        str(shot.number)
        for shot in placed
        if shot.source and one.played and one.tape == shot.source.tape and shot.source.played.meet(one.played)
    ]
    if one.event is None:
        return Compared((ChangeKind.ADDED,), None, None, BLACK, None, one.record, ("black, as no event fills this time",))
    source = one.tape.reel if one.tape else BLACK if isinstance(one.picture, Black) else CARD if one.picture else one.event.reel
    detail = one.unknown or (
        f"more of what shot {', '.join(also)} plays" if also else "a span that the cut does not use" if one.tape else ""
    )
    return Compared((ChangeKind.ADDED,), None, one.event.number, source, None, one.record, (detail,) if detail else ())


def _source_of(side: Side) -> str:
    return CARD if side.key.startswith(CARD) else side.key
