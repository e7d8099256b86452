"""Formulas and weights, against an independent library."""

from __future__ import annotations

import periodictable
import pytest

from waterlint.chemistry.acids import ACIDS
from waterlint.chemistry.formulas import ATOMIC_WEIGHTS, elements, molar_mass
from waterlint.chemistry.ions import IONS
from waterlint.chemistry.salts import SALTS


@pytest.mark.parametrize("symbol", sorted(ATOMIC_WEIGHTS))
def test_atomic_weight(symbol: str) -> None:
    assert ATOMIC_WEIGHTS[symbol] == pytest.approx(
        periodictable.elements.symbol(symbol).mass, rel=3e-5
    )


FORMULAS = sorted(
    {salt.formula for salt in SALTS.values()}
    | {acid.formula for acid in ACIDS.values()}
    | {ion.formula for ion in IONS.values()}
)


@pytest.mark.parametrize("formula", FORMULAS)
def test_molar_mass(formula: str) -> None:
    head, *waters = formula.split(".")
    spelled = head + "".join(f"+{water}" for water in waters)
    assert molar_mass(formula) == pytest.approx(periodictable.formula(spelled).mass, rel=3e-5)


@pytest.mark.parametrize(
    "formula, expected",
    [
        ("Ca(OH)2", {"Ca": 1, "O": 2, "H": 2}),
        ("MgSO4.7H2O", {"Mg": 1, "S": 1, "O": 11, "H": 14}),
        ("Ca3(PO4)2", {"Ca": 3, "P": 2, "O": 8}),
        ("Ca2S2O8.H2O", {"Ca": 2, "S": 2, "O": 9, "H": 2}),
    ],
)
def test_elements(formula: str, expected: dict[str, int]) -> None:
    assert elements(formula) == expected


@pytest.mark.parametrize(
    "formula", ["", "Xx2", "Ca(OH", "CaOH)2", "ca", "Ca O", "Ca.", "2Ca", "Ca()2"]
)
def test_unreadable(formula: str) -> None:
    with pytest.raises(ValueError, match=r"formula|weight|parentheses"):
        elements(formula)
