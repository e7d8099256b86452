"""From a fit to entries that a configuration takes as they are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from tests.learning.houses import STORE, house
from waterlint.learning.entries import learned_from
from waterlint.learning.mashes import LEARNED, Label, LeftOut, Mash
from waterlint.linter import Linter
from waterlint.output.learned import config_block, render_text
from waterlint.project.discovery import Found
from waterlint.records import replace

Tree = Callable[..., Path]


def renamed(mashes: Sequence[Mash], names: dict[str, str]) -> list[Mash]:
    """The mashes with other names of malts."""
    return [
        replace(
            mash,
            labels=tuple(
                None if label is None else replace(label, name=names.get(label.name, label.name))
                for label in mash.labels
            ),
        )
        for mash in mashes
    ]


def only(mashes: Sequence[Mash], *names: str) -> list[Mash]:
    """The mashes with no other open malts than these."""
    return [
        replace(
            mash,
            labels=tuple(
                label if label is not None and label.name in names else None
                for label in mash.labels
            ),
        )
        for mash in mashes
    ]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_block_is_a_sound_configuration(tree: Tree, seed: int) -> None:
    names = {
        "weir pale": "Müller's pale",
        "floor pale": "vienna",
        "amber crystal": "水",
        "coal roast": "1999",
    }
    learned = learned_from(renamed(house(seed, 30).mashes, names), ())
    assert len(learned.entries) >= 3
    text = f"waterlint: config/1\n{config_block(learned.entries)}"
    folder = tree({"waterlint.yaml": text})
    report = Linter().lint([Found(folder / "waterlint.yaml", "", named=True)])
    assert report.findings == ()
    catalog = Linter().configs.for_file(folder / "a.yaml").catalog
    for entry in learned.entries:
        kind = catalog.malts[entry.key]
        assert kind.like == entry.like and kind.basis.startswith(LEARNED)
        value, sd = entry.di_ph.split(" ± ")
        assert (kind.di_ph, kind.di_ph_sd) == (float(value), float(sd))


def test_one_malt_of_a_kind_needs_no_change_in_the_recipes() -> None:
    learned = learned_from(only(house(1, 40).mashes, "weir pale", "lock pilsner"), ())
    keys = {entry.key: entry.written_for for entry in learned.entries}
    assert keys == {"pale": "", "pilsner": ""}


def test_two_malts_of_a_kind_are_told_apart() -> None:
    truth = {Label("pale", "weir pale", "pale"): 0.15, Label("pale", "floor pale", "pale"): -0.15}
    learned = learned_from(only(house(1, 60, truth).mashes, "weir pale", "floor pale"), ())
    found = {entry.key: (entry.written_for, float(entry.di_ph[:4])) for entry in learned.entries}
    assert found["weir-pale"][0] == "weir pale" and found["weir-pale"][1] > 5.80
    assert found["floor-pale"][0] == "floor pale" and found["floor-pale"][1] < 5.70


def test_a_house_malt_keeps_its_key() -> None:
    mashes = [
        replace(
            mash,
            labels=tuple(
                label and replace(label, kind="our-own-crystal")
                if label.like == "crystal"
                else None
                for label in mash.labels
                if label is not None
            ),
        )
        for mash in house(2, 40, {Label("crystal", "amber crystal", "crystal"): 0.5}).mashes
    ]
    (entry,) = learned_from(mashes, ()).entries
    assert (entry.key, entry.written_for, entry.like) == ("our-own-crystal", "", "crystal")
    assert entry.color == "120 EBC"


def test_keys_are_never_built_in_kinds_nor_twice() -> None:
    names = {"weir pale": "Munich", "floor pale": "munich ", "lock pilsner": "sugar"}
    learned = learned_from(renamed(house(1, 60).mashes, names), ())
    keys = [entry.key for entry in learned.entries]
    assert len(keys) == len(set(keys))
    for entry in learned.entries:
        if entry.written_for:
            assert entry.key not in {kind for kind, _, _ in STORE} | {"sugar"}


def test_spreads_are_rounded_up() -> None:
    learned = learned_from(house(1, 60).mashes, ())
    rows = {row.name: row for row in learned.rows}
    for entry in learned.entries:
        if entry.written_for:
            assert float(entry.di_ph.split(" ± ")[1]) >= rows[entry.written_for].sd - 1e-9


def test_no_block_where_it_is_no_better() -> None:
    for seed in range(20):
        learned = learned_from(house(seed, 8, truth={}).mashes, ())
        if not learned.is_better:
            text = render_text(learned)
            assert "malts:" not in text
            assert "That is no better: keep the defaults, and measure on." in text
            break
    else:
        pytest.fail("every house of default malts was said to be better")


def test_what_was_left_out_is_told_with_its_reason() -> None:
    learned = learned_from((), (LeftOut("a.yaml", "An ale", "there is no mash"),))
    text = render_text(learned)
    assert text.startswith("Nothing was learned: 0 measured mashes")
    assert "Left out: a.yaml: there is no mash." in text
    assert max(map(len, text.splitlines())) <= 80
