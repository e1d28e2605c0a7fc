"""The Cut place: the step chart and what stands around it."""
