"""The edits that change what a shot plays of its tape: speed, direction, a still, another take; pure functions, no files.

Shots are counted from 1; frames are of the sequence rate. All keep the shot's ident, transitions and sound lead, keep to
the three rules of `edit_rules`, and raise `UseFault` as the edits in `edits` do.
"""

from __future__ import annotations

from fractions import Fraction

from msgspec.structs import replace as changed

from previs.clock import first_grid_frame, frame_played
from previs.cut.choices import playing_speed
from previs.cut.edit_rules import free_index, new_ident, put, shots_of
from previs.cut.placing import hits_seen, moves_held, place
from previs.document.model import Card, Footage, Sequence, Shot
from previs.faults import UseFault

FASTEST = 100
"""Times as shot; beyond it a shot shows no movement at all."""


def retime_to_speed(sequence: Sequence, cut_name: str, number: int, speed: Fraction) -> Sequence:
    """Play the same tape frames at `speed` times as shot; the length and the total follow.

    The direction stays (see `reverse`). The length is the longest that plays no tape frame more. A frozen shot keeps its
    length and plays on from its frame. Raises `UseFault` for a speed that is not above 0 and up to `FASTEST`.
    """
    if not 0 < speed <= FASTEST:
        raise UseFault(
            f"A speed of {float(speed):g} cannot be played; give one above 0 and up to {FASTEST}, or freeze or reverse the shot."
        )
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    shot, picture = shots[index], _footage(shots[index], cut_name, number)
    if picture.speed == 0:
        shots[index] = changed(shot, picture=changed(picture, speed=speed))
        return put(sequence, cut_name, shots)
    travelled = abs(frame_played(0, picture.speed, shot.frames - 1))
    frames = (Fraction(travelled + 1) / speed).__ceil__()
    shots[index] = changed(shot, frames=frames, picture=changed(picture, speed=speed if picture.speed > 0 else -speed))
    return put(sequence, cut_name, shots)


def retime_to_length(sequence: Sequence, cut_name: str, number: int, frames: int) -> Sequence:
    """Play the same stretch of tape in `frames` frames; the total follows.

    The speed is rounded down to a whole tenth of a frame a second, which an edit list can say exactly, so that up to a
    tenth of a frame for each second of the shot is lost at its end. Raises `UseFault` for a length that no such speed gives.
    """
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    shot, picture = shots[index], _footage(shots[index], cut_name, number)
    if picture.speed == 0:
        raise UseFault(f"Shot {number} of cut {cut_name} is frozen, so its length has no speed; trim it instead.")
    if frames < 1:
        raise UseFault(f"Shot {number} would last {frames} frames, {1 - frames} too few; leave it one frame at least.")
    tenths = sequence.timebase.rate.fps * 10
    speed = (abs(picture.speed) * shot.frames / frames * tenths).__floor__() / tenths
    if not 0 < speed <= FASTEST:
        raise UseFault(f"Shot {number} of cut {cut_name} cannot last {frames} frames: its {shot.frames} do not stretch or shrink so far.")
    shots[index] = changed(shot, frames=frames, picture=changed(picture, speed=speed if picture.speed > 0 else -speed))
    return put(sequence, cut_name, shots)


def reverse(sequence: Sequence, cut_name: str, number: int) -> Sequence:
    """Play the same tape frames the other way round; the length stays.

    A transition into the next shot now plays on before the shot's first tape frame. A sound that begins early is refused:
    a shot played backwards has none.
    """
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    shot, picture = shots[index], _footage(shots[index], cut_name, number)
    if picture.speed == 0:
        raise UseFault(f"Shot {number} of cut {cut_name} is frozen and looks the same backwards; give the number of a moving shot.")
    last = frame_played(picture.first_frame, picture.speed, shot.frames - 1)
    shots[index] = changed(shot, picture=changed(picture, first_frame=last, speed=-picture.speed))
    return put(sequence, cut_name, shots)


def freeze(sequence: Sequence, cut_name: str, number: int, at: int) -> Sequence:
    """Hold the picture of the shot's own frame `at`, counted from 0, until its end; the total stays.

    At 0 the whole shot is a still, which has no sound to begin early. Later, the shot is split there: the moving part keeps
    the ident and its transition, the still is a new shot, and the transition into the next stays. Raises `UseFault` when
    the shot has no such frame.
    """
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    shot, picture = shots[index], _footage(shots[index], cut_name, number)
    if not 0 <= at < shot.frames:
        raise UseFault(f"Shot {number} of cut {cut_name} has frames 0 to {shot.frames - 1}, and no frame {at}; freeze one that it shows.")
    if picture.speed == 0:
        raise UseFault(f"Shot {number} of cut {cut_name} is frozen already; slip it to hold another frame.")
    still = changed(picture, first_frame=frame_played(picture.first_frame, picture.speed, at), speed=Fraction(0))
    if at == 0:
        shots[index] = changed(shot, picture=still)
    else:
        shots[index : index + 1] = [changed(shot, frames=at), Shot(new_ident(sequence), shot.frames - at, still)]
    return put(sequence, cut_name, shots)


def replace_take(sequence: Sequence, cut_name: str, number: int, take_name: str) -> Sequence:
    """Show another take of the same moves, its first hit on the frame where the shot's first hit is; the length stays.

    The new take plays at its own performance tempo, retimed as much as the old one was. A card is replaced by a take of
    the moves that it stands for, the first hit coming `lead_frames` of the settings after its beginning. A take that is
    played quicker may show a move more at the tail; trim it then. Raises `UseFault` when the shot shows no move, when the
    take has not all of its moves, and when one of them would not land within it.
    """
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    shot, take = shots[index], sequence.take(take_name)
    placed = place(sequence, sequence.cut(cut_name))
    wanted = moves_held(sequence, placed)[number]
    landing = {hit.move: first_grid_frame(hit.at, sequence.timebase.rate.fps) for hit in reversed(take.hits)}
    if not wanted:
        raise UseFault(f"Shot {number} of cut {cut_name} shows no move land, so no other take can be aligned on it; insert a shot instead.")
    if missing := [str(move) for move in wanted if move not in landing]:
        raise UseFault(f"Take {take_name} has no hit of move {', '.join(missing)}, which shot {number} shows; choose another take.")
    if isinstance(shot.picture, Footage):
        if shot.picture.take == take_name:
            raise UseFault(f"Shot {number} of cut {cut_name} shows take {take_name} already; name another one.")
        seen = next(hit for hit in hits_seen(sequence, placed) if hit.placed.number == number)
        lead, first_move = seen.record_frame - seen.placed.record.start, seen.move.number
        speed = _speed_as_retimed(sequence, shot.picture, take.tempo)
    else:
        lead, first_move = sequence.settings.lead_frames, wanted[0]
        speed = playing_speed(take.tempo, sequence.timebase.rate.fps)
    travelled = frame_played(0, speed, lead)
    shots[index] = changed(shot, picture=Footage(take_name, landing[first_move] - travelled, speed))
    replaced = put(sequence, cut_name, shots)
    shown = moves_held(replaced, place(replaced, replaced.cut(cut_name)))[number]
    for move in wanted:
        if move not in shown:
            raise UseFault(_not_landing(shots[index], number, move, landing[move]))
    return replaced


def _footage(shot: Shot, cut_name: str, number: int) -> Footage:
    if isinstance(shot.picture, Footage):
        return shot.picture
    what = "a card" if isinstance(shot.picture, Card) else "black"
    raise UseFault(f"Shot {number} of cut {cut_name} is {what} and has no speed; trim it to another length instead.")


def _speed_as_retimed(sequence: Sequence, old: Footage, tempo: Fraction) -> Fraction:
    """The speed that stands to a take of `tempo` as the old speed does to the old take."""
    fps = sequence.timebase.rate.fps
    was, now = playing_speed(sequence.take(old.take).tempo, fps), playing_speed(tempo, fps)
    if was == now:
        return old.speed
    # Whole tenths of a frame a second, as the assembly has them, unless nothing was retimed.
    return now if old.speed == was else round(old.speed / was * now * fps * 10) / (fps * 10)


def _not_landing(shot: Shot, number: int, move: int, landing: int) -> str:
    picture = shot.picture
    assert isinstance(picture, Footage)
    if picture.speed == 0:
        return f"Shot {number} is frozen, and take {picture.take} would not land move {move} on that frame; choose another take."
    ahead = Fraction(landing - picture.first_frame) / picture.speed
    if ahead < 0:
        return (
            f"Move {move} would land before shot {number} begins; take {picture.take} plays the moves in another order, so choose another."
        )
    short = ahead.__ceil__() + 1 - shot.frames
    return f"Move {move} would land {short} frames past the end of shot {number}; make its tail so much longer, or choose another take."
