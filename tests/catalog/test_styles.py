"""Styles: colour as the guideline has it, water by emphasis and override, found by any name."""

from __future__ import annotations

import subprocess
import sys

import pytest

from waterlint.catalog.catalog import default_catalog
from waterlint.catalog.emphasis import EMPHASES, LIKE
from waterlint.catalog.style_families import FAMILIES
from waterlint.catalog.style_overrides import OVERRIDES
from waterlint.catalog.styles import STYLES, attribution, key_form, nearest, style

#: Colour [SRM] by the BJCP's 2021 guidelines, copied from a transcription of them.
_COLOURS = {
    "american-light-lager": (2, 3),
    "american-lager": (2, 3.5),
    "munich-helles": (3, 5),
    "german-pils": (2, 4),
    "czech-premium-pale-lager": (3.5, 6),
    "kolsch": (3.5, 5),
    "weissbier": (2, 6),
    "american-pale-ale": (5, 10),
    "american-ipa": (6, 14),
    "hazy-ipa": (3, 7),
    "best-bitter": (8, 16),
    "vienna-lager": (9, 15),
    "marzen": (8, 17),
    "altbier": (9, 17),
    "munich-dunkel": (17, 28),
    "english-porter": (20, 30),
    "irish-stout": (25, 40),
    "oatmeal-stout": (22, 40),
    "imperial-stout": (30, 40),
    "belgian-tripel": (4.5, 7),
    "gose": (3, 4),
}


@pytest.mark.parametrize(("key", "srm"), _COLOURS.items())
def test_colour(key: str, srm: tuple[float, float]) -> None:
    assert STYLES[key].srm == srm
    assert STYLES[key].guideline == "BJCP 2021"


def test_there_are_enough_of_them() -> None:
    assert len(STYLES) == len(set(STYLES)) == 107 + len(FAMILIES)
    assert sum(STYLES[key].guideline == "BJCP 2021" for key in STYLES) == 107


@pytest.mark.parametrize(
    ("key", "srm", "emphasis"),
    [
        ("amber-ale", (9, 17), "balanced"),
        ("bitter", (8, 18), "hop-bitter"),
        ("brown-ale", (12, 35), "balanced"),
        ("ipa", (6, 14), "hop-bitter"),
        ("pale-ale", (5, 18), "hop-bitter"),
        ("porter", (20, 40), "roast"),
        ("stout", (22, 40), "roast"),
        ("wheat-beer", (2, 6), "wheat"),
    ],
)
def test_general_styles_span_their_members(
    key: str, srm: tuple[float, float], emphasis: str
) -> None:
    found = STYLES[key]
    assert (found.srm, found.emphasis, found.guideline) == (srm, emphasis, "this catalogue")
    for member in FAMILIES[key].members:
        assert STYLES[member].name in found.basis


def test_every_style_is_whole() -> None:
    for key in STYLES:
        found = STYLES[key]
        assert found.key == key == key_form(key)
        assert found.name and found.category and found.basis
        assert found.emphasis in EMPHASES
        assert 0 < found.srm[0] < found.srm[1] <= 40
        assert found.limits["calcium"].basis
        assert not found.unchecked & set(found.limits)
        # A style is either judged by its ratio or says that it is not.
        assert ("chloride_to_sulfate" in found.limits) != ("chloride_to_sulfate" in found.unchecked)


def test_overrides_name_styles_that_exist() -> None:
    assert set(OVERRIDES) <= set(STYLES)


def test_attribution_names_the_guideline() -> None:
    assert "Beer Judge Certification Program" in attribution()


SOFT = {
    "czech-pale-lager": 5,
    "czech-premium-pale-lager": 5,
    "czech-amber-lager": 5,
    "czech-dark-lager": 5,
    "helles-bock": 5,
    "scottish-light": 5,
    "scottish-heavy": 5,
    "scottish-export": 5,
    "belgian-golden-strong-ale": 10,
    "belgian-tripel": 10,
    "new-zealand-pilsner": 20,
}


def test_soft_styles_are_those_that_the_guideline_calls_so() -> None:
    assert {key: STYLES[key].limits["calcium"].low for key in STYLES if STYLES[key].soft} == SOFT


@pytest.mark.parametrize(
    ("key", "quantity", "low", "high"),
    [
        ("czech-premium-pale-lager", "sulfate", None, 60),
        ("czech-dark-lager", "sulfate", None, 100),
        ("scottish-export", "sulfate", None, 100),
        ("belgian-tripel", "sulfate", None, 150),
        ("german-helles-exportbier", "calcium", 20, 250),
        ("german-helles-exportbier", "sulfate", None, 350),
        ("german-helles-exportbier", "chloride_to_sulfate", 0.2, 2.5),
        ("german-pils", "chloride_to_sulfate", 0.1, 2.5),
        ("german-pils", "calcium", 40, 200),
        ("hazy-ipa", "chloride_to_sulfate", 0.8, 4),
        ("new-zealand-pilsner", "chloride_to_sulfate", 0.8, 4),
        ("ipa-argenta", "chloride_to_sulfate", 0.2, 2.0),
        ("ipa-argenta", "sulfate", None, 200),
        ("australian-sparkling-ale", "chloride_to_sulfate", 0.2, 2.5),
        ("australian-sparkling-ale", "sulfate", None, 250),
        ("altbier", "chloride_to_sulfate", 0.2, 2.5),
        ("historical-beer-piwo-grodziskie", "chloride_to_sulfate", 0.1, 4),
        ("historical-beer-piwo-grodziskie", "sulfate", None, 350),
        ("oatmeal-stout", "mash_ph", 5.3, 5.8),
        ("oatmeal-stout", "sodium", None, 150),
    ],
)
def test_ranges(key: str, quantity: str, low: float | None, high: float | None) -> None:
    limit = STYLES[key].limits[quantity]
    assert (limit.low, limit.high) == (low, high)


@pytest.mark.parametrize(
    ("key", "unchecked"),
    [
        ("czech-pale-lager", {"chloride_to_sulfate"}),
        ("helles-bock", {"chloride_to_sulfate"}),
        ("gose", {"chloride_to_sulfate", "sodium", "chloride"}),
        ("lambic", {"chloride_to_sulfate"}),
        ("oud-bruin", {"chloride_to_sulfate", "alkalinity", "magnesium"}),
        ("historical-beer-kentucky-common", {"alkalinity"}),
        ("historical-beer-london-brown-ale", {"alkalinity"}),
        ("german-helles-exportbier", {"alkalinity", "minerals"}),
        ("american-ipa", set()),
    ],
)
def test_what_is_no_fault(key: str, unchecked: set[str]) -> None:
    assert STYLES[key].unchecked == unchecked


def test_gose_has_no_sodium_limit() -> None:
    assert "sodium" not in STYLES["gose"].limits


@pytest.mark.parametrize(
    ("word", "first"),
    [
        ("oatmeal stout", "oatmeal-stout"),
        ("Oatmeal Stout", "oatmeal-stout"),
        ("oatmeal-stuot", "oatmeal-stout"),
        ("Kölsch", "kolsch"),
        ("Märzen", "marzen"),
        ("best biter", "best-bitter"),
        ("hefeweizen", "weissbier"),
        ("pilsner", "german-pils"),
        ("black-ipa", "specialty-ipa-black-ipa"),
        ("kentucky common", "historical-beer-kentucky-common"),
    ],
)
def test_nearest(word: str, first: str) -> None:
    assert nearest(word)[0] == first


@pytest.mark.parametrize("word", ["", "-", "zzz", "window", "12345", "été"])
def test_nothing_near_what_is_no_style(word: str) -> None:
    assert nearest(word) == []


def test_nearest_holds_all_parts_of_a_word_where_a_style_does() -> None:
    # `grape-ale` looks more like it than `belgian-pale-ale` does.
    assert set(nearest("ale pale", count=9)) == {
        "pale-ale",
        "belgian-pale-ale",
        "american-pale-ale",
    }


def test_nearest_among_given_keys() -> None:
    assert nearest("tidewrack-ale", ["tidewrack-amber", "kolsch"]) == ["tidewrack-amber"]
    # A word of the trade is no style where its style is not among the keys.
    assert nearest("hefeweizen", ["kolsch"]) == []


def test_only_the_beginning_of_a_long_word_is_looked_at() -> None:
    assert nearest("oatmeal stout" + " " * 80 + "x" * 100_000) == ["oatmeal-stout"]
    assert nearest("x" * 100_000) == []


def test_unknown_style() -> None:
    assert style("no-such-beer") is None
    assert "no-such-beer" not in STYLES
    with pytest.raises(KeyError):
        _ = STYLES["no-such-beer"]


def test_a_style_is_made_once() -> None:
    assert STYLES["kolsch"] is STYLES["kolsch"] is style("kolsch")


def test_no_style_is_read_before_one_is_asked_for() -> None:
    script = (
        "import sys\n"
        "from waterlint.catalog import styles\n"
        "from waterlint.catalog.catalog import default_catalog\n"
        "default_catalog()\n"
        "assert styles._data.cache_info().currsize == 0\n"
        "assert not {'numpy', 'jsonschema', 'ruamel'} & set(sys.modules)\n"
        "assert default_catalog().styles['kolsch'].name == 'Kölsch'\n"
        "assert styles._data.cache_info().currsize == 1\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_catalog_finds_house_styles_too() -> None:
    assert default_catalog().nearest_styles("dark mildd")[0] == "dark-mild"


def test_each_emphasis_is_told_by_two_of_its_styles() -> None:
    assert set(LIKE) == set(EMPHASES)
    for emphasis, styles in LIKE.items():
        assert [STYLES[style].emphasis for style in styles] == [emphasis, emphasis]
