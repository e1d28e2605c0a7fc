"""The one error that users see, and nothing about how it is shown.

Every room raises a `Fault` with one sentence that says what is wrong, where, and what to do.
"""


class Fault(Exception):
    """What went wrong, said in one sentence to the person at the desk or the command line."""


class UseFault(Fault):
    """A fault of use: wrong argument, wrong table, wrong time code. The command line exits with 2."""


def refused(error: OSError) -> str:
    """What the system refused, as one sentence."""
    where = f" at {error.filename!s:.200}" if error.filename else ""
    return f"The disk or the folder refused{where}: {error.strerror or error}; check the place and try again."
