"""What git says, asked in real repositories."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from waterlint.project.git import Change, staged_changes, tracked

Tree = Callable[..., Path]
Git = Callable[..., str]

TEXT = "waterlint: water/1\n" + "".join(f"line {number}\n" for number in range(20))


def test_every_kind_of_change(tree: Tree, git: Git) -> None:
    # Whatever the user has set, a rename is told from a deletion.
    git("config", "diff.renames", "false")
    folder = tree({"keep.yaml": "1", "gone.yaml": "2", "old name.yaml": TEXT, "mod.yaml": "3"})
    git("add", ".")
    git("commit", "-qm", "start")
    tree({"mod.yaml": "4", "sub/new\nname.yaml": "5", "-dash.yaml": "6", "untracked.yaml": "7"})
    git("rm", "-q", "gone.yaml")
    git("mv", "old name.yaml", "sub/neü.yaml")
    git("add", "--", "mod.yaml", "sub", "-dash.yaml")
    changes = staged_changes(folder)
    assert changes is not None
    assert sorted(changes, key=lambda change: change.path) == [
        Change("added", folder / "-dash.yaml"),
        Change("deleted", folder / "gone.yaml"),
        Change("changed", folder / "mod.yaml"),
        Change("added", folder / "sub/new\nname.yaml"),
        Change("renamed", folder / "sub/neü.yaml", folder / "old name.yaml"),
    ]
    assert staged_changes(folder / "sub") == changes
    assert tracked(folder / "sub") == {
        folder / name
        for name in ("-dash.yaml", "keep.yaml", "mod.yaml", "sub/new\nname.yaml", "sub/neü.yaml")
    }


def test_nothing_staged_is_an_empty_list(tree: Tree, git: Git) -> None:
    folder = tree({"a.yaml": "1"})
    assert staged_changes(folder) == []
    assert tracked(folder) == frozenset()


def test_the_first_commit_can_be_looked_at(tree: Tree, git: Git) -> None:
    folder = tree({"a.yaml": "1"})
    git("add", "a.yaml")
    assert staged_changes(folder) == [Change("added", folder / "a.yaml")]


def test_a_name_that_is_no_text_survives(tree: Tree, git: Git) -> None:
    folder = tree({})
    name = os.fsdecode(b"w\xff.yaml")
    try:
        (folder / name).write_text("1")
    except OSError:
        pytest.skip("this file system takes no such name")
    git("add", ".")
    assert staged_changes(folder) == [Change("added", folder / name)]
    assert tracked(folder) == {folder / name}


def test_a_stretch_of_commits(tree: Tree, git: Git, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tree({"a.yaml": "1", "b.yaml": "2"})
    git("add", ".")
    git("commit", "-qm", "start")
    git("branch", "feature")
    tree({"b.yaml": "changed on main"})
    git("commit", "-qam", "main goes on")
    git("checkout", "-q", "feature")
    git("rm", "-q", "a.yaml")
    git("commit", "-qm", "feature")
    tree({"staged.yaml": ""})
    git("add", "staged.yaml")
    monkeypatch.setenv("PRE_COMMIT_FROM_REF", "main")
    monkeypatch.setenv("PRE_COMMIT_TO_REF", "feature")
    # What main did meanwhile is none of the feature's changes, nor is what is only staged.
    assert staged_changes(folder) == [Change("deleted", folder / "a.yaml")]
    monkeypatch.setenv("PRE_COMMIT_FROM_REF", "no-such-ref")
    assert staged_changes(folder) is None
    monkeypatch.setenv("PRE_COMMIT_FROM_REF", f"--output={folder}/evil")
    assert staged_changes(folder) is None
    assert not list(folder.glob("evil*"))


def test_unrelated_histories_are_compared_directly(
    tree: Tree, git: Git, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tree({"a.yaml": "1"})
    git("add", ".")
    git("commit", "-qm", "start")
    git("checkout", "-q", "--orphan", "other")
    tree({"b.yaml": "2"})
    git("add", ".")
    git("commit", "-qm", "other start")
    monkeypatch.setenv("PRE_COMMIT_FROM_REF", "main")
    monkeypatch.setenv("PRE_COMMIT_TO_REF", "other")
    assert staged_changes(folder) == [Change("added", folder / "b.yaml")]


def test_the_index_of_the_commit_counts(
    tree: Tree, git: Git, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    folder = tree({"a.yaml": "1", "b.yaml": "2"})
    git("add", "a.yaml")
    # As during `git commit b.yaml`, which has an index of its own.
    monkeypatch.setenv("GIT_INDEX_FILE", str(tmp_path / "next-index"))
    git("add", "b.yaml")
    assert staged_changes(folder) == [Change("added", folder / "b.yaml")]
    assert tracked(folder) == {folder / "b.yaml"}


def test_a_real_hook_sees_the_commit_in_the_making(tree: Tree, git: Git, tmp_path: Path) -> None:
    import sys

    folder = tree({"a.yaml": "1", "b.yaml": "2"})
    seen = tmp_path / "seen"
    hook = folder / ".git/hooks/pre-commit"
    hook.write_text(
        f"#!{sys.executable}\n"
        "from pathlib import Path\n"
        "from waterlint.project.git import staged_changes\n"
        f"Path({str(seen)!r}).write_text(repr([c.path.name for c in staged_changes(Path())]))\n"
    )
    hook.chmod(0o755)
    git("add", ".")
    git("commit", "-qm", "only one", "a.yaml")
    assert seen.read_text() == "['a.yaml']"


def test_a_worktree_has_its_own_top(tree: Tree, git: Git, tmp_path: Path) -> None:
    folder = tree({"sub/a.yaml": "1"})
    git("add", ".")
    git("commit", "-qm", "start")
    other = tmp_path / "other"
    git("worktree", "add", "-q", str(other))
    (other / "sub/a.yaml").write_text("2")
    git("add", ".", cwd=other)
    assert staged_changes(other / "sub") == [Change("changed", other / "sub/a.yaml")]
    assert staged_changes(folder) == []


def test_without_a_repository_there_is_no_answer(tree: Tree) -> None:
    folder = tree({"a.yaml": "1"})
    assert staged_changes(folder) is None
    assert tracked(folder) is None
    (folder / ".git").mkdir()
    assert staged_changes(folder) is None
    assert tracked(folder) is None


def test_without_git_there_is_no_answer(
    tree: Tree, git: Git, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    folder = tree({"a.yaml": "1"})
    monkeypatch.setenv("PATH", str(tmp_path))
    assert staged_changes(folder) is None
    assert tracked(folder) is None
