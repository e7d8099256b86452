"""The waters that need no report, as reports."""

from __future__ import annotations

from waterlint.catalog.catalog import Catalog
from waterlint.catalog.waters import Estimate, KnownWater
from waterlint.days import date
from waterlint.hints import Final
from waterlint.model.water import Analysis, WaterReport
from waterlint.units import Quantity

#: Reports that were made, by identity, so that one water stays one report.
_MADE: Final[dict[int, tuple[KnownWater, WaterReport]]] = {}
_MADE_AT_MOST: Final = 64


def builtin_report(name: str, catalog: Catalog) -> WaterReport | None:
    """The report of a built-in or a house water.

    Parameters
    ----------
    name : str
        As recipes write it.
    catalog : Catalog

    Returns
    -------
    WaterReport or None
        `None` where the catalogue has no such water.
    """
    water = catalog.waters.get(name)
    if water is None:
        return None
    made = _MADE.get(id(water))
    if made is None or made[0] is not water:
        if len(_MADE) >= _MADE_AT_MOST:
            _MADE.clear()
        made = _MADE[id(water)] = (water, _report(water))
    return made[1]


def _report(water: KnownWater) -> WaterReport:
    analysis = Analysis(
        # Never a day on which someone sampled: a built-in water has no age.
        sampled=date.max,
        pointer="",
        ions={ion: _quantity(figure, "mg/L") for ion, figure in water.ions.items()},
        ph=None if water.ph is None else _quantity(water.ph, ""),
        alkalinity=_quantity(water.alkalinity, "mg/L as CaCO3"),
    )
    return WaterReport(path="", document=0, name=water.title, analyses=(analysis,))


def _quantity(figure: Estimate, unit: str) -> Quantity:
    return Quantity(figure.value, unit, sd=figure.sd)
