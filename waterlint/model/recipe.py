"""A recipe as figures in canonical units, every field with its JSON pointer into the file."""

from __future__ import annotations

from collections.abc import Mapping
from sys import intern

from waterlint.hints import Literal
from waterlint.records import Record, field
from waterlint.units import Quantity, Range

#: The vessels that hold water of their own, in the order in which a brew day uses them.
VESSELS: tuple[str, ...] = ("mash", "sparge", "kettle", "fermenter")

Place = Literal["liquor", "mash", "sparge", "kettle", "fermenter"]

#: The places an addition can be made in; `liquor` is all brewing water before it is split.
PLACES: tuple[Place, ...] = ("liquor", "mash", "sparge", "kettle", "fermenter")


class Share(Record):
    """A part of a vessel's water: which water, and how much of it (0 to 1)."""

    water: str
    share: float
    pointer: str


class Vessel(Record):
    """The water that goes into one vessel.

    `shares` is never empty; whether they add up to one is a rule's business. `treatments` are
    the words of `treat`, in the order written.
    """

    name: str
    volume: Quantity
    shares: tuple[Share, ...]
    treatments: tuple[str, ...]
    pointer: str

    @property
    def source_pointer(self) -> str:
        """Where the vessel's water is named."""
        return intern(f"{self.pointer}/from")


class Batch(Record):
    """What leaves for the fermenter, and what the boil and the vessels keep."""

    volume: Quantity
    boil: Quantity | None = None
    evaporation: Quantity | None = None
    losses: Quantity | None = None


class MashSettings(Record):
    """How the mash is made. `decoctions` counts them."""

    mill_gap: Quantity | None = None
    temperature: Quantity | None = None
    decoctions: int = 0


class Malt(Record):
    """One line of the grist.

    `color` is in EBC (a malt's, not a beer's); `di_ph` is the lot's distilled-water mash pH at
    4 L/kg, `acidity` its titrated acidity to pH 5.7 [mEq/kg], `buffer` its buffering
    [mEq/kg/pH].
    """

    name: str
    kind: str
    mass: Quantity
    pointer: str
    color: Quantity | None = None
    di_ph: Quantity | None = None
    acidity: Quantity | None = None
    buffer: Quantity | None = None
    late: bool = False


class Dose(Record):
    """How much of an addition goes into one place: g, mL, g/L or mL/L by `amount.unit`."""

    place: Place
    amount: Quantity
    pointer: str


class Addition(Record):
    """A salt, an acid or another additive, with its doses by place."""

    name: str
    doses: tuple[Dose, ...]
    pointer: str
    form: str | None = None
    strength: Quantity | None = None
    density: Quantity | None = None
    dissolved: bool = False


class Target(Record):
    """A range that the brewer wants: `vessel` is ``batch``, ``mash`` or ``sparge``."""

    quantity: str
    vessel: str
    range: Range
    pointer: str


class MeasuredPh(Record):
    """A mash pH that was measured, and the temperature of the sample if it was noted."""

    value: Quantity
    temperature: Quantity | None
    pointer: str


class Recipe(Record):
    """A recipe file's document.

    `color` is the aim in SRM. `vessels` is keyed by vessel name and holds only those named.
    """

    path: str
    document: int
    name: str
    batch: Batch
    vessels: Mapping[str, Vessel]
    style: str | None = None
    color: Quantity | None = None
    mash: MashSettings = field(default_factory=MashSettings)
    grist: tuple[Malt, ...] = ()
    additions: tuple[Addition, ...] = ()
    targets: tuple[Target, ...] = ()
    measured_ph: MeasuredPh | None = None
    keys: frozenset[str] = frozenset()

    def target(self, quantity: str, vessel: str = "batch") -> Target | None:
        """The recipe's own target for a quantity, if it has one."""
        for target in self.targets:
            if target.quantity == quantity and target.vessel == vessel:
                return target
        return None

    @property
    def references(self) -> tuple[Share, ...]:
        """Every water that the recipe names, in file order."""
        return tuple(share for vessel in self.vessels.values() for share in vessel.shares)
