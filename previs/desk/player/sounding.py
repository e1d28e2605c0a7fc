"""The samples of what a player shows: of a tape at once, of a cut once it has been laid in the background; it plays nothing."""

from __future__ import annotations

from weakref import WeakKeyDictionary

from previs.desk.open_file import OpenFile
from previs.desk.player.sound import has_output
from previs.desk.player.strips import CutStrip, Strip
from previs.desk.words import tr
from previs.document.model import Sequence
from previs.document.paths import locate
from previs.media.from_cut import events_of
from previs.media.sound import Samples, tape_sound
from previs.media.soundtrack import lay_sound
from previs.progress import Report

_laid: WeakKeyDictionary[OpenFile, tuple[object, Samples | None]] = WeakKeyDictionary()


def samples_of(file: OpenFile, strip: Strip) -> Samples | None:
    """The sound of a strip, (samples, 2) at 48 kHz; None where there is no output, or while it is being prepared."""
    if not has_output():
        return None
    sequence = file.sequence
    key = (sequence.cut(strip.cut), sequence.takes, sequence.tapes) if isinstance(strip, CutStrip) else strip.reel
    known = _laid.get(file)
    if known is not None and known[0] == key:
        return known[1]
    _laid[file] = (key, None)

    def keep(samples: Samples) -> None:
        if _laid.get(file, (None,))[0] == key:
            _laid[file] = (key, samples)

    file.do(tr("Preparing the sound"), lambda report: _prepared(file, sequence, strip, report), keep)
    return None


def _prepared(file: OpenFile, sequence: Sequence, strip: Strip, _report: Report) -> Samples:
    if isinstance(strip, CutStrip):
        events = events_of(sequence, sequence.cut(strip.cut), file.path)
        rate = sequence.timebase.rate.fps
        return lay_sound(events, rate, lambda tape: tape_sound(tape.path, file.cache, tape.fingerprint))
    tape = sequence.tape(strip.reel)
    return tape_sound(locate(file.path, tape), file.cache, tape.fingerprint)
