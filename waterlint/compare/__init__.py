"""What changes in recipes when a water report is replaced, or since a revision of git."""
