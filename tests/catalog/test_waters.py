"""The waters that need no report."""

from __future__ import annotations

import pytest

from waterlint.catalog.waters import WATERS, closing_alkalinity
from waterlint.chemistry import Water
from waterlint.chemistry.ions import ion_balance

IONS = {"calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "nitrate"}


def test_there_are_two_and_no_places() -> None:
    assert set(WATERS) == {"distilled", "reverse-osmosis"}


@pytest.mark.parametrize("name", ["distilled", "reverse-osmosis"])
def test_every_water_is_whole(name: str) -> None:
    water = WATERS[name]
    assert water.name == name and water.title and water.basis
    assert set(water.ions) == IONS
    balance = ion_balance(
        {ion: figure.value for ion, figure in water.ions.items()}, water.alkalinity.value
    )
    assert balance.cations == pytest.approx(balance.anions, abs=1e-12)
    assert balance.percent_difference == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("ion", "value"),
    [
        ("calcium", 2),
        ("magnesium", 0.5),
        ("sodium", 6),
        ("potassium", 0.5),
        ("chloride", 5),
        ("sulfate", 2),
        ("nitrate", 0),
    ],
)
def test_permeate(ion: str, value: float) -> None:
    assert WATERS["reverse-osmosis"].ions[ion] == (value, value / 2)


def test_permeate_alkalinity_closes_the_charge() -> None:
    # By hand: (2/20.039 + 0.5/12.1525 + 6/22.990 + 0.5/39.098) - (5/35.45 + 2/48.028) mEq/L
    alkalinity = WATERS["reverse-osmosis"].alkalinity
    assert alkalinity.value == pytest.approx(0.23204 * 50.043, abs=0.002)
    assert alkalinity.sd == alkalinity.value / 2
    assert WATERS["reverse-osmosis"].ph is not None
    assert WATERS["reverse-osmosis"].ph.value == 6.2


def test_distilled_water_is_pure() -> None:
    distilled = WATERS["distilled"]
    assert all(figure == (0, 0) for figure in distilled.ions.values())
    assert distilled.alkalinity == (0, 0)
    assert distilled.ph is not None
    # Pure water's own pH at 25 degrees, from the ion product of water.
    assert Water(ph=distilled.ph.value).ph == pytest.approx(distilled.ph.value, abs=0.01)
    assert Water.from_carbon({}, 0.0, 0.0).ph == pytest.approx(distilled.ph.value, abs=0.01)


@pytest.mark.parametrize(
    ("ions", "alkalinity"),
    [({}, 0.0), ({"sodium": 22.990}, 50.043), ({"chloride": 35.45}, -50.043)],
)
def test_closing_alkalinity(ions: dict[str, float], alkalinity: float) -> None:
    assert closing_alkalinity(ions) == pytest.approx(alkalinity, abs=1e-3)
