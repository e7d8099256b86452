"""Waters and doses by mass balance, each case worked by hand beside its figures."""

from __future__ import annotations

import pytest

from waterlint.model.recipe import Addition
from waterlint.output.predictions import as_data

from .brew import TAP, add, analysis, brew, q, report, vessel

SOFT = report(analysis(dict.fromkeys(TAP, 0.0) | {"sulfate": 30.0}, alkalinity=0.0, ph=7.0))
SULFATE = report(analysis(dict.fromkeys(TAP, 0.0) | {"sulfate": 150.0}, alkalinity=0.0, ph=7.0))


def test_batch_is_all_water_and_all_additions_over_the_water() -> None:
    # 15 L of 150 and 15 L of 30 mg/L: 2700 mg; 2 g of gypsum: 2 x 557.93 mg sulfate and
    # 2 x 232.79 mg calcium; over 30 L: 127.20 and 15.52.
    predicted = brew(
        vessel("mash", 15.0, ("rich", 1.0)),
        vessel("sparge", 15.0, ("soft", 1.0)),
        additions=(add(0, "gypsum", kettle=(2.0, "g")),),
        waters={"rich": SULFATE, "soft": SOFT},
    )
    batch = predicted.batch_water
    assert batch is not None
    assert batch.volume_l == 30.0
    assert batch.ions["sulfate"].value == pytest.approx((2700.0 + 2 * 557.93) / 30.0, abs=0.01)
    assert batch.ions["calcium"].value == pytest.approx(15.52, abs=0.005)
    assert predicted.kettle_share["sulfate"] == pytest.approx(37.195, abs=0.005)
    assert predicted.kettle_share["calcium"] == pytest.approx(15.519, abs=0.005)
    assert predicted.kettle_share["sodium"] == 0.0
    assert predicted.mash_water is not None and predicted.sparge_water is not None
    assert predicted.mash_water.ions["sulfate"].value == 150.0
    assert predicted.sparge_water.ions["sulfate"].value == 30.0


def test_residual_alkalinity_dilutes_with_pure_water() -> None:
    # Troester: residual alkalinity times the share of the base water. Alkalinity 200, calcium 80
    # mg/L: 200 - 80 x 0.7135 = 142.92; at 40 %: 57.17.
    hard = report(analysis(dict.fromkeys(TAP, 0.0) | {"calcium": 80.0}, alkalinity=200.0))
    predicted = brew(
        vessel("mash", 10.0, ("hard", 1.0)),
        vessel("sparge", 10.0, ("hard", 0.4), ("distilled", 0.6)),
        waters={"hard": hard},
    )
    assert predicted.mash_water is not None and predicted.sparge_water is not None
    assert predicted.mash_water.residual_alkalinity.value == pytest.approx(142.92, abs=0.02)
    assert predicted.sparge_water.residual_alkalinity.value == pytest.approx(57.17, abs=0.01)
    assert predicted.sparge_water.hardness.value == pytest.approx(80.0 * 2.4972 * 0.4, abs=0.01)


@pytest.mark.parametrize(
    ("addition", "brought"),
    [
        # mg of ion per g of pure compound, by the molar masses; 1 g in 10 L is a tenth of it.
        (add(0, "gypsum", mash=(1.0, "g")), {"calcium": 232.79, "sulfate": 557.93}),
        (
            add(0, "calcium-chloride", "anhydrous", mash=(1.0, "g")),
            {"calcium": 361.13, "chloride": 638.87},
        ),
        (
            add(0, "calcium-chloride", "dihydrate", mash=(1.0, "g")),
            {"calcium": 272.62, "chloride": 482.29},
        ),
        (add(0, "epsom-salt", mash=(1.0, "g")), {"magnesium": 98.61, "sulfate": 389.73}),
        (add(0, "magnesium-chloride", mash=(1.0, "g")), {"magnesium": 119.56, "chloride": 348.75}),
        (add(0, "table-salt", mash=(1.0, "g")), {"sodium": 393.39, "chloride": 606.61}),
        (add(0, "potassium-chloride", mash=(1.0, "g")), {"potassium": 524.47, "chloride": 475.53}),
        (add(0, "sodium-sulfate", mash=(1.0, "g")), {"sodium": 323.72, "sulfate": 676.28}),
        # mEq/g x 50.043 as alkalinity
        (
            add(0, "baking-soda", mash=(1.0, "g")),
            {"sodium": 273.67, "alkalinity": 11.904 * 50.043},
        ),
        (
            add(0, "potassium-bicarbonate", mash=(1.0, "g")),
            {"potassium": 390.53, "alkalinity": 9.989 * 50.043},
        ),
        (
            add(0, "pickling-lime", mash=(1.0, "g")),
            {"calcium": 540.92, "alkalinity": 26.993 * 50.043},
        ),
        # dissolved by carbon dioxide: all of it
        (
            add(0, "chalk", dissolved=True, mash=(1.0, "g")),
            {"calcium": 400.44, "alkalinity": 19.983 * 50.043},
        ),
        # 10 % of 9.2 g: 0.92 g, as anhydrous
        (
            add(0, "calcium-chloride", "solution", strength=10.0, mash=(9.2, "g")),
            {"calcium": 0.92 * 361.13, "chloride": 0.92 * 638.87},
        ),
        # a purity of 90 %
        (
            add(0, "gypsum", strength=90.0, mash=(1.0, "g")),
            {"calcium": 0.9 * 232.79, "sulfate": 0.9 * 557.93},
        ),
        # 0.5 g of 90.078 g/mol gives 89.07/90.078 of its mass as lactate, takes 5.551 mEq
        (
            add(0, "lactic-acid", strength=50.0, mash=(1.0, "g")),
            {"lactate": 494.4, "alkalinity": -0.5 / 0.090078 * 50.043},
        ),
        # 0.1 g of 97.994 g/mol: 96.94 mg as PO4, 1.0205 mEq to H2PO4-
        (
            add(0, "phosphoric-acid", strength=10.0, mash=(1.0, "g")),
            {"phosphate": 0.1 / 97.994 * 94970.0, "alkalinity": -0.1 / 0.097994 * 50.043},
        ),
        (
            add(0, "sulfuric-acid", strength=10.0, mash=(1.0, "g")),
            {"sulfate": 0.1 / 98.072 * 96056.0, "alkalinity": -0.2 / 0.098072 * 50.043},
        ),
        (
            add(0, "hydrochloric-acid", strength=10.0, mash=(1.0, "g")),
            {"chloride": 0.1 / 36.458 * 35450.0, "alkalinity": -0.1 / 0.036458 * 50.043},
        ),
        # the crystal water of citric acid counts in its mass: 210.138 g/mol
        (
            add(0, "citric-acid", "monohydrate", mash=(1.0, "g")),
            {"citrate": 1.0 / 210.138 * 189099.0, "alkalinity": -1.0 / 0.210138 * 50.043},
        ),
        # without chlorine to meet: 2 sulfite of 80.057 g/mol per 190.095 g
        (
            add(0, "sodium-metabisulfite", mash=(1.0, "g")),
            {"sodium": 241.88, "sulfite": 2.0 / 190.095 * 80057.0},
        ),
    ],
    ids=lambda value: (
        f"{value.name}-{value.form or 'usual'}" if isinstance(value, Addition) else ""
    ),
)
def test_a_gram_gives_what_its_formula_says(addition: Addition, brought: dict[str, float]) -> None:
    plain = brew(vessel("mash", 10.0))
    dosed = brew(vessel("mash", 10.0), additions=(addition,))
    assert plain.mash_water is not None and dosed.mash_water is not None
    before = {name: figure.value for name, figure in plain.mash_water.ions.items()}
    after = {name: figure.value for name, figure in dosed.mash_water.ions.items()}
    before["alkalinity"] = plain.mash_water.alkalinity.value
    after["alkalinity"] = dosed.mash_water.alkalinity.value
    rise = {name: after[name] - before.get(name, 0.0) for name in after if name != "bicarbonate"}
    expected = dict.fromkeys(rise, 0.0) | {name: mg / 10.0 for name, mg in brought.items()}
    assert rise == pytest.approx(expected, rel=2e-4, abs=1e-9)


def test_liquor_doses_are_shared_by_volume() -> None:
    # 3 g of table salt over 10 + 15 + 5 L: 100 mg/L in each, 39.34 mg/L of it sodium; the water
    # for the fermenter is not part of the liquor.
    predicted = brew(
        vessel("mash", 10.0),
        vessel("sparge", 15.0),
        vessel("kettle", 5.0),
        vessel("fermenter", 10.0),
        additions=(add(0, "table-salt", liquor=(3.0, "g")),),
    )
    assert predicted.mash_water is not None
    assert predicted.sparge_water is not None
    assert predicted.batch_water is not None
    sodium = TAP["sodium"] + 39.339
    assert predicted.mash_water.ions["sodium"].value == pytest.approx(sodium, abs=0.001)
    assert predicted.sparge_water.ions["sodium"].value == pytest.approx(sodium, abs=0.001)
    batch = predicted.batch_water.ions["sodium"].value
    assert batch == pytest.approx(TAP["sodium"] + 39.339 * 30.0 / 40.0, abs=0.001)
    assert predicted.kettle_share["sodium"] == 0.0


def test_contributions_add_up_and_say_where_they_come_from() -> None:
    predicted = brew(
        vessel("mash", 12.0, ("tap", 0.75), ("reverse-osmosis", 0.25)),
        vessel("sparge", 8.0),
        additions=(
            add(0, "calcium-chloride", "dihydrate", liquor=(2.0, "g"), kettle=(1.0, "g")),
            add(1, "gypsum", mash=(1.2, "g")),
        ),
    )
    for water in (predicted.mash_water, predicted.sparge_water, predicted.batch_water):
        assert water is not None
        for ion, brought in water.contributions.items():
            total = water.alkalinity if ion == "alkalinity" else water.ions[ion]
            assert sum(each.amount for each in brought) == pytest.approx(total.value)
    assert predicted.batch_water is not None
    calcium = {
        each.origin: (each.place, each.label, round(each.amount, 3))
        for each in predicted.batch_water.contributions["calcium"]
    }
    # 9 L and 8 L of 42 mg/L, 3 L of 2 mg/L, 2 and 1 g of 272.62 mg/g, 1.2 g of 232.79; over 20 L
    assert calcium == {
        "/water/mash/from/0": ("mash", "Mill Leat supply", 18.9),
        "/water/mash/from/1": ("mash", "reverse osmosis water", 0.3),
        "/water/sparge/from": ("sparge", "Mill Leat supply", 16.8),
        "/additions/0/liquor": ("liquor", "calcium-chloride", 27.262),
        "/additions/0/kettle": ("kettle", "calcium-chloride", 13.631),
        "/additions/1/mash": ("mash", "gypsum", 13.967),
    }


def test_no_share_of_bicarbonate_where_no_equilibrium_is_found() -> None:
    predicted = brew(vessel("mash", 20.0), additions=(add(0, "pickling-lime", kettle=(5e5, "g")),))
    assert predicted.batch_water is not None and predicted.batch_water.ion("bicarbonate") is None
    assert predicted.kettle_share["bicarbonate"] is None
    assert predicted.kettle_share["calcium"] == pytest.approx(
        5e8 / 20.0 * 40.078 / 74.092, rel=1e-4
    )
    assert as_data(predicted)["kettle_share"] == {
        name: None if name == "bicarbonate" else pytest.approx(share)
        for name, share in predicted.kettle_share.items()
    }


def test_kettle_soda_shares_bicarbonate() -> None:
    predicted = brew(
        vessel("mash", 10.0),
        vessel("sparge", 10.0),
        additions=(add(0, "baking-soda", kettle=(5.0, "g")),),
    )
    # 5 g in 20 L: 250 mg/L, of it 68.42 sodium and 181.58 bicarbonate, of which the higher pH
    # turns some percent into carbonate
    assert predicted.kettle_share["sodium"] == pytest.approx(68.42, abs=0.01)
    assert 0.96 * 181.58 < predicted.kettle_share["bicarbonate"] < 181.58


def test_dose_masses_are_those_of_the_product() -> None:
    predicted = brew(
        vessel("mash", 10.0),
        additions=(
            add(0, "lactic-acid", strength=80.0, mash=(2.0, "mL")),
            add(1, "gypsum", mash=(0.15, "g/L")),
        ),
    )
    assert predicted.dose_mass_g == pytest.approx(
        {"/additions/0/mash": 2.0 * 1.1848, "/additions/1/mash": 1.5}
    )


def test_a_dose_of_nothing_changes_nothing() -> None:
    plain = brew(vessel("mash", 10.0))
    dosed = brew(vessel("mash", 10.0), additions=(add(0, "chalk", mash=(0.0, "g")),))
    assert plain.mash_water is not None and dosed.mash_water is not None
    assert {n: f.value for n, f in dosed.mash_water.ions.items()} == {
        n: f.value for n, f in plain.mash_water.ions.items()
    }


def test_extract_beer_has_a_batch_but_no_mash() -> None:
    predicted = brew(
        vessel("kettle", 12.0),
        vessel("fermenter", 8.0, ("distilled", 1.0)),
        additions=(add(0, "gypsum", fermenter=(1.0, "g"), kettle=(1.0, "g")),),
    )
    assert predicted.mash_water is None
    assert predicted.sparge_water is None
    assert predicted.mash is None
    assert predicted.gaps == ()
    assert predicted.batch_water is not None
    expected = (12.0 * TAP["calcium"] + 2 * 232.79) / 20.0
    assert predicted.batch_water.ions["calcium"].value == pytest.approx(expected, abs=0.001)
    assert predicted.kettle_share["calcium"] == pytest.approx(11.64, abs=0.001)


def test_ratio_needs_sulfate() -> None:
    none = report(analysis(TAP | {"sulfate": 0.0}))
    predicted = brew(vessel("mash", 10.0, ("none", 1.0)), waters={"none": none})
    assert predicted.mash_water is not None
    assert predicted.mash_water.chloride_to_sulfate is None
    usual = brew(vessel("mash", 10.0)).mash_water
    assert usual is not None and usual.chloride_to_sulfate is not None
    assert usual.chloride_to_sulfate.value == pytest.approx(28.0 / 24.0)


def test_an_amount_with_a_spread_keeps_it() -> None:
    predicted = brew(
        vessel("mash", 10.0, ("distilled", 1.0), sd=0.0),
        additions=(add(0, "gypsum", mash=q(2.0, "g", 0.1)),),
    )
    assert predicted.mash_water is not None
    assert predicted.mash_water.ions["calcium"].sd == pytest.approx(23.279 * 0.1, rel=1e-3)
