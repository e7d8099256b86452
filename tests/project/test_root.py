"""Where paths lead and where a project ends."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from waterlint.project.root import absolute, is_inside, project_root

Tree = Callable[..., Path]


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        ("a.yaml", "a.yaml"),
        ("./a.yaml", "a.yaml"),
        ("sub/../a.yaml", "a.yaml"),
        ("sub//x/./a.yaml", "sub/x/a.yaml"),
        ("missing/../a.yaml", "a.yaml"),
        ("link/a.yaml", "link/a.yaml"),
        # The parent of what the link points to, as the system itself sees it.
        ("link/../a.yaml", "deep/a.yaml"),
        ("-f.yaml", "-f.yaml"),
        ("a\nb.yaml", "a\nb.yaml"),
        ("", ""),
    ],
)
def test_absolute(tree: Tree, path: str, expected: str) -> None:
    folder = tree({"sub/x/a.yaml": "", "deep/er/a.yaml": ""})
    (folder / "link").symlink_to("deep/er")
    assert absolute(path) == folder / expected
    assert absolute(folder / path) == folder / expected
    assert absolute(path, folder / "sub").is_absolute()


def test_absolute_stops_at_the_top() -> None:
    assert absolute("/../../x") == Path("/x")


def test_the_nearest_git_folder_is_the_root(tree: Tree) -> None:
    folder = tree({"inner/recipes/a.yaml": "", "b.yaml": ""})
    (folder / ".git").mkdir()
    # The file that stands for `.git` in a worktree or submodule.
    (folder / "inner/.git").write_text("gitdir: ../.git/worktrees/inner\n")
    assert project_root(folder / "inner/recipes/a.yaml") == folder / "inner"
    assert project_root(Path("inner/recipes/a.yaml")) == folder / "inner"
    assert project_root(folder / "b.yaml") == folder


def test_without_git_it_is_the_working_directory(tree: Tree) -> None:
    folder = tree({"recipes/deep/a.yaml": "", "other/b.yaml": ""})
    os.chdir(folder / "recipes")
    assert project_root(Path("deep/a.yaml")) == folder / "recipes"
    assert project_root(Path("../other/b.yaml")) == folder / "other"
    assert project_root(Path("other/b.yaml"), folder) == folder


def test_inside_follows_every_link(tree: Tree, tmp_path: Path) -> None:
    folder = tree({"a/x.yaml": ""})
    outside = tmp_path / "project-two"
    outside.mkdir()
    (outside / "x.yaml").write_text("")
    (folder / "out").symlink_to(outside)
    (folder / "in").symlink_to("a")
    (folder / "loop").symlink_to("loop")
    (tmp_path / "alias").symlink_to(folder)
    assert is_inside(folder / "a/x.yaml", [folder])
    assert is_inside(folder / "in/x.yaml", [folder])
    assert is_inside(folder / "a/missing.yaml", [folder])
    assert is_inside(folder, [folder])
    assert is_inside(folder / "a", [tmp_path / "alias"])
    assert is_inside(folder / "loop", [folder])
    assert not is_inside(folder / "out/x.yaml", [folder])
    assert not is_inside(folder / "out/missing.yaml", [folder])
    # A name that begins like the root's is another folder.
    assert not is_inside(outside / "x.yaml", [folder])
    assert is_inside(folder / "out/x.yaml", [folder, outside])
    assert not is_inside(folder, [])
