"""A house's entry with an error of its own: told where it stands, and not again at every use."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from waterlint.api import lint_text
from waterlint.rules.samples import recipe, report

Tree = Callable[..., Path]


class Used(NamedTuple):
    """An entry, a slip that spoils it and its place, and what of a recipe and a house uses it."""

    entry: str
    slip: tuple[str, str]
    place: str
    recipe: str
    rule: str
    house: str = ""


CASES = {
    "styles": Used(
        "sluice-mild: {emphasis: malt, color: 12 .. 20 SRM, basis: ours}",
        (".. 20 SRM", ".. SRM"),
        "/color",
        "style: sluice-mild",
        "unknown-style",
        "ranges: {chloride_to_sulfate: {sluice-mild: 0.5 .. 2}}",
    ),
    "additives": Used(
        "sluice-lime: {like: pickling-lime, strength: 95 %, basis: the label}",
        ("pickling-lime", "pickling-limes"),
        "/like",
        "additions: [{add: sluice-lime, mash: 1 g}]",
        "unknown-additive",
        "stock: [sluice-lime]",
    ),
    "waters": Used(
        "sluice-pond: {ions: {calcium: 40 mg/L, magnesium: 6 mg/L, sodium: 11 mg/L, "
        "chloride: 28 mg/L, sulfate: 24 mg/L}, basis: our meter}",
        ("calcium: 40 mg/L", "calcium: 40"),
        "/ions/calcium",
        "  mash: {volume: 15 L, from: sluice-pond}",
        "unresolved-water",
    ),
}


def errors(tree: Tree, kind: str, entry: str, word: str) -> list[tuple[str, str]]:
    """File and pointer of each error, in a recipe and its house that use an entry as `word`."""
    used = CASES[kind]
    name = entry.partition(":")[0]
    lines = ["waterlint: config/1", f"{kind}:", f"  {entry}", used.house.replace(name, word)]
    tree({"waterlint.yaml": "\n".join(lines) + "\n", "well.yaml": report()})
    found = lint_text(recipe(used.recipe.replace(name, word)), filename="a.yaml")
    return [(each.path, each.pointer) for each in found if each.level == "error"]


@pytest.mark.parametrize("kind", CASES)
def test_it_is_told_once(tree: Tree, kind: str) -> None:
    used = CASES[kind]
    name = used.entry.partition(":")[0]
    assert errors(tree, kind, used.entry, name) == []
    spoilt = used.entry.replace(*used.slip)
    assert errors(tree, kind, spoilt, name) == [("waterlint.yaml", f"/{kind}/{name}{used.place}")]


@pytest.mark.parametrize("kind", CASES)
def test_another_name_stays_unknown(tree: Tree, kind: str) -> None:
    used = CASES[kind]
    spoilt = used.entry.replace(*used.slip)
    uses = {path for path, _ in errors(tree, kind, spoilt, "sluice-gate")}
    assert uses == {"a.yaml", "waterlint.yaml"}
    found = lint_text(recipe(used.recipe.replace("sluice-", "sluice-gate-")), filename="a.yaml")
    assert used.rule in {each.rule for each in found if each.path == "a.yaml"}


def test_a_faulty_entry_does_not_hide_one_that_it_replaces(tree: Tree) -> None:
    used = CASES["additives"]
    house = f"waterlint: config/1\nadditives:\n  {used.entry}\n"
    mine = house.replace(*used.slip).replace("config/1", "config/1\nextends: house.yaml")
    tree({"house.yaml": house, "waterlint.yaml": mine, "well.yaml": report()})
    found = lint_text(recipe(used.recipe), filename="a.yaml")
    assert [each.path for each in found if each.level == "error"] == ["waterlint.yaml"]
