"""What the program can hear and see on a tape: pure functions on sound and pictures, every result with its confidence."""
