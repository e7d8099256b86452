"""What is in a vessel before vessels come together: its water, and its doses as they dissolve."""

from __future__ import annotations

from collections.abc import Iterable

from waterlint.prediction.compounds import Compound
from waterlint.prediction.rows import Row, Sparse, combination, dense, scaled
from waterlint.prediction.sources import SourceWater
from waterlint.records import Record, field


class WaterPart(Record, frozen=False):
    """A source's share in a vessel's water.

    Attributes
    ----------
    source : SourceWater
    share : float
        Of the vessel's water [-].
    pointer : str
        Where the recipe names it.
    """

    source: SourceWater
    share: float
    pointer: str


class DosePart(Record, frozen=False):
    """What a dose, or its part in one vessel, dissolves.

    Attributes
    ----------
    pointer, place, label : str
        The dose, its place as written, and the additive's name.
    compound : Compound
    amount : float
        Of the pure compound, dissolved or not [mmol].
    unit : Sparse
        What a unit of it brings, a millimole for most [mg, mEq, mmol].
    units : float
        How many of these it is.
    weighing_sd, chalk_sd : float
        Of `units`, by weighing and by how much chalk dissolves [-].
    dissolved : bool
        Of chalk: by carbon dioxide.
    """

    pointer: str
    place: str
    label: str
    compound: Compound
    amount: float
    unit: Sparse
    units: float
    weighing_sd: float
    chalk_sd: float = 0.0
    dissolved: bool = False

    @property
    def amounts(self) -> Row:
        """What it brings, as a row."""
        return dense(scaled(self.unit, self.units))

    @property
    def is_balanced_apart(self) -> bool:
        """Whether the mash's balance of protons has it by itself: acid, and undissolved chalk."""
        kind = self.compound.kind
        return kind == "acid" or (kind == "chalk" and not self.dissolved)

    @property
    def undissolved(self) -> bool:
        """Whether it is chalk that no carbon dioxide dissolved."""
        return self.compound.kind == "chalk" and not self.dissolved


class Contents(Record, frozen=False):
    """A vessel's own water and doses; the volume is 0 where only doses go in.

    Attributes
    ----------
    name : str
    volume, volume_sd : float
        [L]
    waters : tuple of WaterPart
    doses : tuple of DosePart
    liquor_volume : float
        Of all the liquor that this vessel's water is a part of [L]; 0 for none.
    chalk : str
        Why chalk in it leaves its pH unknown; empty where there is none.
    water_row : Row
        The water alone, per litre.
    total : Row
        All that is in the vessel.
    from_liquor : Row
        What of it was given to the liquor before it was split.
    """

    name: str
    volume: float
    volume_sd: float
    waters: tuple[WaterPart, ...] = ()
    doses: tuple[DosePart, ...] = ()
    liquor_volume: float = 0.0
    chalk: str = ""
    water_row: Row = field(init=False)
    total: Row = field(init=False)
    from_liquor: Row = field(init=False)

    def __post_init__(self) -> None:
        self.water_row = combination([(part.source.values, part.share) for part in self.waters])
        self.total = self.total_with(self.doses)
        liquor = [(dose.amounts, 1.0) for dose in self.doses if dose.place == "liquor"]
        self.from_liquor = combination(liquor)

    def total_with(self, doses: Iterable[DosePart]) -> Row:
        """The water, and some of the doses."""
        total = [amount * self.volume for amount in self.water_row]
        for dose in doses:
            units = dose.units
            for place, amount in dose.unit.items():
                total[place] += amount * units
        return tuple(total)

    @property
    def ph_unknown(self) -> str:
        """Why the pH cannot be known; empty where it can."""
        for part in self.waters:
            if part.share > 0.0 and part.source.ph_unknown:
                return part.source.ph_unknown
        return self.chalk
