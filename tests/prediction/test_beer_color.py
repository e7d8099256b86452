"""The beer's colour by its grist."""

from __future__ import annotations

import pytest

from waterlint.catalog.house import house_malt
from waterlint.model.recipe import Batch, Malt
from waterlint.prediction.beer_color import beer_color
from waterlint.prediction.result import ColorFigures, Gap

from .brew import CATALOG, malt, q, recipe

POUND = 0.45359237
GALLONS = Batch(q(5.0 * 3.785411784, "L"))


def _ebc(lovibond: float) -> float:
    return 2.65 * lovibond - 1.2


def _color(*grist: Malt, batch: Batch = GALLONS) -> ColorFigures:
    color = beer_color(recipe(grist=grist, batch=batch), CATALOG)
    assert isinstance(color, ColorFigures)
    return color


@pytest.mark.parametrize(
    ("grist", "srm", "ebc"),
    [
        # Morey's equation: pounds and degrees Lovibond in 5 US gallons
        (((8.0, 3.0), (0.75, 40.0)), 7.63, 15.0),
        (((10.0, 2.0),), 3.86, 7.6),
        (((8.0, 2.0), (1.0, 60.0), (1.0, 500.0)), 38.71, 76.3),
    ],
)
def test_morey(grist: tuple[tuple[float, float], ...], srm: float, ebc: float) -> None:
    lines = tuple(
        malt(place, "pale", pounds * POUND, color=_ebc(lovibond))
        for place, (pounds, lovibond) in enumerate(grist)
    )
    color = _color(*lines)
    assert color.srm.value == pytest.approx(srm, abs=0.05)
    assert color.ebc == pytest.approx(ebc, abs=0.1)
    assert color.in_range


def test_late_malt_colours_and_sugar_does_not() -> None:
    base = malt(0, "pale", 4.0, color=6.0)
    roast = malt(1, "roasted", 0.3, color=1000.0)
    late = malt(1, "roasted", 0.3, color=1000.0, late=True)
    assert _color(base, roast) == _color(base, late)
    assert _color(base, malt(1, "sugar", 1.0)) == _color(base)
    assert _color(base, malt(1, "sugar", 1.0, color=0.0)).srm.value == _color(base).srm.value
    assert _color(base, malt(1, "sugar", 1.0, color=200.0)).srm.value > _color(base).srm.value


def test_beyond_50_srm_is_out_of_range() -> None:
    black = _color(malt(0, "pale", 4.0, color=6.0), malt(1, "roasted", 1.2, color=1200.0))
    assert black.srm.value > 50.0
    assert not black.in_range


def test_a_malt_without_colour_leaves_a_gap() -> None:
    made = recipe(grist=(malt(0, "pale", 4.0, color=6.0), malt(1, "crystal", 0.3)))
    gap = beer_color(made, CATALOG)
    assert isinstance(gap, Gap)
    assert gap.pointer == "/grist/1"
    assert "crystal" in gap.reason


def test_no_grist_has_no_colour_and_no_volume_no_figure() -> None:
    assert beer_color(recipe(), CATALOG) is None
    none = recipe(grist=(malt(0, "pale", 4.0, color=6.0),), batch=Batch(q(0.0, "L")))
    assert isinstance(beer_color(none, CATALOG), Gap)


def test_a_house_malt_brings_its_colour() -> None:
    floor = house_malt("moor-floor-malt", "pale", "the maltster's sheet", color_ebc=6.0)
    catalog = CATALOG.extended(malts={floor.name: floor})
    made = recipe(grist=(malt(0, "moor-floor-malt", 4.0),), batch=GALLONS)
    color = beer_color(made, catalog)
    assert isinstance(color, ColorFigures)
    assert color.srm.value == _color(malt(0, "pale", 4.0, color=6.0)).srm.value


def test_a_sugar_of_the_house_without_a_colour_has_none() -> None:
    candy = house_malt("clear-candy", "sugar", "the maker's sheet")
    base = malt(0, "pale", 4.0, color=6.0)
    made = recipe(grist=(base, malt(1, candy.name, 0.5)), batch=GALLONS)
    color = beer_color(made, CATALOG.extended(malts={candy.name: candy}))
    assert isinstance(color, ColorFigures)
    assert color.srm.value == _color(base).srm.value


def test_spread_is_the_formulas_and_the_inputs() -> None:
    exact = _color(malt(0, "pale", 4.0, color=6.0), batch=Batch(q(20.0, "L", 0.0)))
    assert exact.srm.sd == pytest.approx(0.10 * exact.srm.value)
    loose = malt(0, "pale", 4.0)
    loose = Malt(loose.name, loose.kind, loose.mass, loose.pointer, color=q(6.0, "EBC", 1.5))
    wider = _color(loose, batch=Batch(q(20.0, "L", 0.0)))
    # 1.5 of (6 + 1.2) EBC through the exponent
    expected = (0.10**2 + (0.6859 * 1.5 / 7.2) ** 2) ** 0.5
    assert wider.srm.sd == pytest.approx(expected * wider.srm.value)
