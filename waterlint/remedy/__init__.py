"""From finding to remedy: what mends a file, as edits of its text."""
