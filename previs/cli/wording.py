"""What is wrong with how a command was written, in our own sentences instead of the command-line library's."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection
from typing import Any

import typer
from typer.core import TyperGroup

from previs.faults import UseFault

# The library has had its errors in two places, and this is the one class of them that it gives out.
Miswritten: type[Exception] = typer.BadParameter.__bases__[0]
"""What the library raises for a command that it cannot take apart."""

MEANT: dict[str, tuple[str, ...]] = {
    "add": ("insert",),
    "crossfade": ("dissolve",),
    "cut": ("split", "remove"),
    "delete": ("remove",),
    "extend": ("trim-tail", "trim-head"),
    "fade": ("fade-in", "fade-out"),
    "head": ("trim-head",),
    "hold": ("freeze",),
    "lift": ("remove",),
    "merge": ("join",),
    "put": ("insert", "move"),
    "razor": ("split",),
    "replace": ("take",),
    "retime": ("speed", "length"),
    "ripple": ("trim-tail", "trim-head"),
    "shorten": ("trim-tail", "trim-head"),
    "slow": ("speed", "length"),
    "swap": ("take", "move"),
    "tail": ("trim-tail",),
    "trim": ("trim-tail", "trim-head"),
}
"""Words that people use for edits, and the verbs that do them."""


class Verbs(TyperGroup):
    """A group of verbs that says in one sentence what may have been meant by one that it does not have."""

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """The verb that was written; raises `UseFault` when there is none."""
        name = args[0]
        if self.get_command(ctx, name) is None and not name.startswith("-"):
            cut_missing = _cut_missing(ctx, args)
            raise UseFault(cut_missing or self.unknown(ctx, name))
        return super().resolve_command(ctx, args)

    def unknown(self, ctx: Any, name: str) -> str:
        """A sentence for a verb of the program that is not there."""
        edits = getattr(self.get_command(ctx, "edit"), "commands", {})
        meant = [name] if name in edits else [verb for verb in MEANT.get(name, ()) if verb in edits]
        if meant:
            return f"'{name}' is an edit; write previs edit FILE CUT {' or '.join(meant)} ..."
        return f"There is no verb '{name}'; {_nearest(name, self.list_commands(ctx), 'previs --help')}"


class EditVerbs(Verbs):
    """The verbs of `previs edit FILE CUT`."""

    def unknown(self, ctx: Any, name: str) -> str:  # noqa: ARG002
        """A sentence for an edit that is not there."""
        meant = [verb for verb in MEANT.get(name, ()) if verb in self.commands]
        if meant:
            return f"There is no edit '{name}'; write {' or '.join(meant)}. 'previs edit --help' lists them all."
        return f"There is no edit '{name}'; {_nearest(name, self.commands, 'previs edit --help')}"


def _cut_missing(context: Any, args: list[str]) -> str:
    """A sentence where a verb of `edit` stands in the place of the cut's name; else nothing."""
    cut, file = context.params.get("cut"), context.params.get("file")
    if cut is None or not isinstance(context.command, EditVerbs) or not (cut in context.command.commands or cut in MEANT):
        return ""
    whole = " ".join(["previs edit", str(file), "CUT", cut, *args])
    return f"The cut's name is missing before '{cut}'; write {whole}, with the name of one that 'previs cuts {file}' lists."


def _nearest(name: str, known: Collection[str], helping: str) -> str:
    near = difflib.get_close_matches(name, list(known), n=1, cutoff=0.7)
    return f"did you mean '{near[0]}'?" if near else f"'{helping}' lists them all."


def sentence(error: Any) -> str:
    """An error of the library as one sentence: what is wrong, in which part of the command, and an example of it right."""
    context = getattr(error, "ctx", None)
    return (context is not None and _cut_missing(context, [])) or f"{_what(error)} {_example(error)}"


def _what(error: Any) -> str:
    text = str(error.format_message())
    kind = type(error).__name__
    if kind == "MissingParameter":
        return f"{_named(error.param)} is missing."
    if kind == "NoSuchOption":
        near = difflib.get_close_matches(error.option_name, _options(error.ctx), n=1)
        return f"There is no option {error.option_name} here" + (f"; did you mean {near[0]}?" if near else ".")
    if kind == "BadOptionUsage":
        return f"{error.option_name} " + ("takes nothing after it." if "does not take" in text else "needs something after it.")
    if kind == "BadParameter":
        return _bad_value(error, str(error.message))
    if extra := re.search(r"unexpected extra argument(?:s|\(s\))? \((.*)\)", text):
        return f"'{extra[1]}' is more than was expected; put a name with blanks in quotation marks."
    if "Missing command" in text:
        return "The verb is missing."
    return f"{text.replace('No such command', 'There is no verb').rstrip('.')}."


def _bad_value(error: Any, text: str) -> str:
    named = _named(error.param)
    if found := re.search(r"('[^']*') is not one of (.*?)\.?$", text):
        return f"{named} cannot be {found[1]}; it is one of {found[2].replace(chr(39), '')}."
    if "integer" in text:
        return f"{named} must be a whole number."
    if "boolean" in text:
        return f"{named} must be yes or no."
    return f"{named} cannot be read: {text.removeprefix('Value error, ').rstrip('.')}."


def _named(parameter: Any) -> str:
    """A part of a command as its help names it."""
    options = [option for option in getattr(parameter, "opts", []) if option.startswith("--")]
    if options:
        return str(options[0])
    return str(getattr(parameter, "metavar", None) or getattr(parameter, "name", None) or "a part of the command").upper()


def _options(context: Any) -> list[str]:
    return [option for parameter in context.command.params for option in parameter.opts if option.startswith("--")] if context else []


def _example(error: Any) -> str:
    command = getattr(getattr(error, "ctx", None), "command", None)
    example = str(getattr(command, "epilog", None) or "").split(". ")[0]
    return f"{example.rstrip('.')}." if example else "'previs --help' lists the verbs."
