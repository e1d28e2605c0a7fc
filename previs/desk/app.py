"""Starting the desk: the Qt application, its looks and its window; called by the command line and by nothing else."""

from __future__ import annotations

import ctypes
import os
import sys
from pathlib import Path

from PyQt6.QtCore import QLibraryInfo
from PyQt6.QtWidgets import QApplication

from previs.desk.memory import Memory
from previs.desk.rubbish import Rubbish
from previs.desk.window import Window, dress
from previs.faults import Fault


def run(path: Path | None) -> int:
    """Open the window, with `path` in it or the file of last time, and stay until it is closed; gives the exit code.

    Raises `Fault` where there is no screen to open a window on.
    """
    if sys.platform.startswith("linux") and "QT_QPA_PLATFORM" not in os.environ:
        _look_for_a_screen()
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
    rubbish = Rubbish(app)
    try:
        return app.exec()
    finally:
        rubbish.stop()


def _look_for_a_screen() -> None:
    """Raise a fault where Qt would end the program: without a screen, or without the system's part of the X11 platform."""
    if os.environ.get("WAYLAND_DISPLAY"):
        return
    if not os.environ.get("DISPLAY"):
        raise Fault("There is no screen to open a window on (neither DISPLAY nor WAYLAND_DISPLAY is set); start the desk from a desktop.")
    platform = Path(QLibraryInfo.path(QLibraryInfo.LibraryPath.PluginsPath)) / "platforms" / "libqxcb.so"
    try:
        ctypes.CDLL(str(platform))
    except OSError as error:
        raise Fault(f"The window cannot be opened ({error}); 'scripts/environment' says which Debian packages are missing.") from error
