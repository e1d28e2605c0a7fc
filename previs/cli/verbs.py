"""Every verb with its module and a line for the list that `--help` prints; a verb's module is imported when the verb is called.

The list costs no import of anything heavy, and a verb pays only for what it needs itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import Any

import typer

from previs.cli.wording import Verbs


@dataclass(frozen=True, slots=True)
class Verb:
    """A verb: the module of `previs.cli` that has it, and what it does in a line."""

    module: str
    line: str


WEEK: dict[str, dict[str, Verb]] = {
    "Begin, and take tapes in": {
        "new": Verb("taping", "Begin a sequence: its rate, start and target"),
        "ingest": Verb("taping", "Take tapes in"),
        "relink": Verb("taping", "Find tapes again that moved"),
        "tape": Verb("setting", "Correct a tape: camera, reel name, time code"),
        "set": Verb("setting", "Change the target, the title, the limits"),
        "info": Verb("taping", "Say what is in the file"),
        "list": Verb("marking", "List tapes, takes, moves, hits, shots, treatments"),
    },
    "Write the fight, and log": {
        "fight": Verb("marking", "Read the written fight"),
        "cast": Verb("marking", "Say who plays a role, and who doubles it"),
        "marks": Verb("marking", "Read takes, hits, treatments, flights, heads"),
        "detect": Verb("analysing", "Propose takes and hits"),
        "sync": Verb("analysing", "Find the cameras that ran together"),
        "carry": Verb("analysing", "Find hits on takes that are not logged"),
        "hits": Verb("analysing", "List hits, doubtful ones first, or confirm"),
        "tempo": Verb("analysing", "Tell each take's tempo from its hits"),
        "head": Verb("heading", "Mark a role's head on one picture"),
        "heads": Verb("heading", "Follow heads, tell a face's height in pixels"),
    },
    "Tape the floor": {
        "plan": Verb("planning_floor", "Read the set's plan: a drawing or a table"),
        "room": Verb("planning_floor", "Say how large the rehearsal room is"),
        "fit": Verb("fitting_floor", "Lay the plan in the room, or say what is missing"),
        "tapeout": Verb("taping_out", "Write the sheet that the floor is taped by"),
        "routes": Verb("routing", "Read who goes where, tell how fast"),
        "cues": Verb("routing", "List doors, turns, steps and drops by move"),
        "clearance": Verb("routing", "Say where a weapon has no room"),
        "cameras": Verb("filming", "Say what cameras see: lens, walls, the line"),
    },
    "Cut": {
        "assemble": Verb("cutting", "Make the best timing cut of the target's length"),
        "why": Verb("cutting", "Say why a shot is what it is"),
        "edit": Verb("editing", "Edit a cut by hand: trim, roll, slip, retime ..."),
        "cuts": Verb("versions", "List the cuts; copy, rename, delete one"),
        "changes": Verb("versions", "Say what changed from one cut to another"),
        "undo": Verb("versions", "Take back the last change of the file"),
        "redo": Verb("versions", "Make it again"),
        "check": Verb("checking", "Look for what is missing or will be in the way"),
        "pace": Verb("checking", "Say how fast it is, and who has the upper hand"),
    },
    "Show it, and get notes back": {
        "publish": Verb("cutting", "Make the cut a movie"),
        "review": Verb("review_page", "Make the director's folder: movie and page"),
        "notes": Verb("noting", "Take reviewers' notes in, list, answer them"),
        "report": Verb("noting", "Write a report of two pages"),
    },
    "Hand off": {
        "edl": Verb("cutting", "Write the cut as a CMX3600 edit list"),
        "handoff": Verb("departments", "Write a folder for each department"),
        "pulls": Verb("handing", "Pull treated shots for visual effects"),
        "sheets": Verb("calling", "Write call sheets: rigging, props, wardrobe ..."),
        "setups": Verb("calling", "List the camera set-ups that a cut needs"),
        "who": Verb("calling", "Say who does what in a cut"),
        "recast": Verb("calling", "Answer the day's question: who can do what"),
        "flights": Verb("calling", "Say how long each flight is in the air"),
        "practice": Verb("practising", "Make a practice reel for each performer"),
        "shots": Verb("exchanging", "Write the shot list as a workbook"),
        "captions": Verb("exchanging", "Write moves and phrases as captions"),
        "otio": Verb("exchanging", "Write the cut as an OpenTimelineIO timeline"),
        "compare": Verb("exchanging", "Say what a returned edit list changes"),
        "import-edl": Verb("exchanging", "Make a cut from an edit list"),
        "import-otio": Verb("exchanging", "Make a cut from a timeline"),
    },
    "The window": {"desk": Verb("desk", "Open the desk")},
}
"""The verbs, by the parts of the week."""

VERBS: dict[str, Verb] = {name: verb for part in WEEK.values() for name, verb in part.items()}


class Program(Verbs):
    """The verbs of `previs`, each loaded when it is asked for."""

    def list_commands(self, ctx: Any) -> list[str]:  # noqa: ARG002
        """The names of all verbs, in the week's order."""
        return list(VERBS)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:  # noqa: ARG002
        """A verb by its name, None when there is none."""
        if cmd_name not in self.commands and cmd_name in VERBS:
            self.commands.update(_verbs_of(VERBS[cmd_name].module))
        return self.commands.get(cmd_name)

    def format_commands(self, ctx: Any, formatter: Any) -> None:  # noqa: ARG002
        """The list of verbs, a section for each part of the week."""
        for part, verbs in WEEK.items():
            with formatter.section(part):
                formatter.write_dl([(name, verb.line) for name, verb in verbs.items()], col_max=14)


def _verbs_of(module: str) -> dict[str, Any]:
    """All verbs of one module of the command line."""
    app = typer.Typer(rich_markup_mode=None, add_completion=False)
    # Without it a module of one verb would be that verb, not a group with it.
    app.callback()(lambda: None)
    import_module(f"previs.cli.{module}").add_to(app)
    return dict(typer.main.get_group(app).commands)
