"""The quick content fingerprint that cached files are keyed by; not a guard against forgery."""

from __future__ import annotations

from hashlib import blake2b
from pathlib import Path

from previs.faults import Fault, UseFault

_SAMPLE_BYTES = 1 << 16


def fingerprint(path: Path) -> str:
    """32 hexadecimal digits made from the size and from 64 KiB at the head, the middle and the tail of the file.

    The name and the dates do not count, so a tape keeps its fingerprint when it is moved.
    Raises `UseFault` where there is no file to read, `Fault` when its drive fails or goes away meanwhile.
    """
    try:
        if path.is_dir():
            raise UseFault(f"{path} is a folder; name one movie file.")
        if path.exists() and not path.is_file():
            raise UseFault(f"{path} is no file but a pipe or a device, which may never end; name one movie file.")
        with path.open("rb") as file:
            size = path.stat().st_size
            digest = blake2b(str(size).encode(), digest_size=16)
            for start in (0, size // 2, max(0, size - _SAMPLE_BYTES)):
                file.seek(start)
                digest.update(file.read(_SAMPLE_BYTES))
    except FileNotFoundError:
        raise UseFault(f"There is no file {path}; check the name, or connect the drive that it is on.") from None
    except PermissionError as error:
        raise UseFault(f"{path} cannot be read: {error.strerror}; check that you may open it.") from error
    except OSError as error:
        raise Fault(f"{path} cannot be read ({error.strerror}); bring its drive or share back and try again.") from error
    return digest.hexdigest()


def must_be_unchanged(path: Path, mark: str) -> None:
    """Raise `Fault` unless the file still is what it was when it had this fingerprint, before something made from it is kept."""
    try:
        now = fingerprint(path)
    except Fault as fault:
        raise Fault(
            f"{path} went away while it was read; bring its drive or share back and try again: what is finished is kept."
        ) from fault
    if now != mark:
        raise Fault(f"{path} was changed while it was read; wait until its copying is finished, then try again.")
