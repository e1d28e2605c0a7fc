"""The command line: thin functions over the rooms; it decides nothing."""
