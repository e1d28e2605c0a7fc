"""The `previs` command: its verbs, and how a fault becomes one sentence and a true exit code."""

from __future__ import annotations

import io
import os
import sys
from typing import Annotated

import typer

from previs.cli.verbs import Program
from previs.cli.wording import Miswritten, sentence
from previs.faults import Fault, UseFault, refused
from previs.progress import Stopped

_STOPPED = 130
_STOPPED_SENTENCE = "Stopped. What was finished before is kept; nothing half-made is left."

app = typer.Typer(
    name="previs",
    cls=Program,
    help="Rehearsal tapes and a written fight in; a timed cut, an edit list and each department's lists out.",
    epilog="A first cut in five steps: previs new, ingest, fight, marks, assemble. Each verb's --help shows an example.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


@app.callback()
def previs(
    context: typer.Context,
    farm: Annotated[
        str,
        typer.Option(metavar="tcp://HOST:PORT", envvar="PREVIS_FARM", help="Let the workers of a Dask cluster there do the long work."),
    ] = "",
) -> None:
    """Let long work be done elsewhere while the verb runs."""
    if farm:
        from previs.media.farm import farm as at_work

        context.with_resource(at_work(farm))


def main() -> None:
    """Run the command line; exit code 0 for done, 1 for a failure, 2 for a fault of use, 130 when stopped."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        # A file's name may hold bytes that are no text; that must not keep the rest from being said.
        sys.stdout.reconfigure(errors="backslashreplace")
    try:
        # Not standing alone, the library hands its errors over instead of printing them in its own words.
        code = app(standalone_mode=False)
    except UseFault as fault:
        _leave(str(fault), 2)
    except Fault as fault:
        _leave(str(fault), 1)
    except (Stopped, KeyboardInterrupt):
        _leave(_STOPPED_SENTENCE, _STOPPED)
    except BrokenPipeError:
        # The reader of our output has gone, as `head` does; Python must not complain about it again at its exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except OSError as error:
        _leave(refused(error), 1)
    except MemoryError:
        _leave("There is not enough memory for this; close other programs and try again.", 1)
    except Miswritten as error:
        if type(error).__name__ == "NoArgsIsHelpError":
            print(error, file=sys.stderr)
            sys.exit(2)
        _leave(sentence(error), 2)
    except Exception as error:
        if os.environ.get("PREVIS_DEBUG"):
            raise
        _leave(f"previs met a fault of its own ({type(error).__name__}: {error}); please report it. PREVIS_DEBUG=1 shows where.", 1)
    else:
        if code == _STOPPED:
            _leave(_STOPPED_SENTENCE, _STOPPED)
        sys.exit(code if isinstance(code, int) else 0)


def _leave(sentence: str, code: int) -> None:
    print(f"previs: {sentence}", file=sys.stderr)
    sys.exit(code)
