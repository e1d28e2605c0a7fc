"""The generator of the rehearsal tapes of "The Salt Stair": a toy rehearsal hall, not a part of the `previs` package."""
