"""Importing this imports every module of rules; what imports one module takes its company along."""

from __future__ import annotations

from waterlint.rules.registry import import_all

import_all()
