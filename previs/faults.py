"""The one error that users see, and nothing about how it is shown.

Every room raises a `Fault` with one sentence that says what is wrong, where, and what to do.
"""

from __future__ import annotations

import errno
from tempfile import gettempdir

from previs.printable import printable

FULL = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})
FORBIDDEN = frozenset({errno.EACCES, errno.EPERM, errno.EROFS})
"""What the system says of a disk that is full, and of a place that may not be written to."""

LONGEST_LINE, MOST_LINES = 600, 50
"""Signs of a line, and lines, beyond which nobody reads; a table's faults are a line each."""


class Fault(Exception):
    """What went wrong, said in one sentence to the person at the desk or the command line; see `showable`."""

    def __init__(self, sentence: str = "") -> None:
        super().__init__(showable(sentence))


class UseFault(Fault):
    """A fault of use: wrong argument, wrong table, wrong time code. The command line exits with 2."""


def refused(error: OSError) -> str:
    """What the system refused, as one sentence."""
    where = f" at {error.filename!s:.200}" if error.filename else ""
    if error.errno in FULL:
        # Workbooks are put together in the system's own scratch folder, and the refusal does not name it.
        place = where or f" that holds the file, or the scratch folder {gettempdir()},"
        return f"The disk{place} is full ({error.strerror}); free some space and try again."
    return f"The disk or the folder refused{where}: {error.strerror or error}; check the place and try again."


def showable(sentence: str) -> str:
    """The sentence without what a hostile file may have put into it by a name or a text that is quoted.

    Control characters would steer a terminal, half characters break its encoding, and a text of megabytes bury the rest: what
    cannot be printed is a sign for it, and a line that is too long lacks its middle, since what to do stands at its end.
    """
    lines = [printable(_shortened(line)) for line in sentence.split("\n")]
    if len(lines) > MOST_LINES:
        left_out = len(lines) - MOST_LINES
        lines = [*lines[: MOST_LINES - 2], f"... and {left_out + 1} lines more.", lines[-1]]
    return "\n".join(lines)


def _shortened(line: str) -> str:
    kept = LONGEST_LINE // 2
    return line if len(line) <= LONGEST_LINE else f"{line[:kept]} ... {line[-kept + 5 :]}"
