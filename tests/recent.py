"""A day on which a water can have been sampled that no house finds too old."""

from __future__ import annotations

from datetime import date, timedelta

RECENT = (date.today() - timedelta(days=30)).isoformat()
