"""The edits at a cut point: dissolve, wipe, fades through black, and sound that begins early or late; pure, no files.

Shots are counted from 1; frames are of the sequence rate; none of these edits changes the total. All keep to the three
rules of `edit_rules` and raise `UseFault` as the edits in `edits` do. A dissolve from or to a black shot is a fade.
"""

from __future__ import annotations

from msgspec.structs import replace as changed

from previs.cut.edit_rules import free_index, new_ident, put, shots_of, straight, with_head
from previs.document.model import Black, Sequence, Shot, Transition, TransitionKind
from previs.document.wipes import DRAWN, drawn_listed
from previs.faults import UseFault


def add_transition(sequence: Sequence, cut_name: str, number: int, transition: Transition) -> Sequence:
    """Let a shot come in with this dissolve or wipe, in the place of one that is there.

    It begins on the shot's first frame; the shot before plays on under it, so its tape must reach that far. The first
    shot comes from black. Raises `UseFault` for a length below 1, or a wipe that cannot be drawn.
    """
    _at_least_one(transition.frames)
    if transition.kind is TransitionKind.WIPE and transition.wipe not in DRAWN:
        raise UseFault(f"Wipe {transition.wipe} cannot be drawn; use a dissolve, or one of these patterns: {drawn_listed()}.")
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    shots[index] = changed(shots[index], transition=transition)
    return put(sequence, cut_name, shots)


def remove_transition(sequence: Sequence, cut_name: str, number: int) -> Sequence:
    """Cut straight to a shot that dissolves or wipes in; raises `UseFault` when it does not."""
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    if shots[index].transition is None:
        raise UseFault(f"Shot {number} of cut {cut_name} is cut to straight already; give the number of a shot that dissolves or wipes in.")
    shots[index] = changed(shots[index], transition=None)
    return put(sequence, cut_name, shots)


def fade_in(sequence: Sequence, cut_name: str, number: int, frames: int) -> Sequence:
    """Let a shot come up from black in `frames` frames, in the place of any other transition into it.

    The first shot, and one that follows black, needs nothing more. Before any other, the shot's own first frame becomes
    black, so that there is something to come from; a sound lead there is taken away.
    """
    _at_least_one(frames)
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    fade = Transition(TransitionKind.DISSOLVE, frames)
    if index == 0 or isinstance(shots[index - 1].picture, Black):
        shots[index] = changed(shots[index], transition=fade)
    else:
        faded = changed(straight(with_head(shots[index], -1)), transition=fade)
        shots[index : index + 1] = [Shot(new_ident(sequence), 1, Black()), faded]
    return put(sequence, cut_name, shots)


def remove_fade_in(sequence: Sequence, cut_name: str, number: int) -> Sequence:
    """Take a fade in away; a single frame of black before the shot, as `fade_in` makes it, becomes picture again.

    Raises `UseFault` when the shot does not fade in.
    """
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    before = shots[index - 1] if index else None
    from_black = before is None or isinstance(before.picture, Black)
    transition = shots[index].transition
    if not from_black or transition is None or transition.kind is not TransitionKind.DISSOLVE:
        raise UseFault(f"Shot {number} of cut {cut_name} does not fade in; give the number of a shot that does.")
    shots[index] = changed(shots[index], transition=None)
    if before is not None and before.frames == 1 and before.transition is None and not before.locked:
        shots[index - 1 : index + 1] = [straight(with_head(shots[index], 1))]
    return put(sequence, cut_name, shots)


def fade_out(sequence: Sequence, cut_name: str, number: int, frames: int) -> Sequence:
    """Let a shot go to black in its last `frames` frames.

    Those frames become a black shot into which this one dissolves; black that follows already is lengthened to that. Any
    transition and sound lead into the next shot are taken away, since black now stands before it. Raises `UseFault` when
    the shot fades out already.
    """
    _at_least_one(frames)
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    shots[index] = changed(shots[index], frames=shots[index].frames - frames)
    fade = Transition(TransitionKind.DISSOLVE, frames)
    after = shots[index + 1] if index + 1 < len(shots) else None
    if after is not None and isinstance(after.picture, Black):
        free_index(shots, cut_name, number + 1)
        if after.transition is not None:
            raise UseFault(f"Shot {number} of cut {cut_name} goes to black already; take that away first to fade it otherwise.")
        shots[index + 1] = changed(after, frames=after.frames + frames, transition=fade)
        return put(sequence, cut_name, shots)
    if after is not None:
        shots[index + 1] = straight(after)
    shots.insert(index + 1, Shot(new_ident(sequence), frames, Black(), fade))
    return put(sequence, cut_name, shots)


def remove_fade_out(sequence: Sequence, cut_name: str, number: int) -> Sequence:
    """Take a fade out away: the shot's last frames are picture again, and the black that they were is gone.

    One frame of the black stays when the next shot fades in from it. Raises `UseFault` when the shot does not fade out.
    """
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    black = shots[index + 1] if index + 1 < len(shots) else None
    fade = black.transition if black is not None and isinstance(black.picture, Black) else None
    if black is None or fade is None or fade.kind is not TransitionKind.DISSOLVE:
        raise UseFault(f"Shot {number} of cut {cut_name} does not fade out; give the number of a shot that does.")
    free_index(shots, cut_name, number + 1)
    following = shots[index + 2 : index + 3]
    comes_from_it = any(shot.transition is not None for shot in following)
    rest = max(black.frames - fade.frames, 1 if comes_from_it else 0)
    shots[index] = changed(shots[index], frames=shots[index].frames + black.frames - rest)
    if rest:
        shots[index + 1] = changed(black, frames=rest, transition=None)
    else:
        shots[index + 1 : index + 3] = [straight(shot) for shot in following]
    return put(sequence, cut_name, shots)


def lead_sound(sequence: Sequence, cut_name: str, number: int, frames: int) -> Sequence:
    """Let the sound of a shot begin `frames` before its picture, or after it when negative; 0 brings them together.

    The sound before goes until then. Raises `UseFault` for a lead that its tape, or the shot before, has no room for.
    """
    shots = shots_of(sequence, cut_name)
    index = free_index(shots, cut_name, number)
    if shots[index].sound_lead_frames == frames:
        raise UseFault(f"The sound of shot {number} of cut {cut_name} begins there already; nothing was changed.")
    shots[index] = changed(shots[index], sound_lead_frames=frames)
    return put(sequence, cut_name, shots)


def _at_least_one(frames: int) -> None:
    if frames < 1:
        raise UseFault(f"A transition of {frames} frames is {1 - frames} too short; give one frame at least.")
