"""The desk: the desktop program over the same rooms as the command line; it decides nothing."""
