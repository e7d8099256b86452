"""Kinds of grist: those of the format, and those that chemistry has defaults for."""

from __future__ import annotations

import pytest

from waterlint.catalog.malts import MALT_KINDS
from waterlint.chemistry.malts import MALT_CLASSES, OUTSIDE_MASH

#: As the recipe format lists them, base malts first.
BASE = ["pilsner", "pale", "two-row", "wheat", "rye", "vienna", "munich"]
OTHER = ["toasted", "crystal", "roasted", "acidulated", "unmalted", "sugar", "extract"]


def test_names_are_those_of_the_format() -> None:
    assert list(MALT_KINDS) == [*BASE, *OTHER]


def test_base_malts() -> None:
    assert [name for name, kind in MALT_KINDS.items() if kind.base] == BASE


def test_what_is_mashed_has_defaults_for_the_mash() -> None:
    assert {name for name, kind in MALT_KINDS.items() if kind.in_mash} == set(MALT_CLASSES)
    assert {name for name, kind in MALT_KINDS.items() if not kind.in_mash} == set(OUTSIDE_MASH)


@pytest.mark.parametrize("name", [*BASE, *OTHER])
def test_every_kind_is_whole(name: str) -> None:
    kind = MALT_KINDS[name]
    assert kind.name == kind.like == name
    assert kind.title and kind.basis
    # Figures of a lot are a house's business.
    assert (kind.color_ebc, kind.di_ph, kind.acidity, kind.buffer) == (None,) * 4
