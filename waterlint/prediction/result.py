"""What is predicted for a recipe: water of each vessel, of the whole batch, and the mash pH."""

from __future__ import annotations

from collections.abc import Mapping
from math import inf

from waterlint.hints import TYPE_CHECKING
from waterlint.prediction.deferred import Deferred, IonFigures
from waterlint.records import Record, field

if TYPE_CHECKING:
    from waterlint.chemistry.proton_balance import MashBalance


class Figure(Record):
    """A predicted number and its standard deviation; `low` to `high` is the 68 % interval."""

    value: float
    sd: float = 0.0

    @property
    def low(self) -> float:
        """The lower end of the 68 % interval [unit of `value`]."""
        return self.value - self.sd

    @property
    def high(self) -> float:
        """The upper end of the 68 % interval [unit of `value`]."""
        return self.value + self.sd


class Contribution(Record):
    """What one source brings to an ion of a vessel's water.

    `origin` is the JSON pointer of a dose (``/additions/2/kettle``) or of a vessel's water
    (``/water/mash/from``); `amount` is in mg/L of the water looked at.
    """

    origin: str
    place: str
    label: str
    amount: float


class WaterFigures(Deferred, Record):
    """Figures of a water: ions in mg/L, alkalinity, hardness and residual alkalinity as CaCO3.

    `ions` holds calcium to bicarbonate in the order of all tables, and lactate, phosphate,
    citrate, sulfite, ammonium where there are any.
    `ph`, `conductivity` [µS/cm], `calcite_saturation_index` and `ionic_strength` [mol/L] are
    `None` where the pH is not known: a report without pH, lime softening, or chalk.
    `chloride_to_sulfate` is `None` where there is no sulfate. `contributions` says of each ion
    but bicarbonate, and of alkalinity as CaCO3, what every source brings.
    What needs the equilibrium solved is worked out when it is first looked at.
    """

    volume_l: float
    ions: Mapping[str, Figure]
    alkalinity: Figure
    hardness: Figure
    residual_alkalinity: Figure
    ph: Figure | None = None
    chloride_to_sulfate: Figure | None = None
    calcite_saturation_index: float | None = None
    conductivity: float | None = None
    ionic_strength: float | None = None
    contributions: Mapping[str, tuple[Contribution, ...]] = field(default_factory=dict)

    def ion(self, name: str) -> Figure | None:
        """The figure of an ion; `None` where the water has none, or its equilibrium is not found.

        That is so for tons of salt in a litre: what the solver last tried is no bicarbonate.
        """
        if name == "bicarbonate" and self._hint("is_solved") is False:
            return None
        ions = self.ions
        return ions.known(name) if isinstance(ions, IonFigures) else ions.get(name)

    def value(self, ion: str) -> float:
        """The value of an ion that the water has [mg/L]; its spread is not worked out for it."""
        ions = self.ions
        return ions.value(ion) if isinstance(ions, IonFigures) else ions[ion].value

    @property
    def largest_changes(self) -> Mapping[str, float]:
        """The largest of what each dose brings, by its pointer: ions [mg/L], alkalinity as CaCO3.

        Empty where it is not known; `contributions` say more.
        """
        hint = self._hint("largest_changes")
        return hint if isinstance(hint, dict) else {}

    @property
    def ions_at_most(self) -> float:
        """The largest of the ions but bicarbonate [mg/L]; without end where it is not known."""
        hint = self._hint("ions_at_most")
        return hint if isinstance(hint, float) else inf

    @property
    def ions_sum_at_most(self) -> float:
        """What all ions add up to, with all inorganic carbon taken as bicarbonate [mg/L].

        Without end where it is not known.
        """
        hint = self._hint("ions_sum_at_most")
        return hint if isinstance(hint, float) else inf

    @property
    def bicarbonate_at_most(self) -> float:
        """All inorganic carbon taken as bicarbonate [mg/L]; without end where it is not known.

        It often answers what the solved figure would be asked for.
        """
        hint = self._hint("bicarbonate_at_most")
        return hint if isinstance(hint, float) else inf

    @property
    def calcite_saturation_at_most(self) -> float:
        """What the saturation index cannot exceed; without end where that is not known."""
        hint = self._hint("calcite_saturation_at_most")
        return hint if isinstance(hint, float) else inf


class MashFigures(Record):
    """The mash: pH of a cooled sample with its 68 % interval, and thickness.

    `parts` gives the share of the pH's variance that each kind of input brings (0 to 1): model,
    meter, malts, crush, carbon_dioxide, chalk, decoction, report, seasons, treatment, weighing,
    volume. `balance` is what the pH was solved from; `None` where there is no pH.
    """

    ph: Figure | None
    thickness_l_per_kg: float | None
    reference_temperature_c: float = 25.0
    parts: Mapping[str, float] = field(default_factory=dict)
    balance: MashBalance[float] | None = None


class ColorFigures(Record):
    """The beer's colour by its grist; `in_range` is false beyond the formula's validity."""

    srm: Figure
    ebc: float
    in_range: bool


class Gap(Record):
    """Why a figure could not be computed: which one, and what is missing or out of range.

    `figure` is mash_water, sparge_water, batch_water, wort, mash_ph or color; mash_water.ph and
    the like where only what hangs on the pH is missing. With ``mash_ph`` the pH may still be
    there, extrapolated and with a wider interval, as `reason` then says.
    """

    figure: str
    reason: str
    pointer: str = ""


class WortFigures(Record):
    """What waters and additions leave in the wort before fermentation: litres and mg/L.

    Without bicarbonate, which the mash uses up, and without the malt's own ions.
    """

    volume_l: float
    ions: Mapping[str, Figure]


class Prediction(Deferred, Record):
    """All figures of one recipe; a vessel that the recipe has not, or a figure that cannot be
    computed, is `None`, and `gaps` says why.

    `kettle_share` is mg/L of the batch water that the kettle additions alone bring; `None` for
    bicarbonate where an equilibrium is not found.
    `dose_mass_g` gives the mass in grams of each dose that could be weighed, by its pointer.
    """

    path: str
    document: int
    name: str
    mash_water: WaterFigures | None = None
    sparge_water: WaterFigures | None = None
    batch_water: WaterFigures | None = None
    wort: WortFigures | None = None
    kettle_share: Mapping[str, float | None] = field(default_factory=dict)
    mash: MashFigures | None = None
    color: ColorFigures | None = None
    gaps: tuple[Gap, ...] = ()
    dose_mass_g: Mapping[str, float] = field(default_factory=dict)

    def gaps_of(self, figure: str) -> tuple[Gap, ...]:
        """Why a figure could not be computed; other figures are not worked out to tell."""
        hint = self._hint(f"gaps of {figure}")
        if isinstance(hint, tuple):
            return hint
        return tuple(gap for gap in self.gaps if gap.figure == figure)
