"""A water: what is dissolved in it, its alkalinity and its carbon, from which its pH follows.

What adds up when waters meet is carried (ions, total alkalinity, inorganic carbon); what does
not (pH, bicarbonate, saturation) is worked out when it is asked for, once.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite

from waterlint.chemistry.acids import acid
from waterlint.chemistry.equilibria import TEMPERATURE_RANGE
from waterlint.chemistry.ions import (
    CALCIUM_CARBONATE_EQUIVALENT,
    IONS,
    IonBalance,
    hardness,
    ion_balance,
    residual_alkalinity,
)
from waterlint.chemistry.salts import salt
from waterlint.chemistry.speciation import PH_RANGE, Speciation, speciate
from waterlint.chemistry.species import CATIONS, FAMILIES, SPECTATORS
from waterlint.chemistry.sweep import Totals
from waterlint.hints import Final
from waterlint.records import Record, field

ION_NAMES: Final = (
    "calcium",
    "magnesium",
    "sodium",
    "potassium",
    "chloride",
    "sulfate",
    "nitrate",
    "lactate",
    "phosphate",
    "citrate",
    "sulfite",
)
"""The ions that a `Water` carries, in the order of its fields."""

_MOL_PER_MG = {name: 0.001 / IONS[name].molar_mass for name in ION_NAMES}
_BICARBONATE = 1000.0 * IONS["bicarbonate"].molar_mass
_CARBONATE = 1000.0 * IONS["carbonate"].molar_mass
_CARBON_DIOXIDE = 44009.0


class Water(Record, init=False, repr=False):
    """A water, unchangeable; what changes it gives a new one.

    Parameters
    ----------
    calcium, magnesium, sodium, potassium, chloride, sulfate, nitrate : float
        [mg/L]
    alkalinity : float
        Total alkalinity [mg/L as CaCO3]; may be negative.
    ph : float
        At `temperature`, closed to the air.
    temperature : float
        [degrees Celsius], 0 to 100.
    lactate, phosphate, citrate, sulfite : float
        [mg/L] of C3H5O3, PO4, C6H5O7, SO3.

    Attributes
    ----------
    dic : float
        Dissolved inorganic carbon [mmol/L].

    Raises
    ------
    ValueError
        If a figure is not finite, an ion negative, or pH or temperature out of range.

    Notes
    -----
    A liter is taken as a kilogram of water. Alkalinity counts from H2CO3*, H2PO4-, lactate-,
    H2 citrate-, HSO3-, SO4--. Constants, activity and ion pairs are those of PHREEQC's
    phreeqc.dat (`waterlint.chemistry.species`); nothing precipitates by itself; silica, borate
    and ammonia are ignored. Where alkalinity and pH contradict each other (no alkalinity, yet
    pH 9), there is no carbon and `ph` is that of the alkalinity.

    Examples
    --------
    >>> water = Water(calcium=42, magnesium=6, sodium=11, potassium=2, chloride=28, sulfate=24,
    ...               nitrate=4, alkalinity=96, ph=7.6)
    >>> round(water.bicarbonate, 1), round(water.calcite_saturation_index, 2)
    (115.9, -0.12)
    >>> round(water.with_acid("lactic", 0.8).ph, 2)
    6.42
    """

    calcium: float
    magnesium: float
    sodium: float
    potassium: float
    chloride: float
    sulfate: float
    nitrate: float
    lactate: float
    phosphate: float
    citrate: float
    sulfite: float
    alkalinity: float
    dic: float
    temperature: float
    _solved: list[Speciation] = field(compare=False)

    def __init__(
        self,
        calcium: float = 0.0,
        magnesium: float = 0.0,
        sodium: float = 0.0,
        potassium: float = 0.0,
        chloride: float = 0.0,
        sulfate: float = 0.0,
        nitrate: float = 0.0,
        alkalinity: float = 0.0,
        ph: float = 7.0,
        temperature: float = 25.0,
        lactate: float = 0.0,
        phosphate: float = 0.0,
        citrate: float = 0.0,
        sulfite: float = 0.0,
    ) -> None:
        ions = (calcium, magnesium, sodium, potassium, chloride, sulfate, nitrate)
        _store(self, (*ions, lactate, phosphate, citrate, sulfite), alkalinity, 0.0, temperature)
        if not PH_RANGE[0] < ph < PH_RANGE[1]:
            raise ValueError(f"ph must lie between {PH_RANGE[0]} and {PH_RANGE[1]}, got {ph}")
        solved = speciate(self.totals, temperature, ph=ph, alkalinity=_equivalents(self))
        object.__setattr__(self, "dic", 1000.0 * solved.dic)
        if abs(solved.alkalinity - _equivalents(self)) < 1e-9:
            self._solved.append(solved)

    @classmethod
    def from_carbon(
        cls,
        ions: Mapping[str, float],
        alkalinity: float,
        dic: float,
        temperature: float = 25.0,
    ) -> Water:
        """Make a water from what it carries instead of a pH.

        Parameters
        ----------
        ions : mapping of str to float
            [mg/L], by the names in `ION_NAMES`; absent ones are 0.
        alkalinity : float
            [mg/L as CaCO3]
        dic : float
            [mmol/L]
        temperature : float
            [degrees Celsius]

        Returns
        -------
        Water

        Raises
        ------
        ValueError
            As the class does, and for an unknown ion.
        """
        unknown = set(ions) - set(ION_NAMES)
        if unknown:
            raise ValueError(f"unknown ions: {', '.join(sorted(unknown))}")
        water = cls.__new__(cls)
        amounts = tuple(ions.get(name, 0.0) for name in ION_NAMES)
        _store(water, amounts, alkalinity, dic, temperature)
        return water

    def __repr__(self) -> str:
        shown = ", ".join(f"{name}={value:g}" for name, value in self.ions.items() if value)
        return (
            f"Water({shown + ', ' if shown else ''}alkalinity={self.alkalinity:g}, "
            f"ph={self.ph:.4g}, temperature={self.temperature:g})"
        )

    @property
    def ions(self) -> dict[str, float]:
        """The carried ions by name [mg/L], carbonate left out."""
        return {name: getattr(self, name) for name in ION_NAMES}

    @property
    def totals(self) -> Totals:
        """What there is, whatever it is bound to [mol/kg]."""
        return Totals(
            tuple(getattr(self, name) * _MOL_PER_MG[name] for name in CATIONS),
            (0.0, *(getattr(self, name) * _MOL_PER_MG[name] for name in FAMILIES[1:])),
            sum(self._spectators()),
        )

    @property
    def speciation(self) -> Speciation:
        """The solved equilibrium; worked out once."""
        if not self._solved:
            self._solved.append(
                speciate(
                    self.totals,
                    self.temperature,
                    dic=0.001 * self.dic,
                    alkalinity=_equivalents(self),
                )
            )
        return self._solved[0]

    @property
    def converged(self) -> bool:
        """Whether the equilibrium was found."""
        return self.speciation.converged

    @property
    def ph(self) -> float:
        """pH at `temperature`, closed to the air."""
        return self.speciation.ph

    @property
    def bicarbonate(self) -> float:
        """HCO3 with its ion pairs [mg/L]."""
        return _BICARBONATE * self.speciation.inorganic_carbon(1)

    @property
    def carbonate(self) -> float:
        """CO3 with its ion pairs [mg/L]."""
        return _CARBONATE * self.speciation.inorganic_carbon(0)

    @property
    def carbon_dioxide(self) -> float:
        """Dissolved CO2 and H2CO3 [mg/L of CO2]."""
        return _CARBON_DIOXIDE * self.speciation.inorganic_carbon(2)

    @property
    def ionic_strength(self) -> float:
        """[mol/L]"""
        return self.speciation.ionic_strength

    @property
    def calcite_saturation_index(self) -> float:
        """log10 of calcite's saturation at `temperature`; -99 without calcium or carbon."""
        return self.speciation.calcite_saturation_index

    @property
    def log10_pco2(self) -> float:
        """Pressure of CO2 that the water would hold [log10 atm]; -99 without carbon."""
        return self.speciation.log10_pco2

    @property
    def conductivity(self) -> float:
        """[uS/cm at 25 degrees Celsius]"""
        from waterlint.chemistry.conductivity import conductivity_at_25

        return conductivity_at_25(self.at_temperature(25.0).speciation, self._spectators())

    @property
    def hardness(self) -> float:
        """[mg/L as CaCO3]"""
        return hardness(self.calcium, self.magnesium)

    @property
    def residual_alkalinity(self) -> float:
        """Kolbach's [mg/L as CaCO3]."""
        return residual_alkalinity(self.alkalinity, self.calcium, self.magnesium)

    @property
    def dissolved_solids(self) -> float:
        """Sum of the ions, alkalinity counted as carbonate, as drying leaves it [mg/L]."""
        carbonate = IONS["carbonate"].equivalent_weight / CALCIUM_CARBONATE_EQUIVALENT
        return sum(self.ions.values()) + carbonate * max(0.0, self.alkalinity)

    @property
    def ion_balance(self) -> IonBalance:
        """Charge sums, alkalinity counted as anions [mEq/L]."""
        return ion_balance(self.ions, self.alkalinity)

    def at_temperature(self, temperature: float) -> Water:
        """The same water warmed or cooled [degrees Celsius], closed to the air."""
        if temperature == self.temperature:
            return self
        return Water.from_carbon(self.ions, self.alkalinity, self.dic, temperature)

    def with_acid(self, name: str, dose: float) -> Water:
        """Add an acid.

        Parameters
        ----------
        name : str
            lactic, phosphoric, hydrochloric, sulfuric or citric.
        dose : float
            [mmol/L]

        Returns
        -------
        Water

        Raises
        ------
        ValueError
            If the acid is unknown, or the dose negative or not finite.
        """
        found = acid(name)
        return self._with({found.anion: _dose(name, dose)}, found.alkalinity * dose, 0.0)

    def with_base(self, name: str, dose: float) -> Water:
        """Add a base [mmol/L]: a compound of `SALTS` with alkalinity, such as calcium_hydroxide.

        Raises
        ------
        ValueError
            If the base is unknown or no base, or the dose negative or not finite.
        """
        found = salt(name)
        if not found.alkalinity:
            raise ValueError(f"{name} is no base")
        _dose(name, dose)
        return self._with(
            {ion: count * dose for ion, count in found.ions.items()},
            found.alkalinity * dose,
            found.inorganic_carbon * dose,
        )

    def with_salts(self, doses: Mapping[str, float]) -> Water:
        """Add salts that dissolve wholly, closed to the air.

        Parameters
        ----------
        doses : mapping of str to float
            [mg/L], by the names in `SALTS`.

        Returns
        -------
        Water

        Raises
        ------
        ValueError
            If a salt is unknown, or a dose negative or not finite.

        Examples
        --------
        >>> round(Water(ph=7.0).with_salts({"gypsum": 100.0}).calcium, 2)
        23.28
        """
        ions: dict[str, float] = {}
        alkalinity = carbon = 0.0
        for name, dose in doses.items():
            found = salt(name)
            amount = _dose(name, dose) / found.molar_mass
            for ion, count in found.ions.items():
                ions[ion] = ions.get(ion, 0.0) + count * amount
            alkalinity += found.alkalinity * amount
            carbon += found.inorganic_carbon * amount
        return self._with(ions, alkalinity, carbon)

    def _with(self, ions: Mapping[str, float], alkalinity: float, carbon: float) -> Water:
        """Add ions [mmol/L], alkalinity [mEq/L] and carbon [mmol/L]."""
        total = self.ions
        for name, amount in ions.items():
            total[name] += amount * IONS[name].molar_mass
        return Water.from_carbon(
            total,
            self.alkalinity + alkalinity * CALCIUM_CARBONATE_EQUIVALENT,
            max(0.0, self.dic + carbon),
            self.temperature,
        )

    def _spectators(self) -> tuple[float, ...]:
        return tuple(getattr(self, name) * _MOL_PER_MG[name] for name in SPECTATORS)


def _store(
    water: Water, ions: tuple[float, ...], alkalinity: float, dic: float, temperature: float
) -> None:
    """Check the figures and put them into a new water."""
    for name, value in zip(ION_NAMES, ions, strict=True):
        if not (isfinite(value) and value >= 0.0):
            raise ValueError(f"{name} must be finite and not negative, got {value}")
        object.__setattr__(water, name, float(value))
    if not isfinite(alkalinity):
        raise ValueError(f"alkalinity must be finite, got {alkalinity}")
    if not (isfinite(dic) and dic >= 0.0):
        raise ValueError(f"dic must be finite and not negative, got {dic}")
    if not TEMPERATURE_RANGE[0] <= temperature <= TEMPERATURE_RANGE[1]:
        raise ValueError(f"temperature must lie between 0 and 100, got {temperature}")
    object.__setattr__(water, "alkalinity", float(alkalinity))
    object.__setattr__(water, "dic", float(dic))
    object.__setattr__(water, "temperature", float(temperature))
    object.__setattr__(water, "_solved", [])


def _equivalents(water: Water) -> float:
    """The water's alkalinity [Eq/kg]."""
    return 0.001 * water.alkalinity / CALCIUM_CARBONATE_EQUIVALENT


def _dose(name: str, dose: float) -> float:
    if not (isfinite(dose) and dose >= 0.0):
        raise ValueError(f"the dose of {name} must be finite and not negative, got {dose}")
    return dose
