"""Findings and predictions as text for people and as data for machines, one file a format."""
