"""Review: what the director is shown, and the notes that come back."""
