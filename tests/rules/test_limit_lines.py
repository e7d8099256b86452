"""The limits that a rule's documentation lists: the general ones, then those by style."""

from __future__ import annotations

import pytest

from waterlint.catalog.emphasis import LIKE, RANGES
from waterlint.catalog.limits import of_rule
from waterlint.rules.limit_lines import lines
from waterlint.rules.registry import all_rules


@pytest.mark.parametrize(
    ("ion", "styled"),
    [
        ("calcium", True),
        ("magnesium", False),
        ("sodium", True),
        ("potassium", False),
        ("chloride", False),
        ("sulfate", True),
    ],
)
def test_ions_that_styles_have_a_range_of(ion: str, styled: bool) -> None:
    limits = all_rules()[f"batch-{ion}"].limits
    assert any(line.startswith("styles like ") for line in limits) is styled


@pytest.mark.parametrize("quantity", ["calcium", "sodium", "sulfate", "mash_ph"])
def test_each_range_of_styles_is_listed_once_with_all_that_have_it(quantity: str) -> None:
    rule = {"mash_ph": "mash-ph"}.get(quantity, f"batch-{quantity}")
    general, found = lines(rule), lines(rule, quantity)
    assert general == tuple(limit.line for limit in of_rule(rule))
    assert found[: len(general)] == general
    styled = found[len(general) :]
    ranges = {emphasis: each[quantity] for emphasis, each in RANGES.items() if quantity in each}
    assert len(styled) == len(set(ranges.values()))
    for emphasis, limit in ranges.items():
        (line,) = [line for line in styled if LIKE[emphasis][0] in line.partition(":")[0]]
        assert line.endswith(f": {limit.line}")
