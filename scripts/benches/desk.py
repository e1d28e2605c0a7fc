"""Bench rows: the desk on a large show (200 shots, 2,000 hits, 60 tapes), offscreen, in a process of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from statistics import median, quantiles

import imageio_ffmpeg
from msgspec.structs import replace

from benches.large_fights import large_show
from previs.document.model import Sequence
from previs.document.paths import cache_folder
from previs.document.store import create
from previs.media.fingerprint import fingerprint
from previs.media.from_cut import raster_of, tapes_to_copy
from previs.media.workcopy import make_work_copies
from previs.progress import silent

OPEN_SECONDS, REDRAW_SECONDS, MEMORY_MB = 2.0, 1 / 30, 1024.0
_DRAGS = 120


@dataclass(frozen=True)
class Desk:
    """Seconds from a started program to a painted window, of the slowest but 5 % of redraws under a drag, and the most memory."""

    open_seconds: float
    redraw_seconds: float
    seek_seconds: float
    memory_mb: float


def large_document(folder: Path) -> Path:
    """The large show as a document whose tapes are one movie of ninety seconds, with its work copy."""
    show = large_show()
    longest = int(max(tape.duration for tape in show.tapes)) + 1
    movie = folder / "tape.mp4"
    picture = f"testsrc2=size=640x360:rate=24:duration={longest}"
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-f", "lavfi", "-i", picture, "-g", "24", str(movie)]
    subprocess.run(command, check=True)
    mark = fingerprint(movie)
    show = replace(show, tapes=tuple(replace(tape, path=movie.name, fingerprint=mark) for tape in show.tapes))
    document = folder / "large.previs"
    create(document, show)
    _copy(show, document)
    return document


def measure() -> Desk:
    """Measure once; the program under the measure is a fresh one."""
    with tempfile.TemporaryDirectory() as folder:
        document = large_document(Path(folder))
        environment = os.environ | {"QT_QPA_PLATFORM": "offscreen", "PREVIS_DESK_MEMORY": str(Path(folder) / "desk.ini")}
        command = [sys.executable, "-m", "benches.desk", str(document)]
        ran = subprocess.run(command, check=True, capture_output=True, text=True, env=environment)
    return Desk(**json.loads(ran.stdout.splitlines()[-1]))


def _copy(show: Sequence, document: Path) -> None:
    copies = tapes_to_copy(show, show.tapes[:1], document)
    make_work_copies(copies, show.timebase, raster_of(show), cache_folder(document), silent)


def _run(document: Path) -> Desk:
    begin = time.perf_counter()
    from PyQt6.QtCore import QEvent, QPointF, Qt
    from PyQt6.QtGui import QMouseEvent
    from PyQt6.QtWidgets import QApplication

    from previs.desk.cut.place import CutPlace
    from previs.desk.memory import Memory
    from previs.desk.window import Window, dress

    app = QApplication(["previs"])
    memory = Memory()
    memory.keep("place", "cut")
    dress(memory)
    window = Window(memory)
    assert window.open(document)
    window.resize(1280, 800)
    window.show()
    window.grab()
    opened = time.perf_counter() - begin
    place = next(place for place in window.places if isinstance(place, CutPlace))
    chart = place.chart
    app.processEvents()
    chart.whole()

    def mouse(kind: QEvent.Type, x: float, button: Qt.MouseButton) -> None:
        at = QPointF(x, chart.height() * 0.6)
        event = QMouseEvent(kind, at, chart.mapToGlobal(at), button, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)
        app.sendEvent(chart, event)

    cut = place.file.sequence.cut("v1")
    widest = max(range(len(cut.shots) // 3), key=lambda number: cut.shots[number].frames)
    end = chart._scale.x(sum(shot.frames for shot in cut.shots[: widest + 1])) - 0.4
    chart.choose(widest + 1)
    chart.snap = False
    mouse(QEvent.Type.MouseButtonPress, end, Qt.MouseButton.LeftButton)
    drawn = []
    heard: list[object] = []
    chart.previewed.connect(heard.append)
    for step in range(_DRAGS):
        heard.clear()
        start = time.perf_counter()
        mouse(QEvent.Type.MouseMove, end - 1 - step % 4, Qt.MouseButton.NoButton)
        chart.repaint()
        # A move of the pointer that changes no frame draws nothing, and would flatter the measure.
        if heard:
            drawn.append(time.perf_counter() - start)
    assert len(drawn) > _DRAGS / 2, "no edge was dragged"
    mouse(QEvent.Type.MouseButtonRelease, end - 5, Qt.MouseButton.LeftButton)
    for number in range(len(window.places)):
        window.show_place(number)
        app.processEvents()
    window.show_place(window.places.index(place))
    sought = _seeks(place.player, app)
    window.close()
    return Desk(opened, quantiles(drawn, n=20)[-1], median(sought), _most_memory_mb())


def _most_memory_mb() -> float:
    """Of this program alone: what `getrusage` tells includes the most that its parent held before it."""
    told = Path("/proc/self/status").read_text(encoding="ascii")
    return int(next(line.split()[1] for line in told.splitlines() if line.startswith("VmHWM:"))) / 1024


def _seeks(player: object, app: object) -> list[float]:
    """Seconds from asking for a frame at a random place of the cut to its picture."""
    import random

    dice, found, shown = random.Random(3), [], []
    player.pictured.connect(shown.append)  # type: ignore[attr-defined]
    for _ in range(60):
        frame = dice.randrange(player.frames)  # type: ignore[attr-defined]
        shown.clear()
        start = time.perf_counter()
        player.seek(frame)  # type: ignore[attr-defined]
        while frame not in shown and time.perf_counter() - start < 5:
            app.processEvents()  # type: ignore[attr-defined]
        found.append(time.perf_counter() - start)
    return found


if __name__ == "__main__":
    print(json.dumps(_run(Path(sys.argv[1])).__dict__))
