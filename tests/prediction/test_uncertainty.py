"""First-order standard deviations against drawing every input at random."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
import pytest

from waterlint.model.recipe import Batch, Recipe
from waterlint.model.water import Analysis, WaterReport
from waterlint.prediction import wort
from waterlint.prediction.predict import predict
from waterlint.prediction.result import Prediction
from waterlint.units import Quantity

from .brew import CATALOG, TAP, add, analysis, malt, q, recipe, report, vessel

DRAWS = 300
#: What second order may add or take.
ALLOWED = 0.10

#: A report with a ± for every figure.
SPREAD = {name: q(value, "mg/L", max(0.06 * value, 0.3)) for name, value in TAP.items()}
HARD = {
    name: q(value, "mg/L", max(0.04 * value, 0.3))
    for name, value in (TAP | {"calcium": 108.0, "magnesium": 15.0, "sulfate": 46.0}).items()
}


def _waters() -> dict[str, WaterReport]:
    return {
        "tap": report(
            analysis(SPREAD, alkalinity=q(96.0, "mg/L as CaCO3", 5.0), ph=q(7.6, "", 0.1))
        ),
        "hard": report(
            analysis(HARD, alkalinity=q(235.0, "mg/L as CaCO3", 9.0), ph=q(7.3, "", 0.1))
        ),
    }


GRIST = (
    malt(0, "pale", 4.4, color=6.0, di_ph=5.7),
    malt(1, "crystal", 0.4, color=120.0, acidity=28.0),
)
BATCH = Batch(q(22.0, "L", 0.25), evaporation=q(3.0, "L", 0.3), losses=q(1.0, "L"))


def _salted() -> Recipe:
    return recipe(
        vessel("mash", 15.0, sd=0.3),
        vessel("sparge", 14.0, sd=0.2),
        additions=(
            add(0, "gypsum", liquor=q(4.0, "g", 0.2), kettle=q(2.0, "g", 0.1)),
            add(1, "calcium-chloride", "dihydrate", mash=q(2.0, "g", 0.1)),
        ),
        grist=GRIST,
        batch=BATCH,
    )


def _soured() -> Recipe:
    return recipe(
        vessel("mash", 15.0, ("hard", 1.0), sd=0.3),
        vessel("sparge", 12.0, ("hard", 0.6), ("tap", 0.4), sd=0.2),
        vessel("kettle", 3.0, sd=0.1),
        additions=(
            add(0, "lactic-acid", strength=80.0, mash=q(5.0, "g", 0.25), sparge=q(2.0, "g", 0.15)),
            add(1, "phosphoric-acid", strength=10.0, mash=q(6.0, "g", 0.5)),
            add(2, "epsom-salt", kettle=q(2.0, "g", 0.2)),
        ),
        grist=GRIST,
        batch=BATCH,
    )


def _alkaline() -> Recipe:
    return recipe(
        vessel("mash", 15.0, sd=0.3),
        vessel("sparge", 14.0, ("tap", 0.3), ("hard", 0.7), sd=0.2),
        vessel("fermenter", 4.0, sd=0.1),
        additions=(
            add(0, "baking-soda", mash=q(3.0, "g", 0.2)),
            add(1, "pickling-lime", mash=q(0.3, "g", 0.03)),
            add(2, "table-salt", fermenter=q(1.0, "g", 0.1), liquor=q(2.0, "g", 0.1)),
        ),
        grist=GRIST,
        batch=BATCH,
    )


class _Chance:
    """Draws quantities from their own spread, and only those that have one.

    The draws of all inputs are made at once, of mean 0 and deviation 1 and without correlation in
    the sample itself: what chance alone would do to a sum of them is then nothing, and a few
    hundred draws show what is not a sum.
    """

    def __init__(self) -> None:
        self._inputs = 0
        self._row: list[float] = []

    def normal(self) -> float:
        self._inputs += 1
        return self._row.pop() if self._row else 0.0

    def rows(self, seed: int) -> Iterator[None]:
        """Go through the draws, for as many inputs as were asked for before."""
        random = np.random.default_rng(seed)
        draws = random.standard_normal((DRAWS, self._inputs))
        draws, _ = np.linalg.qr(draws - draws.mean(axis=0))
        draws *= (DRAWS - 1) ** 0.5
        for row in draws:
            self._row = [float(value) for value in row]
            yield

    def quantity(self, quantity: Quantity) -> Quantity:
        if not quantity.sd:
            return quantity
        return replace(quantity, value=max(0.0, quantity.value + quantity.sd * self.normal()))

    def optional(self, quantity: Quantity | None) -> Quantity | None:
        return None if quantity is None else self.quantity(quantity)

    def analysis(self, drawn: Analysis) -> Analysis:
        return replace(
            drawn,
            ions={name: self.quantity(value) for name, value in drawn.ions.items()},
            alkalinity=self.optional(drawn.alkalinity),
            ph=self.optional(drawn.ph),
        )

    def report(self, drawn: WaterReport) -> WaterReport:
        return replace(drawn, analyses=tuple(self.analysis(each) for each in drawn.analyses))

    def recipe(self, drawn: Recipe) -> Recipe:
        batch = drawn.batch
        return replace(
            drawn,
            vessels={
                name: replace(each, volume=self.quantity(each.volume))
                for name, each in drawn.vessels.items()
            },
            additions=tuple(
                replace(
                    each,
                    doses=tuple(replace(d, amount=self.quantity(d.amount)) for d in each.doses),
                )
                for each in drawn.additions
            ),
            batch=replace(
                batch,
                volume=self.quantity(batch.volume),
                evaporation=self.optional(batch.evaporation),
            ),
        )


def _figures(predicted: Prediction) -> dict[str, tuple[float, float]]:
    """Every figure with its standard deviation."""
    found: dict[str, tuple[float, float]] = {}
    for name in ("mash_water", "sparge_water", "batch_water"):
        water = getattr(predicted, name)
        assert water is not None
        figures = dict(water.ions) | {
            "alkalinity": water.alkalinity,
            "hardness": water.hardness,
            "residual_alkalinity": water.residual_alkalinity,
            "chloride_to_sulfate": water.chloride_to_sulfate,
            "ph": water.ph,
        }
        found |= {f"{name} {key}": (figure.value, figure.sd) for key, figure in figures.items()}
    assert predicted.wort is not None
    for key, figure in predicted.wort.ions.items():
        found[f"wort {key}"] = (figure.value, figure.sd)
    mash = predicted.mash
    assert mash is not None and mash.ph is not None
    inputs = sum(mash.parts.get(part, 0.0) for part in ("report", "weighing", "volume"))
    found["mash pH by its water and doses"] = (mash.ph.value, mash.ph.sd * inputs**0.5)
    return found


@pytest.mark.parametrize("made", [_salted, _soured, _alkaline])
def test_first_order_agrees_with_chance(
    made: Callable[[], Recipe], monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn, waters = made(), _waters()
    stated = _figures(predict(drawn, waters, CATALOG))
    chance = _Chance()
    usual = wort.ABSORPTION

    def draw() -> dict[str, tuple[float, float]]:
        # The reports first, so that each draw's vessels share one and the same water.
        brewed = {name: chance.report(each) for name, each in waters.items()}
        varied = chance.recipe(drawn)
        absorbed = usual + wort.ABSORPTION_SD * chance.normal()
        monkeypatch.setattr(wort, "ABSORPTION", absorbed)
        return _figures(predict(varied, brewed, CATALOG))

    draw()
    values: dict[str, list[float]] = {name: [] for name in stated}
    for _ in chance.rows(20260314):
        for name, (value, _) in draw().items():
            values[name].append(value)
    for name, (_, sd) in stated.items():
        found = float(np.std(values[name], ddof=1))
        assert sd == pytest.approx(found, rel=ALLOWED, abs=1e-9), name
