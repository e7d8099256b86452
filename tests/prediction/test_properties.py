"""What holds for every recipe."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterlint.chemistry.ions import IONS
from waterlint.model.recipe import Addition, Batch, Recipe, Vessel
from waterlint.model.water import WaterReport
from waterlint.prediction.predict import predict
from waterlint.prediction.result import Figure, Prediction, WaterFigures

from .brew import CATALOG, TAP, add, analysis, malt, q, recipe, report, vessel

FEW = settings(max_examples=25, deadline=None)

#: Every additive with a form and strength that make a dose of it.
PRODUCTS = [
    ("gypsum", None, None),
    ("calcium-chloride", "dihydrate", None),
    ("calcium-chloride", "solution", 33.0),
    ("epsom-salt", None, None),
    ("magnesium-chloride", "hexahydrate", None),
    ("table-salt", None, None),
    ("potassium-chloride", None, None),
    ("sodium-sulfate", None, None),
    ("baking-soda", None, None),
    ("potassium-bicarbonate", None, None),
    ("chalk", None, None),
    ("pickling-lime", None, None),
    ("sodium-metabisulfite", None, None),
    ("potassium-metabisulfite", None, None),
    ("lactic-acid", None, 80.0),
    ("phosphoric-acid", None, 10.0),
    ("hydrochloric-acid", None, 10.0),
    ("sulfuric-acid", None, 10.0),
    ("citric-acid", "monohydrate", None),
]

PLACES = ("liquor", "mash", "sparge", "kettle", "fermenter")


def decimals(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers as a file may hold them: plain decimals, here of up to six places."""
    return st.floats(low, high).map(lambda value: round(value, 6))


liters = decimals(5.0, 40.0)
grams = decimals(0.0, 12.0)


@st.composite
def additions(draw: st.DrawFn) -> tuple[Addition, ...]:
    made = []
    for place in range(draw(st.integers(0, 4))):
        name, form, strength = draw(st.sampled_from(PRODUCTS))
        into = draw(st.lists(st.sampled_from(PLACES), min_size=1, max_size=3, unique=True))
        doses = {each: (draw(grams), "g") for each in into}
        made.append(add(place, name, form, strength, dissolved=draw(st.booleans()), **doses))
    return tuple(made)


@st.composite
def reports(draw: st.DrawFn) -> WaterReport:
    ions = {name: draw(decimals(0.0, 200.0)) for name in TAP}
    return report(
        analysis(
            ions,
            alkalinity=draw(decimals(0.0, 350.0)),
            ph=draw(st.one_of(st.none(), decimals(6.0, 9.0))),
            chlorine=draw(decimals(0.0, 2.0)),
            chloramine=draw(decimals(0.0, 2.0)),
        )
    )


@st.composite
def recipes(draw: st.DrawFn) -> Recipe:
    share = draw(decimals(0.0, 1.0))
    vessels: list[Vessel] = [
        vessel("mash", draw(liters), ("tap", share), ("other", round(1.0 - share, 6))),
        vessel("sparge", draw(liters), treat=draw(st.sampled_from([(), ("carbon-filtered",)]))),
    ]
    for name in ("kettle", "fermenter"):
        if draw(st.booleans()):
            vessels.append(vessel(name, draw(liters), ("other", 1.0)))
    return recipe(
        *vessels,
        additions=draw(additions()),
        grist=(
            malt(0, "pale", draw(decimals(1.0, 10.0)), color=6.0),
            malt(1, "roasted", draw(decimals(0.01, 1.0)), color=900.0),
        ),
        batch=Batch(q(draw(liters), "L"), evaporation=q(draw(decimals(0.0, 6.0)), "L")),
    )


def _predict(made: Recipe, tap: WaterReport, other: WaterReport) -> Prediction:
    return predict(made, {"tap": tap, "other": other}, CATALOG)


def _sums(water: WaterFigures) -> dict[str, float]:
    """The figures that mixing conserves, per litre."""
    kept = {name: figure.value for name, figure in water.ions.items() if name != "bicarbonate"}
    return kept | {"alkalinity": water.alkalinity.value}


@FEW
@given(recipes(), reports(), reports())
def test_every_recipe_is_predicted_with_finite_figures(
    made: Recipe, tap: WaterReport, other: WaterReport
) -> None:
    predicted = _predict(made, tap, other)
    for water in (predicted.mash_water, predicted.sparge_water, predicted.batch_water):
        assert water is not None
        figures = [*water.ions.values(), water.alkalinity, water.hardness, water.ph]
        for figure in figures:
            if isinstance(figure, Figure):
                assert isfinite(figure.value) and isfinite(figure.sd) and figure.sd >= 0.0
        assert all(figure.value >= 0.0 for figure in water.ions.values())
        # The index hangs on the pH, and on there being calcium and carbonate.
        has_calcite = all(water.ions[ion].value > 0.0 for ion in ("calcium", "bicarbonate"))
        is_known = water.ph is not None and has_calcite
        assert is_known == (water.calcite_saturation_index is not None)
    gaps = {gap.figure for gap in predicted.gaps}
    assert (predicted.wort is None) == ("wort" in gaps)
    assert predicted.mash is not None
    assert predicted.mash.ph is not None or "mash_ph" in gaps
    if predicted.mash.ph is not None:
        assert isfinite(predicted.mash.ph.sd)
        assert sum(predicted.mash.parts.values()) == pytest.approx(1.0)


@FEW
@given(recipes(), reports(), reports())
def test_the_batch_is_its_vessels_and_what_went_into_the_wort(
    made: Recipe, tap: WaterReport, other: WaterReport
) -> None:
    whole = _predict(made, tap, other).batch_water
    assert whole is not None
    # Each vessel alone, with the doses that are its own or its part of the liquor's.
    liquor = sum(each.volume.value for name, each in made.vessels.items() if name != "fermenter")
    total: dict[str, float] = {}
    for name in ("mash", "sparge", "kettle", "fermenter"):
        volume = made.vessels[name].volume.value if name in made.vessels else 0.0
        share = volume / liquor if name != "fermenter" else 0.0
        amounts: dict[str, float] = {}
        for contribution_ion, listed in whole.contributions.items():
            for each in listed:
                if each.place == name:
                    part = 1.0
                elif each.place == "liquor":
                    part = share
                else:
                    continue
                amounts[contribution_ion] = amounts.get(contribution_ion, 0.0) + part * each.amount
        for ion, amount in amounts.items():
            total[ion] = total.get(ion, 0.0) + amount
    for ion, value in _sums(whole).items():
        assert total.get(ion, 0.0) == pytest.approx(value, rel=1e-9, abs=1e-9)


@FEW
@given(recipes(), reports(), reports())
def test_the_batch_is_the_mean_of_vessels_by_volume(
    made: Recipe, tap: WaterReport, other: WaterReport
) -> None:
    made = replace(
        made,
        vessels={name: made.vessels[name] for name in ("mash", "sparge")},
        additions=tuple(
            replace(
                each,
                doses=tuple(d for d in each.doses if d.place in ("mash", "sparge", "liquor")),
            )
            for each in made.additions
        ),
    )
    predicted = _predict(made, tap, other)
    mash, sparge, batch = predicted.mash_water, predicted.sparge_water, predicted.batch_water
    assert mash is not None and sparge is not None and batch is not None
    first, second = _sums(mash), _sums(sparge)
    for ion, value in _sums(batch).items():
        mixed = first.get(ion, 0.0) * mash.volume_l + second.get(ion, 0.0) * sparge.volume_l
        assert value == pytest.approx(mixed / batch.volume_l, rel=1e-9, abs=1e-9)
    assert predicted.kettle_share == dict.fromkeys(predicted.kettle_share, 0.0)


@FEW
@given(recipes(), reports(), reports())
def test_additions_keep_the_charge(made: Recipe, tap: WaterReport, other: WaterReport) -> None:
    def charge(water: WaterFigures | None) -> float:
        """Cations less anions less alkalinity [mEq/L]."""
        assert water is not None
        total = -water.alkalinity.value / 50.043
        for name, figure in water.ions.items():
            if name != "bicarbonate":
                ion = IONS[name]
                sign = 1.0 if ion.charge > 0 else -1.0
                total += sign * figure.value / ion.equivalent_weight
        return total

    dosed, plain = _predict(made, tap, other), _predict(replace(made, additions=()), tap, other)
    for name in ("mash_water", "sparge_water", "batch_water"):
        assert charge(getattr(dosed, name)) == pytest.approx(
            charge(getattr(plain, name)), abs=1e-6 * 50.0
        )


@FEW
@given(recipes(), reports(), reports(), decimals(0.05, 0.95))
def test_splitting_a_dose_in_two_changes_nothing(
    made: Recipe, tap: WaterReport, other: WaterReport, share: float
) -> None:
    halves: list[Addition] = []
    for addition in made.additions:
        for part in (share, 1.0 - share):
            place = len(halves)
            doses = tuple(
                replace(
                    dose,
                    amount=replace(dose.amount, value=part * dose.amount.value),
                    pointer=f"/additions/{place}/{dose.place}",
                )
                for dose in addition.doses
            )
            halves.append(replace(addition, doses=doses, pointer=f"/additions/{place}"))
    whole = _predict(made, tap, other)
    split = _predict(replace(made, additions=tuple(halves)), tap, other)
    for name in ("mash_water", "sparge_water", "batch_water"):
        first, second = getattr(whole, name), getattr(split, name)
        assert _sums(second) == pytest.approx(_sums(first), rel=1e-9, abs=1e-9)
        assert (first.ph is None) == (second.ph is None)
        if first.ph is not None:
            assert second.ph.value == pytest.approx(first.ph.value, abs=1e-6)
    assert whole.mash is not None and split.mash is not None
    if whole.mash.ph is not None:
        assert split.mash.ph is not None
        assert split.mash.ph.value == pytest.approx(whole.mash.ph.value, abs=1e-9)


@FEW
@given(recipes(), reports(), reports(), decimals(0.1, 50.0))
def test_a_brew_of_any_size_is_the_same_brew(
    made: Recipe, tap: WaterReport, other: WaterReport, factor: float
) -> None:
    def bigger(quantity: object) -> object:
        return replace(quantity, value=quantity.value * factor)  # type: ignore[attr-defined,type-var]

    larger = replace(
        made,
        batch=Batch(
            bigger(made.batch.volume),  # type: ignore[arg-type]
            evaporation=bigger(made.batch.evaporation),  # type: ignore[arg-type]
        ),
        vessels={n: replace(v, volume=bigger(v.volume)) for n, v in made.vessels.items()},
        grist=tuple(replace(m, mass=bigger(m.mass)) for m in made.grist),
        additions=tuple(
            replace(a, doses=tuple(replace(d, amount=bigger(d.amount)) for d in a.doses))
            for a in made.additions
        ),
    )
    small, large = _predict(made, tap, other), _predict(larger, tap, other)
    for name in ("mash_water", "sparge_water", "batch_water"):
        first, second = getattr(small, name), getattr(large, name)
        assert _sums(second) == pytest.approx(_sums(first), rel=1e-9, abs=1e-9)
    assert small.color is not None and large.color is not None
    assert large.color.srm.value == pytest.approx(small.color.srm.value)
    if small.wort is not None:
        assert large.wort is not None
        assert large.wort.volume_l == pytest.approx(factor * small.wort.volume_l)
        for ion, figure in small.wort.ions.items():
            assert large.wort.ions[ion].value == pytest.approx(figure.value, rel=1e-9, abs=1e-9)
    assert small.mash is not None and large.mash is not None
    if small.mash.ph is not None:
        assert large.mash.ph is not None
        assert large.mash.ph.value == pytest.approx(small.mash.ph.value, abs=1e-9)


@FEW
@given(recipes(), reports(), reports())
def test_the_order_of_shares_and_additions_does_not_matter(
    made: Recipe, tap: WaterReport, other: WaterReport
) -> None:
    turned = replace(
        made,
        vessels={
            name: replace(each, shares=each.shares[::-1])
            for name, each in reversed(made.vessels.items())
        },
        additions=made.additions[::-1],
    )
    first, second = _predict(made, tap, other), _predict(turned, tap, other)
    for name in ("mash_water", "sparge_water", "batch_water"):
        one, two = getattr(first, name), getattr(second, name)
        assert _sums(two) == pytest.approx(_sums(one), rel=1e-9, abs=1e-9)
        for ion, figure in one.ions.items():
            assert two.ions[ion].sd == pytest.approx(figure.sd, rel=1e-6, abs=1e-9)
