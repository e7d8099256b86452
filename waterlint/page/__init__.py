"""Pages: HTML files that stand alone."""
