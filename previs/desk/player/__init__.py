"""The player: exact frames of tapes and cuts, on their own thread."""
