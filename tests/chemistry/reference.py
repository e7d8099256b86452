"""Reference cases, read once, and a case's water as the package's own."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from waterlint.chemistry import Water

DATA = Path(__file__).parent / "data"


def cases(name: str, *kinds: str) -> list[Any]:
    """The cases of a file, of some kinds only if any are named."""
    found = json.loads((DATA / f"{name}.json").read_text(encoding="utf-8"))
    return [case for case in found if not kinds or case["kind"] in kinds]


def case_id(case: Mapping[str, Any]) -> str:
    return str(case["id"])


def water_of(given: Mapping[str, Any]) -> Water:
    """A case's water."""
    return Water(
        calcium=given["Ca"],
        magnesium=given["Mg"],
        sodium=given["Na"],
        potassium=given["K"],
        chloride=given["Cl"],
        sulfate=given["SO4"],
        nitrate=given["NO3"],
        alkalinity=given["alk_caco3"],
        ph=given["pH"],
    )


def assert_within(case: Mapping[str, Any], found: Mapping[str, float]) -> None:
    """Check every expected figure against the case's own tolerance."""
    for key, expected in case["expected"].items():
        tolerance = case["tolerance"][key]
        allowed = max(tolerance.get("abs", 0.0), tolerance.get("rel", 0.0) * abs(expected))
        assert abs(found[key] - expected) <= allowed, f"{key}: {found[key]} for {expected}"
