"""Salts and bases: what a gram of each leaves in water that dissolves it wholly.

The keys are names of chemistry, not of trade; a catalogue maps what brewers call things to
them. Molar masses and yields follow from the formulas by arithmetic.

Alkalinity counts from the zero level H2CO3*, H2PO4-, lactate-, H2 citrate-, HSO3-, SO4--.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from waterlint.chemistry.formulas import molar_mass
from waterlint.chemistry.ions import IONS
from waterlint.hints import Final, NamedTuple


class Salt(NamedTuple):
    """One pure compound.

    Attributes
    ----------
    name : str
        Key in `SALTS`.
    formula : str
    molar_mass : float
        [g/mol]
    ions : mapping of str to float
        [mol/mol], carbonate left out: it is told by `alkalinity` and `inorganic_carbon`.
    alkalinity : float
        [Eq/mol]
    inorganic_carbon : float
        [mol/mol]
    """

    name: str
    formula: str
    molar_mass: float
    ions: Mapping[str, float]
    alkalinity: float = 0.0
    inorganic_carbon: float = 0.0


def _salt(
    name: str,
    formula: str,
    ions: dict[str, float],
    alkalinity: float = 0.0,
    inorganic_carbon: float = 0.0,
) -> Salt:
    return Salt(
        name, formula, molar_mass(formula), MappingProxyType(ions), alkalinity, inorganic_carbon
    )


_ALL = (
    _salt("gypsum", "CaSO4.2H2O", {"calcium": 1, "sulfate": 1}),
    _salt("calcium_sulfate_hemihydrate", "Ca2S2O8.H2O", {"calcium": 2, "sulfate": 2}),
    _salt("calcium_sulfate_anhydrous", "CaSO4", {"calcium": 1, "sulfate": 1}),
    _salt("calcium_chloride_anhydrous", "CaCl2", {"calcium": 1, "chloride": 2}),
    _salt("calcium_chloride_monohydrate", "CaCl2.H2O", {"calcium": 1, "chloride": 2}),
    _salt("calcium_chloride_dihydrate", "CaCl2.2H2O", {"calcium": 1, "chloride": 2}),
    _salt("calcium_chloride_hexahydrate", "CaCl2.6H2O", {"calcium": 1, "chloride": 2}),
    _salt("epsom", "MgSO4.7H2O", {"magnesium": 1, "sulfate": 1}),
    _salt("magnesium_sulfate_monohydrate", "MgSO4.H2O", {"magnesium": 1, "sulfate": 1}),
    _salt("magnesium_sulfate_anhydrous", "MgSO4", {"magnesium": 1, "sulfate": 1}),
    _salt("magnesium_chloride_hexahydrate", "MgCl2.6H2O", {"magnesium": 1, "chloride": 2}),
    _salt("magnesium_chloride_anhydrous", "MgCl2", {"magnesium": 1, "chloride": 2}),
    _salt("sodium_chloride", "NaCl", {"sodium": 1, "chloride": 1}),
    _salt("potassium_chloride", "KCl", {"potassium": 1, "chloride": 1}),
    _salt("sodium_sulfate_anhydrous", "Na2SO4", {"sodium": 2, "sulfate": 1}),
    _salt("sodium_sulfate_decahydrate", "Na2SO4.10H2O", {"sodium": 2, "sulfate": 1}),
    _salt("sodium_bicarbonate", "NaHCO3", {"sodium": 1}, 1, 1),
    _salt("potassium_bicarbonate", "KHCO3", {"potassium": 1}, 1, 1),
    _salt("sodium_carbonate", "Na2CO3", {"sodium": 2}, 2, 1),
    _salt("calcium_carbonate", "CaCO3", {"calcium": 1}, 2, 1),
    _salt("calcium_hydroxide", "Ca(OH)2", {"calcium": 1}, 2),
    _salt("magnesium_hydroxide", "Mg(OH)2", {"magnesium": 1}, 2),
    _salt("sodium_hydroxide", "NaOH", {"sodium": 1}, 1),
    _salt("potassium_hydroxide", "KOH", {"potassium": 1}, 1),
    _salt("sodium_metabisulfite", "Na2S2O5", {"sodium": 2, "sulfite": 2}),
    _salt("potassium_metabisulfite", "K2S2O5", {"potassium": 2, "sulfite": 2}),
)

SALTS: Final[Mapping[str, Salt]] = MappingProxyType({salt.name: salt for salt in _ALL})
"""Salts and bases by name. Metabisulfite is counted as the bisulfite that water makes of it,
before any chlorine is met."""


def salt(name: str) -> Salt:
    """Look a salt up.

    Raises
    ------
    ValueError
        If the name is unknown; it lists what is known.

    Examples
    --------
    >>> round(salt("gypsum").molar_mass, 2)
    172.16
    """
    try:
        return SALTS[name]
    except KeyError:
        raise ValueError(f"unknown salt {name!r}; known are {', '.join(sorted(SALTS))}") from None


def ion_yield(name: str) -> dict[str, float]:
    """What one gram of a salt gives [mg ion per g], carbonate left out.

    Parameters
    ----------
    name : str
        Key in `SALTS`.

    Returns
    -------
    dict of str to float
        [mg/g], which is mg/L for 1 g/L.

    Raises
    ------
    ValueError
        If the salt is unknown.

    Examples
    --------
    >>> {ion: round(value, 2) for ion, value in ion_yield("gypsum").items()}
    {'calcium': 232.79, 'sulfate': 557.93}
    """
    found = salt(name)
    return {
        ion: 1000.0 * count * IONS[ion].molar_mass / found.molar_mass
        for ion, count in found.ions.items()
    }


def alkalinity_yield(name: str) -> float:
    """Alkalinity of one gram of a salt that dissolves wholly [mEq/g].

    Raises
    ------
    ValueError
        If the salt is unknown.

    Examples
    --------
    >>> round(alkalinity_yield("calcium_hydroxide"), 3)
    26.993
    """
    found = salt(name)
    return 1000.0 * found.alkalinity / found.molar_mass
