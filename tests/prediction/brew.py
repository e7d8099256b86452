"""Recipes and reports for the tests, in a few words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from waterlint.catalog.catalog import Catalog, default_catalog
from waterlint.model.recipe import (
    VESSELS,
    Addition,
    Batch,
    Dose,
    Malt,
    MashSettings,
    Recipe,
    Share,
    Vessel,
)
from waterlint.model.water import Analysis, WaterReport
from waterlint.prediction.predict import predict
from waterlint.prediction.result import Prediction
from waterlint.project.config import Scale
from waterlint.units import Quantity

CATALOG: Catalog = default_catalog()

#: The water that most tests brew with [mg/L, alkalinity as CaCO3].
TAP = {
    "calcium": 42.0,
    "magnesium": 6.0,
    "sodium": 11.0,
    "potassium": 2.0,
    "chloride": 28.0,
    "sulfate": 24.0,
    "nitrate": 4.0,
}


def q(value: float, unit: str, sd: float | None = None) -> Quantity:
    """A quantity as it stands in a file."""
    return Quantity(value, unit, sd=sd)


def analysis(
    ions: Mapping[str, float | Quantity] = TAP,
    *,
    alkalinity: float | Quantity | None = 96.0,
    ph: float | Quantity | None = 7.6,
    sampled: date = date(2026, 3, 14),
    pointer: str = "",
    **traces: float,
) -> Analysis:
    """One analysis; a bare number is a figure without spread of its own."""

    def quantity(value: float | Quantity, unit: str) -> Quantity:
        return value if isinstance(value, Quantity) else Quantity(value, unit)

    return Analysis(
        sampled=sampled,
        pointer=pointer,
        ions={name: quantity(value, "mg/L") for name, value in ions.items()},
        ph=None if ph is None else quantity(ph, ""),
        alkalinity=None if alkalinity is None else quantity(alkalinity, "mg/L as CaCO3"),
        traces={name: q(value, "mg/L") for name, value in traces.items()},
    )


def report(*analyses: Analysis, uncertainty: float | None = None) -> WaterReport:
    """A report of these analyses, newest first; the usual water without any."""
    return WaterReport(
        path="waters/mill-leat.yaml",
        document=0,
        name="Mill Leat supply",
        analyses=analyses or (analysis(),),
        uncertainty=uncertainty,
    )


def vessel(
    name: str,
    liters: float,
    *shares: tuple[str, float],
    treat: tuple[str, ...] = (),
    sd: float | None = None,
) -> Vessel:
    """A vessel's water, from the tap unless shares say otherwise."""
    listed = shares or (("tap", 1.0),)
    single = len(listed) == 1
    return Vessel(
        name=name,
        volume=q(liters, "L", sd),
        shares=tuple(
            Share(water, share, f"/water/{name}/from" + ("" if single else f"/{place}"))
            for place, (water, share) in enumerate(listed)
        ),
        treatments=treat,
        pointer=f"/water/{name}",
    )


def add(
    place: int,
    name: str,
    form: str | None = None,
    strength: float | Quantity | None = None,
    density: float | None = None,
    dissolved: bool = False,
    **doses: tuple[float, str] | Quantity,
) -> Addition:
    """The addition at `place` in the list, with its doses by vessel."""
    if isinstance(strength, int | float):
        strength = q(strength, "%")
    return Addition(
        name=name,
        doses=tuple(
            Dose(
                vessel_name,  # type: ignore[arg-type]
                amount if isinstance(amount, Quantity) else q(*amount),
                f"/additions/{place}/{vessel_name}",
            )
            for vessel_name, amount in doses.items()
        ),
        pointer=f"/additions/{place}",
        form=form,
        strength=strength,
        density=None if density is None else q(density, "g/mL"),
        dissolved=dissolved,
    )


def malt(
    place: int,
    kind: str,
    kilograms: float,
    color: float | None = None,
    di_ph: float | None = None,
    acidity: float | None = None,
    late: bool = False,
) -> Malt:
    """The malt at `place` in the grist [kg, EBC, pH, mEq/kg]."""
    return Malt(
        name=kind,
        kind=kind,
        mass=q(1000.0 * kilograms, "g"),
        pointer=f"/grist/{place}",
        color=None if color is None else q(color, "EBC"),
        di_ph=None if di_ph is None else q(di_ph, ""),
        acidity=None if acidity is None else q(acidity, "mEq/kg"),
        late=late,
    )


def recipe(
    *vessels: Vessel,
    additions: tuple[Addition, ...] = (),
    grist: tuple[Malt, ...] = (),
    batch: Batch | None = None,
    mash: MashSettings | None = None,
) -> Recipe:
    """A recipe of 20 L unless `batch` says otherwise."""
    ordered = sorted(vessels, key=lambda each: VESSELS.index(each.name))
    return Recipe(
        path="a.yaml",
        document=0,
        name="Test brew",
        batch=batch or Batch(q(20.0, "L")),
        vessels={each.name: each for each in ordered},
        mash=mash or MashSettings(),
        grist=grist,
        additions=additions,
    )


def brew(
    *vessels: Vessel,
    additions: tuple[Addition, ...] = (),
    grist: tuple[Malt, ...] = (),
    batch: Batch | None = None,
    mash: MashSettings | None = None,
    tap: WaterReport | None = None,
    waters: Mapping[str, WaterReport] | None = None,
    scale: Scale | None = None,
    catalog: Catalog = CATALOG,
) -> Prediction:
    """The prediction of a recipe whose water is the tap's."""
    known = {"tap": report() if tap is None else tap, **(waters or {})}
    made = recipe(*vessels, additions=additions, grist=grist, batch=batch, mash=mash)
    return predict(made, known, catalog, scale)
