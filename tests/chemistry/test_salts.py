"""Salts: charge kept, yields, alkalinity."""

from __future__ import annotations

import pytest

from waterlint.chemistry.formulas import elements
from waterlint.chemistry.ions import IONS, to_milliequivalents
from waterlint.chemistry.salts import SALTS, alkalinity_yield, ion_yield, salt

SYMBOLS = {"calcium": "Ca", "magnesium": "Mg", "sodium": "Na", "potassium": "K", "chloride": "Cl"}


@pytest.mark.parametrize("name", sorted(SALTS))
def test_charge_is_kept(name: str) -> None:
    """Cations less anions is what the salt brings as alkalinity."""
    found = SALTS[name]
    charge = sum(IONS[ion].charge * count for ion, count in found.ions.items())
    assert charge == found.alkalinity


STEMS = {
    "calcium_chloride": "CaCl2",
    "calcium_sulfate": "CaSO4",
    "magnesium_chloride": "MgCl2",
    "magnesium_sulfate": "MgSO4",
    "sodium_sulfate": "Na2SO4",
    "potassium_chloride": "KCl",
    "sodium_chloride": "NaCl",
    "calcium_carbonate": "CaCO3",
    "sodium_carbonate": "Na2CO3",
    "potassium_bicarbonate": "KHCO3",
    "sodium_bicarbonate": "NaHCO3",
    "calcium_hydroxide": "Ca(OH)2",
    "magnesium_hydroxide": "Mg(OH)2",
    "potassium_hydroxide": "KOH",
    "sodium_hydroxide": "NaOH",
    "potassium_metabisulfite": "K2S2O5",
    "sodium_metabisulfite": "Na2S2O5",
}
WATERS = {
    "": "",
    "_anhydrous": "",
    "_monohydrate": ".H2O",
    "_dihydrate": ".2H2O",
    "_hexahydrate": ".6H2O",
    "_decahydrate": ".10H2O",
}
SHORT = {
    "gypsum": "CaSO4.2H2O",
    "epsom": "MgSO4.7H2O",
    "calcium_sulfate_hemihydrate": "Ca2S2O8.H2O",
}


@pytest.mark.parametrize("name", sorted(SALTS))
def test_the_name_says_the_formula(name: str) -> None:
    named = {stem + tail: STEMS[stem] + WATERS[tail] for stem in STEMS for tail in WATERS} | SHORT
    assert (SALTS[name].name, SALTS[name].formula) == (name, named[name])


def test_every_salt_has_a_name_of_its_own() -> None:
    assert len(SALTS) == 26


@pytest.mark.parametrize("name", sorted(SALTS))
def test_ions_agree_with_the_formula(name: str) -> None:
    found = SALTS[name]
    atoms = elements(found.formula)
    for ion, symbol in SYMBOLS.items():
        assert found.ions.get(ion, 0) == atoms.get(symbol, 0)
    assert atoms.get("S", 0) == found.ions.get("sulfate", 0) + found.ions.get("sulfite", 0)
    assert atoms.get("C", 0) == found.inorganic_carbon


@pytest.mark.parametrize(
    "name, expected",
    [
        ("gypsum", {"calcium": 232.79, "sulfate": 557.93}),
        ("calcium_chloride_anhydrous", {"calcium": 361.13, "chloride": 638.87}),
        ("calcium_chloride_dihydrate", {"calcium": 272.62, "chloride": 482.29}),
        ("epsom", {"magnesium": 98.61, "sulfate": 389.73}),
        ("magnesium_chloride_hexahydrate", {"magnesium": 119.56, "chloride": 348.75}),
        ("sodium_chloride", {"sodium": 393.39, "chloride": 606.61}),
        ("sodium_sulfate_anhydrous", {"sodium": 323.72, "sulfate": 676.28}),
        ("potassium_chloride", {"potassium": 524.47, "chloride": 475.53}),
    ],
)
def test_ion_yield(name: str, expected: dict[str, float]) -> None:
    assert ion_yield(name) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(
    "name, expected",
    [
        ("sodium_bicarbonate", 11.904),
        ("potassium_bicarbonate", 9.989),
        ("calcium_carbonate", 19.983),
        ("calcium_hydroxide", 26.993),
        ("gypsum", 0.0),
    ],
)
def test_alkalinity_yield(name: str, expected: float) -> None:
    assert alkalinity_yield(name) == pytest.approx(expected, abs=0.001)


def test_hydrates_differ_by_their_water_only() -> None:
    dry, wet = ion_yield("calcium_chloride_anhydrous"), ion_yield("calcium_chloride_dihydrate")
    assert dry["calcium"] / wet["calcium"] == pytest.approx(147.008 / 110.978, rel=1e-4)
    assert to_milliequivalents("calcium", wet["calcium"]) == pytest.approx(
        to_milliequivalents("chloride", wet["chloride"])
    )


def test_unknown_salt_lists_the_known() -> None:
    with pytest.raises(ValueError, match=r"unknown salt 'halite'; known are .*gypsum"):
        salt("halite")
