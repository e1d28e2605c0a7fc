"""`previs edit FILE CUT VERB ...`: one verb for each edit of a cut; what an edit does and refuses is decided in `cut/`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import typer

from previs.cli.sessions import AsJson, File
from previs.cli.sessions import edit as edit_file
from previs.cli.showing import answer, say
from previs.cli.wording import EditVerbs
from previs.clock import first_grid_frame, parse_instant, parse_length
from previs.cut import edits, retimes, transitions
from previs.cut.placing import place
from previs.cut.told import shots_now, went_along
from previs.cut.wording import counted
from previs.document.model import Black, Card, Footage, Sequence, Transition, TransitionKind
from previs.document.paths import stored_path
from previs.document.wipes import drawn_listed
from previs.exchange.written import CHANGE, LENGTH, run_of_moves
from previs.exchange.written import speed as speed_written
from previs.faults import UseFault

ShotNumber = Annotated[int, typer.Argument(metavar="SHOT", help="The shot's number in the cut, from 1.", show_default=False)]
Frames = Annotated[str, typer.Argument(metavar="LENGTH", help=LENGTH, show_default=False)]
Change = Annotated[str, typer.Argument(metavar="LENGTH", help=CHANGE, show_default=False)]
At = Annotated[str, typer.Argument(metavar="AT", help="The shot's own frame, from 0; or record time code inside it.", show_default=False)]

app = typer.Typer(cls=EditVerbs, no_args_is_help=True, add_completion=False, rich_markup_mode=None)


@dataclass(frozen=True, slots=True)
class _Bench:
    """What the verbs of one run work on."""

    file: Path
    cut: str
    as_json: bool

    def do(self, what: str, change: Callable[[Sequence], Sequence], *, now: int | None = None, asked: int | None = None) -> None:
        """Make the edit, save it as a step that can be undone, and tell what it did and how long the cut is now.

        `now` is the number that the shot has afterwards, told also when it only moved; `asked` is the shot whose
        transition or sound the edit was to take away, which then is no surprise.
        """
        before: list[Sequence] = []

        def remembered(sequence: Sequence) -> Sequence:
            before.append(sequence)
            return change(sequence)

        sequence = edit_file(self.file, remembered, what=f"{what} of {self.cut}").sequence
        cut, duration = sequence.cut(self.cut), sequence.timebase.duration
        over = cut.frames - cut.target_frames
        told = [*shots_now(before[0], sequence, self.cut, now), *went_along(before[0], sequence, self.cut, asked)]
        if self.as_json:
            answer({"done": what, "cut": cut.name, "shots": len(cut.shots), "frames": cut.frames, "over_frames": over, "told": told})
            return
        against = "its target to the frame" if not over else f"{counted(abs(over), 'frame')} {'over' if over > 0 else 'under'} its target"
        say(f"Done: {what} of {cut.name}. It has {counted(len(cut.shots), 'shot')} and lasts {duration(cut.frames)}, {against}.")
        for sentence in told:
            say(sentence)


def add_to(main: typer.Typer) -> None:
    """Give the command line `edit` with its verbs."""
    example = (
        "Example: previs edit salt.previs v1 trim-tail 4 -6. Each verb's help, with an example: previs edit salt.previs v1 VERB --help"
    )
    main.add_typer(app, name="edit", epilog=example)


@app.callback()
def edit(
    context: typer.Context,
    file: File,
    cut: Annotated[str, typer.Argument(metavar="CUT", help="The cut's name; it is changed in place.", show_default=False)],
    as_json: AsJson = False,
) -> None:
    """Edit a cut by hand: insert, trim, roll, slip, retime, dissolve ...; 'previs undo' takes any edit back."""
    context.obj = _Bench(file, cut, as_json)


def _verb(name: str, example: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    # A frame count with a minus would else be read as an option.
    as_numbers: dict[str, Any] = {"ignore_unknown_options": True}
    return app.command(name, epilog=f"Example: previs edit salt.previs v1 {name} {example}", context_settings=as_numbers)


@_verb("insert", "3 36 --take A1 --from 10:00:01:12")
def insert(
    context: typer.Context,
    before: Annotated[int, typer.Argument(metavar="BEFORE", help="The shot to put it before, from 1; one more than the last: at the end.")],
    length: Frames,
    take: Annotated[str, typer.Option(metavar="NAME", help="A shot from this take.")] = "",
    begin: Annotated[str, typer.Option("--from", metavar="TC", help="Where on the tape it begins; where the take does if not given.")] = "",
    card: Annotated[str, typer.Option(metavar="TEXT", help="A card with this text.")] = "",
    moves: Annotated[str, typer.Option(metavar="A-B", help="With --card: the moves it stands for, such as 7 or 7-9.")] = "",
    image: Annotated[Path | None, typer.Option(metavar="FILE", help="With --card: a drawing or a still.")] = None,
    black: Annotated[bool, typer.Option("--black", help="Black.")] = False,
) -> None:
    """Put in a shot from a take, a card or black."""
    bench: _Bench = context.obj
    if [bool(take), bool(card), black].count(True) != 1:
        raise UseFault("Say what to put in, and only one thing: --take NAME, --card TEXT or --black.")
    if (begin and not take) or ((moves or image) and not card):
        raise UseFault("--from goes with --take; --moves and --image go with --card.")

    def change(sequence: Sequence) -> Sequence:
        picture: Footage | Card | Black = Black()
        if take:
            picture = _footage(sequence, take, begin)
        elif card:
            picture = _card(card, moves, image, bench.file)
        return edits.insert(sequence, bench.cut, before, picture, parse_length(length, sequence.timebase))

    bench.do(f"insert {f'take {take}' if take else 'a card' if card else 'black'} as shot {before}", change)


@_verb("remove", "4")
def remove(
    context: typer.Context,
    shot: ShotNumber,
    leave_card: Annotated[str, typer.Option(metavar="TEXT", help="Leave a card with this text in its place, at its length.")] = "",
    leave_black: Annotated[bool, typer.Option("--leave-black", help="Leave black in its place, at its length.")] = False,
) -> None:
    """Take a shot out, or leave a card or black in its place."""
    bench: _Bench = context.obj
    if leave_card and leave_black:
        raise UseFault("Leave a card or black in the shot's place, not both.")
    leaving = Card(leave_card) if leave_card else Black() if leave_black else None
    bench.do(f"remove shot {shot}", lambda one: edits.remove(one, bench.cut, shot, leaving))


@_verb("trim-head", "4 -6")
def trim_head(context: typer.Context, shot: ShotNumber, by: Change) -> None:
    """Make a shot longer at its head, or shorter with a minus.

    Everything after it moves along, so the total changes.
    """
    _by_frames(context, f"trim the head of shot {shot}", edits.trim_head, shot, by)


@_verb("trim-tail", "4 -6")
def trim_tail(context: typer.Context, shot: ShotNumber, by: Change) -> None:
    """Make a shot longer at its tail, or shorter with a minus.

    Everything after it moves along, so the total changes.
    """
    _by_frames(context, f"trim the tail of shot {shot}", edits.trim_tail, shot, by)


@_verb("roll", "4 5")
def roll(context: typer.Context, shot: ShotNumber, by: Change) -> None:
    """Move the cut point into a shot later, or earlier.

    A minus means earlier. The total stays.
    """
    _by_frames(context, f"roll the cut point into shot {shot}", edits.roll, shot, by)


@_verb("slip", "4 -3")
def slip(context: typer.Context, shot: ShotNumber, by: Change) -> None:
    """Show later frames of the tape, or earlier ones.

    A minus means earlier. Place and length stay.
    """
    _by_frames(context, f"slip shot {shot}", edits.slip, shot, by)


@_verb("slide", "4 8")
def slide(context: typer.Context, shot: ShotNumber, by: Change) -> None:
    """Move a shot later between its neighbours, or earlier.

    A minus means earlier. The neighbours give and take the frames.
    """
    _by_frames(context, f"slide shot {shot}", edits.slide, shot, by, now=shot)


@_verb("split", "4 01:00:12:06")
def split(context: typer.Context, shot: ShotNumber, at: At) -> None:
    """Make two shots of one, the second beginning at AT."""
    bench: _Bench = context.obj
    bench.do(f"split shot {shot}", lambda one: edits.split(one, bench.cut, shot, _own_frame(one, bench.cut, shot, at)))


@_verb("join", "4")
def join(context: typer.Context, shot: ShotNumber) -> None:
    """Make one shot of this and the next.

    The same take must play on at the same speed.
    """
    bench: _Bench = context.obj
    bench.do(f"join shots {shot} and {shot + 1}", lambda one: edits.join(one, bench.cut, shot))


@_verb("move", "7 3")
def move(
    context: typer.Context,
    shot: ShotNumber,
    to: Annotated[int, typer.Argument(metavar="TO", help="The number that the shot has then.", show_default=False)],
) -> None:
    """Move a shot to another place in the cut."""
    bench: _Bench = context.obj
    bench.do(f"move shot {shot} to place {to}", lambda one: edits.move(one, bench.cut, shot, to), now=to)


@_verb("take", "4 B2")
def take(
    context: typer.Context,
    shot: ShotNumber,
    name: Annotated[str, typer.Argument(metavar="TAKE", help="A take that plays the shot's moves.", show_default=False)],
) -> None:
    """Show another take of the same moves.

    Its first hit is on the frame where the shot's first hit is.
    """
    bench: _Bench = context.obj
    bench.do(f"replace the take of shot {shot} by {name}", lambda one: retimes.replace_take(one, bench.cut, shot, name))


@_verb("speed", "4 80%")
def speed(
    context: typer.Context,
    shot: ShotNumber,
    times: Annotated[str, typer.Argument(metavar="SPEED", help="Of as shot: 80%, 0.8, 4/5 or 2x.", show_default=False)],
) -> None:
    """Play the same frames at another speed; the length follows."""
    bench: _Bench = context.obj
    bench.do(f"change the speed of shot {shot}", lambda one: retimes.retime_to_speed(one, bench.cut, shot, speed_written(times)))


@_verb("length", "4 48")
def length(context: typer.Context, shot: ShotNumber, frames: Frames) -> None:
    """Play the same frames in another length; the speed follows."""
    _by_frames(context, f"change the length of shot {shot}", retimes.retime_to_length, shot, frames)


@_verb("reverse", "4")
def reverse(context: typer.Context, shot: ShotNumber) -> None:
    """Play a shot backwards."""
    bench: _Bench = context.obj
    bench.do(f"reverse shot {shot}", lambda one: retimes.reverse(one, bench.cut, shot))


@_verb("freeze", "4 18")
def freeze(context: typer.Context, shot: ShotNumber, at: At = "0") -> None:
    """Hold the picture from AT on; all the shot without AT."""
    bench: _Bench = context.obj
    bench.do(f"freeze shot {shot}", lambda one: retimes.freeze(one, bench.cut, shot, _own_frame(one, bench.cut, shot, at)))


@_verb("dissolve", "4 12")
def dissolve(context: typer.Context, shot: ShotNumber, frames: Frames) -> None:
    """Let a shot come in with a dissolve; 0 takes it away."""

    def change(sequence: Sequence, cut: str, number: int, count: int) -> Sequence:
        if count == 0:
            return transitions.remove_transition(sequence, cut, number)
        return transitions.add_transition(sequence, cut, number, Transition(TransitionKind.DISSOLVE, count))

    _by_frames(context, f"dissolve into shot {shot}", change, shot, frames, asked=shot)


@_verb("wipe", "4 12 --pattern 1")
def wipe(
    context: typer.Context,
    shot: ShotNumber,
    frames: Frames,
    pattern: Annotated[int, typer.Option(help=f"Number of the wipe on the edit list: {drawn_listed()}.")] = 1,
) -> None:
    """Let a shot come in with a wipe; 0 takes it away."""

    def change(sequence: Sequence, cut: str, number: int, count: int) -> Sequence:
        if count == 0:
            return transitions.remove_transition(sequence, cut, number)
        return transitions.add_transition(sequence, cut, number, Transition(TransitionKind.WIPE, count, pattern))

    _by_frames(context, f"wipe to shot {shot}", change, shot, frames, asked=shot)


@_verb("fade-in", "1 24")
def fade_in(context: typer.Context, shot: ShotNumber, frames: Frames) -> None:
    """Let a shot come up from black; 0 takes that away."""

    def change(sequence: Sequence, cut: str, number: int, count: int) -> Sequence:
        return transitions.fade_in(sequence, cut, number, count) if count else transitions.remove_fade_in(sequence, cut, number)

    _by_frames(context, f"fade in shot {shot}", change, shot, frames, asked=shot)


@_verb("fade-out", "12 24")
def fade_out(context: typer.Context, shot: ShotNumber, frames: Frames) -> None:
    """Let a shot go to black in its last frames; 0 takes that away."""

    def change(sequence: Sequence, cut: str, number: int, count: int) -> Sequence:
        return transitions.fade_out(sequence, cut, number, count) if count else transitions.remove_fade_out(sequence, cut, number)

    _by_frames(context, f"fade out shot {shot}", change, shot, frames, asked=shot)


@_verb("sound", "4 6")
def sound(context: typer.Context, shot: ShotNumber, lead: Change) -> None:
    """Let a shot's sound begin before its picture, or after it.

    A minus means after. 0 brings them together.
    """
    _by_frames(context, f"lead the sound of shot {shot}", transitions.lead_sound, shot, lead, asked=shot)


@_verb("lock", "4")
def lock(context: typer.Context, shot: ShotNumber) -> None:
    """Lock a shot: edits refuse to change it, assemblies keep it."""
    bench: _Bench = context.obj
    bench.do(f"lock shot {shot}", lambda one: edits.lock(one, bench.cut, shot, True))


@_verb("unlock", "4")
def unlock(context: typer.Context, shot: ShotNumber) -> None:
    """Unlock a shot."""
    bench: _Bench = context.obj
    bench.do(f"unlock shot {shot}", lambda one: edits.lock(one, bench.cut, shot, False))


def _by_frames(
    context: typer.Context,
    what: str,
    change: Callable[[Sequence, str, int, int], Sequence],
    shot: int,
    text: str,
    *,
    now: int | None = None,
    asked: int | None = None,
) -> None:
    """An edit that takes a shot and a number of frames, which can be read only once the file and its rate are known."""
    bench: _Bench = context.obj
    bench.do(what, lambda one: change(one, bench.cut, shot, parse_length(text, one.timebase)), now=now, asked=asked)


def _own_frame(sequence: Sequence, cut_name: str, number: int, text: str) -> int:
    """A frame of a shot: its own count from 0, or record time code; whether it lies in the shot is for the edit to say."""
    frame = parse_length(text, sequence.timebase)
    if ":" not in text:
        return frame
    placed = place(sequence, sequence.cut(cut_name))
    if not 1 <= number <= len(placed):
        return frame
    return sequence.timebase.wrap(frame - sequence.start_frame) - placed[number - 1].record.start


def _footage(sequence: Sequence, name: str, begin: str) -> Footage:
    take = sequence.take(name)
    tape = sequence.tape(take.reel)
    moment = parse_instant(begin, tape.timebase, tape.start_frame) if begin else take.start
    return Footage(name, first_grid_frame(moment, sequence.timebase.rate.fps))


def _card(text: str, moves: str, image: Path | None, document: Path) -> Card:
    if image is not None and not image.is_file():
        raise UseFault(f"There is no drawing or still at {image}; check the name.")
    first = last = None
    if moves:
        first, last = run_of_moves(moves)
    return Card(text, first, last, stored_path(image, document) if image else "")
