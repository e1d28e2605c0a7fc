"""The Log place: takes, hits and framings of one tape."""
