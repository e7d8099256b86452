"""A rule is not called where a recipe lacks what it needs, and nothing is lost by that."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from tests.benchmarks.corpus import make_corpus
from waterlint.applying import looking
from waterlint.linter import Linter, Options
from waterlint.rules.registry import Case, all_rules
from waterlint.rules.samples import recipe
from waterlint.rules.traits import traits_of

from .making import recipe_case
from .shapes import SHAPES

RECIPES = Path(__file__).parents[2] / "example-recipes"
RULES = all_rules()


def cases_of(paths: list[Path]) -> Iterator[Case]:
    """All that rules look at in these files."""
    linter = Linter(Options(today=date(2026, 11, 1)))
    for path in paths:
        file, config = linter.intake.load(path), linter.configs.for_file(path)
        for part in file.parts:
            case = linter.judge.case(path, file, part, config)
            if case is not None:
                yield case


def examples(folder: Path) -> Iterator[Path]:
    """The examples of every rule, each with its reports in a folder of its own."""
    for name, entry in RULES.items():
        for number, example in enumerate([entry.failing, entry.passing, *SHAPES.get(name, ())]):
            if example is None:
                continue
            home = folder / f"{name}-{number}"
            for file, text in {**example.files, "example.yaml": example.text}.items():
                path = home / file
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_text(text, encoding="utf-8")
                yield path


def test_no_finding_is_lost(tmp_path: Path) -> None:
    paths = [*examples(tmp_path), *sorted(RECIPES.rglob("*.yaml")), *make_corpus(tmp_path, 30)]
    left_out: set[str] = set()
    looked = 0
    for case in cases_of([path for path in paths if path.name != "waterlint.yaml"]):
        has = traits_of(case)
        looks = {rule.name for rule in looking(RULES.values(), has)}
        for rule in RULES.values():
            if rule.check is not None and rule.subject in has and rule.name not in looks:
                assert list(rule.check(case)) == [], f"{rule.name} in {case.path}"
                left_out.add(rule.name)
        looked += 1
    assert looked > 200
    assert left_out == {rule.name for rule in RULES.values() if rule.needs}


@pytest.mark.parametrize(
    ("changes", "without", "has", "lacks"),
    [
        ((), (), {"mash", "sparge"}, {"style", "color", "measured pH", "acid", "kettle dose"}),
        ((), ("sparge",), {"mash"}, {"sparge"}),
        (("style: gose", "color: 6 SRM"), (), {"style", "color"}, {"acid"}),
        (("measured: {mash_ph: {value: 5.5}}",), (), {"measured pH"}, {"color"}),
        (("additions: [{add: gypsum, kettle: 1 g}]",), (), {"kettle dose"}, {"alkali", "lime"}),
        (("additions: [{add: chalk, mash: 1 g}]",), (), {"alkali", "chalk"}, {"lime"}),
        (("additions: [{add: pickling-lime, mash: 1 g}]",), (), {"alkali", "lime"}, {"chalk"}),
        (("additions: [{add: citric-acid, mash: 1 g}]",), (), {"acid"}, {"alkali", "sulfite"}),
        (("additions: [{add: sodium-metabisulfite, liquor: 1 g}]",), (), {"sulfite"}, {"acid"}),
        (("additions: [{add: gipsum, mash: 1 g}]",), (), {"mash", "unweighed"}, {"acid", "alkali"}),
        (("additions: [{add: lactic-acid, mash: 1 mL}]",), (), {"acid", "unweighed"}, {"alkali"}),
        (("additions: [{add: gypsum, mash: 1 g}]",), (), {"mash"}, {"unweighed"}),
    ],
)
def test_what_a_recipe_has(
    changes: tuple[str, ...], without: tuple[str, ...], has: set[str], lacks: set[str]
) -> None:
    found = traits_of(recipe_case(recipe(*changes, without=without), {}))
    assert found >= {"recipe", "file", *has}
    assert found.isdisjoint({"water", *lacks})
