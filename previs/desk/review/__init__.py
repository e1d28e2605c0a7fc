"""The Review place: what goes to the director, and the notes that come back."""
