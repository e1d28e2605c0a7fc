"""previs: rehearsal tapes and a written fight in; a timed cut, an edit list and every department's list out."""

__version__ = "0.1.0"
