"""A whole collection at a glance: a row for every recipe."""
