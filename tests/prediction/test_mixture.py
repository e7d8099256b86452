"""One ion of a mixture is what it is among all of them, and so are the largest changes of doses."""

from __future__ import annotations

import pytest

from waterlint.model.recipe import Addition, Vessel
from waterlint.prediction.contents import Contents
from waterlint.prediction.mixture import contributions, largest_changes, mix_whole
from waterlint.prediction.predict import contents_of
from waterlint.prediction.rows import INDEX

from .brew import CATALOG, add, analysis, recipe, report, vessel

MASH, SPARGE = vessel("mash", 15.0), vessel("sparge", 12.0)


def vessels_of(*vessels: Vessel, additions: tuple[Addition, ...] = ()) -> list[Contents]:
    """What is in the vessels of a recipe whose tap holds chlorine."""
    made = recipe(*vessels, additions=additions)
    found = contents_of(made, {"tap": report(analysis(chlorine=0.5))}, CATALOG)
    return [*found.values()]


@pytest.mark.parametrize(
    "vessels",
    [
        vessels_of(MASH),
        vessels_of(MASH, SPARGE, additions=(add(0, "gypsum", mash=(2.0, "g"), sparge=(1.0, "g")),)),
        vessels_of(
            MASH,
            SPARGE,
            additions=(
                add(0, "gypsum", liquor=(3.0, "g"), kettle=(1.0, "g")),
                add(1, "chalk", liquor=(2.0, "g")),
                add(2, "potassium-metabisulfite", liquor=(0.3, "g")),
            ),
        ),
        vessels_of(vessel("mash", 15.0, treat=("boiled",)), SPARGE),
        vessels_of(vessel("mash", 15.0, ("tap", 0.5), ("distilled", 0.5)), SPARGE),
    ],
    ids=["water", "salts", "liquor", "boiled", "blended"],
)
def test_an_ion_alone_is_as_among_all(vessels: list[Contents]) -> None:
    for mixture in (mix_whole(vessels[:1], vessels[1:]), mix_whole(vessels)):
        figures = mixture.ion_figures()
        assert figures["calcium"].sd > 0.0
        for name, figure in figures.items():
            alone = mixture.ion(name)
            summed = mixture.figure(((INDEX[name], 1.0),))
            assert (alone.value, alone.sd) == (figure.value, pytest.approx(figure.sd, rel=1e-12))
            assert (summed.value, summed.sd) == (figure.value, pytest.approx(figure.sd, rel=1e-12))


def test_the_largest_change_is_the_largest_contribution() -> None:
    vessels = vessels_of(
        MASH,
        SPARGE,
        additions=(
            add(0, "gypsum", liquor=(3.0, "g"), mash=(1.0, "g")),
            add(1, "lactic-acid", None, 80.0, sparge=(2.0, "mL")),
            add(2, "chalk", mash=(2.0, "g")),
        ),
    )
    largest: dict[str, float] = {}
    for brought in contributions(vessels).values():
        for each in brought:
            if each.origin.startswith("/additions/"):
                largest[each.origin] = max(largest.get(each.origin, 0.0), abs(each.amount))
    assert len(largest) == 4
    assert largest_changes(vessels) == pytest.approx(largest, rel=1e-12)
