"""A DXF file opened, strictly or, where it is damaged, as far as it can be mended; it knows nothing of what is drawn in it."""

from __future__ import annotations

import io
import logging
import re
from dataclasses import dataclass
from pathlib import Path

from ezdxf import recover
from ezdxf.document import Drawing
from ezdxf.filemanagement import read

from previs.cut.wording import counted
from previs.faults import UseFault

MOST_BYTES = 64 * 1024 * 1024
"""A limit of ours: a drawing of this size holds some 400,000 lines."""
_BINARY_DXF = b"AutoCAD Binary DXF\r\n\x1a\x00"
_DWG = re.compile(rb"AC10\d\d|AC1\.\d|AC2\.\d|MC0\.0")
_OTHERS = ((b"%PDF", "a PDF"), (b"PK\x03\x04", "a packed archive"), (b"\x89PNG", "a picture"), (b"\xff\xd8\xff", "a picture"))
_BEGINS = re.compile(rb"\s*(?:999\s*?\n|0\s*?\n\s*SECTION)")
_LINE = re.compile(r"line:? (\d+)")
_WELL_ENDED = re.compile(rb"(?:^|\n)\s*0\s*?\n\s*EOF\s*$")


@dataclass(frozen=True, slots=True)
class OpenedDrawing:
    """A drawing as the library gives it; `mended` is a sentence on what had to be mended to read it, empty for a sound one."""

    drawing: Drawing
    mended: str


def open_drawing(path: Path) -> OpenedDrawing:
    """The drawing in a DXF file, text or binary, of any release.

    Raises `UseFault` for a file that is missing, larger than 64 MB, no DXF, or damaged beyond mending.
    """
    data = _bytes_of(path).removeprefix(b"\xef\xbb\xbf")
    if data.startswith(_BINARY_DXF):
        return _opened(path, data, "")
    if not _BEGINS.match(data):
        raise UseFault(f"{path.name} is no DXF drawing: it does not begin as one; ask for the plan as DXF, or write it as a table.")
    if b"\0" in data:
        raise UseFault(f"{path.name} is damaged: it begins as a DXF drawing and then holds bytes that no text has; ask for it again.")
    if _WELL_ENDED.search(data[-200:]):
        return _opened(path, data, "")
    whole = _ended(data)
    return _opened(path, whole, f"{path.name} is cut short: what comes after its last whole entity is lost; ask for the drawing again.")


def _bytes_of(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise UseFault(f"{path} is a folder; name the drawing in it.")
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise UseFault(
                f"{path.name} is larger than {MOST_BYTES // 1024**2} MB, which no plan of one set is; save the set's layers alone as DXF."
            )
        data = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise UseFault(f"{path} cannot be read ({reason}); check the name and the folder.") from error
    if not data.strip():
        raise UseFault(f"{path.name} is empty; ask for the drawing again.")
    if _DWG.match(data):
        raise UseFault(f"{path.name} is a DWG drawing, which cannot be read here; have it saved as DXF and read that.")
    for mark, what in _OTHERS:
        if data.startswith(mark):
            raise UseFault(f"{path.name} is {what} and no DXF drawing; ask for the plan as DXF, or write it as a table.")
    return data


def _ended(data: bytes) -> bytes:
    """A text that is cut short, without its last, broken entity and with the end that it lacks."""
    lines = data.splitlines()
    at = (len(lines) - 1) // 2 * 2
    while at > 0 and lines[at].strip() != b"0":
        at -= 2
    # What the last entity lacks nobody knows; a section's end is there already when that was the last.
    kept = lines[:at]
    ended = len(kept) > 1 and kept[-1].strip() == b"ENDSEC"
    return b"\n".join([*kept, *([] if ended else [b"0", b"ENDSEC"]), b"0", b"EOF", b""])


def _opened(path: Path, data: bytes, cut_short: str) -> OpenedDrawing:
    """By the strict reader, and where that refuses by the one that mends."""
    # Its remarks on the drawing would come out on standard error; what matters of them is in `mended`.
    logging.getLogger("ezdxf").setLevel(logging.CRITICAL)
    try:
        return OpenedDrawing(_whole(_strictly(data)), cut_short)
    except Exception:
        pass
    try:
        drawing, auditor = recover.read(io.BytesIO(data), errors="ignore")
        _whole(drawing)
    except Exception as error:
        line = _LINE.search(str(error))
        where = f" near its line {line[1]}" if line and int(line[1]) > 2 else ""
        raise UseFault(f"{path.name} is damaged{where} so that it cannot be read as DXF; have it saved as DXF again.") from error
    repairs = len(auditor.fixes) + len(auditor.errors)
    found = f" ({counted(repairs, 'fault')} found)" if repairs else ""
    told = f"{path.name} is damaged{found}: what could be read of it was read; check the plan against the drawing."
    return OpenedDrawing(drawing, cut_short or told)


def _whole(drawing: Drawing) -> Drawing:
    """The drawing, when it has everything that is asked of it later; the library may give one without, and fails only then."""
    drawing.modelspace()
    for layout in drawing.layouts:
        len(layout)
    for layer in drawing.layers:
        layer.is_off(), layer.is_frozen()
    drawing.header.get("$INSUNITS", 0)
    return drawing


def _strictly(data: bytes) -> Drawing:
    if data.startswith(_BINARY_DXF):
        from ezdxf.lldxf.tagger import binary_tags_loader

        return Drawing.load(binary_tags_loader(data, errors="ignore"))
    return read(io.StringIO(data.decode(_encoding(data), errors="replace"), newline=None))


def _encoding(data: bytes) -> str:
    """The text encoding that a DXF text says it has: UTF-8 since release 2007, before that by its code page."""
    from ezdxf.lldxf.validator import dxf_info

    try:
        info = dxf_info(io.StringIO(data[:200_000].decode("latin-1")))
        return "utf-8" if info.version >= "AC1021" else info.encoding
    except Exception:  # A header that says nonsense says nothing.
        return "cp1252"
