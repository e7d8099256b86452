"""Predicted figures by name, and how little chloride and sulfate is too little for a ratio."""

from __future__ import annotations

from dataclasses import replace

import pytest

from waterlint.rules.figures import (
    figure_of,
    is_ratio_meaningless,
    is_ratio_slight,
    style_of,
    water_of,
)
from waterlint.rules.samples import report

from .figured import case_of, with_ions
from .making import report_case


def test_each_figure_is_that_of_its_vessel() -> None:
    case = with_ions(with_ions(case_of(), "mash", sodium=1.0), "batch", sodium=3.0)
    case = with_ions(case, "sparge", sodium=2.0)
    found = [figure_of(case.prediction, "sodium", name) for name in ("mash", "sparge", "batch")]
    assert [each.value for each in found if each is not None] == [1.0, 2.0, 3.0]


def test_figures_by_name() -> None:
    prediction = case_of().prediction
    assert prediction is not None and prediction.mash is not None and prediction.color is not None
    water = prediction.mash_water
    assert water is not None and water_of(prediction, "mash") is water
    assert figure_of(prediction, "mash_ph", "mash") is prediction.mash.ph
    assert figure_of(prediction, "color", "batch") is prediction.color.srm
    assert figure_of(prediction, "alkalinity", "mash") == water.alkalinity
    assert figure_of(prediction, "residual_alkalinity", "mash") == water.residual_alkalinity
    assert figure_of(prediction, "chloride_to_sulfate", "mash") == water.chloride_to_sulfate
    assert figure_of(prediction, "nothing", "mash") is None


def test_what_is_not_predicted_is_not_known() -> None:
    assert figure_of(None, "sodium", "batch") is None and water_of(None, "batch") is None
    prediction = case_of().prediction
    assert prediction is not None
    bare = replace(prediction, mash=None, color=None, batch_water=None)
    for quantity, vessel in (("mash_ph", "mash"), ("color", "batch"), ("sodium", "batch")):
        assert figure_of(bare, quantity, vessel) is None


@pytest.mark.parametrize(
    ("chloride", "sulfate", "meaningless", "slight"),
    [
        (49.9, 0.0, True, True),
        (0.0, 49.9, True, True),
        (50.0, 1.0, False, True),
        (1.0, 74.9, False, True),
        (75.0, 1.0, False, False),
        (1.0, 75.0, False, False),
    ],
)
def test_a_ratio_of_little(chloride, sulfate, meaningless: bool, slight: bool) -> None:
    case = with_ions(case_of(), "mash", chloride=chloride, sulfate=sulfate)
    assert is_ratio_meaningless(case, "mash") is meaningless
    assert is_ratio_slight(case, "mash") is slight
    assert not is_ratio_meaningless(case), "the batch has its own"


def test_of_an_unknown_water_a_ratio_means_nothing() -> None:
    assert is_ratio_meaningless(case_of("additions: [{add: gipsum, mash: 2 g}]"))


def test_style() -> None:
    known = style_of(case_of("style: best-bitter"))
    assert known is not None and known.key == "best-bitter"
    assert style_of(case_of()) is None and style_of(case_of("style: no-such")) is None
    assert style_of(report_case(report())) is None
