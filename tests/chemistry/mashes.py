"""The measured mashes as the model's inputs, with the malts' own figures or class defaults."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from waterlint.chemistry.malts import MaltTerm, malt_term
from waterlint.chemistry.mash import MashInputs

from .reference import cases

MILL_GAPS: Mapping[str, float | None] = {
    "pulverised": 0.0,
    "0.5 mm": 0.5,
    "0.8 mm": 0.8,
    "1.2 mm": 1.2,
    "crushed": None,
}
BASE_KINDS = {
    "pilsner": "pilsner",
    "munich": "munich",
    "vienna": "vienna",
    "two": "two-row",
    "pale": "pale",
}


def rows() -> list[Any]:
    return cases("measured-mashes")


def in_brewing_range(given: Mapping[str, Any]) -> bool:
    """Alkalinity -2 to 5.5 mEq/L, calcium to 160 and magnesium to 98 mg/L; all dissolved."""
    return (
        -2.0 <= given["alk_mEq_L"] <= 5.5
        and given["Ca_mEq_L"] * 20.039 <= 160.0
        and given["Mg_mEq_L"] * 12.1525 <= 98.0
        and given.get("chalk") != "suspended"
        and "NaOH_mEq_L" not in given
    )


def brewing_rows() -> list[Any]:
    return [row for row in rows() if in_brewing_range(row["inputs"])]


def _term(malt: Mapping[str, Any], own: bool) -> MaltTerm:
    words = malt["malt"].split("-")
    color = next((float(word) for word in words if word.isdigit()), None)
    kind = BASE_KINDS[words[0]] if malt["kind"] == "base" else malt["kind"]
    if not own:
        found = malt_term(kind, malt["share"], color=color)
    elif malt["kind"] == "base":
        found = malt_term(kind, malt["share"], di_ph=malt["di_ph_at_4_l_per_kg"])
    else:
        acidity = malt["acidity_to_ph_5_7_meq_per_kg"]
        buffer = acidity / (5.7 - malt["di_ph_at_8_l_per_kg"])
        found = malt_term(kind, malt["share"], acidity=acidity, buffer=buffer)
    assert found is not None
    return found


def mash_of(given: Mapping[str, Any], own: bool = True) -> MashInputs:
    """A row's mash, of one kilogram of grist."""
    suspended = given.get("chalk") == "suspended"
    thickness = given["R_L_per_kg"]
    return MashInputs(
        tuple(_term(malt, own) for malt in given["grist"]),
        volume=thickness,
        alkalinity=0.0 if suspended else given["alk_mEq_L"],
        calcium=0.0 if suspended else given["Ca_mEq_L"],
        magnesium=given["Mg_mEq_L"],
        acids={"phosphoric": given.get("H3PO4_mmol_per_kg", 0.0) / thickness},
        undissolved_chalk=given["chalk_mg_L"] if suspended else 0.0,
        mill_gap=MILL_GAPS[given["grind"]],
    )
