"""From a cut of the document to the events that are published, and to the tapes that need work copies; it makes no movie itself."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from previs.cut.placing import place
from previs.cut.source_time import work_copy_start
from previs.document.model import Black as BlackShot
from previs.document.model import Card, Cut, Footage, Sequence, Shot, Tape
from previs.document.model import Transition as ShotTransition
from previs.document.paths import locate
from previs.faults import UseFault
from previs.media.events import Black, CardPicture, Event, Picture, TapePicture, Transition
from previs.media.raster import Raster
from previs.media.workcopy import TapeToCopy


def events_of(sequence: Sequence, cut: Cut, document: Path) -> list[Event]:
    """The cut's shots as events to publish; `document` is the file that tape and card paths are relative to."""
    events = []
    for one in place(sequence, cut):
        picture = picture_of(sequence, one.shot, document)
        change = one.shot.transition
        events.append(
            Event(
                frames=one.shot.frames,
                picture=picture,
                transition=transition_of(change) if change else None,
                sound=one.source is not None and one.source.tape.sound is not None,
                sound_lead_frames=one.shot.sound_lead_frames,
            )
        )
    return events


def transition_of(change: ShotTransition) -> Transition:
    """A shot's transition as it is published."""
    return Transition(change.kind.value, change.frames, change.wipe)


def tapes_to_copy(sequence: Sequence, tapes: Iterable[Tape], document: Path) -> list[TapeToCopy]:
    """These tapes as work copies want them; raises `UseFault` for one whose file is away, naming how to find it again."""
    found = []
    for tape in tapes:
        path = locate(document, tape)
        if not path.exists():
            raise UseFault(f"Tape {tape.reel} is not at {path}; bring it back, or relink: look for tapes in another folder.")
        start = work_copy_start(tape, sequence.timebase)
        found.append(TapeToCopy(path, tape.reel, sequence.timebase.label(start)))
    return found


def tapes_in(sequence: Sequence, cut: Cut) -> list[Tape]:
    """The tapes that a cut plays, in order of first use."""
    reels = dict.fromkeys(one.source.tape.reel for one in place(sequence, cut) if one.source)
    return [sequence.tape(reel) for reel in reels]


def raster_of(sequence: Sequence) -> Raster:
    """The delivery picture that the sequence asks for."""
    return Raster(sequence.settings.raster_width, sequence.settings.raster_height)


def picture_of(sequence: Sequence, shot: Shot, document: Path) -> Picture:
    """What a shot shows, as it is published; `document` is the file that tape and card paths are relative to."""
    if isinstance(shot.picture, Footage):
        tape = sequence.tape(sequence.take(shot.picture.take).reel)
        return TapePicture(locate(document, tape), tape.fingerprint, tape.reel, shot.picture.first_frame, shot.picture.speed)
    if isinstance(shot.picture, Card):
        return _card(shot.picture, document)
    assert isinstance(shot.picture, BlackShot)
    return Black()


def _card(card: Card, document: Path) -> CardPicture:
    first, last = card.first_move, card.last_move
    named = "" if first is None else f"Move {first}" if last in (None, first) else f"Moves {first} to {last}"
    title = f"{named}: not shot yet" if named else "Not shot yet"
    image = locate(document, card) if card.image else None
    return CardPicture(title, card.text, image)
