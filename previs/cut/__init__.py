"""The cut: where its shots stand, what of the marks is seen in it, and how a first one is assembled."""
