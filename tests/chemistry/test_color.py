"""Colour: units, limit of validity."""

from __future__ import annotations

import numpy as np
import pytest

from waterlint.chemistry.color import (
    ebc_to_lovibond,
    ebc_to_srm,
    lovibond_to_ebc,
    malt_color_units,
    morey_srm,
    predict_color,
    srm_to_ebc,
)


def test_units_go_back_and_forth() -> None:
    assert ebc_to_lovibond(lovibond_to_ebc(37.0)) == pytest.approx(37.0)
    assert ebc_to_srm(srm_to_ebc(11.0)) == pytest.approx(11.0)
    assert lovibond_to_ebc(2.0) == pytest.approx(4.1)


@pytest.mark.parametrize(
    "lovibond, inside", [(400.0, True), (480.0, True), (560.0, False), (1200.0, False)]
)
def test_a_black_beer_gets_a_figure_and_a_flag(lovibond: float, inside: bool) -> None:
    color = predict_color([(4.0, 2.5), (0.8, lovibond)], 20.0)
    assert color.within_validity is inside is (color.srm < 50.0)
    assert color.ebc == pytest.approx(1.97 * color.srm)


def test_no_grist_has_no_color() -> None:
    assert predict_color([], 20.0).srm == 0.0


def test_arrays_pass_through() -> None:
    many = np.array([1.0, 10.8, 115.2])
    assert morey_srm(many).tolist() == [morey_srm(float(one)) for one in many]


@pytest.mark.parametrize("volume", [0.0, -1.0, float("nan")])
def test_volume_must_be_above_zero(volume: float) -> None:
    with pytest.raises(ValueError, match="above 0 L"):
        malt_color_units([(1.0, 2.0)], volume)
