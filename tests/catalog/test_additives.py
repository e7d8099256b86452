"""Additives: their forms, what a gram of each gives, and what a litre of them weighs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterlint.catalog import cautions
from waterlint.catalog.acids import MEMORY_SD, TABLE_SD, density, strength_range
from waterlint.catalog.additives import ADDITIVES
from waterlint.catalog.limits import GYPSUM_SOLUBILITY, GYPSUM_SOLUBILITY_HOT
from waterlint.chemistry.acids import ACIDS
from waterlint.chemistry.salts import SALTS, alkalinity_yield, ion_yield

#: The names and forms of the recipe format.
NAMES = [
    "gypsum",
    "calcium-chloride",
    "epsom-salt",
    "magnesium-chloride",
    "table-salt",
    "potassium-chloride",
    "sodium-sulfate",
    "baking-soda",
    "potassium-bicarbonate",
    "chalk",
    "pickling-lime",
    "sodium-metabisulfite",
    "potassium-metabisulfite",
    "lactic-acid",
    "phosphoric-acid",
    "hydrochloric-acid",
    "sulfuric-acid",
    "citric-acid",
]
FORMS = {
    "anhydrous",
    "monohydrate",
    "dihydrate",
    "hemihydrate",
    "hexahydrate",
    "heptahydrate",
    "solution",
}

US_GALLON = 3.785411784
"""[L], by definition."""


def _yield(name: str, form: str | None = None) -> dict[str, float]:
    found = ADDITIVES[name].form(form)
    assert found is not None and found.salt is not None
    return ion_yield(found.salt)


def test_names_are_those_of_the_format() -> None:
    assert list(ADDITIVES) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_every_additive_is_whole(name: str) -> None:
    additive = ADDITIVES[name]
    assert additive.name == name and additive.title and additive.basis
    assert set(additive.forms) <= FORMS and additive.forms
    assert additive.default_form is None or additive.default_form in additive.forms
    assert (additive.role == "acid") == (additive.acid is not None)
    assert additive.acid is None or additive.acid in ACIDS
    for key, form in additive.forms.items():
        assert form.name == key and form.basis
        assert (form.salt is None) == (additive.role == "acid")
        assert form.salt is None or form.salt in SALTS
        assert (form.state == "liquid") == (key == "solution") == form.strength_required
        assert additive.molar_mass(key) > 30
    assert (additive.solubility_g_per_l is None) == (not additive.solubility_basis)


def test_form_must_be_stated_where_it_changes_the_dose() -> None:
    assert {name for name in NAMES if ADDITIVES[name].default_form is None} == {
        "calcium-chloride",
        "citric-acid",
    }
    assert ADDITIVES["calcium-chloride"].form() is None
    assert ADDITIVES["gypsum"].form("solution") is None
    with pytest.raises(ValueError, match="no form 'prills'; known are anhydrous"):
        ADDITIVES["calcium-chloride"].molar_mass("prills")


@pytest.mark.parametrize(
    ("name", "form", "needed"),
    [
        ("lactic-acid", None, True),
        ("phosphoric-acid", "solution", True),
        ("citric-acid", "monohydrate", False),
        ("citric-acid", "solution", True),
        ("calcium-chloride", "dihydrate", False),
        ("calcium-chloride", "solution", True),
        ("gypsum", None, False),
    ],
)
def test_strength(name: str, form: str | None, needed: bool) -> None:
    assert ADDITIVES[name].needs_strength(form) is needed


def test_only_liquid_acids_always_need_a_strength() -> None:
    assert {name for name in NAMES if ADDITIVES[name].strength_required} == {
        "lactic-acid",
        "phosphoric-acid",
        "hydrochloric-acid",
        "sulfuric-acid",
    }


def test_alkali_after_mash() -> None:
    assert {name for name in NAMES if ADDITIVES[name].alkali_after_mash} == {
        "baking-soda",
        "potassium-bicarbonate",
        "chalk",
        "pickling-lime",
    }
    for name in NAMES:
        additive = ADDITIVES[name]
        gives = additive.role != "acid" and any(
            alkalinity_yield(form.salt or "") > 0 for form in additive.forms.values()
        )
        assert gives == additive.alkali_after_mash == (additive.role == "alkali")


@pytest.mark.parametrize(
    ("name", "form", "ion", "published"),
    [
        # mg/L of 1 g in 1 US gallon: Palmer, How to Brew, table 16, as repeated by retailers.
        ("gypsum", None, "calcium", 61.5),
        ("gypsum", None, "sulfate", 147.4),
        ("calcium-chloride", "dihydrate", "calcium", 72.0),
        ("calcium-chloride", "dihydrate", "chloride", 127.0),
        ("epsom-salt", None, "magnesium", 26.0),
        ("epsom-salt", None, "sulfate", 103.0),
        ("chalk", None, "calcium", 105.0),
    ],
)
def test_yields_against_a_published_table(
    name: str, form: str | None, ion: str, published: float
) -> None:
    # The table is printed in whole numbers, some of them cut off instead of rounded.
    assert _yield(name, form)[ion] / US_GALLON == pytest.approx(published, abs=0.8)


def test_the_published_table_of_baking_soda_contradicts_itself() -> None:
    sodium = _yield("baking-soda")["sodium"] / US_GALLON
    bicarbonate = alkalinity_yield("sodium_bicarbonate") * 61.016 / US_GALLON
    assert bicarbonate == pytest.approx(191, abs=1)
    # The table has 75, from memory; with its own 191 of bicarbonate it can only be 72.
    assert sodium == pytest.approx(72.3, abs=0.1)
    assert sodium / bicarbonate == pytest.approx(22.990 / 61.016, rel=1e-6)


@pytest.mark.parametrize(
    ("name", "form", "ion", "expected"),
    [
        # mg/g by arithmetic from IUPAC weights, done by hand apart from the package.
        ("calcium-chloride", "anhydrous", "calcium", 361.13),
        ("calcium-chloride", "hexahydrate", "calcium", 1000 * 40.078 / 219.068),
        ("calcium-chloride", "monohydrate", "chloride", 1000 * 70.90 / 128.993),
        ("calcium-chloride", "solution", "chloride", 638.87),
        ("gypsum", "hemihydrate", "calcium", 1000 * 40.078 / 145.1415),
        ("gypsum", "anhydrous", "sulfate", 1000 * 96.056 / 136.134),
        ("epsom-salt", "anhydrous", "magnesium", 1000 * 24.305 / 120.361),
        ("epsom-salt", "monohydrate", "magnesium", 1000 * 24.305 / 138.376),
        ("magnesium-chloride", None, "magnesium", 119.56),
        ("table-salt", None, "sodium", 393.39),
        ("potassium-chloride", None, "potassium", 524.47),
        ("sodium-sulfate", None, "sulfate", 676.28),
        ("potassium-bicarbonate", None, "potassium", 390.53),
        ("pickling-lime", None, "calcium", 540.92),
        ("potassium-metabisulfite", None, "potassium", 351.74),
        ("sodium-metabisulfite", None, "sodium", 241.88),
    ],
)
def test_yields_by_arithmetic(name: str, form: str | None, ion: str, expected: float) -> None:
    assert _yield(name, form)[ion] == pytest.approx(expected, rel=5e-5)


def test_the_hydrate_of_calcium_chloride_changes_it_by_a_third() -> None:
    anhydrous = _yield("calcium-chloride", "anhydrous")
    dihydrate = _yield("calcium-chloride", "dihydrate")
    for ion in ("calcium", "chloride"):
        assert anhydrous[ion] / dihydrate[ion] == pytest.approx(1.32, abs=0.006)


@pytest.mark.parametrize(
    ("form", "mass"), [("anhydrous", 192.123), ("monohydrate", 210.138), ("solution", 192.123)]
)
def test_citric_acid_is_weighed_with_its_water(form: str, mass: float) -> None:
    assert ADDITIVES["citric-acid"].molar_mass(form) == pytest.approx(mass, abs=0.002)


class TestDensity:
    @pytest.mark.parametrize(
        ("solution", "strength", "published", "tolerance"),
        [
            # ECHA registration dossier, handbook survey: at 25 degrees, hence the tolerance
            ("phosphoric-acid", 10, 1.0517, 0.003),
            ("phosphoric-acid", 75, 1.575, 0.005),
            ("phosphoric-acid", 85, 1.69, 0.006),
            # encyclopaedia, at 25 degrees
            ("phosphoric-acid", 85, 1.6845, 0.006),
            # engineeringtoolbox.com
            ("lactic-acid", 80, 1.1848, 0.0005),
            ("hydrochloric-acid", 10, 1.0476, 0.0005),
            ("sulfuric-acid", 10, 1.0661, 0.0005),
            ("sulfuric-acid", 70, 1.6105, 0.0005),
            ("calcium-chloride", 30, 1.2816, 0.0005),
            # the range of a supplier's data page
            ("lactic-acid", 88, 1.205, 0.005),
            ("lactic-acid", 92, 1.205, 0.005),
            # from memory
            ("hydrochloric-acid", 31.5, 1.157, 0.002),
            ("hydrochloric-acid", 37, 1.184, 0.002),
            ("sulfuric-acid", 93, 1.83, 0.01),
            ("sulfuric-acid", 96, 1.84, 0.01),
            ("sulfuric-acid", 98, 1.836, 0.01),
            ("calcium-chloride", 33, 1.32, 0.007),
        ],
    )
    def test_against_published(
        self, solution: str, strength: float, published: float, tolerance: float
    ) -> None:
        found = density(solution, strength)
        assert found is not None
        assert found.value == pytest.approx(published, abs=tolerance)
        assert abs(found.value - published) <= 2.5 * found.sd

    @pytest.mark.parametrize(
        ("solution", "strength", "model"),
        [
            # Laliberté 2009 at 20 degrees, where the table has no point of its own
            ("hydrochloric-acid", 33, 1.1640),
            ("sulfuric-acid", 33, 1.2441),
            ("sulfuric-acid", 37, 1.2781),
            ("phosphoric-acid", 33, 1.2028),
            ("phosphoric-acid", 37, 1.2322),
        ],
    )
    def test_between_points(self, solution: str, strength: float, model: float) -> None:
        found = density(solution, strength)
        assert found is not None
        assert found.value == pytest.approx(model, abs=0.003)
        assert found.basis.startswith("between 30 and")

    @pytest.mark.parametrize(
        ("solution", "strength"),
        [
            ("lactic-acid", 92.1),
            ("phosphoric-acid", 86),
            ("hydrochloric-acid", 41),
            ("calcium-chloride", 41),
            ("sulfuric-acid", 101),
            ("sulfuric-acid", -1),
            ("sulfuric-acid", float("nan")),
            ("citric-acid", 50),
            ("gypsum", 10),
            ("molasses", 10),
        ],
    )
    def test_none_where_nothing_is_known(self, solution: str, strength: float) -> None:
        assert density(solution, strength) is None

    @given(
        solution=st.sampled_from(["lactic", "phosphoric", "hydrochloric", "calcium_chloride"]),
        part=st.floats(0, 1),
        step=st.floats(0.001, 0.2),
    )
    def test_rises_with_strength(self, solution: str, part: float, step: float) -> None:
        known = strength_range(solution)
        assert known is not None
        low, high = known
        first = density(solution, low + part * (1 - step) * (high - low))
        second = density(solution, low + (part * (1 - step) + step) * (high - low))
        assert first is not None and second is not None
        assert first.value < second.value

    @pytest.mark.parametrize(
        ("solution", "step", "bend"),
        [
            ("lactic", 10, 0.008),
            ("phosphoric", 10, 0.008),
            ("hydrochloric", 10, 0.008),
            ("calcium_chloride", 10, 0.008),
            # It bends over at 97 %.
            ("sulfuric", 5, 0.012),
        ],
    )
    def test_curves_are_smooth(self, solution: str, step: int, bend: float) -> None:
        known = strength_range(solution)
        assert known is not None and known[0] == 0.0

        def value(strength: float) -> float:
            found = density(solution, strength)
            assert found is not None
            return found.value

        assert value(0.0) == pytest.approx(0.998, abs=0.001)
        for strength in range(step, int(known[1]) - step + 1):
            middle = (value(strength - step) + value(strength + step)) / 2.0
            assert value(strength) == pytest.approx(middle, abs=bend), strength

    def test_sulfuric_acid_is_densest_below_full_strength(self) -> None:
        values = {strength: density("sulfuric", strength) for strength in (90, 97, 100)}
        dense = {strength: found.value for strength, found in values.items() if found}
        assert dense[90] < dense[100] < dense[97]

    def test_spread_is_wider_from_memory(self) -> None:
        read, remembered = density("sulfuric", 50), density("sulfuric", 96)
        assert read is not None and remembered is not None
        assert (read.sd, remembered.sd) == (TABLE_SD, MEMORY_SD)
        between = density("sulfuric", 79)
        assert between is not None and between.sd == MEMORY_SD
        assert "from memory" in remembered.basis and "from memory" not in read.basis

    def test_names_of_trade_and_chemistry_agree(self) -> None:
        for alias, name in (("lactic-acid", "lactic"), ("calcium-chloride", "calcium_chloride")):
            assert density(alias, 33) == density(name, 33) is not None
        assert ADDITIVES["lactic-acid"].density(80) == density("lactic", 80)
        assert strength_range("citric") is None


class TestSolubility:
    @pytest.mark.parametrize(
        ("temperature", "expected"), [(10, 2.40), (25, 2.59), (80, 2.35), (100, 2.05)]
    )
    def test_gypsum_against_phreeqc(self, temperature: float, expected: float) -> None:
        phreeqc = pytest.importorskip("phreeqc")
        solver = phreeqc.Phreeqc()
        solver.LoadBuiltInDatabase("phreeqc.dat")
        solver.RunString(
            f"SOLUTION 1\n temp {temperature}\nEQUILIBRIUM_PHASES 1\n Gypsum 0 10\n"
            "SELECTED_OUTPUT\n -reset false\n -totals Ca\nEND\n"
        )
        moles = solver.GetSelectedOutput()["Ca(mol/kgw)"][-1]
        dissolved = moles * ADDITIVES["gypsum"].molar_mass()
        assert dissolved == pytest.approx(expected, abs=0.006)
        limit = GYPSUM_SOLUBILITY if temperature <= 25 else GYPSUM_SOLUBILITY_HOT
        # The limit is what dissolves everywhere in its range, to its last digit.
        assert round(dissolved, 1) >= limit.ceiling
        assert f"{expected:.2f} at {temperature} °C" in limit.basis

    def test_hot_water_dissolves_less_gypsum(self) -> None:
        gypsum = ADDITIVES["gypsum"]
        assert gypsum.solubility_hot_g_per_l is not None
        assert gypsum.solubility_g_per_l is not None
        assert gypsum.solubility_hot_g_per_l < gypsum.solubility_g_per_l


class TestCautions:
    @pytest.mark.parametrize("name", NAMES)
    def test_who_has_one(self, name: str) -> None:
        additive = ADDITIVES[name]
        wants = additive.role in ("acid", "sulfite") or name == "pickling-lime"
        assert bool(additive.caution) is wants
        if wants:
            assert cautions.DEFERS in additive.caution

    def test_what_must_be_said(self) -> None:
        assert "never water into acid" in cautions.ACID
        assert "fumes" in ADDITIVES["hydrochloric-acid"].caution
        assert "violently" in ADDITIVES["sulfuric-acid"].caution
        assert "caustic" in cautions.LIME
        assert "asthma" in cautions.SULFITE
        assert "local law" in cautions.DRINKING_WATER
