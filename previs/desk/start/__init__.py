"""What is shown when no file is open."""
