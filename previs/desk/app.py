"""Starting the desk: the Qt application, its looks and its window; called by the command line and by nothing else."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from PyQt6.QtWidgets import QApplication

from previs.desk.memory import Memory
from previs.desk.window import Window, dress
from previs.faults import Fault


def run(path: Path | None) -> int:
    """Open the window, with `path` in it or the file of last time, and stay until it is closed; gives the exit code.

    Raises `Fault` where there is no screen to open a window on.
    """
    if sys.platform.startswith("linux") and not any(os.environ.get(one) for one in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")):
        raise Fault("There is no screen to open a window on (neither DISPLAY nor WAYLAND_DISPLAY is set); start the desk from a desktop.")
    app = QApplication.instance() or QApplication(["previs"])
    assert isinstance(app, QApplication)
    app.setApplicationName("previs")
    memory = Memory()
    dress(memory)
    window = Window(memory)
    last = memory.text("file")
    if path is not None:
        window.open(path)
    elif last and Path(last).exists():
        window.open(Path(last))
    window.show()
    return app.exec()
