"""What a `from` may name, and what it is told when it may not."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from waterlint.project.references import Resolved, Unresolved, is_path, resolve

Tree = Callable[..., Path]


@pytest.fixture
def brewery(tree: Tree, tmp_path: Path) -> Path:
    folder = tree(
        {
            "recipes/stout.yaml": "",
            "recipes/beside.yaml": "",
            "recipes/with space.yml": "",
            "recipes/-dash.yaml": "",
            "waters/mill-leat.yaml": "",
            "waters/spring-head.yaml": "",
            "waters/mühle.yaml": "",
            "waters/notes.txt": "",
            "waters/folder.yaml/x.yaml": "",
        }
    )
    (folder / ".git").mkdir()
    (tmp_path / "secret.yaml").write_text("secret")
    (folder / "waters/out.yaml").symlink_to(tmp_path / "secret.yaml")
    (folder / "waters/out-missing.yaml").symlink_to(tmp_path / "no-such.yaml")
    (folder / "waters/outside").symlink_to(tmp_path)
    (folder / "waters/in.yaml").symlink_to("mill-leat.yaml")
    (folder / "waters/loop.yaml").symlink_to("loop.yaml")
    (folder / "waters/dangling.yaml").symlink_to("gone.yaml")
    os.mkfifo(folder / "waters/pipe.yaml")
    return folder


def _resolve(brewery: Path, reference: str, **more: object) -> Resolved | Unresolved:
    return resolve(reference, brewery / "recipes/stout.yaml", **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("reference", "expected"),
    [
        ("../waters/mill-leat.yaml", "waters/mill-leat.yaml"),
        ("../waters/./mill-leat.yaml", "waters/mill-leat.yaml"),
        ("./beside.yaml", "recipes/beside.yaml"),
        ("beside.yaml", "recipes/beside.yaml"),
        ("with space.yml", "recipes/with space.yml"),
        ("-dash.yaml", "recipes/-dash.yaml"),
        ("../waters/mühle.yaml", "waters/mühle.yaml"),
        ("../waters/in.yaml", "waters/in.yaml"),
        ("../waters/notes.txt", "waters/notes.txt"),
        ("../waters/folder.yaml/x.yaml", "waters/folder.yaml/x.yaml"),
        ("../recipes/../waters/mill-leat.yaml", "waters/mill-leat.yaml"),
    ],
)
def test_a_file_of_the_project_is_found(brewery: Path, reference: str, expected: str) -> None:
    assert _resolve(brewery, reference) == Resolved(brewery / expected)


@pytest.mark.parametrize(
    ("reference", "problem", "help"),
    [
        ("http://example.test/x.yaml", "is a URL", "Keep the file in the project"),
        ("HTTPS://example.test/x.yaml", "is a URL", "Keep the file in the project"),
        ("file:///etc/passwd", "is a URL", "Keep the file in the project"),
        ("file:x.yaml", "is a URL", "Keep the file in the project"),
        ("/etc/passwd", "is an absolute path", "../waters/supply.yaml"),
        ("//server/x.yaml", "is an absolute path", "../waters/supply.yaml"),
        ("C:/waters/x.yaml", "is an absolute path", "../waters/supply.yaml"),
        ("~/x.yaml", "begins in a home folder", "../waters/supply.yaml"),
        ("~", "begins in a home folder", "../waters/supply.yaml"),
        ("..\\waters\\mill-leat.yaml", "has a backslash", "system: ../waters/mill-leat.yaml"),
        ("C:\\waters\\x.yaml", "has a backslash", "as in ../waters/supply.yaml"),
        ("\\\\server\\x.yaml", "has a backslash", "as in ../waters/supply.yaml"),
        ("../../secret.yaml", "leads out of the project", "--allow-root"),
        ("../../no-such.yaml", "leads out of the project", "--allow-root"),
        ("../../../../../../../../etc/passwd", "leads out of the project", "--allow-root"),
        ("../waters/out.yaml", "leads out of the project", "--allow-root"),
        ("../waters/out-missing.yaml", "leads out of the project", "--allow-root"),
        ("../waters/outside/secret.yaml", "leads out of the project", "--allow-root"),
        ("../waters/outside/../secret.yaml", "leads out of the project", "--allow-root"),
        ("../waters/loop.yaml", "cannot be read", "Check the path"),
        ("../waters/dangling.yaml", "symbolic link to something that is not there", "Mend it"),
        ("../waters/pipe.yaml", "is a pipe", "regular file"),
        ("../waters/folder.yaml", "is a folder", "Name the file in it"),
        ("../waters/", "is a folder", "Name the file in it"),
        (".", "is a folder", "Name the file in it"),
        ("../waters/notes.txt/x.yaml", "as if it were a folder", "Check the path"),
        ("../waters/mil-leat.yaml", "there is no file", "Did you mean ../waters/mill-leat.yaml?"),
        ("../waters/mill-leat", "there is no file", "Did you mean ../waters/mill-leat.yaml?"),
        ("../waters/Mill-Leat.yaml", "there is no file", "Did you mean ../waters/mill-leat.yaml?"),
        ("besides.yaml", "there is no file", "Did you mean beside.yaml?"),
        ("../waters/zzzzzzzz.yaml", "there is no file", "The folder holds"),
        ("../water/mill-leat.yaml", "there is no folder ../water", "Did you mean waters?"),
        ("../xyzzy/deep/m.yaml", "there is no folder ../xyzzy/deep", "it fails at xyzzy"),
        ("./\0.yaml", "cannot be read", "Check the path"),
        ("./\ud800.yaml", "cannot be read", "Check the path"),
        ("./" + "x" * 5000 + ".yaml", "longer than a path can be", "Write the path"),
    ],
)
def test_a_bad_path_is_told_with_help(
    brewery: Path, reference: str, problem: str, help: str
) -> None:
    found = _resolve(brewery, reference)
    assert isinstance(found, Unresolved)
    assert problem in found.problem
    assert help in found.help
    assert str(brewery.parent) not in found.problem + found.help


def test_nothing_outside_the_project_is_told_apart(brewery: Path) -> None:
    there = _resolve(brewery, "../../secret.yaml")
    missing = _resolve(brewery, "../../secreT.yaml")
    assert isinstance(there, Unresolved) and isinstance(missing, Unresolved)
    assert there.problem.replace("secret", "secreT") == missing.problem
    assert there.help == missing.help


def test_the_command_line_may_allow_a_folder(brewery: Path, tmp_path: Path) -> None:
    for reference in ("../../secret.yaml", "../waters/outside/secret.yaml"):
        assert isinstance(_resolve(brewery, reference, allow_roots=[tmp_path]), Resolved)
        elsewhere = _resolve(brewery, reference, allow_roots=[tmp_path / "elsewhere"])
        assert isinstance(elsewhere, Unresolved)


def test_without_git_the_working_directory_is_the_limit(tree: Tree) -> None:
    folder = tree({"recipes/a.yaml": "", "waters/b.yaml": ""})
    assert resolve("../waters/b.yaml", Path("recipes/a.yaml")) == Resolved(folder / "waters/b.yaml")
    os.chdir(folder / "recipes")
    found = resolve("../waters/b.yaml", Path("a.yaml"))
    assert isinstance(found, Unresolved) and "called in" in found.help


@pytest.mark.parametrize(
    ("name", "help"),
    [
        ("destilled", "Did you mean distilled?"),
        ("beside", "To name the file beside this one write ./beside.yaml."),
        ("xyzzy", "Known names: distilled, house-blend."),
        ("", "Known names"),
    ],
)
def test_an_unknown_name_is_told_with_help(brewery: Path, name: str, help: str) -> None:
    found = _resolve(brewery, name, names=("house-blend", "distilled"))
    assert isinstance(found, Unresolved)
    assert help in found.help
    assert name in found.problem


_PIECES = ["..", ".", "/", "waters", "out.yaml", "outside", "in.yaml", "mill-leat.yaml", "~", ":"]


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(st.sampled_from(_PIECES) | st.text(max_size=3), max_size=8).map("".join))
def test_whatever_is_written_stays_in_the_project(brewery: Path, reference: str) -> None:
    found = _resolve(brewery, reference)
    if isinstance(found, Resolved):
        assert found.path.resolve(strict=True).is_relative_to(brewery)
        assert found.path.is_file()
    else:
        assert found.problem and found.help


@pytest.mark.parametrize("text", ["distilled", "reverse-osmosis", "mill leat", "yaml", "a.yam"])
def test_a_name_is_no_path(text: str) -> None:
    assert not is_path(text)


@pytest.mark.parametrize("text", [".x", "..", "a/b", "a.yaml", "a.YML", "a\\b", "~", "mailto:"])
def test_a_path_is_no_name(text: str) -> None:
    assert is_path(text)


@pytest.mark.parametrize("reference", ["../.git/config", "../waters/git-link.yaml"])
def test_what_git_keeps_for_itself_is_no_part_of_a_project(brewery: Path, reference: str) -> None:
    (brewery / ".git/config").write_text("[core]\n", encoding="utf-8")
    (brewery / "waters/git-link.yaml").symlink_to("../.git/config")
    found = _resolve(brewery, reference)
    assert isinstance(found, Unresolved) and "leads out of the project" in found.problem
