"""The hook through the real `pre-commit` in a real repository, against this checkout's snapshot."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parents[2]

WATER = """\
waterlint: water/1
name: Lock Cottage well
sampled: 2026-09-01
ph: 7.2
ions:
  calcium: 52 mg/L
  magnesium: 5 mg/L
  sodium: 12 mg/L
  chloride: 30 mg/L
  sulfate: 41 mg/L
alkalinity: 94 mg/L as CaCO3
"""

RECIPE = """\
waterlint: recipe/1
name: Lock Cottage porter
batch: {volume: 20 L, boil: 60 min, evaporation: 3 L, losses: 1 L}
water:
  mash:   {volume: 14 L, from: waters/well.yaml}
  sparge: {volume: 14 L, from: reverse-osmosis}
mash: {mill_gap: 1.1 mm}
grist:
  - {malt: pale malt, kind: pale,    mass: 4.0 kg, color: 5 EBC}
  - {malt: chocolate, kind: roasted, mass: 300 g,  color: 900 EBC}
additions:
  - {add: calcium-chloride, form: dihydrate, mash: 1.5 g, sparge: 1.5 g}
"""

Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture(scope="module")
def environment(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """An environment without traces of an outer git or pre-commit."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("GIT_", "PRE_COMMIT")) and name != "SKIP"
    }
    return kept | {
        "HOME": str(tmp_path_factory.mktemp("home")),
        "PRE_COMMIT_HOME": str(tmp_path_factory.mktemp("pre-commit")),
        "PRE_COMMIT_COLOR": "never",
        "GIT_CONFIG_GLOBAL": os.devnull,
        "GIT_AUTHOR_NAME": "A Brewer",
        "GIT_AUTHOR_EMAIL": "brewer@example.org",
        "GIT_COMMITTER_NAME": "A Brewer",
        "GIT_COMMITTER_EMAIL": "brewer@example.org",
    }


def _runner(folder: Path, environment: dict[str, str]) -> Run:
    def run(*command: str, check: bool = True) -> subprocess.CompletedProcess[str]:
        done = subprocess.run(
            command, cwd=folder, env=environment, capture_output=True, text=True, check=False
        )
        if check and done.returncode:
            raise AssertionError(f"{command} gave {done.returncode}:\n{done.stdout}{done.stderr}")
        return done

    return run


@pytest.fixture(scope="module")
def snapshot(
    tmp_path_factory: pytest.TempPathFactory, environment: dict[str, str]
) -> tuple[Path, str]:
    """A committed copy of this checkout, and its commit."""
    folder = tmp_path_factory.mktemp("snapshot")
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=CHECKOUT,
        capture_output=True,
        check=True,
    )
    for name in filter(None, listed.stdout.decode().split("\0")):
        if name.startswith("tests/") or not (CHECKOUT / name).is_file():
            continue
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(CHECKOUT / name, folder / name)
    run = _runner(folder, environment)
    run("git", "init", "-q")
    run("git", "add", "-A")
    run("git", "commit", "-q", "-m", "snapshot")
    return folder, run("git", "rev-parse", "HEAD").stdout.strip()


@pytest.fixture(scope="module")
def template(
    tmp_path_factory: pytest.TempPathFactory,
    snapshot: tuple[Path, str],
    environment: dict[str, str],
) -> Path:
    """A recipe repository with the hook installed and one good commit."""
    folder = tmp_path_factory.mktemp("recipes")
    run = _runner(folder, environment)
    run("git", "init", "-q")
    (folder / "waters").mkdir()
    (folder / "waters/well.yaml").write_text(WATER, encoding="utf-8")
    (folder / "porter.yaml").write_text(RECIPE, encoding="utf-8")
    (folder / "notes.md").write_text("Brew days.\n", encoding="utf-8")
    source, commit = snapshot
    (folder / ".pre-commit-config.yaml").write_text(
        f"repos:\n  - repo: {source}\n    rev: {commit}\n    hooks:\n      - id: waterlint\n",
        encoding="utf-8",
    )
    run("git", "add", "-A")
    run("git", "commit", "-q", "-m", "first brews")
    run(sys.executable, "-m", "pre_commit", "install", "--install-hooks")
    return folder


@pytest.fixture
def repository(template: Path, tmp_path: Path, environment: dict[str, str]) -> Iterator[Path]:
    """A fresh copy of the recipe repository."""
    folder = tmp_path / "recipes"
    shutil.copytree(template, folder)
    yield folder


@pytest.fixture
def run(repository: Path, environment: dict[str, str]) -> Run:
    return _runner(repository, environment)


def test_a_good_commit_passes(repository: Path, run: Run) -> None:
    (repository / "second.yaml").write_text(
        RECIPE.replace("porter", "brown porter"), encoding="utf-8"
    )
    run("git", "add", "second.yaml")
    run("git", "commit", "-q", "-m", "a second porter")
    assert run("git", "log", "--oneline").stdout.count("\n") == 2


def test_a_bad_commit_is_stopped_and_the_finding_is_shown(repository: Path, run: Run) -> None:
    bad = RECIPE.replace("form: dihydrate, ", "")
    (repository / "porter.yaml").write_text(bad, encoding="utf-8")
    run("git", "add", "porter.yaml")
    done = run("git", "commit", "-m", "shorter", check=False)
    assert done.returncode == 1
    output = done.stdout + done.stderr
    assert "porter.yaml:12:" in output
    assert "[form-unstated]" in output
    assert run("git", "log", "--oneline").stdout.count("\n") == 1


def test_a_warning_stops_a_commit_too(repository: Path, run: Run) -> None:
    salty = RECIPE + "  - {add: baking-soda, kettle: 2 g}\n"
    (repository / "porter.yaml").write_text(salty, encoding="utf-8")
    run("git", "add", "porter.yaml")
    done = run("git", "commit", "-m", "rounder", check=False)
    assert done.returncode == 1
    assert "porter.yaml:13:32: warning:" in done.stdout + done.stderr
    assert "[alkali-after-mash]" in done.stdout + done.stderr


def test_a_changed_report_brings_its_recipes(repository: Path, run: Run) -> None:
    hard = (
        WATER.replace("calcium: 52", "calcium: 152")
        .replace("chloride: 30", "chloride: 83")
        .replace("alkalinity: 94", "alkalinity: 269")
    )
    (repository / "waters/well.yaml").write_text(hard, encoding="utf-8")
    run("git", "add", "-A")
    done = run("git", "commit", "-m", "new report", check=False)
    output = done.stdout + done.stderr
    assert done.returncode == 1
    assert "porter.yaml" in output and "[mash-ph]" in output
    assert "waters/well.yaml" in output


def test_a_deleted_report_is_missed_by_its_recipe(repository: Path, run: Run) -> None:
    run("git", "rm", "-q", "waters/well.yaml")
    done = run("git", "commit", "-m", "tidy up", check=False)
    assert done.returncode == 1
    assert "[unresolved-water]" in done.stdout + done.stderr


def test_a_commit_that_concerns_no_recipe_passes(repository: Path, run: Run) -> None:
    (repository / "notes.md").write_text("Brew days and others.\n", encoding="utf-8")
    (repository / "ci.yaml").write_text("on: push\n", encoding="utf-8")
    run("git", "add", "-A")
    run("git", "commit", "-q", "-m", "notes")


def test_pre_commit_runs_on_all_files(repository: Path, run: Run) -> None:
    done = run(sys.executable, "-m", "pre_commit", "run", "--all-files")
    assert "Passed" in done.stdout


def test_a_report_that_git_does_not_track_is_told(repository: Path, run: Run) -> None:
    (repository / "waters/other.yaml").write_text(WATER, encoding="utf-8")
    other = RECIPE.replace("waters/well.yaml", "waters/other.yaml")
    (repository / "porter.yaml").write_text(other, encoding="utf-8")
    run("git", "add", "porter.yaml")
    done = run("git", "commit", "-m", "other water", check=False)
    assert done.returncode == 1
    assert "porter.yaml:5:32: warning:" in done.stdout + done.stderr
    assert "[untracked-water]" in done.stdout + done.stderr
