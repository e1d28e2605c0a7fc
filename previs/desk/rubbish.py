"""Taking out Python's rubbish on the Qt thread alone; what is rubbish is decided by Python.

Python collects on whichever thread has just made enough objects. On the thread that decodes, that would take pictures, icons
and connections of widgets to pieces while the Qt thread paints with them, and the program would end.
"""

from __future__ import annotations

import gc

from PyQt6.QtCore import QObject, QTimer

_EVERY_MS = 500


class Rubbish(QObject):
    """Collects twice a second while the application runs, by Python's own thresholds; Python itself no longer does until `stop`."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        gc.disable()
        # What was made for good, modules above all, is not looked at again.
        gc.freeze()
        self._timer = QTimer(self)
        self._timer.timeout.connect(self.collect)
        self._timer.start(_EVERY_MS)

    def collect(self) -> None:
        """Collect the oldest generation that has come to its threshold."""
        for generation in (2, 1, 0):
            if gc.get_count()[generation] > gc.get_threshold()[generation]:
                gc.collect(generation)
                return

    def stop(self) -> None:
        """Leave it to Python again."""
        self._timer.stop()
        gc.unfreeze()
        gc.enable()
