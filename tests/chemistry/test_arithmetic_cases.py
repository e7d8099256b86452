"""The stored arithmetic cases: conversions, yields, balances, residual alkalinity, colour, blends.

How each kind's inputs are spelled is the cases' own; the figures come from the package.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import pytest

from waterlint.chemistry import Water, blend
from waterlint.chemistry.carbonate import split_alkalinity
from waterlint.chemistry.color import malt_color_units, morey_srm, srm_to_ebc
from waterlint.chemistry.ions import (
    CALCIUM_CARBONATE_EQUIVALENT,
    IONS,
    from_calcium_carbonate,
    hardness,
    ion_balance,
    reported_as,
    residual_alkalinity,
    residual_alkalinity_from_hardness,
)
from waterlint.chemistry.salts import alkalinity_yield, ion_yield

from .reference import case_id, cases

Figures = Mapping[str, float]

IONS_BY_FORMULA = {
    "Ca": "calcium",
    "Mg": "magnesium",
    "Na": "sodium",
    "K": "potassium",
    "Cl": "chloride",
    "SO4": "sulfate",
    "HCO3": "bicarbonate",
}
SALTS_BY_FORMULA = {
    "CaSO4.2H2O": "gypsum",
    "CaCl2.2H2O": "calcium_chloride_dihydrate",
    "MgSO4.7H2O": "epsom",
    "Ca(OH)2": "calcium_hydroxide",
    "MgCl2.6H2O": "magnesium_chloride_hexahydrate",
    "NaHCO3": "sodium_bicarbonate",
}
POUND, GALLON = 0.45359237, 3.785411784


def conversion(case: Any) -> Figures:
    value = case["inputs"]["value"]
    if value.startswith("NO3-N"):
        return {"NO3_mg_L": reported_as("NO3", "N", 10.0)}
    if value.startswith("SO4-S"):
        return {"SO4_mg_L": reported_as("SO4", "S", 10.0)}
    if "pH 9.0" in value:
        split = split_alkalinity(100.0, 9.0)
        return {"HCO3_mg_L": split.bicarbonate, "CO3_mg_L": split.carbonate}
    return {
        "HCO3_mg_L": from_calcium_carbonate("bicarbonate", 100.0),
        "mEq_L": 100.0 / CALCIUM_CARBONATE_EQUIVALENT,
    }


def yields(case: Any) -> Figures:
    given = case["inputs"]
    dose = given["mass_g"] / given["volume_L"]
    if given["salt"] == "K2S2O5 fully oxidised":
        found = ion_yield("potassium_metabisulfite")
        oxidised = IONS["sulfate"].molar_mass / IONS["sulfite"].molar_mass
        return {"K": dose * found["potassium"], "SO4": dose * found["sulfite"] * oxidised}
    name = SALTS_BY_FORMULA[given["salt"]]
    ions = ion_yield(name)
    alkalinity = dose * alkalinity_yield(name)
    named = {key: dose * ions[ion] for key, ion in IONS_BY_FORMULA.items() if ion in ions}
    return {
        **named,
        "alkalinity_mEq_L": alkalinity,
        "alkalinity_mg_L_CaCO3": alkalinity * CALCIUM_CARBONATE_EQUIVALENT,
        "HCO3": alkalinity * IONS["bicarbonate"].molar_mass,
    }


def balance(case: Any) -> Figures:
    named = {IONS_BY_FORMULA[key]: value for key, value in case["inputs"].items()}
    found = ion_balance(named)
    return {
        "cations_mEq_L": found.cations,
        "anions_mEq_L": found.anions,
        "percent_difference": found.percent_difference,
    }


def residual(case: Any) -> Figures:
    given = case["inputs"]
    if "KH_dH" in given:
        found = residual_alkalinity_from_hardness(given["KH_dH"], given["GH_dH"])
        return {"RA_dH_estimate": found}
    if "Ca_hardness_mg_L_CaCO3" in given:
        calcium = from_calcium_carbonate("calcium", given["Ca_hardness_mg_L_CaCO3"])
        magnesium = from_calcium_carbonate("magnesium", given["Mg_hardness_mg_L_CaCO3"])
    else:
        calcium, magnesium = given["Ca_mg_L"], given["Mg_mg_L"]
    return {
        "RA_mg_L_CaCO3": residual_alkalinity(given["alkalinity_mg_L_CaCO3"], calcium, magnesium)
    }


def color(case: Any) -> Figures:
    given = case["inputs"]
    if "MCU" in given:
        return {"SRM_morey": morey_srm(given["MCU"])}
    grist = [(pounds * POUND, lovibond) for pounds, lovibond in given["grist_lb_lovibond"]]
    mcu = malt_color_units(grist, given["volume_US_gal"] * GALLON)
    srm = morey_srm(mcu)
    return {"MCU": mcu, "SRM_morey": srm, "EBC": srm_to_ebc(srm)}


def mixture(case: Any) -> Figures:
    given = case["inputs"]
    if "RA_base_mg_L" in given:
        base = Water(alkalinity=given["RA_base_mg_L"], ph=8.0)
        share = given["fraction_base"]
        return {"RA_mg_L": blend([(base, share), (Water(), 1 - share)]).residual_alkalinity}
    parts = [
        (Water(sulfate=given[v]["SO4_mg_L"]), given[v]["volume_L"]) for v in ("mash", "sparge")
    ]
    whole = blend(parts)
    liters = sum(volume for _, volume in parts)
    dosed = whole.with_salts({"gypsum": 1000.0 * given["kettle_salt_g"]["CaSO4.2H2O"] / liters})
    return {"whole_batch_SO4_mg_L": dosed.sulfate, "Ca_added_mg_L": dosed.calcium}


def hardness_unit(case: Any) -> Figures:
    """Only what is chemistry's: grains, degrees and moles are the unit table's."""
    return {"mg_L_CaCO3": hardness(0.0, 10.0)}


KINDS: Mapping[str, Callable[[Any], Figures]] = {
    "alkalinity_conversion": conversion,
    "ion_yield": yields,
    "ion_balance": balance,
    "ra": residual,
    "color": color,
    "blend": mixture,
    "hardness_conversion": hardness_unit,
}
ELSEWHERE = {
    "hc-clark": "a unit's definition",
    "hc-fh": "a unit's definition",
    "hc-gpg": "a unit's definition",
    "hc-mmol": "a unit's definition",
    "ra-kolbach-slope": "wort's, and deliberately not used for the mash",
}
NO_FIGURE = {"not_this"}


@pytest.mark.parametrize(
    "case", [case for case in cases("arithmetic") if case["id"] not in ELSEWHERE], ids=case_id
)
def test_arithmetic(case: Any) -> None:
    found = KINDS[case["kind"]](case)
    for key, expected in case["expected"].items():
        if key in NO_FIGURE:
            assert abs(found["SRM_morey"] - expected) > 1.0
        else:
            assert found[key] == pytest.approx(expected, abs=case["tolerance"])


def test_what_is_left_out_exists() -> None:
    assert ELSEWHERE.keys() <= {case["id"] for case in cases("arithmetic")}
