"""The floor: the set's plan, taped out on a rehearsal floor, and the fight on it; all lengths in millimetres."""
