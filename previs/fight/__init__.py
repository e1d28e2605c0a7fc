"""What follows from moves, marks and casting for a cut: checks, and who has the upper hand; it changes nothing."""
