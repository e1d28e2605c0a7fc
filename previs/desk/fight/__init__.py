"""The Fight place: phrases, moves, coverage."""
