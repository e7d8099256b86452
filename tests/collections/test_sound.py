"""Recipes brewed by the book on invented waters: nothing is said against them.

Each file names the published practice that its water follows. None may draw a warning or an error
at the rules' own levels, nor when any one figure of a report it uses is three per cent off.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from waterlint.finding import Finding
from waterlint.linter import Linter, Options
from waterlint.project.discovery import discover

HERE = Path(__file__).resolve().parent
RECIPES = sorted((HERE / "sound").glob("*.yaml"))
WATERS = sorted((HERE / "waters").glob("*.yaml"))

#: The day on which ages are judged: all reports of the collection are of the year before it.
TODAY = date(2026, 11, 1)

#: Sound recipes that still draw a warning, each with the rule that is wrong about it. Such a test
#: fails when the rule is mended, and then the line goes.
PENDING = {
    "czech-traditional": "mash-ph: three decoctions lower the mash, the point does not show it",
}

#: How far a figure of a report is moved: a laboratory's ordinary scatter.
SHIFT = 0.03

#: What a report states and the model counts, at the start of its line.
_FIGURE = re.compile(
    r"^ *(?P<name>calcium|magnesium|sodium|potassium|chloride|sulfate|nitrate|bicarbonate"
    r"|alkalinity): (?P<number>\d+(?:\.\d+)?)",
    re.MULTILINE,
)


def new_linter() -> Linter:
    return Linter(Options(today=TODAY))


def loud(linter: Linter, paths: list[Path]) -> list[str]:
    """Warnings and errors of files and of the reports they use, in words."""
    report = linter.lint(discover(paths, linter.configs, linter.disk))
    return [words(each) for each in report.findings if each.level != "note"]


def words(finding: Finding) -> str:
    return f"{Path(finding.path).name}:{finding.span.line}: {finding.rule}: {finding.message}"


def users(water: Path) -> list[Path]:
    return [path for path in RECIPES if f"../waters/{water.name}" in path.read_text("utf-8")]


def marked(path: Path) -> object:
    """The file as a parameter, expected to fail where a rule is known to be wrong about it."""
    reason = PENDING.get(path.stem)
    marks = () if reason is None else pytest.mark.xfail(reason=reason, strict=True)
    return pytest.param(path, id=path.stem, marks=marks)


def shifted(text: str) -> Iterator[tuple[str, str]]:
    """The text with one figure of it moved up or down, each in turn."""
    for match in _FIGURE.finditer(text):
        number = match["number"]
        for factor in (1.0 - SHIFT, 1.0 + SHIFT):
            moved = f"{float(number) * factor:.6g}"
            changed = text[: match.start("number")] + moved + text[match.end("number") :]
            yield f"{match['name']} {number} -> {moved}", changed


def test_the_collection_is_large_and_uses_every_report() -> None:
    assert len(RECIPES) >= 40
    assert len(WATERS) >= 8
    assert all(users(water) for water in WATERS)


def test_every_recipe_names_the_practice_it_follows() -> None:
    for path in RECIPES:
        first = path.read_text("utf-8").splitlines()[0]
        assert first.startswith("# ") and len(first) > 40, path.name


@pytest.mark.parametrize("path", [marked(path) for path in [*RECIPES, *WATERS]])
def test_nothing_is_said_against(path: Path) -> None:
    assert loud(new_linter(), [path]) == []


@pytest.mark.parametrize("water", WATERS, ids=lambda path: path.stem)
def test_nothing_is_said_when_one_figure_is_three_per_cent_off(water: Path) -> None:
    linter = new_linter()
    recipes = [path for path in users(water) if path.stem not in PENDING]
    variants = list(shifted(water.read_text("utf-8")))
    # Seven ions at least and the alkalinity, each up and down.
    assert len(variants) >= 16
    said = []
    for what, changed in variants:
        linter.take_text(changed, water)
        # No rule on a recipe looks at nitrate, so there the report alone is enough.
        moved = [water] if what.startswith("nitrate") else recipes
        said += [f"{what}: {each}" for each in loud(linter, moved)]
    assert said == []


def test_a_moved_figure_is_seen() -> None:
    water = HERE / "waters" / "keuper-well.yaml"
    recipe = HERE / "sound" / "strong-bitter-burton-style.yaml"
    linter = new_linter()
    assert loud(linter, [recipe]) == []
    text = water.read_text("utf-8")
    linter.take_text(text.replace("sulfate: 330", "sulfate: 530"), water)
    assert any("sulfate of the whole batch" in each for each in loud(linter, [recipe]))
