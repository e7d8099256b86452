"""Reference waters computed with PHREEQC, put through whole recipes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from waterlint.model.recipe import Addition
from waterlint.prediction.result import WaterFigures

from .brew import add, analysis, brew, report, vessel

_CASES = json.loads((Path(__file__).parent / "data" / "phreeqc-waters.json").read_text("utf-8"))

_IONS = {
    "Ca": "calcium",
    "Mg": "magnesium",
    "Na": "sodium",
    "K": "potassium",
    "Cl": "chloride",
    "SO4": "sulfate",
    "NO3": "nitrate",
    "HCO3": "bicarbonate",
}

_SALTS = {
    "gypsum": ("gypsum", None),
    "epsom": ("epsom-salt", None),
    "sodium_bicarbonate": ("baking-soda", None),
    "sodium_chloride": ("table-salt", None),
    "calcium_hydroxide": ("pickling-lime", None),
    "magnesium_chloride_hexahydrate": ("magnesium-chloride", "hexahydrate"),
    "calcium_chloride_dihydrate": ("calcium-chloride", "dihydrate"),
    "potassium_bicarbonate": ("potassium-bicarbonate", None),
}


def _cases(kind: str) -> list[Any]:
    return [pytest.param(case, id=case["id"]) for case in _CASES if case["kind"] == kind]


def _report(water: dict[str, Any]) -> Any:
    ions = {name: float(water[key]) for key, name in _IONS.items() if key != "HCO3"}
    return report(analysis(ions, alkalinity=float(water["alk_caco3"]), ph=float(water["pH"])))


def _agrees(case: dict[str, Any], water: WaterFigures | None) -> None:
    assert water is not None and water.ph is not None
    assert water.conductivity is not None and water.ionic_strength is not None
    found = {
        "pH": water.ph.value,
        "alk_caco3": water.alkalinity.value,
        "ra_caco3": water.residual_alkalinity.value,
        "si_calcite": water.calcite_saturation_index,
        "ec_us_cm": water.conductivity,
        "ionic_strength_mmol": 1000.0 * water.ionic_strength,
    }
    found |= {key: water.ions[name].value for key, name in _IONS.items()}
    compared = [key for key in case["expected"] if key in found]
    assert len(compared) >= 5
    for key in compared:
        allowed = case["tolerance"][key]
        expected = pytest.approx(
            case["expected"][key], rel=allowed.get("rel", 0.0), abs=allowed.get("abs", 0.0)
        )
        assert found[key] == expected, key


@pytest.mark.parametrize("case", _cases("source_water"))
def test_source_water(case: dict[str, Any]) -> None:
    predicted = brew(vessel("mash", 10.0), tap=_report(case["inputs"]["water"]))
    _agrees(case, predicted.mash_water)


@pytest.mark.parametrize("case", _cases("blend"))
def test_blend_in_one_vessel_and_of_two(case: dict[str, Any]) -> None:
    inputs = case["inputs"]
    share = inputs["fraction_1"]
    waters = {"first": _report(inputs["water_1"]), "second": _report(inputs["water_2"])}
    blended = brew(vessel("sparge", 20.0, ("first", share), ("second", 1.0 - share)), waters=waters)
    _agrees(case, blended.sparge_water)
    apart = brew(
        vessel("mash", 20.0 * share, ("first", 1.0)),
        vessel("sparge", 20.0 * (1.0 - share), ("second", 1.0)),
        waters=waters,
    )
    _agrees(case, apart.batch_water)


# A recipe counts chalk by its credit, or as dissolved by carbon dioxide: no closed case of either.
_CHALK = "calcium_carbonate"


@pytest.mark.parametrize(
    "case",
    [each for each in _cases("salt_addition") if _CHALK not in each.values[0]["inputs"]["salts_g"]],
)
def test_salt_addition(case: dict[str, Any]) -> None:
    inputs = case["inputs"]
    additions: list[Addition] = []
    for place, (salt, grams) in enumerate(inputs["salts_g"].items()):
        name, form = _SALTS[salt]
        additions.append(add(place, name, form, mash=(grams, "g")))
    predicted = brew(
        vessel("mash", float(inputs["volume_l"])),
        additions=tuple(additions),
        tap=_report(inputs["water"]),
    )
    _agrees(case, predicted.mash_water)


@pytest.mark.parametrize("case", _cases("acid_dose"))
def test_acid_dose(case: dict[str, Any]) -> None:
    inputs = case["inputs"]
    # 12 L, acid of 20 %: five grams of it for each of the pure acid
    grams = 12.0 * 5.0 * inputs["dose_g_per_l"]
    acid = add(0, f"{inputs['acid']}-acid", strength=20.0, sparge=(grams, "g"))
    predicted = brew(vessel("sparge", 12.0), additions=(acid,), tap=_report(inputs["water"]))
    _agrees(case, predicted.sparge_water)
