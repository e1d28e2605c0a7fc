"""Put ahead of everything in a Python that is watched: files opened for writing, moved or removed, programs and addresses are noted."""

from __future__ import annotations

import json
import os
import sys

_LOG = os.open(os.environ["PREVIS_WATCH"], os.O_WRONLY | os.O_APPEND | os.O_CREAT) if "PREVIS_WATCH" in os.environ else None
_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND


def _note(event: str, arguments: tuple[object, ...]) -> None:
    told: list[object] = []
    if event == "open":
        path, mode, flags = arguments
        if isinstance(path, int) or not ((mode and set(str(mode)) & set("wax+")) or (isinstance(flags, int) and flags & _WRITES)):
            return
        told = [path]
    elif event in ("os.rename", "os.link", "os.symlink"):
        told = list(arguments[:2])
    elif event in ("os.remove", "os.mkdir", "os.rmdir", "os.truncate", "os.chmod", "os.utime"):
        told = [arguments[0]]
    elif event in ("subprocess.Popen", "os.exec", "os.posix_spawn"):
        told = [arguments[0], *(arguments[1] if isinstance(arguments[1], list | tuple) else [arguments[1]])]
    elif event in ("os.system", "socket.connect", "socket.getaddrinfo", "urllib.Request"):
        told = list(arguments[:2])
    else:
        return
    plain = [os.fsdecode(one) if isinstance(one, bytes | os.PathLike) else str(one) for one in told]
    if event in ("open", "os.remove", "os.mkdir", "os.rmdir", "os.rename", "os.link", "os.symlink"):
        plain = [os.path.abspath(one) for one in plain]  # noqa: PTH100  (links must not be followed, nor the disk be looked at)
    os.write(_LOG, json.dumps([event, *plain]).encode() + b"\n")


if _LOG is not None:
    sys.addaudithook(_note)
