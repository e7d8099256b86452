"""The command line: one file a command, and the front that finds it."""
