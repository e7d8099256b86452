"""A house's own entries: how they are made, how they join, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import FrozenInstanceError, replace

import pytest

from waterlint.catalog.catalog import CatalogError, default_catalog
from waterlint.catalog.house import house_additive, house_malt, house_style, house_water
from waterlint.catalog.waters import Estimate

SHEET = "the maker's sheet"


def _ions(**amounts: float) -> dict[str, Estimate]:
    """The ions that a water must state, 0 unless given."""
    required = ("calcium", "magnesium", "sodium", "chloride", "sulfate")
    return {ion: Estimate(0.0, 0.0) for ion in required} | {
        ion: Estimate(value, 0.1) for ion, value in amounts.items()
    }


def test_the_default_catalogue_is_one() -> None:
    assert default_catalog() is default_catalog()
    assert default_catalog().house == frozenset()


def test_extending_leaves_the_original_alone() -> None:
    built_in = default_catalog()
    malt = house_malt("moor-pale", "pale", SHEET, di_ph=5.72, di_ph_sd=0.03, color_ebc=6)
    extended = built_in.extended(malts={"moor-pale": malt})
    assert extended.malts["moor-pale"] is malt
    assert "moor-pale" not in built_in.malts
    assert extended.house == {"malts/moor-pale"}
    assert extended.additives is built_in.additives and extended.styles is built_in.styles
    with pytest.raises(TypeError):
        extended.malts["other"] = malt  # type: ignore[index]
    with pytest.raises(FrozenInstanceError):
        extended.malts = {}  # type: ignore[misc]


def test_nothing_joins_where_nothing_is_given() -> None:
    extended = default_catalog().extended(styles={}, waters=None)
    assert extended == default_catalog()


def test_the_house_wins_and_the_later_entry_wins() -> None:
    first = house_water("distilled", _ions(calcium=1), "own measurement")
    second = replace(first, basis="a later measurement")
    once = default_catalog().extended(waters={"distilled": first})
    twice = once.extended(waters={"distilled": second})
    assert once.waters["distilled"] is first
    assert twice.waters["distilled"] is second
    assert twice.waters["reverse-osmosis"] is default_catalog().waters["reverse-osmosis"]
    assert twice.house == {"waters/distilled"}


def test_a_house_style_is_found_beside_the_built_in_ones() -> None:
    own = house_style("quay-bitter", "hop-bitter", (8, 12), "house habit")
    catalog = default_catalog().extended(styles={"quay-bitter": own})
    assert catalog.styles["quay-bitter"] is own
    assert catalog.styles["kolsch"].name == "Kölsch"
    assert len(catalog.styles) == len(default_catalog().styles) + 1
    assert catalog.nearest_styles("quay-biter")[0] == "quay-bitter"


@pytest.mark.parametrize(
    ("name", "basis", "key", "message"),
    [
        ("moor-pale", " ", "moor-pale", "basis"),
        ("moor-pale", SHEET, "mor-pale", "names itself 'moor-pale'"),
        ("Moor Pale", SHEET, "Moor Pale", "no name"),
        ("moor_pale", SHEET, "moor_pale", "no name"),
        ("moor-", SHEET, "moor-", "no name"),
    ],
)
def test_what_cannot_join(name: str, basis: str, key: str, message: str) -> None:
    malt = house_malt(name, "pale", basis)
    with pytest.raises(CatalogError, match=message) as raised:
        default_catalog().extended(malts={key: malt})
    assert str(raised.value).startswith("malts: ")


def test_a_style_joins_by_its_key() -> None:
    own = house_style("quay-bitter", "hop-bitter", (8, 12), "house habit", name="Quay bitter")
    with pytest.raises(CatalogError, match="names itself 'quay-bitter'"):
        default_catalog().extended(styles={"Quay bitter": own})


class TestAdditive:
    def test_a_product_of_known_strength(self) -> None:
        liquid = house_additive(
            "cellar-calcium",
            "calcium-chloride",
            SHEET,
            form="solution",
            strength=33,
            density=1.31,
        )
        assert liquid.default_form == "solution" and set(liquid.forms) == {"solution"}
        assert liquid.state == "liquid" and liquid.like == "calcium-chloride"
        assert not liquid.needs_strength() and not liquid.strength_required
        assert liquid.density(33) == (1.31, 0.0, SHEET)
        # Another strength than its own has the table's density.
        assert liquid.density(30) == default_catalog().additives["calcium-chloride"].density(30)

    def test_it_keeps_what_it_is_like(self) -> None:
        lime = house_additive("mortar-lime", "pickling-lime", SHEET, strength=95)
        original = default_catalog().additives["pickling-lime"]
        assert lime.alkali_after_mash and lime.caution == original.caution
        assert lime.forms == original.forms and lime.default_strength == 95

    def test_an_acid_without_strength_still_needs_one(self) -> None:
        acid = house_additive("cellar-acid", "lactic-acid", SHEET)
        assert acid.needs_strength()
        assert acid.density(80) == default_catalog().additives["lactic-acid"].density(80)

    @pytest.mark.parametrize(
        ("like", "arguments", "message"),
        [
            ("calcium-chlorid", {}, "no additive 'calcium-chlorid'"),
            ("gypsum", {"form": "solution"}, "known are dihydrate, hemihydrate, anhydrous"),
            ("gypsum", {"strength": 101.0}, "strength must lie between 0 and 100, got 101"),
            ("gypsum", {"strength": float("nan")}, "strength must lie"),
            ("lactic-acid", {"density": 12.0}, "density must lie between 0 and 3"),
        ],
    )
    def test_refused(self, like: str, arguments: dict[str, float], message: str) -> None:
        with pytest.raises(CatalogError, match=message):
            house_additive("own", like, SHEET, **arguments)  # type: ignore[arg-type]


class TestMalt:
    def test_it_keeps_what_it_is_like(self) -> None:
        sirup = house_malt("harbour-sirup", "sugar", SHEET, color_ebc=90)
        assert (sirup.base, sirup.in_mash, sirup.like) == (False, False, "sugar")
        assert sirup.color_ebc == 90

    @pytest.mark.parametrize(
        ("arguments", "message"),
        [
            ({"like": "pail"}, "no malt kind 'pail'; known are pilsner"),
            ({"di_ph": 57.2}, "di_ph must lie between 3 and 8, got 57.2"),
            ({"di_ph_sd": -0.1}, "spread"),
            ({"color_ebc": float("inf")}, "color"),
            ({"acidity": -1}, "acidity"),
            ({"buffer": 1e9}, "buffer"),
        ],
    )
    def test_refused(self, arguments: dict[str, float | str], message: str) -> None:
        given = {"like": "pale", **arguments}
        with pytest.raises(CatalogError, match=message):
            house_malt("own", basis=SHEET, **given)  # type: ignore[arg-type]


class TestStyle:
    def test_ranges_on_top_of_the_emphasis(self) -> None:
        own = house_style(
            "quay-bitter",
            "hop-bitter",
            (8, 12),
            "house habit",
            ranges={"sulfate": (None, 250), "calcium": (60, 140)},
            unchecked=frozenset({"mash_ph"}),
            soft=True,
        )
        assert (own.limits["sulfate"].high, own.limits["calcium"].low) == (250, 60)
        assert own.limits["sulfate"].basis == "house habit"
        assert own.limits["chloride_to_sulfate"].high == 1.3
        assert "mash_ph" not in own.limits and own.soft

    @pytest.mark.parametrize(
        ("make", "message"),
        [
            (lambda: house_style("own", "hoppy", (2, 3), SHEET), "unknown emphasis 'hoppy'"),
            (lambda: house_style("own", "malt", (9, 3), SHEET), "colour"),
            (
                lambda: house_style("own", "malt", (2, 3), SHEET, ranges={"iron": (0, 1)}),
                "no range of 'iron'",
            ),
            (
                lambda: house_style("own", "malt", (2, 3), SHEET, ranges={"sulfate": (9, 1)}),
                "upside down",
            ),
            (
                lambda: house_style("own", "malt", (2, 3), "", ranges={"sulfate": (0, 1)}),
                "no basis",
            ),
        ],
    )
    def test_refused(self, make: Callable[[], object], message: str) -> None:
        with pytest.raises(CatalogError, match=message):
            make()


class TestWater:
    def test_alkalinity_closes_the_charge_unless_given(self) -> None:
        closed = house_water("cellar", _ions(sodium=22.990), SHEET)
        assert closed.alkalinity == pytest.approx((50.043, 25.02), abs=0.01)
        given = house_water(
            "cellar", _ions(), SHEET, alkalinity=Estimate(12, 1), ph=Estimate(7, 0.2)
        )
        assert given.alkalinity == (12, 1) and given.ph == (7, 0.2)

    @pytest.mark.parametrize(
        ("ions", "alkalinity", "ph", "message"),
        [
            (_ions(chloride=30), None, None, "no alkalinity closes the charge"),
            (_ions(calcium=-1), None, None, "calcium must lie"),
            (_ions(calcum=1), None, None, "'calcum' is no ion of a water; known are calcium"),
            (_ions(bicarbonate=1), None, None, "'bicarbonate' is no ion"),
            ({"calcium": Estimate(1, 0)}, None, None, "states no magnesium, no sodium, no chl"),
            (_ions() | {"calcium": Estimate(1, float("nan"))}, None, None, "calcium's spread"),
            (_ions(), Estimate(float("inf"), 0), None, "alkalinity must lie"),
            (_ions(), Estimate(1, -1), None, "alkalinity's spread"),
            (_ions(), None, Estimate(15, 0), "pH must lie"),
            (_ions(), None, Estimate(7, float("nan")), "pH's spread"),
        ],
    )
    def test_refused(
        self,
        ions: dict[str, Estimate],
        alkalinity: Estimate | None,
        ph: Estimate | None,
        message: str,
    ) -> None:
        with pytest.raises(CatalogError, match=message):
            house_water("cellar", ions, SHEET, alkalinity=alkalinity, ph=ph)
