"""Whether a file that was written is whole: what its reader says of it."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import av
from PIL import Image

from previs.document.store import open_document


def is_whole(path: Path) -> bool:
    """Whether a reader takes the file to its last byte; an ending that it does not know is none."""
    content = path.read_bytes()
    match path.suffix:
        case ".previs":
            open_document(path)
            return True
        case ".mp4" | ".mov":
            with av.open(str(path)) as movie:
                return sum(1 for _ in movie.decode(video=0)) == movie.streams.video[0].frames > 0
        case ".pdf":
            return content.startswith(b"%PDF") and content.rstrip().endswith(b"%%EOF")
        case ".xlsx":
            with zipfile.ZipFile(path) as book:
                return book.testzip() is None
        case ".png":
            with Image.open(path) as picture:
                picture.load()
            return True
        case ".json" | ".otio":
            json.loads(content)
            return True
        case ".svg":
            ElementTree.fromstring(content)
            return True
        case ".html":
            return content.rstrip().endswith(b"</html>")
        case ".csv" | ".txt" | ".edl" | ".vtt" | ".srt":
            return content.endswith(b"\n")
        case ".dxf":
            return content.rstrip().endswith(b"EOF")
    return False
