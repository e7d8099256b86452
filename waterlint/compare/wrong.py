"""A question that cannot be answered."""

from __future__ import annotations


class WrongQuestion(Exception):
    """What was asked makes no sense; the text says why, and what to ask instead."""
