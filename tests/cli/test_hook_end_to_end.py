"""The hook through the real `pre-commit` in a real repository, against this checkout's snapshot.

One environment of the hook is built for all tests, from a folder of wheels and with no index where
an index could be asked beforehand.
"""

from __future__ import annotations

import json
import os
import shutil
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.cli.hooked import (
    CHECKOUT,
    FAULTY,
    HARD_WATER,
    RECIPE,
    SALTY,
    WATER,
    Environment,
    Run,
    download_wheels,
    hook_config,
    normal,
    offline,
    runner,
    surroundings,
    take_snapshot,
)

PRE_COMMIT = (sys.executable, "-m", "pre_commit")


@dataclass(frozen=True)
class Wheels:
    """What installs the hook without an index; `lacking` says why there is nothing."""

    folder: Path
    lacking: str | None


@pytest.fixture(scope="module")
def online(tmp_path_factory: pytest.TempPathFactory) -> Environment:
    return surroundings(tmp_path_factory.mktemp("home"), tmp_path_factory.mktemp("pre-commit"))


@pytest.fixture(scope="module")
def wheels(tmp_path_factory: pytest.TempPathFactory, online: Environment) -> Wheels:
    folder = tmp_path_factory.mktemp("wheels")
    return Wheels(folder, download_wheels(folder, online))


@pytest.fixture(scope="module")
def environment(online: Environment, wheels: Wheels) -> Environment:
    # Without wheels the hook may still install, from what this machine's pip is set up with.
    return online if wheels.lacking else offline(online, wheels.folder)


@pytest.fixture(scope="module")
def snapshot(
    tmp_path_factory: pytest.TempPathFactory, environment: Environment
) -> tuple[Path, str]:
    """A committed copy of this checkout, and its commit."""
    folder = tmp_path_factory.mktemp("snapshot")
    return folder, take_snapshot(folder, environment)


@pytest.fixture(scope="module")
def template(
    tmp_path_factory: pytest.TempPathFactory,
    snapshot: tuple[Path, str],
    environment: Environment,
) -> Path:
    """A recipe repository with the hook installed and one good commit."""
    folder = tmp_path_factory.mktemp("recipes")
    run = runner(folder, environment)
    run("git", "init", "-q", "-b", "main")
    (folder / "waters").mkdir()
    (folder / "waters/well.yaml").write_text(WATER, encoding="utf-8")
    (folder / "porter.yaml").write_text(RECIPE, encoding="utf-8")
    (folder / "notes.md").write_text("Brew days.\n", encoding="utf-8")
    (folder / ".pre-commit-config.yaml").write_text(
        hook_config(*snapshot, "id: waterlint", "id: waterlint-project"), encoding="utf-8"
    )
    run("git", "add", "-A")
    run("git", "commit", "-q", "-m", "first brews")
    types = ("--hook-type", "pre-commit", "--hook-type", "pre-push")
    run(*PRE_COMMIT, "install", "--install-hooks", *types)
    return folder


@pytest.fixture
def repository(template: Path, tmp_path: Path) -> Iterator[Path]:
    """A fresh copy of the recipe repository."""
    folder = tmp_path / "recipes"
    shutil.copytree(template, folder)
    yield folder


@pytest.fixture
def run(repository: Path, environment: Environment) -> Run:
    return runner(repository, environment)


def _write(folder: Path, name: str, text: str) -> None:
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")


def _stopped(run: Run, *call: str) -> str:
    """What a call says that must end with exit status 1; a commit unless it is given."""
    done = run(*(call or ("git", "commit", "-m", "a change")), check=False)
    output = done.stdout + done.stderr
    assert done.returncode == 1, output
    return output


def _commits(run: Run) -> int:
    return run("git", "log", "--oneline").stdout.count("\n")


def test_the_manifest_is_valid(run: Run) -> None:
    run(*PRE_COMMIT, "validate-manifest", str(CHECKOUT / ".pre-commit-hooks.yaml"))
    run(*PRE_COMMIT, "validate-config", str(CHECKOUT / ".pre-commit-config.yaml"))


def test_the_hook_is_built_without_an_index(
    wheels: Wheels, environment: Environment, template: Path
) -> None:
    """All of the hook's environment comes from the folder, and nothing else could be asked."""
    if wheels.lacking:
        pytest.skip(wheels.lacking)
    home = Path(environment["PRE_COMMIT_HOME"])
    run = runner(template, environment)
    named = [path.name.split("-") for path in wheels.folder.glob("*.whl")]
    fetched = {(normal(name), version) for name, version, *_ in named}
    # pip itself comes with virtualenv.
    others = {"waterlint", "pip", "setuptools", "wheel"}
    programs = [*home.glob("repo*/py_env-*/bin/python")]  # another for each snapshot
    assert programs
    for program in programs:
        listed = json.loads(run(str(program), "-m", "pip", "list", "--format", "json").stdout)
        installed = {(normal(each["name"]), each["version"]) for each in listed}
        assert {name for name, _ in installed - fetched} <= others
        assert {"waterlint", "ruamel_yaml", "jsonschema"} <= {name for name, _ in installed}
    (wheels.folder / "none").mkdir()
    lost = runner(template, offline(environment, wheels.folder / "none"))
    done = lost(
        sys.executable, "-m", "pip", "download", "-d", str(wheels.folder / "none"), "jsonschema",
        check=False,
    )  # fmt: skip
    assert done.returncode != 0 and "from versions: none" in done.stderr


def test_a_good_commit_passes(repository: Path, run: Run) -> None:
    _write(repository, "second.yaml", RECIPE.replace("porter", "brown porter"))
    run("git", "add", "second.yaml")
    run("git", "commit", "-q", "-m", "a second porter")
    assert _commits(run) == 2


def test_a_bad_commit_is_stopped_and_the_finding_is_shown(repository: Path, run: Run) -> None:
    _write(repository, "porter.yaml", FAULTY)
    run("git", "add", "porter.yaml")
    output = _stopped(run)
    assert "porter.yaml:12:" in output
    assert "[form-unstated]" in output
    assert _commits(run) == 1


def test_a_warning_stops_a_commit_unless_the_hook_is_told_otherwise(
    repository: Path, run: Run, snapshot: tuple[Path, str]
) -> None:
    _write(repository, "porter.yaml", SALTY)
    run("git", "add", "porter.yaml")
    output = _stopped(run)
    assert "porter.yaml:13:32: warning:" in output
    assert "[alkali-after-mash]" in output
    config = hook_config(*snapshot, "id: waterlint, args: [--fail-on, error]")
    _write(repository, ".pre-commit-config.yaml", config)
    run("git", "add", "-A")
    run("git", "commit", "-q", "-m", "rounder")
    _write(repository, "porter.yaml", FAULTY)
    run("git", "add", "porter.yaml")
    assert "[form-unstated]" in _stopped(run)


def test_a_changed_report_brings_its_recipes(repository: Path, run: Run) -> None:
    _write(repository, "waters/well.yaml", HARD_WATER)
    run("git", "add", "-A")
    output = _stopped(run)
    assert "porter.yaml: checked because waters/well.yaml changed\n" in output
    assert "porter.yaml:5:" in output and "[mash-ph]" in output


def test_a_deleted_report_is_missed_by_its_recipe(repository: Path, run: Run) -> None:
    """The commit only deletes, so that the hook is handed no file at all."""
    run("git", "rm", "-q", "waters/well.yaml")
    output = _stopped(run)
    assert "porter.yaml: checked because waters/well.yaml was deleted\n" in output
    assert "[unresolved-water]" in output


def test_a_deletion_that_nobody_minds_passes(repository: Path, run: Run) -> None:
    run("git", "rm", "-q", "porter.yaml")
    run("git", "commit", "-q", "-m", "brewed for the last time")
    run("git", "rm", "-q", "waters/well.yaml")
    run("git", "commit", "-q", "-m", "and its water")
    assert _commits(run) == 3


def test_a_renamed_report_is_missed_under_its_old_name(repository: Path, run: Run) -> None:
    run("git", "mv", "waters/well.yaml", "waters/spring.yaml")
    output = _stopped(run)
    assert (
        "porter.yaml: checked because waters/well.yaml was renamed to waters/spring.yaml\n"
    ) in output
    assert "porter.yaml:5:" in output and "[unresolved-water]" in output
    _write(repository, "porter.yaml", RECIPE.replace("well", "spring"))
    run("git", "add", "-A")
    run("git", "commit", "-q", "-m", "both")


def test_a_configuration_brings_what_it_governs(repository: Path, run: Run) -> None:
    """A change of it, of what it builds on, and its deletion."""
    _write(repository, "house.yaml", "waterlint: config/1\n")
    _write(repository, "waterlint.yaml", "waterlint: config/1\nextends: house.yaml\n")
    run("git", "add", "-A")
    run("git", "commit", "-q", "-m", "house")
    _write(repository, "house.yaml", "waterlint: config/1\nranges: {calcium: .. 20 mg/L}\n")
    run("git", "add", "-A")
    output = _stopped(run)
    assert "porter.yaml: checked because house.yaml changed, on which waterlint.yaml bui" in output
    assert "[batch-calcium]" in output
    levels = "levels: {batch-calcium: off, alkali-after-mash: off}\n"
    _write(repository, "waterlint.yaml", f"waterlint: config/1\nextends: house.yaml\n{levels}")
    _write(repository, "porter.yaml", SALTY)
    run("git", "add", "-A")
    run("git", "commit", "-q", "-m", "not told")
    run("git", "rm", "-q", "waterlint.yaml")
    output = _stopped(run)
    assert "porter.yaml: checked because waterlint.yaml was deleted\n" in output
    assert "[alkali-after-mash]" in output


def test_three_thousand_files_in_several_calls(repository: Path, run: Run) -> None:
    """One file in thirty is a recipe, of which two, far apart, are faulty; the water changes."""
    for number in range(3000):
        name = f"brews/{'a-long-winter-of-brewing-' * 3}{number:04}.yaml"
        faulty = number in (30, 2970)
        recipe = (FAULTY if faulty else RECIPE).replace("waters/", "../waters/")
        _write(repository, name, recipe if number % 30 == 0 else f"number: {number}\n")
    _write(repository, "waters/well.yaml", HARD_WATER)
    run("git", "add", "-A")
    output = _stopped(run)
    calls = output.count("files: ")
    assert calls >= 2, output[-2000:]
    for number in (30, 2970):
        assert output.count(f"{number:04}.yaml:12:") == 1
    # What the commit does not change is told by each call that knows that it is touched.
    reason = "porter.yaml: checked because waters/well.yaml changed\n"
    assert 1 <= output.count(reason) <= calls


def test_in_a_worktree(repository: Path, run: Run, environment: Environment) -> None:
    run("git", "worktree", "add", "-q", "../other", "-b", "other")
    other = repository.parent / "other"
    inside = runner(other, environment)
    _write(other, "waters/well.yaml", HARD_WATER)
    output = _stopped(inside, "git", "commit", "-a", "-m", "new report")
    assert "porter.yaml: checked because waters/well.yaml changed\n" in output
    # The main working tree has the old report still.
    _write(repository, "notes.md", "More.\n")
    run("git", "commit", "-a", "-q", "-m", "notes")


def test_recipes_in_a_subfolder(repository: Path, run: Run, environment: Environment) -> None:
    """They may have a configuration of their own, and the commit may be made from there."""
    brewing = repository / "club/brewing"
    brewing.mkdir(parents=True)
    run("git", "mv", "porter.yaml", "waters", "club/brewing")
    _write(brewing, "waterlint.yaml", "waterlint: config/1\n")
    inside = runner(brewing, environment)
    inside("git", "add", "-A")
    inside("git", "commit", "-q", "-m", "moved")
    _write(brewing, "waters/well.yaml", HARD_WATER)
    output = _stopped(inside, "git", "commit", "-m", "new report", ".")
    assert (
        "club/brewing/porter.yaml: checked because club/brewing/waters/well.yaml changed\n"
    ) in output


def test_what_is_staged_counts_and_not_what_is_beside_it(repository: Path, run: Run) -> None:
    _write(repository, "porter.yaml", RECIPE + "# as staged\n")
    run("git", "add", "porter.yaml")
    _write(repository, "porter.yaml", FAULTY)
    _write(repository, "waters/well.yaml", HARD_WATER)
    run("git", "commit", "-q", "-m", "the good one")
    assert (repository / "porter.yaml").read_text("utf-8") == FAULTY
    assert (repository / "waters/well.yaml").read_text("utf-8") == HARD_WATER
    # The other way round: staged is the wrong one.
    run("git", "add", "waters/well.yaml")
    _write(repository, "waters/well.yaml", WATER)
    _write(repository, "porter.yaml", RECIPE)
    assert "porter.yaml: checked because waters/well.yaml changed\n" in _stopped(run)
    assert (repository / "waters/well.yaml").read_text("utf-8") == WATER


def test_a_commit_of_a_path_is_about_that_path(repository: Path, run: Run) -> None:
    _write(repository, "waters/well.yaml", HARD_WATER)
    run("git", "add", "waters/well.yaml")
    _write(repository, "notes.md", "More.\n")
    run("git", "commit", "-q", "-m", "only notes", "notes.md")
    _write(repository, "notes.md", "And more.\n")
    run("git", "add", "notes.md")
    output = _stopped(run, "git", "commit", "-m", "only the report", "waters/well.yaml")
    assert "porter.yaml: checked because waters/well.yaml changed\n" in output


def test_a_stretch_of_commits(repository: Path, run: Run) -> None:
    _write(repository, "waters/well.yaml", HARD_WATER)
    run("git", "commit", "-a", "-q", "--no-verify", "-m", "new report")
    run("git", "rm", "-q", "waters/well.yaml")
    run("git", "commit", "-q", "--no-verify", "-m", "gone")
    _write(repository, "notes.md", "More.\n")
    run("git", "commit", "-a", "-q", "--no-verify", "-m", "notes")

    def between(first: str, last: str) -> tuple[str, ...]:
        return (*PRE_COMMIT, "run", "waterlint", "--from-ref", first, "--to-ref", last)

    run(*between("HEAD~1", "HEAD"))
    output = _stopped(run, *between("HEAD~2", "HEAD~1"))
    assert "porter.yaml: checked because waters/well.yaml was deleted\n" in output
    run("git", "revert", "--no-edit", "HEAD~1")
    output = _stopped(run, *between("HEAD~4", "HEAD"))
    assert "porter.yaml: checked because waters/well.yaml changed\n" in output


def test_a_push_is_of_the_whole_project(repository: Path, run: Run, tmp_path: Path) -> None:
    run("git", "init", "-q", "--bare", str(tmp_path / "shared.git"))
    run("git", "remote", "add", "origin", str(tmp_path / "shared.git"))
    run("git", "push", "-q", "origin", "main")
    _write(repository, "porter.yaml", FAULTY)
    run("git", "commit", "-a", "-q", "--no-verify", "-m", "unseen")
    _write(repository, "notes.md", "More.\n")
    run("git", "commit", "-a", "-q", "-m", "notes")
    output = _stopped(run, "git", "push", "origin", "main")
    assert "waterlint (whole project)" in output and "porter.yaml:12:" in output
    manual = (*PRE_COMMIT, "run", "waterlint-project", "--hook-stage", "manual")
    assert "porter.yaml:12:" in _stopped(run, *manual)


@pytest.mark.parametrize("from_repository", [False, True])
def test_what_init_writes_guards_a_new_repository(
    tmp_path: Path,
    environment: Environment,
    template: Path,
    snapshot: tuple[Path, str],
    from_repository: bool,
) -> None:
    """With the installed program on the path, or installed by pre-commit itself."""
    # One for each name of the snapshot that a test before this one has used; any will do.
    program, *_ = Path(environment["PRE_COMMIT_HOME"]).glob("repo*/py_env-*/bin/waterlint")
    path = f"{program.parent}{os.pathsep}{environment['PATH']}"
    run = runner(tmp_path, environment if from_repository else environment | {"PATH": path})
    source, commit = snapshot
    origin = ("--repo", source.as_uri(), "--rev", commit) if from_repository else ()
    run("git", "init", "-q")
    run(str(program), "init", *origin)
    run(*PRE_COMMIT, "install")
    _write(tmp_path, "porter.yaml", RECIPE)
    _write(tmp_path, "waters/well.yaml", WATER)
    run("git", "add", "-A")
    run("git", "commit", "-q", "-m", "first brews")
    run("git", "rm", "-q", "waters/well.yaml")
    assert "[unresolved-water]" in _stopped(run)


def test_a_commit_that_concerns_no_recipe_passes(repository: Path, run: Run) -> None:
    _write(repository, "notes.md", "Brew days and others.\n")
    _write(repository, "ci.yaml", "on: push\n")
    run("git", "add", "-A")
    run("git", "commit", "-q", "-m", "notes")


def test_pre_commit_runs_on_all_files(run: Run) -> None:
    done = run(*PRE_COMMIT, "run", "--all-files")
    assert "Passed" in done.stdout


def test_a_report_that_git_does_not_track_is_told(repository: Path, run: Run) -> None:
    _write(repository, "waters/other.yaml", WATER)
    _write(repository, "porter.yaml", RECIPE.replace("waters/well.yaml", "waters/other.yaml"))
    run("git", "add", "porter.yaml")
    output = _stopped(run)
    assert "porter.yaml:5:32: warning:" in output
    assert "[untracked-water]" in output
