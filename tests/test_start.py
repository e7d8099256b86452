"""What a run on sound files leaves unloaded: what is loaded where every run comes by slows all."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from waterlint import days

EXAMPLES = Path(__file__).parents[1] / "example-recipes"

NEVER = {"dataclasses", "datetime", "inspect", "jsonschema", "numpy", "ruamel", "typing", "urllib"}
#: Of this package: what only what is wrong, boiled down or the house's own needs.
LATE = {
    "waterlint.catalog.house",
    "waterlint.chemistry.boiling",
    "waterlint.chemistry.dosing",
    "waterlint.exceptions",
    "waterlint.prediction.treatments",
    "waterlint.prediction.wort",
    "waterlint.project.config_description",
    "waterlint.project.config_entries",
    "waterlint.source.schema_validator",
}


#: From 3.13 on `pathlib` brings it.
CONTEXTLIB = {"contextlib"} if sys.version_info < (3, 13) else set[str]()


def loaded_by(*call: str) -> set[str]:
    """The modules that a call of the command line loads, beside those that Python starts with."""
    program = (
        "import sys\n"
        "before = set(sys.modules)\n"
        "from waterlint.cli.main import main\n"
        f"assert main({call!r}) == 0\n"
        "print('loaded:', *sorted(set(sys.modules) - before))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=EXAMPLES, capture_output=True, text=True, check=True
    )
    return set(done.stdout.partition("loaded:")[2].split())


@pytest.mark.parametrize(
    ("command", "unloaded"),
    [
        ("check", {"argparse", "array", "bisect", *CONTEXTLIB}),
        ("hook", {"argparse", "array", "bisect"}),
    ],
)
def test_a_run_on_sound_recipes(command: str, unloaded: set[str]) -> None:
    loaded = loaded_by(command, "--no-cache", "lagers/harvest-gate-vienna.yaml")
    assert "waterlint.rules.mash" in loaded
    assert not (NEVER | LATE | unloaded) & loaded


def test_days_are_those_of_the_standard_library() -> None:
    import datetime

    assert days.date is datetime.date
    assert days.timedelta is datetime.timedelta
