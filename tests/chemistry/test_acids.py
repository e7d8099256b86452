"""The acids: what a mole of each is, and how many of its protons are given whatever the pH."""

from __future__ import annotations

from math import log10

import pytest

from waterlint.chemistry.acids import ACIDS, acid


@pytest.mark.parametrize(
    ("name", "mass", "anion", "alkalinity", "exponents", "strong"),
    [
        ("lactic", 90.078, "lactate", -1.0, [3.86], 0),
        ("phosphoric", 97.994, "phosphate", -1.0, [2.168, 7.207, 12.346], 0),
        ("hydrochloric", 36.458, "chloride", -1.0, [], 1),
        ("sulfuric", 98.072, "sulfate", -2.0, [], 2),
        ("citric", 192.123, "citrate", -1.0, [3.128, 4.761, 6.396], 0),
    ],
)
def test_acids(name: str, mass: float, anion: str, alkalinity: float, exponents, strong) -> None:
    found = acid(name)
    assert found.molar_mass == pytest.approx(mass, abs=0.01)
    assert (found.anion, found.alkalinity, found.strong_protons) == (anion, alkalinity, strong)
    assert [-log10(each) for each in found.constants] == pytest.approx(exponents)


def test_there_are_no_others() -> None:
    assert len(ACIDS) == 5
