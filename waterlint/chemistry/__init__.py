"""Pure chemistry of brewing water and mash; knows no files and no findings."""
