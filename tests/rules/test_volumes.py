"""Water in against wort out: stated and unstated parts, extract, sugar, no sparge."""

from __future__ import annotations

import pytest

from waterlint.project.config import Settings
from waterlint.rules.samples import recipe, report

from .making import findings_of, levels_and_pointers, recipe_case

NAME = "volume-balance"


def _fires(*changes: str, without: tuple[str, ...] = ()) -> bool:
    case = recipe_case(recipe(*changes, without=without), {"well.yaml": report()})
    found = levels_and_pointers(findings_of(case, NAME))
    assert found in ([], [("warning", "/batch/volume")])
    return bool(found)


# 28.5 L of water, less 3.15 to 5.85 L for 4.5 kg of grain, 3 L of steam and 1 L of losses, leave
# 18.65 to 21.35 L. With 5 % more or less a batch of 17.77 to 22.47 L passes.
@pytest.mark.parametrize(
    ("batch", "fires"),
    [
        ("{volume: 20 L, evaporation: 3 L, losses: 1 L}", False),
        ("{volume: 17.8 L, evaporation: 3 L, losses: 1 L}", False),
        ("{volume: 17.7 L, evaporation: 3 L, losses: 1 L}", True),
        ("{volume: 22.4 L, evaporation: 3 L, losses: 1 L}", False),
        ("{volume: 22.5 L, evaporation: 3 L, losses: 1 L}", True),
        ("{volume: 2 L, evaporation: 3 L, losses: 1 L}", True),
        ("{volume: 200 L, evaporation: 3 L, losses: 1 L}", True),
        # Not stated: evaporation may be 0 to 20 %, losses 0 to 10 % of the batch. Of 25.35 L at
        # most, 5 % more pass: up to 26.68 L. Downwards 22.65 L less 0.3 V is V at 17.42 L, and
        # with the 5 % at 16.78 L.
        ("{volume: 26.6 L}", False),
        ("{volume: 26.7 L}", True),
        ("{volume: 16.8 L}", False),
        ("{volume: 16.7 L}", True),
        # evaporation not stated: 24.35 L at most, 21.65 L less 0.2 V at least
        ("{volume: 25.6 L, losses: 1 L}", False),
        ("{volume: 25.7 L, losses: 1 L}", True),
        ("{volume: 17.4 L, losses: 1 L}", False),
        ("{volume: 17.3 L, losses: 1 L}", True),
        # losses not stated: 22.35 L at most, 19.65 L less 0.1 V at least
        ("{volume: 23.5 L, evaporation: 3 L}", False),
        ("{volume: 23.6 L, evaporation: 3 L}", True),
        ("{volume: 17.1 L, evaporation: 3 L}", False),
        ("{volume: 17.0 L, evaporation: 3 L}", True),
        # no boil, no steam: 21.65 L at least of what losses of 1 L leave
        ("{volume: 20.7 L, boil: 0 min, losses: 1 L}", False),
        ("{volume: 20.6 L, boil: 0 min, losses: 1 L}", True),
        ("{volume: 20.5 L, boil: 60 min, losses: 1 L}", False),
    ],
)
def test_batches(batch: str, fires: bool) -> None:
    assert _fires(f"batch: {batch}") == fires


def test_exactly_at_the_limit_passes() -> None:
    # 10 L of water and no grain to speak of: 9 L are left, and 9 / 0.95 is 9.473684 L.
    def at(volume: str) -> bool:
        return _fires(
            f"batch: {{volume: {volume} L, evaporation: 0 L, losses: 1 L}}",
            "water:\n  kettle: {volume: 10.5 L, from: distilled}",
            "grist: []",
            without=("mash", "sparge", "- {malt"),
        )

    assert not at("10")
    assert not at("9.5238096")
    assert at("9.02")
    assert at("10.01")


def test_no_sparge() -> None:
    mash = "water:\n  mash: {volume: 28.5 L, from: ./well.yaml}"
    assert not _fires(mash, without=("mash", "sparge"))
    short = "water:\n  mash: {volume: 24 L, from: ./well.yaml}"
    assert _fires(short, without=("mash", "sparge"))


@pytest.mark.parametrize(
    ("batch", "fires"),
    [
        # 21 L of water less 2 L, and up to 0.75 L/kg of 3 kg: 19 to 21.25 L
        ("19 L", False),
        ("21 L", False),
        ("22.3 L", False),
        ("22.4 L", True),
        ("18 L", True),
    ],
)
def test_extract_beer(batch: str, fires: bool) -> None:
    assert (
        _fires(
            f"batch: {{volume: {batch}, evaporation: 1.5 L, losses: 0.5 L}}",
            "water:\n"
            "  kettle: {volume: 10 L, from: ./well.yaml}\n"
            "  fermenter: {volume: 11 L, from: ./well.yaml}",
            "grist:\n  - {malt: pale extract, kind: extract, mass: 3 kg, color: 8 EBC}",
            without=("mash", "sparge", "- {malt"),
        )
        == fires
    )


def test_late_grain_keeps_water_and_sugar_does_not() -> None:
    late = (
        "  - {malt: pale malt, kind: pale, mass: 4.2 kg, color: 6 EBC}\n"
        "  - {malt: X, kind: %s, mass: 3 kg, color: 60 EBC%s}"
    )
    # 3 kg of grain keep 2.1 to 3.9 L more: 14.75 to 19.25 L
    assert _fires(
        "batch: {volume: 21 L, evaporation: 3 L, losses: 1 L}", late % ("roasted", ", late: true")
    )
    assert not _fires("batch: {volume: 21 L, evaporation: 3 L, losses: 1 L}", late % ("sugar", ""))


def test_a_mash_that_is_none_is_told_as_such() -> None:
    slip = recipe("  mash: {volume: 150 L, from: ./well.yaml}")
    case = recipe_case(slip, {"well.yaml": report()})
    assert findings_of(case, NAME) == []
    silent = Settings(levels={"implausible-quantity": "off"})
    case = recipe_case(slip, {"well.yaml": report()}, settings=silent)
    assert len(findings_of(case, NAME)) == 1


def test_says_how_it_comes_about() -> None:
    case = recipe_case(recipe("batch: {volume: 30 L, losses: 1 L}"), {"well.yaml": report()})
    (finding,) = findings_of(case, NAME)
    assert finding.message == (
        "the batch is 30 L, while water 28.5 L, grain 3.15 to 5.85 L, evaporation (not stated) "
        "0 to 6 L and losses 1 L leave 15.6 to 24.4 L; 5 % more or less is allowed"
    )
    assert "Stating `evaporation` under `batch`" in finding.help
    assert (finding.span.line, finding.span.column) == (3, 17)
    assert finding.low == pytest.approx(28.5 - 5.85 - 6 - 1 - 1.5)
    assert finding.high == pytest.approx(28.5 - 3.15 - 1 + 1.5)
