"""The keys of the Log place, each with what it does, in words and as a call; the player's own keys are its actions."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from previs.desk.log.framing_panel import FACE_KEYS, SIZE_KEYS, TREATMENT_KEYS
from previs.desk.words import tr
from previs.document.model import SURE

if TYPE_CHECKING:
    from previs.desk.log.place import LogPlace


def log_keys(place: LogPlace) -> list[tuple[str, str, Callable[[], None]]]:
    """What a key does, the keys, and the call."""
    return [
        (tr("Play the take from its beginning to its end at half speed"), "H", place.play_at_half_speed),
        (tr("The next move lands on this frame"), "B", place.beat),
        (tr("Take the last tap back"), "Backspace", place.taps.take_back),
        (tr("Taps snap to what strikes nearby, or not"), "S", place.hand.toggle_snap),
        (tr("The move before is next"), "PgUp", partial(place.hand.step_move, -1)),
        (tr("The move after is next"), "PgDown", partial(place.hand.step_move, 1)),
        (tr("A take begins here, or ends with this frame"), "T", place.spans.take),
        (tr("The chosen take begins here"), "Shift+T", partial(place.spans.edge_here, begin=True)),
        (tr("The chosen take ends with this frame"), "Ctrl+T", partial(place.spans.edge_here, begin=False)),
        *[(tr("Framed {size}", size=size.value), key, partial(place.spans.size, size)) for size, key in SIZE_KEYS.items()],
        *[
            (tr("Framed {size} from this frame on", size=size.value), f"Alt+{key}", partial(place.spans.size, size, begins=True))
            for size, key in SIZE_KEYS.items()
        ],
        *[
            (tr("Face of role {number}: the next choice", number=n + 1), key, partial(place.spans.face, n))
            for n, key in enumerate(FACE_KEYS)
        ],
        *[
            (tr("{kind} begins here, or ends with this frame", kind=kind.value.capitalize()), key, partial(place.spans.treatment, kind))
            for kind, key in TREATMENT_KEYS.items()
        ],
        (tr("Treatments are of the other role"), "A", place.spans.other_role),
        (tr("Propose takes, or no more"), "P", place.offers.propose),
        (tr("Take over what is proposed here"), "Return, Enter", place.offers.accept),
        (tr("Take over all takes proposed on the tape"), "Ctrl+Return, Ctrl+Enter", place.offers.accept_all),
        (tr("Carry the hits of all logged takes to the others"), "C", place.offers.carry),
        (tr("Note the tempo that the hits of every take show"), "Shift+H", place.offers.note_tempi),
        (tr("Carry the hits of this take alone to the others"), "Shift+C", place.offers.carry_from_this),
        (tr("The next hit in doubt"), "N", place.doubts.next),
        (tr("The next hit that nobody has looked at"), "Shift+N", partial(place.doubts.next, SURE)),
        (tr("The hit is right"), "Y", place.doubts.confirm),
        (tr("The hit is at the frame shown"), "M", place.doubts.move_here),
        (tr("Remove the mark at this frame"), "Del", place.spans.remove_here),
        (tr("Remove all hits of the take"), "Shift+Del", place.taps.clear),
        (tr("Take the take out of the log"), "Ctrl+Del", place.spans.remove_take),
        (tr("To the mark before"), "Ctrl+Left", partial(place.go_to_mark, -1)),
        (tr("To the next mark"), "Ctrl+Right", partial(place.go_to_mark, 1)),
        (tr("The take before"), "Ctrl+Up", partial(place.choose_beside, -1)),
        (tr("The next take"), "Ctrl+Down", partial(place.choose_beside, 1)),
        (tr("Closer"), "+, =", partial(place.sheet.zoom, True)),
        (tr("Wider"), "-", partial(place.sheet.zoom, False)),
        (tr("The whole tape"), "0", place.sheet.whole),
        (tr("Just this take"), "9", place.zoom_to_take),
        (tr("Forget what was begun, stop, look at no more doubts"), "Escape", place.let_go),
    ]
