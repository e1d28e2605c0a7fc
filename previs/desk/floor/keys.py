"""The keys of the Floor place: a name for what each does, its words, its keys; what it does is the page's."""

from __future__ import annotations

from previs.desk.words import tr

ON_THE_PLAN = frozenset(
    {
        "nearer", "further", "whole", "room", "push left", "push right", "push up", "push down", "spot before", "spot after",
        "nudge left", "nudge right", "nudge up", "nudge down", "step left", "step right", "step up", "step down", "delete", "put",
    }
)  # fmt: skip
"""Those that are the plan's: they do nothing while another list or field has the keys."""


def floor_keys() -> tuple[tuple[str, str, str], ...]:
    """Every action as name, words, keys."""
    return (*_files(), *_looks(), *_drawing())


def _files() -> tuple[tuple[str, str, str], ...]:
    return (
        ("read plan", tr("Read a plan: a drawing or a table ..."), "Ctrl+N"),
        ("read plan asking", tr("Read a plan, with its unit and layers asked ..."), "Ctrl+Shift+N"),
        ("write room", tr("The rehearsal room ..."), "Ctrl+R"),
        ("read room", tr("Read the room from a table ..."), "Ctrl+Shift+R"),
        ("fit", tr("Fit the plan into the room, in sections where it does not fit"), "Ctrl+T"),
        ("fit largest", tr("Fit the largest part of the plan into the room alone"), "Ctrl+Shift+T"),
        ("read ways", tr("Read tables of routes and reaches ..."), "Ctrl+U"),
        ("sheets", tr("Write tape-out sheets ..."), "Ctrl+P"),
        ("cue sheet", tr("Write the cues ..."), "Ctrl+S"),
    )


def _looks() -> tuple[tuple[str, str, str], ...]:
    return (
        ("nearer", tr("The plan nearer"), "+, ="),
        ("further", tr("The plan further away"), "-"),
        ("whole", tr("The whole plan"), "0"),
        ("room", tr("The room as it stands"), "1"),
        ("push left", tr("Push the plan to the left"), "Alt+Left"),
        ("push right", tr("Push the plan to the right"), "Alt+Right"),
        ("push up", tr("Push the plan up"), "Alt+Up"),
        ("push down", tr("Push the plan down"), "Alt+Down"),
        ("spot before", tr("The move before; while a way is drawn, the spot before"), "Up"),
        ("spot after", tr("The next move; while a way is drawn, the next spot"), "Down"),
        ("phrase before", tr("The phrase before"), "PgUp"),
        ("phrase after", tr("The next phrase"), "PgDown"),
        ("follow", tr("Show the phrase that is on screen"), "F"),
        ("next role", tr("The next role, or all of them"), "R"),
        ("next section", tr("The next section of the plan"), "S"),
        ("cues", tr("The list of cues"), "Alt+1"),
        ("tight", tr("The list of tight places"), "Alt+2"),
        ("speeds", tr("The list of speeds"), "Alt+3"),
        ("plan", tr("What was said of the plan"), "Alt+4"),
        ("to plan", tr("To the plan"), "P"),
    )


def _drawing() -> tuple[tuple[str, str, str], ...]:
    return (
        ("draw", tr("Draw a way by hand, or draw no more"), "D"),
        ("stop drawing", tr("Draw no more"), "Escape"),
        ("next put", tr("A click puts the next move's mark"), "N"),
        ("last put", tr("A click puts the mark of the move before"), "Shift+N"),
        ("bend", tr("A click puts a bend of the way"), "B"),
        ("put", tr("Put it after the chosen spot"), "Ins, Return, Enter"),
        ("mark", tr("Make the chosen spot what a click puts"), "M"),
        ("delete", tr("Take the chosen spot away"), "Del, Backspace"),
        ("delete way", tr("Take the whole way away"), "Ctrl+Del"),
        ("nudge left", tr("Push the chosen spot 5 cm to the left"), "Ctrl+Left"),
        ("nudge right", tr("Push the chosen spot 5 cm to the right"), "Ctrl+Right"),
        ("nudge up", tr("Push the chosen spot 5 cm up"), "Ctrl+Up"),
        ("nudge down", tr("Push the chosen spot 5 cm down"), "Ctrl+Down"),
        ("step left", tr("Push the chosen spot half a metre to the left"), "Ctrl+Shift+Left"),
        ("step right", tr("Push the chosen spot half a metre to the right"), "Ctrl+Shift+Right"),
        ("step up", tr("Push the chosen spot half a metre up"), "Ctrl+Shift+Up"),
        ("step down", tr("Push the chosen spot half a metre down"), "Ctrl+Shift+Down"),
    )
