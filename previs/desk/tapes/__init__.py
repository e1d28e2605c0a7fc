"""The Tapes place: what was shot."""
