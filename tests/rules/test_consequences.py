"""One dose that is far too much is told once; what does not hang on it alone is told besides."""

from __future__ import annotations

from dataclasses import replace

import pytest

from waterlint.project.config import LevelOrOff, Settings
from waterlint.rules.consequences import is_kept_without

from .figured import case_of, house, off
from .making import findings_of

LIME = "additions: [{add: pickling-lime, mash: 40 g}]"
SALT = "additions: [{add: table-salt, mash: 20 g}]"
KETTLE_EPSOM = "additions: [{add: epsom-salt, kettle: 35 g}]"
CHLORIDE = "additions: [{add: calcium-chloride, form: dihydrate, mash: 15 g}]"


def _loud(
    *changes: str, water: tuple[str, ...] = (), settings: Settings | None = None
) -> list[tuple[str, str | None]]:
    """Rule and quantity of what is more than a note, of rules that are on."""
    case = case_of(*changes, water=water, settings=settings)
    return sorted(
        (each.rule, each.quantity)
        for each in findings_of(case)
        if each.level != "note" and case.settings.levels.get(each.rule) != "off"
    )


def test_what_does_not_dissolve_is_the_cause_of_what_it_brings() -> None:
    told = [("beyond-solubility", "pickling-lime"), ("mash-ph", "mash_ph")]
    assert _loud(LIME) == told  # the mash pH is an error, and stays
    assert _loud(LIME, settings=off("beyond-solubility")) == [
        ("batch-calcium", "calcium"),
        ("mash-calcium", "calcium"),
        ("mash-ph", "mash_ph"),
    ]


def test_an_error_is_told_also_where_the_house_makes_the_dose_one() -> None:
    loud = _loud(LIME, settings=Settings(levels={"beyond-solubility": "error"}))
    assert ("mash-ph", "mash_ph") in loud and ("mash-calcium", "calcium") not in loud


def test_what_dissolves_by_itself_takes_nothing_along() -> None:
    """24 g in 15 L are as much as dissolves: no dose is told, so all that it does is."""
    rules = [rule for rule, _ in _loud(LIME.replace("40 g", "24 g"))]
    assert rules == ["batch-calcium", "mash-calcium", "mash-ph"]


def test_a_mash_ph_that_is_no_error_follows_too() -> None:
    case = LIME.replace("pickling-lime, mash: 40 g", "gypsum, mash: 31 g")
    assert ("mash-ph", "mash_ph") not in _loud(case)
    assert ("mash-ph", "mash_ph") in _loud(case, settings=off("beyond-solubility"))
    target = "targets: {mash_ph: 5.3 .. 5.6}"
    assert ("mash-ph", "mash_ph") in _loud(case, target)


@pytest.mark.parametrize(
    ("changes", "water"),
    [
        # The water is beyond the limit without the dose as well.
        ((SALT,), ("  chloride: 260 mg/L", "  calcium: 170 mg/L")),
        # So is what another dose brings.
        (
            (
                "additions:\n  - {add: table-salt, mash: 20 g}\n"
                "  - {add: calcium-chloride, form: dihydrate, mash: 12 g}",
            ),
            (),
        ),
        # What the recipe asks for itself is told in any case.
        ((SALT, "targets: {chloride: .. 100 mg/L}"), ()),
    ],
)
def test_what_another_cause_has_is_told_besides(
    changes: tuple[str, ...], water: tuple[str, ...]
) -> None:
    plain = _loud(SALT)
    assert plain == [("dose-beyond-practice", "sodium")]
    assert ("batch-chloride", "chloride") in _loud(*changes, water=water)


def test_without_the_rule_of_the_dose_its_ions_are_told() -> None:
    assert _loud(SALT, settings=off("dose-beyond-practice")) == [
        ("batch-chloride", "chloride"),
        ("batch-sodium", "sodium"),
    ]


@pytest.mark.parametrize(
    ("levels", "is_told"),
    [
        ({"dose-beyond-practice": "note"}, True),
        ({"dose-beyond-practice": "note", "batch-chloride": "note"}, False),
        ({"batch-chloride": "error"}, True),
        ({"batch-chloride": "error", "dose-beyond-practice": "error"}, False),
        ({"batch-chloride": "off"}, False),
    ],
)
def test_what_is_told_of_the_dose_more_mildly_stands_for_nothing_graver(
    levels: dict[str, LevelOrOff], is_told: bool
) -> None:
    """Else a house that takes doses as a note would pass what it takes as a warning."""
    loud = _loud(SALT, settings=Settings(levels=levels))
    assert (("batch-chloride", "chloride") in loud) == is_told


def test_an_exception_to_the_dose_is_none_to_what_follows() -> None:
    """What nobody is told of the dose cannot stand for the rest."""
    mark = "{add: table-salt, mash: 20 g}  # waterlint: accept {} because it is meant"
    dose, other = (
        "additions:\n  - " + mark.replace("{}", rule)
        for rule in ("dose-beyond-practice", "acid-handling")
    )
    chloride = ("batch-chloride", "chloride")
    assert chloride in _loud(dose)
    assert chloride not in _loud(other)


def test_a_dose_that_a_baseline_may_know_stands_for_nothing_else() -> None:
    """Else a baseline would set aside what came after it."""
    case = case_of("additions: [{add: table-salt, mash: 20 g}]")
    for has_baseline in (False, True):
        found = findings_of(replace(case, has_baseline=has_baseline))
        assert ("batch-chloride" in {each.rule for each in found}) == has_baseline


@pytest.mark.parametrize(
    ("levels", "is_told"),
    [
        ({}, False),
        ({"kettle-only-excess": "note"}, True),
        ({"batch-sodium": "error"}, True),
        ({"batch-sodium": "error", "kettle-only-excess": "error"}, False),
        ({"kettle-only-excess": "off"}, True),
        ({"batch-sodium": "off", "kettle-only-excess": "off"}, False),
    ],
)
def test_what_is_told_of_an_ion_more_mildly_stands_for_nothing_graver(
    levels: dict[str, LevelOrOff], is_told: bool
) -> None:
    salt = "additions: [{add: table-salt, kettle: 7 g}]"
    assert (("batch-sodium", "sodium") in _loud(salt, settings=Settings(levels=levels))) == is_told


def test_a_dose_beyond_practice_is_told_once_with_all_its_ions() -> None:
    (finding,) = findings_of(
        case_of("additions: [{add: epsom-salt, mash: 35 g}]"), "dose-beyond-practice"
    )
    assert finding.quantity == "magnesium"
    assert finding.message.endswith(" It takes sulfate to 540 mg/L, above 500 mg/L too.")
    lines = "additions:\n  - {add: epsom-salt, mash: 35 g}\n  - {add: gypsum, mash: 30 g}"
    found = findings_of(case_of(lines), "dose-beyond-practice")
    assert [(each.quantity, each.pointer) for each in found] == [
        ("magnesium", "/additions/0/mash"),
        ("sulfate", "/additions/1/mash"),
    ]


def test_of_a_kettle_dose_the_kettle_rule_tells_alone() -> None:
    both = [("kettle-only-excess", "magnesium"), ("kettle-only-excess", "sulfate")]
    assert _loud(KETTLE_EPSOM) == both
    assert _loud(KETTLE_EPSOM, settings=off("kettle-only-excess")) == [
        ("dose-beyond-practice", "magnesium")
    ]
    # What the house allows in the kettle is beyond practice none the less.
    allowed = house(magnesium=(None, 150.0), sulfate=(None, 520.0))
    assert _loud(KETTLE_EPSOM, settings=allowed) == [
        ("dose-beyond-practice", "magnesium"),
        ("kettle-only-excess", "sulfate"),
    ]


def test_the_ratio_does_not_repeat_the_ion_that_one_dose_brings() -> None:
    style = "style: american-ipa"
    ratio = ("chloride-sulfate-ratio", "chloride_to_sulfate")
    assert ("batch-chloride", "chloride") in _loud(CHLORIDE, style)
    assert ratio not in _loud(CHLORIDE, style)
    assert ratio in _loud(CHLORIDE, style, settings=off("batch-chloride"))
    assert ratio in _loud(CHLORIDE, style, "targets: {chloride_to_sulfate: 0.2 .. 1}")
    for mild in ("batch-chloride", "kettle-only-excess", "dose-beyond-practice"):
        assert ratio in _loud(CHLORIDE, style, settings=Settings(levels={mild: "note"}))
    both = {"batch-chloride": "note", "chloride-sulfate-ratio": "note"}
    assert ratio not in _loud(CHLORIDE, style, settings=Settings(levels=both))
    # Less of it is no excess of chloride, and the ratio is off.
    assert _loud(CHLORIDE.replace("15 g", "6 g"), style) == [ratio]
    # Off without the dose as well.
    assert ratio in _loud(CHLORIDE, style, water=("  sulfate: 31 mg/L", "  calcium: 43 mg/L"))


def test_a_figure_is_kept_without_the_dose_that_breaks_it() -> None:
    case = case_of(SALT)
    assert is_kept_without(case, "/additions/0/mash", "chloride", "batch")
    assert not is_kept_without(case, "/additions/1/mash", "chloride", "batch")
    assert not is_kept_without(case, "/additions/0/mash", "nothing-known", "batch")
