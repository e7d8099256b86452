"""What is refused is named with the figure that was given."""

from __future__ import annotations

from collections.abc import Callable
from math import inf

import pytest

from waterlint.chemistry.blending import blend
from waterlint.chemistry.boiling import boil, dissolve_chalk
from waterlint.chemistry.color import malt_color_units
from waterlint.chemistry.dosing import PH_RANGE, dose_to_alkalinity, dose_to_ph
from waterlint.chemistry.formulas import elements
from waterlint.chemistry.malts import malt_term
from waterlint.chemistry.mash import MashInputs, mash_ph
from waterlint.chemistry.roots import root_value
from waterlint.chemistry.water import Water

LOW, HIGH = PH_RANGE
PALE = malt_term("pale", 2.0)
assert PALE
SOFT = Water(calcium=20.0, alkalinity=40.0, ph=7.5)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: boil(SOFT, pco2=-2.0), "pco2 must be above 0 atm, got -2.0"),
        (lambda: boil(SOFT, most=-3.0), "most must be finite and not negative, got -3.0"),
        (lambda: boil(SOFT, saturation_index=inf), "saturation_index must be finite, got inf"),
        (lambda: dissolve_chalk(SOFT, -4.0), "the dose must be finite and not negative, got -4.0"),
        (lambda: malt_color_units([(4.5, 2.0)], -5.0), "the volume must be above 0 L, got -5.0"),
        (lambda: blend([(SOFT, -6.0)]), "shares must be finite and not negative, got -6.0"),
        (lambda: dose_to_ph(SOFT, "lactic", 99.0), f"between {LOW} and {HIGH}, got 99.0"),
        (lambda: dose_to_ph(SOFT, "lactic", -9.0), f"between {LOW} and {HIGH}, got -9.0"),
        (lambda: dose_to_ph(SOFT, "gypsum", 5.0), "gypsum is neither an acid nor a base"),
        (lambda: dose_to_ph(SOFT, "lactic", 5.0, pco2=-7.0), "pco2 must be above 0 atm, got -7.0"),
        (lambda: elements("NaXx2.H2O"), "no atomic weight for 'Xx' in 'NaXx2.H2O'"),
        (lambda: elements("Ca(OH"), "cannot read the formula 'Ca(OH'"),
        (lambda: dose_to_alkalinity(SOFT, "lactic", 90.0), "lactic cannot bring 40 to 90 mg/L"),
        (lambda: mash_ph(MashInputs((PALE,), -7.5)), "water must be above 0 L, got -7.5"),
        (lambda: malt_term("pale", -0.5, buffer=38.0), "be above 0, got -0.5 kg and 38.0"),
        (lambda: root_value(lambda x: x * x + 1.0, 3.0, 4.0), "no root between 3.0 and 4.0"),
        (lambda: SOFT.with_acid("lactic", -1.5), "dose of lactic must be finite and not negative"),
        (lambda: SOFT.with_salts({"gypsum": -2.5}), "dose of gypsum must be finite and not neg"),
        (lambda: SOFT.with_acid("citric", -3.5), "not negative, got -3.5"),
        (lambda: Water(calcium=-8.0), "calcium must be finite and not negative, got -8.0"),
        (lambda: Water(temperature=190.0), "temperature must lie between 0 and 100, got 190.0"),
    ],
)
def test_the_figure_is_told(call: Callable[[], object], told: str) -> None:
    with pytest.raises((ValueError, ArithmeticError)) as error:
        call()
    assert told in str(error.value)


def test_nothing_may_fall_out() -> None:
    assert boil(Water(calcium=118.0, alkalinity=318.0, ph=7.2), most=0.0)[1] == 0.0
