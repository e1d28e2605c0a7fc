"""The Hand-off place: lists, versions, departments."""
