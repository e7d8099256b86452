"""The git hook with a memory: the same words as without, and little to do."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cache.conftest import AS_OF, SODA, WATERS, Check
from tests.cache.test_dependencies import edit
from waterlint.cache import quick_hook
from waterlint.cli.main import main
from waterlint.rules.samples import recipe, report

Hook = Callable[..., tuple[int, str]]


@pytest.fixture
def repository(project: Path) -> Path:
    """The project without its broken recipe, as a repository with one commit."""
    (project / "ales/broken.yaml").unlink()
    (project / "ales/c.yaml").unlink()
    (project / "known.json").unlink()
    git("init", "--quiet")
    git("add", "--all")
    git("commit", "--quiet", "--message", "as it was")
    return project


def git(*arguments: str) -> None:
    """Call git in the working directory."""
    name = ("-c", "user.name=A", "-c", "user.email=a@example.org", "-c", "commit.gpgsign=false")
    subprocess.run(("git", *name, *arguments), check=True, capture_output=True)


@pytest.fixture
def hook(capsys: pytest.CaptureFixture[str]) -> Hook:
    """Call `waterlint hook` on a fixed day."""

    def call(*arguments: str) -> tuple[int, str]:
        capsys.readouterr()
        status = main(["hook", "--as-of", AS_OF, *arguments])
        return status, capsys.readouterr().out

    return call


@pytest.fixture
def recalls(monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """Takes up, for each call, whether everything in it was remembered."""
    told: list[bool] = []
    whole = quick_hook.quick_hook

    def watched(*arguments: object) -> object:
        outcome = whole(*arguments)  # type: ignore[arg-type]
        told.append(outcome is not None)
        return outcome

    monkeypatch.setattr(quick_hook, "quick_hook", watched)
    return told


def same(hook: Hook, *files: str) -> tuple[int, str]:
    """What the hook says, which is what it says without a memory."""
    cold = hook("--no-cache", *files)
    assert (hook(*files), hook(*files)) == (cold, cold)
    return cold


def test_a_recipe_that_was_checked_before(
    repository: Path, check: Check, hook: Hook, recalls: list[bool]
) -> None:
    edit("waters/well.yaml", "2026-03-14", "2019-02-01")(repository)
    git("commit", "--quiet", "--all", "--message", "as it was then")
    (repository / "ales/a.yaml").write_text(recipe(*WATERS), encoding="utf-8")
    git("add", "--all")
    check(".", "--as-of", "2019-01-01")
    assert hook("ales/a.yaml", "--as-of", "2019-01-01") == (0, "")
    assert recalls == [True]
    status, out = same(hook, "ales/a.yaml")
    assert (status, "[report-age]" in out, "checked because" in out) == (1, True, False)
    assert recalls == [True, False, True]


def test_what_a_commit_touches_besides(
    repository: Path, check: Check, hook: Hook, recalls: list[bool]
) -> None:
    edit("waters/well.yaml", "15 mg/L", "85 mg/L")(repository)
    git("add", "--all")
    check(".")
    _, out = same(hook, "waters/well.yaml")
    assert "ales/a.yaml: checked because waters/well.yaml changed" in out
    git("commit", "--quiet", "--message", "another water")
    edit("house/base.yaml", "note", "warning")(repository)
    git("add", "--all")
    check(".")
    assert "checked because house/base.yaml changed" in same(hook, "house/base.yaml")[1]
    git("rm", "--quiet", "--force", "waters/old.yaml")
    check(".")
    assert "checked because waters/old.yaml was deleted" in same(hook)[1]
    assert recalls == [False] * 6


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("ales/waterlint.yaml", "waterlint: config/1\nranges: {sodium: .. 9 mg/L}\n"),
        ("waters/new.yaml", report()),
        ("ales/new.yaml", recipe(*WATERS, SODA)),
        ("ales/ci.yaml", "jobs:\n  build: no\n"),
    ],
)
def test_what_is_added(repository: Path, check: Check, hook: Hook, name: str, text: str) -> None:
    check(".")
    (repository / name).write_text(text, encoding="utf-8")
    git("add", "--all")
    check(".")
    same(hook, name)


def test_whether_git_keeps_a_report_comes_from_no_memory(
    repository: Path, check: Check, hook: Hook
) -> None:
    (repository / "waters/new.yaml").write_text(report(), encoding="utf-8")
    text = recipe("  mash: {volume: 15 L, from: ../waters/new.yaml}", WATERS[1])
    (repository / "ales/a.yaml").write_text(text, encoding="utf-8")
    git("add", "ales/a.yaml")
    check(".")
    status, out = same(hook, "ales/a.yaml")
    assert (status, "[untracked-water]" in out) == (1, True)
    git("add", "waters/new.yaml")
    assert "[untracked-water]" not in same(hook, "ales/a.yaml")[1]
    assert "[untracked-water]" not in check(".").out
