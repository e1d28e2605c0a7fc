"""The step chart as a surface to work on."""
