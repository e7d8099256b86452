"""Which figures rest on a slip of a digit, and which beside them do not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from waterlint.rules.doubt import is_doubtful
from waterlint.rules.samples import recipe, report

from .figured import case_of, off
from .making import recipe_case, report_case

ALL = (
    ("mash_ph", "mash"),
    *((ion, vessel) for ion in ("calcium", "magnesium", "sodium") for vessel in ("mash", "batch")),
    ("chloride", "batch"),
    ("sulfate", "batch"),
    ("sulfate", "sparge"),
    ("alkalinity", "batch"),
    ("bicarbonate", "batch"),
    ("residual_alkalinity", "mash"),
    ("chloride_to_sulfate", "batch"),
)


def _doubtful(*changes: str, **given: object) -> set[str]:
    case = case_of(*changes, **given)  # type: ignore[arg-type]
    return {f"{name} {vessel}" for name, vessel in ALL if is_doubtful(case, name, vessel)}


# More than 3 g/L of one salt is a slip: 45 g in the mash, 40.5 g in the sparge, 60 g in the batch.
@pytest.mark.parametrize(
    ("addition", "expected"),
    [
        ("epsom-salt, mash: 45 g", set()),
        (
            "epsom-salt, mash: 45.1 g",
            {
                *(
                    "magnesium mash",
                    "magnesium batch",
                    "sulfate batch",
                    "chloride_to_sulfate batch",
                ),
                *("mash_ph mash", "residual_alkalinity mash"),
            },
        ),
        (
            "gypsum, mash: 46 g",
            {
                *("calcium mash", "calcium batch", "sulfate batch", "chloride_to_sulfate batch"),
                *("mash_ph mash", "residual_alkalinity mash"),
            },
        ),
        (
            "table-salt, mash: 46 g",
            {"sodium mash", "sodium batch", "chloride batch", "chloride_to_sulfate batch"},
        ),
        (
            "baking-soda, mash: 46 g",
            {
                *("sodium mash", "sodium batch", "alkalinity batch", "bicarbonate batch"),
                *("mash_ph mash", "residual_alkalinity mash"),
            },
        ),
        # Nothing of it is in the mash, and the smallest water decides how much is a slip.
        ("epsom-salt, sparge: 40.5 g", set()),
        (
            "epsom-salt, sparge: 40.6 g",
            {"magnesium batch", "sulfate sparge", "sulfate batch", "chloride_to_sulfate batch"},
        ),
        ("table-salt, kettle: 60 g", set()),
        (
            "table-salt, kettle: 60.1 g",
            {"sodium batch", "chloride batch", "chloride_to_sulfate batch"},
        ),
        # An acid is judged by its ion.
        ("lactic-acid, strength: 80 %, mash: 60 g", set()),
    ],
)
def test_a_dose_spoils_what_it_brings(addition: str, expected: set[str]) -> None:
    assert _doubtful(f"additions: [{{add: {addition}}}]") == expected


def test_one_slip_spoils_no_figure_that_another_dose_brings() -> None:
    text = "additions:\n  - {add: epsom-salt, mash: 1 g}\n  - {add: table-salt, mash: 46 g}"
    assert "magnesium batch" not in _doubtful(text)
    assert "sodium batch" in _doubtful(text)


@pytest.mark.parametrize(("volume", "slips"), [("6.7 L", True), ("6.75 L", False), ("55 L", True)])
def test_a_thickness_spoils_all_but_the_sparge(volume: str, slips: bool) -> None:
    found = _doubtful(f"  mash: {{volume: {volume}, from: ./well.yaml}}")
    every = {f"{name} {vessel}" for name, vessel in ALL}
    assert found == (every - {"sulfate sparge"} if slips else set())


def test_without_the_rule_nothing_is_doubtful() -> None:
    silent = off("implausible-quantity")
    assert not _doubtful("additions: [{add: epsom-salt, mash: 90 g}]", settings=silent)
    assert not _doubtful("  mash: {volume: 6 L, from: ./well.yaml}", settings=silent)


def test_without_figures_nothing_is_doubtful() -> None:
    assert not is_doubtful(report_case(report()), "calcium", "batch")
    case = case_of("additions: [{add: epsom-salt, mash: 90 g}]")
    assert not is_doubtful(replace(case, prediction=None), "magnesium", "batch")
    assert not is_doubtful(case, "nothing-known", "batch")


def test_a_vessel_that_is_not_there_holds_no_slip() -> None:
    text = recipe("additions: [{add: epsom-salt, mash: 90 g}]", without=["  sparge", "sparge"])
    case = recipe_case(text, {"well.yaml": report()})
    assert is_doubtful(case, "magnesium", "batch")
    assert not is_doubtful(case, "magnesium", "sparge")


def test_a_slip_that_nobody_is_told_makes_nothing_doubtful() -> None:
    """An exception says that it is meant, and a baseline may know it: then its figures count."""
    slip = "additions:\n  - {add: epsom-salt, mash: 45.1 g}"
    assert "magnesium batch" in _doubtful(slip)
    assert "magnesium batch" in _doubtful(slip + "  # waterlint: accept narrow-pass because so")
    excused = slip + "  # waterlint: accept implausible-quantity because it is meant"
    assert _doubtful(excused) == set()
    known = replace(case_of(slip), has_baseline=True)
    assert not is_doubtful(known, "magnesium", "batch")
