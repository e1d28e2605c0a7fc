"""The edits that place, trim and exchange the shots of a cut, each a pure function from sequence to sequence; no files.

Shots are counted from 1; frames are of the sequence rate. Every edit keeps the idents of the shots that stay, keeps to
the three rules of `edit_rules`, and raises `UseFault` when there is no such cut or shot, when a locked shot would be
changed, and when frames are missing, with their number. Changes of speed are in `retimes`, transitions in `transitions`.
"""

from __future__ import annotations

from msgspec.structs import replace as changed

from previs.clock import frame_played
from previs.cut.edit_rules import free_index, new_ident, not_nothing, played_on, put, shot_index, shots_of, straight, with_head
from previs.document.model import Black, Card, Footage, Sequence, Shot
from previs.faults import UseFault


def insert(sequence: Sequence, cut_name: str, before: int, picture: Footage | Card | Black, frames: int) -> Sequence:
    """Put a new shot of `frames` frames before shot `before`, or at the end when that is one more than the last.

    The total grows by `frames`. The transition and the sound lead of the shot that now follows are taken away: another
    shot comes before it. Raises `UseFault` for a take, or for a card's moves, that are not there.
    """
    shots = shots_of(sequence, cut_name)
    index = len(shots) if before == len(shots) + 1 else shot_index(shots, cut_name, before)
    if isinstance(picture, Footage):
        sequence.take(picture.take)
    elif isinstance(picture, Card):
        _refuse_unknown_moves(sequence, picture)
    shots.insert(index, Shot(new_ident(sequence), frames, picture))
    _straighten(shots, index + 1)
    return put(sequence, cut_name, shots)


def remove(sequence: Sequence, cut_name: str, number: int, leaving: Card | Black | None = None) -> Sequence:
    """Take a shot out and close up; or, with `leaving`, let a card or black hold its place, at its length.

    Closing up shortens the total by the shot's length and takes away its transition and that of the shot after it, with
    their sound leads. A card or black in its place keeps the transitions on both sides, and loses the sound's lead; it
    keeps the shot's ident, since it stands for it. The only shot of a cut cannot be taken out. Raises `UseFault` for a card's
    moves that are not there.
    """
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    if leaving is not None:
        if isinstance(leaving, Card):
            _refuse_unknown_moves(sequence, leaving)
        shots[index] = changed(shots[index], picture=leaving, sound_lead_frames=min(0, shots[index].sound_lead_frames))
        return put(sequence, cut_name, shots)
    del shots[index]
    _straighten(shots, index)
    return put(sequence, cut_name, shots)


def trim_head(sequence: Sequence, cut_name: str, number: int, frames: int) -> Sequence:
    """Make a shot `frames` longer at its head (shorter when negative); everything after it moves along.

    Its transition and sound lead stay with its new first frame, and are refused when they do not fit there. At speeds
    that are not whole the frames that stay may show the neighbouring tape frame, since a shot begins on a whole one.
    """
    not_nothing(frames)
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    shots[index] = with_head(shots[index], frames)
    return put(sequence, cut_name, shots)


def trim_tail(sequence: Sequence, cut_name: str, number: int, frames: int) -> Sequence:
    """Make a shot `frames` longer at its tail (shorter when negative); everything after it moves along.

    The transition into the next shot stays at the cut point: the shot must be able to play on under it from its new end.
    """
    not_nothing(frames)
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    shots[index] = changed(shots[index], frames=shots[index].frames + frames)
    return put(sequence, cut_name, shots)


def roll(sequence: Sequence, cut_name: str, number: int, frames: int) -> Sequence:
    """Move the cut point into shot `number` by `frames` later (earlier when negative); the total stays.

    The shot before gets longer by what this one loses at its head. The transition and the sound lead at the cut point
    move with it; those at the far ends of the two shots stay where they are.
    """
    not_nothing(frames)
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    if index == 0:
        raise UseFault(f"There is no cut point into shot 1 of cut {cut_name}; roll shot 2 or a later one, or trim the head of shot 1.")
    before = free_index(shots, cut_name, number - 1)
    shots[before] = changed(shots[before], frames=shots[before].frames + frames)
    shots[index] = with_head(shots[index], -frames)
    return put(sequence, cut_name, shots)


def slip(sequence: Sequence, cut_name: str, number: int, frames: int) -> Sequence:
    """Show what is `frames` frames later on the tape (earlier when negative), at the same place and length.

    Transitions on both sides stay; the tape must reach under the one into the next shot.
    """
    not_nothing(frames)
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    picture = shots[index].picture
    if not isinstance(picture, Footage):
        raise UseFault(f"Shot {number} of cut {cut_name} has no tape to slip along; give the number of a shot from a take.")
    shots[index] = changed(shots[index], picture=changed(picture, first_frame=picture.first_frame + frames))
    return put(sequence, cut_name, shots)


def slide(sequence: Sequence, cut_name: str, number: int, frames: int) -> Sequence:
    """Move a shot `frames` later (earlier when negative) between its neighbours; it and the total stay as they are.

    The shot before gives or takes the frames at its tail, the one after at its head. All transitions and sound leads stay
    at their cut points.
    """
    not_nothing(frames)
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    if not 0 < index < len(shots) - 1:
        raise UseFault(f"Shot {number} of cut {cut_name} does not stand between two shots; slide one that does, or trim it.")
    before, after = free_index(shots, cut_name, number - 1), free_index(shots, cut_name, number + 1)
    shots[before] = changed(shots[before], frames=shots[before].frames + frames)
    shots[after] = with_head(shots[after], -frames)
    return put(sequence, cut_name, shots)


def split(sequence: Sequence, cut_name: str, number: int, at: int) -> Sequence:
    """Make two shots of one: the first keeps the ident and `at` frames, the second has the rest; the total stays.

    The transition and the sound lead of the shot stay with the first part, which must be long enough for them; the
    transition into the next shot stays. At speeds that are not whole the second part may show the tape frame before the
    one that was there. Raises `UseFault` when `at` is not inside the shot.
    """
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    shot = shots[index]
    if not 1 <= at < shot.frames:
        raise UseFault(f"Shot {number} of cut {cut_name} lasts {shot.frames} frames; split it after 1 to {shot.frames - 1} of them.")
    second = Shot(new_ident(sequence), shot.frames - at, played_on(shot.picture, at))
    shots[index : index + 1] = [changed(shot, frames=at), second]
    return put(sequence, cut_name, shots)


def join(sequence: Sequence, cut_name: str, number: int) -> Sequence:
    """Make one shot of `number` and the next, which must go on where it ends: same take, speed and next tape frame.

    Two cards or two blacks are joined when they are the same. The cut point between them is gone, and with it a
    transition or a sound lead there. Raises `UseFault` saying what keeps the two apart.
    """
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    if index + 1 == len(shots):
        raise UseFault(f"Shot {number} is the last of cut {cut_name}, so there is none to join it with; give an earlier one.")
    second = shots[free_index(shots, cut_name, number + 1)]
    first = shots[index]
    if apart := _apart(first, second):
        raise UseFault(f"Shots {number} and {number + 1} of cut {cut_name} cannot be joined: {apart}.")
    shots[index : index + 2] = [changed(first, frames=first.frames + second.frames)]
    return put(sequence, cut_name, shots)


def move(sequence: Sequence, cut_name: str, number: int, to: int) -> Sequence:
    """Take a shot out and put it in again as shot `to`; the total stays.

    The shot, the one that followed it and the one that follows it now are cut to straight: their transitions and sound
    leads belonged to neighbours that they no longer have.
    """
    shots = shots_of(sequence, cut_name)
    index, target = free_index(shots, cut_name, number), shot_index(shots, cut_name, to)
    if index == target:
        raise UseFault(f"Shot {number} of cut {cut_name} stands there already; give another place.")
    moved = straight(shots.pop(index))
    _straighten(shots, index)
    _straighten(shots, target)
    shots.insert(target, moved)
    return put(sequence, cut_name, shots)


def lock(sequence: Sequence, cut_name: str, number: int, locked: bool) -> Sequence:
    """Lock a shot, so that edits and assemblies leave it as it is, or unlock it."""
    shots = shots_of(sequence, cut_name)
    index = shot_index(shots, cut_name, number)
    if shots[index].locked == locked:
        raise UseFault(f"Shot {number} of cut {cut_name} is {'locked already' if locked else 'not locked'}; nothing was changed.")
    shots[index] = changed(shots[index], locked=locked)
    old = sequence.cut(cut_name)
    return changed(sequence, cuts=tuple(changed(cut, shots=tuple(shots)) if cut is old else cut for cut in sequence.cuts))


def _straighten(shots: list[Shot], index: int) -> None:
    """The shot at `index` has another one before it now; at the end there is none."""
    if index < len(shots):
        shots[index] = straight(shots[index])


def _refuse_unknown_moves(sequence: Sequence, card: Card) -> None:
    numbers = [move.number for move in sequence.moves]
    for move in (card.first_move, card.last_move):
        if move is not None and move not in numbers:
            has = f"the fight has {numbers[0]} to {numbers[-1]}" if numbers else "the fight has none yet"
            raise UseFault(f"There is no move {move}; {has}.")
    if card.first_move is not None and card.last_move is not None and card.last_move < card.first_move:
        raise UseFault(f"Moves {card.first_move} to {card.last_move} run backwards; give the first one first.")


def _apart(first: Shot, second: Shot) -> str:
    """Why two neighbours are not one shot; empty when they are."""
    one, other = first.picture, second.picture
    if not (isinstance(one, Footage) and isinstance(other, Footage)):
        return "" if one == other else "they do not show the same"
    if one.take != other.take:
        return f"they are of two takes, {one.take} and {other.take}"
    if one.speed != other.speed:
        return f"one plays at speed {float(one.speed):.3f}, the other at {float(other.speed):.3f}"
    away = other.first_frame - frame_played(one.first_frame, one.speed, first.frames)
    return f"the second begins {abs(away)} tape frames {'after' if away > 0 else 'before'} the first would play on" if away else ""
