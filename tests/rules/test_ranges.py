"""Which range holds for a figure: target, house, style, any beer, each side by itself."""

from __future__ import annotations

import pytest

from waterlint.prediction.result import Figure
from waterlint.project.config import Settings
from waterlint.rules.figures import is_ratio_meaningless
from waterlint.rules.ranges import Bound, Verdict, bounds_of, judge

from .figured import case_of, house, house_by_style, with_ions


def _bounds(
    quantity: str, vessel: str, *changes: str, settings: Settings | None = None
) -> set[tuple[str, str, float, str, str]]:
    case = case_of(*changes, settings=settings)
    return {
        (bound.side, bound.level, bound.value, bound.origin, bound.pointer)
        for bound in bounds_of(case, quantity, vessel)
    }


GENERAL_CALCIUM = {
    ("low", "note", 40.0, "general", ""),
    ("high", "note", 200.0, "general", ""),
    ("low", "warning", 20.0, "general", ""),
    ("high", "warning", 250.0, "general", ""),
}
TARGET = "/targets/calcium"


@pytest.mark.parametrize(
    ("changes", "settings", "expected"),
    [
        pytest.param([], None, GENERAL_CALCIUM, id="any beer"),
        pytest.param(
            ["targets: {calcium: 50 .. 110 mg/L}"],
            house(calcium=(60, 100)),
            {
                ("low", "warning", 50.0, "target", TARGET),
                ("high", "warning", 110.0, "target", TARGET),
            },
            id="the target wins over the house",
        ),
        pytest.param(
            ["targets: {calcium: 50 .. mg/L}"],
            None,
            {
                ("low", "warning", 50.0, "target", TARGET),
                ("high", "note", 200.0, "general", ""),
                ("high", "warning", 250.0, "general", ""),
            },
            id="what a target leaves open stays as it is",
        ),
        pytest.param(
            ["targets: {calcium: 50 .. mg/L}"],
            house(calcium=(None, 120)),
            {("low", "warning", 50.0, "target", TARGET), ("high", "warning", 120.0, "house", "")},
            id="a side each",
        ),
        pytest.param(
            ["style: best-bitter"],
            house(calcium=(30, 120)),
            {("low", "warning", 30.0, "house", ""), ("high", "warning", 120.0, "house", "")},
            id="the house wins over the style",
        ),
        pytest.param(
            ["style: munich-helles"],
            None,
            {
                ("low", "note", 20.0, "style", "/style"),
                ("high", "note", 150.0, "style", "/style"),
                ("low", "warning", 20.0, "general", ""),
                ("high", "warning", 250.0, "general", ""),
            },
            id="a style's calcium replaces the note's limits",
        ),
        pytest.param(
            ["style: czech-premium-pale-lager"],
            None,
            {("high", "note", 150.0, "style", "/style"), ("high", "warning", 250.0, "general", "")},
            id="a soft style has no low side",
        ),
        pytest.param(["style: no-such-style"], None, GENERAL_CALCIUM, id="an unknown style"),
        pytest.param(
            ["targets: {mash: {calcium: 60 .. 90 mg/L}}"],
            None,
            GENERAL_CALCIUM,
            id="a target of the mash is not about the batch",
        ),
    ],
)
def test_calcium_of_the_batch(changes, settings, expected) -> None:
    assert _bounds("calcium", "batch", *changes, settings=settings) == expected


def test_calcium_of_the_mash_by_style() -> None:
    assert _bounds("calcium", "mash", "style: munich-helles") == {
        ("low", "note", 20.0, "style", "/style"),
        ("high", "note", 150.0, "general", ""),
        ("low", "warning", 30.0, "general", ""),
        ("high", "warning", 200.0, "general", ""),
    }
    soft = _bounds("calcium", "mash", "style: czech-premium-pale-lager")
    assert soft == {("low", "note", 5.0, "style", "/style"), ("high", "note", 150.0, "general", "")}


@pytest.mark.parametrize(
    ("vessel", "quantity", "note", "warning"),
    [
        ("mash", "mash_ph", None, (5.2, 5.7)),
        ("mash", "calcium", (50.0, 150.0), (30.0, 200.0)),
        ("sparge", "alkalinity", (None, 50.0), (None, 100.0)),
        ("batch", "calcium", (40.0, 200.0), (20.0, 250.0)),
        ("batch", "magnesium", (None, 30.0), (None, 50.0)),
        ("batch", "sodium", (None, 75.0), (None, 100.0)),
        ("batch", "potassium", (None, 20.0), (None, 50.0)),
        ("batch", "chloride", (None, 150.0), (None, 250.0)),
        ("batch", "sulfate", None, (None, 400.0)),
        ("mash", "sulfate", None, None),
        ("sparge", "calcium", None, None),
        ("batch", "alkalinity", None, None),
    ],
)
def test_what_holds_for_any_beer(vessel: str, quantity: str, note, warning) -> None:
    expected = {
        (side, level, value, "general", "")
        for level, pair in (("note", note), ("warning", warning))
        for side, value in zip(("low", "high"), pair or (None, None), strict=True)
        if value is not None
    }
    assert _bounds(quantity, vessel) == expected
    # Only a ratio hangs on how much chloride and sulfate there is.
    little = with_ions(case_of(), vessel, chloride=1.0, sulfate=1.0)
    assert len(bounds_of(little, quantity, vessel)) == len(expected)


def test_a_style_speaks_of_its_own_vessel_only() -> None:
    assert _bounds("sulfate", "batch", "style: blonde-ale") == {
        ("high", "note", 200.0, "style", "/style"),
        ("high", "warning", 400.0, "general", ""),
    }
    assert _bounds("sulfate", "mash", "style: blonde-ale") == set()


def test_a_house_range_of_calcium_is_about_the_batch() -> None:
    found = bounds_of(case_of(settings=house(calcium=(60, 90))), "calcium", "mash")
    assert {bound.origin for bound in found} == {"general"}


@pytest.mark.parametrize(
    ("style", "high", "origin"),
    [
        ("best-bitter", 100.0, "general"),
        ("irish-stout", 150.0, "style"),
        ("berliner-weisse", 150.0, "style"),
    ],
)
def test_sodium_by_style(style: str, high: float, origin: str) -> None:
    pointer = "/style" if origin == "style" else ""
    assert _bounds("sodium", "batch", f"style: {style}") == {
        ("high", "note", 75.0, "general", ""),
        ("high", "warning", high, origin, pointer),
    }


def test_what_a_style_is_made_of_is_not_judged() -> None:
    gose = ["style: gose"]
    assert _bounds("sodium", "batch", *gose) == set()
    assert _bounds("chloride", "batch", *gose) == set()
    assert _bounds("sulfate", "batch", *gose) != set()
    # A range for all styles does not mean this one; one for it, or a target, does.
    assert _bounds("sodium", "batch", *gose, settings=house(sodium=(None, 90))) == set()
    named = house_by_style("sodium", "gose", None, 400)
    assert _bounds("sodium", "batch", *gose, settings=named) == {
        ("high", "warning", 400.0, "house", "")
    }
    assert _bounds("sodium", "batch", *gose, "targets: {sodium: 200 .. 300 mg/L}") == {
        ("low", "warning", 200.0, "target", "/targets/sodium"),
        ("high", "warning", 300.0, "target", "/targets/sodium"),
    }


def test_a_house_range_for_the_style_wins_over_that_for_all() -> None:
    settings = Settings(
        ranges=house(sodium=(None, 90)).ranges,
        style_ranges=house_by_style("sodium", "irish-stout", None, 120).style_ranges,
    )
    (stout,) = bounds_of(case_of("style: irish-stout", settings=settings), "sodium", "batch")
    (other,) = bounds_of(case_of("style: best-bitter", settings=settings), "sodium", "batch")
    assert (stout.value, other.value) == (120.0, 90.0)


def test_the_basis_names_where_a_range_is_stated() -> None:
    (bound,) = bounds_of(case_of(settings=house(sodium=(None, 90))), "sodium", "batch")
    assert bound.basis == "the house's range, `None .. 90` at waterlint.yaml:7"
    settings = house_by_style("sodium", "irish-stout", None, 120)
    (bound,) = bounds_of(case_of("style: irish-stout", settings=settings), "sodium", "batch")
    assert "waterlint.yaml:9" in bound.basis
    (bound,) = bounds_of(case_of("targets: {nitrate: .. 9 mg/L}"), "nitrate", "batch")
    assert bound.basis == "the recipe's own target, `.. 9 mg/L`"


def test_mash_ph_of_roast_styles_may_be_higher() -> None:
    def warning(style: str) -> list[float]:
        found = bounds_of(case_of(f"style: {style}"), "mash_ph", "mash")
        return sorted(bound.value for bound in found if bound.level == "warning")

    assert warning("irish-stout") == [5.2, 5.8]
    assert warning("best-bitter") == [5.2, 5.7]


@pytest.mark.parametrize(
    ("chloride", "sulfate", "expected"),
    [(49.9, 49.9, True), (50.0, 10.0, False), (10.0, 50.0, False), (0.0, 0.0, True)],
)
def test_a_ratio_of_little_means_nothing(chloride: float, sulfate: float, expected: bool) -> None:
    case = with_ions(case_of("style: hazy-ipa"), chloride=chloride, sulfate=sulfate)
    assert is_ratio_meaningless(case) is expected
    assert (bounds_of(case, "chloride_to_sulfate", "batch") == ()) is expected


def test_without_a_style_the_ratio_is_not_judged() -> None:
    assert judge(case_of(), "chloride_to_sulfate", "batch") is None


@pytest.mark.parametrize(
    ("side", "value", "broken"),
    [
        ("high", 100.0, False),
        ("high", 100.0 + 1e-11, False),
        ("high", 100.001, True),
        ("low", 100.0, False),
        ("low", 100.0 - 1e-11, False),
        ("low", 99.999, True),
    ],
)
def test_at_the_bound_is_within(side, value: float, broken: bool) -> None:
    assert Bound(side, "note", 100.0, "general", "x").is_broken_by(value) is broken


def test_the_gravest_bound_is_told() -> None:
    note = Bound("high", "note", 75.0, "general", "a")
    warning = Bound("high", "warning", 100.0, "general", "b")
    for bounds in ((note, warning), (warning, note)):
        assert Verdict("sodium", "batch", Figure(120.0), bounds).broken is warning
        assert Verdict("sodium", "batch", Figure(90.0), bounds).broken is note
        assert Verdict("sodium", "batch", Figure(75.0), bounds).broken is None


def test_the_bound_of_a_side_and_a_level() -> None:
    low = Bound("low", "note", 40.0, "general", "a")
    high, higher = (
        Bound("high", "note", 200.0, "general", "b"),
        Bound("high", "warning", 250.0, "general", "c"),
    )
    verdict = Verdict("calcium", "batch", Figure(100.0), (low, high, higher))
    assert verdict.bound("low", "note") is low
    assert verdict.bound("low", "warning") is low, "at no level of its own, the one there is"
    assert verdict.bound("high", "note") is high
    assert verdict.bound("high", "warning") is higher
    assert verdict.bound("high", "error") is higher
    assert Verdict("calcium", "batch", Figure(1.0), (high,)).bound("low", "note") is None


@pytest.mark.parametrize(
    ("chloride", "sulfate", "level"),
    [
        (75.0, 60.0, "warning"),
        (74.9, 60.0, "note"),
        (60.0, 75.0, "warning"),
        (60.0, 74.9, "note"),
    ],
)
def test_a_ratio_of_slight_amounts_is_a_note(chloride: float, sulfate: float, level: str) -> None:
    case = with_ions(case_of("style: hazy-ipa"), chloride=chloride, sulfate=sulfate)
    assert {bound.level for bound in bounds_of(case, "chloride_to_sulfate", "batch")} == {level}
    settings = house(chloride_to_sulfate=(0.3, 0.9))
    housed = with_ions(case_of(settings=settings), chloride=chloride, sulfate=sulfate)
    bounds = bounds_of(housed, "chloride_to_sulfate", "batch")
    assert {bound.level for bound in bounds} == {"warning"}, "what the house asks is no less for it"


def test_a_figure_that_is_not_known_is_not_judged() -> None:
    case = case_of("additions: [{add: gipsum, mash: 2 g}]")
    assert judge(case, "sulfate", "batch") is None
    assert judge(case, "mash_ph", "mash") is None
