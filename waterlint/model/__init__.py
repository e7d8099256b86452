"""Recipes and water reports as figures in canonical units, each with its place in the text."""
