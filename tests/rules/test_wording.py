"""Figures as sentences show them, worked by hand."""

from __future__ import annotations

import pytest

from waterlint.rules.wording import apart, listed, lowest, number, spread_clause


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [
        (0.0, 3, "0"),
        (1.0, 3, "1"),
        (0.5, 3, "0.5"),
        (9.996, 3, "10"),
        (12.34, 3, "12.3"),
        (12.34, 2, "12"),
        (100.0, 3, "100"),
        (1200.0, 2, "1200"),
        (1234.56, 3, "1235"),
        (0.001234, 2, "0.0012"),
        (-7.0, 3, "−7"),
        (-0.25, 1, "−0.2"),
        (-12.34, 4, "−12.34"),
    ],
)
def test_significant_digits(value: float, digits: int, shown: str) -> None:
    assert number(value, digits) == shown


def test_three_digits_are_usual() -> None:
    assert (number(1.23456), apart(1.23456, 2.0)) == ("1.23", "1.23")


@pytest.mark.parametrize(
    ("value", "limit", "digits", "shown"),
    [
        (10.004, 10.0, 3, "10.004"),
        (9.996, 10.0, 3, "9.996"),
        (10.4, 10.0, 2, "10.4"),
        (10.0, 10.0, 3, "10"),
        (1.00000001, 1.0, 3, "1.00000001"),
        (1.000000001, 1.0, 3, "1"),  # nine digits are enough for anyone
    ],
)
def test_a_figure_is_told_apart_from_its_limit(
    value: float, limit: float, digits: int, shown: str
) -> None:
    assert apart(value, limit, digits) == shown


@pytest.mark.parametrize(
    ("value", "sd", "limit", "reaches"),
    [
        (52.0, 4.0, 50.0, " Its stated spread, 48 to 56 mg/L, reaches across the limit."),
        (2.0, 4.0, 5.0, " Its stated spread, 0 to 6 mg/L, reaches across the limit."),
        (52.0, 2.0, 50.0, ""),
        (48.0, 2.0, 50.0, ""),
        (47.5, 2.0, 50.0, ""),
        (52.0, 0.0, 50.0, ""),
        (52.0, None, 50.0, ""),
    ],
)
def test_a_spread_that_reaches_across(
    value: float, sd: float | None, limit: float, reaches: str
) -> None:
    assert spread_clause(value, sd, limit, "mg/L") == reaches


def test_an_amount_is_not_less_than_nothing() -> None:
    assert lowest(3.0, 10.0, "mg/L") == 0.0
    assert lowest(3.0, 2.5, "mg/L") == 0.5
    assert lowest(3.0, 10.0, "mg/L as CaCO3") == -7.0


@pytest.mark.parametrize(
    ("words", "sentence"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")],
)
def test_words_in_a_sentence(words: list[str], sentence: str) -> None:
    assert listed(words) == sentence


def test_another_last_word() -> None:
    assert listed(["a", "b"], "or") == "a or b"
