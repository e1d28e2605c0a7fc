"""Whether the machine has a sound output that answers, found out without the sound library; it plays nothing.

On Linux the library speaks to a sound server alone. Where none answers it complains on standard error, and where one has
gone since it ends the whole program: it may only be asked while one is there.
"""

from __future__ import annotations

import os
import socket
import sys
from pathlib import Path

_PULSE_PORT = 4713
_LONGEST_ANSWER_SECONDS = 0.2


def has_output() -> bool:
    """Whether a sound output may be opened now."""
    if not sys.platform.startswith("linux"):
        return True
    return any(_answers(place) for place in _servers())


def _servers() -> list[str]:
    """Where sound servers may be, as the environment names them: `unix:/path`, `/path`, `tcp:host:port`."""
    if named := os.environ.get("PULSE_SERVER"):
        return [place.rpartition("}")[2] for place in named.split()]
    run = os.environ.get("XDG_RUNTIME_DIR")
    return [str(Path(run) / "pulse" / "native"), str(Path(run) / "pipewire-0")] if run else []


def _answers(place: str) -> bool:
    kind, _, rest = place.partition(":")
    try:
        if kind.startswith("tcp"):
            host, _, port = rest.partition(":")
            socket.create_connection((host, int(port or _PULSE_PORT)), timeout=_LONGEST_ANSWER_SECONDS).close()
        else:
            with socket.socket(socket.AF_UNIX) as caller:
                caller.settimeout(_LONGEST_ANSWER_SECONDS)
                caller.connect(rest if kind == "unix" else place)
    except (OSError, ValueError, OverflowError):  # the last of a port beyond those that there are
        return False
    return True
