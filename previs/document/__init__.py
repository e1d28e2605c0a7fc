"""The frozen sequence, its file and its migrations."""
