"""The Floor place: the set's plan as it is taped, who goes where on it in step with the cut, and what is printed of it."""
