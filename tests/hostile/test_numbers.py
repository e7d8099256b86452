"""Figures at the edge: finite in every report, without a warning, and no failed solve believed."""

from __future__ import annotations

import json
import warnings
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from tests.conftest import Tree
from tests.fuzzing.checks import check_predictions, check_report, loaded
from tests.hostile.numbers import CASES
from tests.hostile.runner import run_all
from waterlint.chemistry.speciation import Speciation
from waterlint.chemistry.water import Water
from waterlint.linter import Linter, Options
from waterlint.output.predictions import as_data
from waterlint.prediction import figures
from waterlint.prediction.result import Prediction

_PLACES = ("mash_water", "sparge_water", "batch_water")


def lint(tree: Tree, name: str) -> tuple[Linter, Path]:
    recipe, report = CASES[name]
    folder = tree({"a.yaml": recipe, "well.yaml": report})
    return Linter(Options(today=date(2026, 11, 1))), folder / "a.yaml"


@pytest.fixture(autouse=True)
def no_warnings() -> Iterator[None]:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        yield


@pytest.mark.parametrize("name", CASES)
def test_every_report_of_extreme_figures(name: str, tree: Tree) -> None:
    linter, path = lint(tree, name)
    report = linter.lint_text(CASES[name][0], path)
    check_report(report, linter, "", deep=name.startswith("forty"))
    check_predictions(linter.predictions(path), "")


@pytest.mark.parametrize(
    ("name", "rule"),
    [
        ("zero-mash-water", "bad-value"),
        ("tiny-mash-water", "implausible-quantity"),
        ("huge-dose", "implausible-quantity"),
        ("all-boils-away", "volume-balance"),
        ("only-acidulated", "mash-ph-unpredictable"),
        ("endless-acidity", "mash-ph"),
        ("forty-heaps", "implausible-quantity"),
        ("water-of-nothing", "mash-calcium"),
        ("lime-alone", "mash-ph"),
    ],
)
def test_what_is_said_of_them(name: str, rule: str, tree: Tree) -> None:
    linter, path = lint(tree, name)
    report = linter.lint_text(CASES[name][0], path)
    assert rule in {finding.rule for finding in report.findings}


def predicted(linter: Linter, path: Path, text: str) -> Prediction:
    linter.take_text(text, path)
    (made,) = linter.predictions(path)
    return made


@pytest.mark.parametrize("name", ["huge-dose", "acid-alone", "lime-alone", "forty-mountains"])
def test_a_solve_that_fails_gives_no_figure(
    name: str, tree: Tree, monkeypatch: pytest.MonkeyPatch
) -> None:
    solved: list[Speciation] = []

    def watched(row: figures.Row) -> Water:
        water = real(row)
        solved.append(water.speciation)
        return water

    real = figures.solve
    monkeypatch.setattr(figures, "solve", watched)
    data = as_data(predicted(*lint(tree, name), CASES[name][0]))
    assert not all(each.converged for each in solved)
    gaps = 0
    for place in _PLACES:
        water = data[place]
        assert isinstance(water, dict)
        missing = [
            water[key] is None for key in ("ph", "conductivity_us_cm", "ionic_strength_mol_l")
        ]
        missing += [water[key]["bicarbonate"] is None for key in ("ions_mg_l", "ions_sd_mg_l")]
        assert all(missing) or not any(missing)
        gaps += all(missing)
    assert gaps


def test_a_solve_that_succeeds_gives_one(tree: Tree) -> None:
    data = as_data(predicted(*lint(tree, "huge-batch"), CASES["huge-batch"][0]))
    assert "null" not in json.dumps([data[place] for place in _PLACES])


@pytest.mark.parametrize("name", ["only-acidulated", "endless-acidity", "lime-alone", "di-ph-0"])
def test_a_mash_without_a_ph_has_none(name: str, tree: Tree) -> None:
    mash = as_data(predicted(*lint(tree, name), CASES[name][0]))["mash"]
    assert isinstance(mash, dict)
    assert mash["ph"] is mash["ph_low"] is mash["ph_high"] is None


def test_proposals_for_extreme_figures(tmp_path: Path) -> None:
    folder = tmp_path / "project"
    names = ("water-of-nothing", "acid-alone")
    for name in names:
        (folder / name / ".git").mkdir(parents=True)
        for file, text in zip(("a.yaml", "well.yaml"), CASES[name], strict=True):
            (folder / name / file).write_text(text, encoding="utf-8")
    calls = [["suggest", "--format", "json", f"{name}/a.yaml"] for name in names]
    for outcome in run_all(calls, folder, None, "-W", "error"):
        assert outcome.status in (0, 1), outcome.err
        assert "Warning" not in outcome.err and "unexpected" not in outcome.err
        loaded(outcome.out)
