"""The settings that hold for a file: built-in, from `waterlint.yaml`, from the command line."""

from __future__ import annotations

from collections.abc import Mapping

from waterlint.hints import Literal
from waterlint.project.names import CONFIG_NAME as CONFIG_NAME
from waterlint.records import Record, field
from waterlint.units import Range

LevelOrOff = Literal["off", "note", "warning", "error"]


class Scale(Record):
    """The resolution of the house's scale [g] and of its measure for liquids [mL]."""

    mass_g: float = 0.1
    volume_ml: float = 0.5


class StockItem(Record):
    """An additive that the house keeps, with its form, strength [%] and density [g/mL]."""

    name: str
    form: str | None = None
    strength: float | None = None
    density: float | None = None


#: What a house is taken to keep when its configuration does not say: common practice, what is
#: sold to home brewers everywhere, in its usual form and strength.
DEFAULT_STOCK: tuple[StockItem, ...] = (
    StockItem("gypsum"),
    StockItem("calcium-chloride", "dihydrate"),
    StockItem("epsom-salt"),
    StockItem("table-salt"),
    StockItem("baking-soda"),
    StockItem("pickling-lime"),
    StockItem("lactic-acid", strength=80.0),
    StockItem("phosphoric-acid", strength=10.0),
)

#: Rules whose level no configuration changes: whether a file can be read and understood is no
#: matter of taste, nor is a crash.
FIXED_RULES: frozenset[str] = frozenset(
    {
        "bad-quantity",
        "bad-value",
        "duplicate-key",
        "expansion-limit",
        "invalid-yaml",
        "malformed-exception",
        "merge-key",
        "missing-key",
        "not-a-waterlint-file",
        "rule-crashed",
        "unknown-key",
        "unreadable-file",
        "wrong-type",
    }
)


class Settings(Record):
    """What holds for one file.

    `ranges` is keyed by quantity; `style_ranges` by quantity and then style. `origin` says for
    each key where its value came from (a path and line, or ``built in``).
    """

    levels: Mapping[str, LevelOrOff] = field(default_factory=dict)
    ranges: Mapping[str, Range] = field(default_factory=dict)
    style_ranges: Mapping[str, Mapping[str, Range]] = field(default_factory=dict)
    report_age_months: float = 12.0
    scale: Scale = field(default_factory=Scale)
    stock: tuple[StockItem, ...] = DEFAULT_STOCK
    require: tuple[str, ...] = ()
    origin: Mapping[str, str] = field(default_factory=dict)
