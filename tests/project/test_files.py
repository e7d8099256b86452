"""Reading: each file once, and never anything but a file."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from waterlint.finding import FILE_START
from waterlint.project import files
from waterlint.project.files import MAX_BYTES, Disk, ReadProblem
from waterlint.project.probes import NEVER, Recorder
from waterlint.source.document import SourceFile, read_text

Tree = Callable[..., Path]

RECIPE = "waterlint: recipe/1\nname: Saltmarsh porter\n"


def _problem(path: str) -> ReadProblem:
    problem = Disk().read(path)
    assert isinstance(problem, ReadProblem)
    assert str(Path.cwd()) not in problem.message + problem.help
    return problem


def test_a_file_is_read_and_parsed_once(tree: Tree) -> None:
    folder = tree({"sub/a.yaml": RECIPE})
    disk = Disk()
    source = disk.read(Path("sub/a.yaml"))
    assert isinstance(source, SourceFile)
    assert (source.path, source.text, len(source.documents)) == ("sub/a.yaml", RECIPE, 1)
    (folder / "sub/a.yaml").write_text("changed: 1\n")
    assert disk.read(folder / "sub/../sub/a.yaml") is source
    assert disk.lines_shown_as("sub/a.yaml") is source.lines
    disk.forget("sub/a.yaml")
    assert disk.lines_shown_as("sub/a.yaml") is None
    changed = disk.read("sub/a.yaml")
    assert isinstance(changed, SourceFile) and changed.text == "changed: 1\n"


@pytest.mark.parametrize(
    ("name", "message", "help"),
    [
        ("no.yaml", "there is no such file", "Check the name."),
        ("recipe.yml", "there is no such file", "Did you mean recipe.yaml?"),
        ("away/recipe.yaml", "there is no such file", "no folder away"),
        ("recipe.yaml/x.yaml", "there is no such file", "no folder recipe.yaml"),
        ("folder.yaml", "this is a folder", "Name a file in it."),
        ("pipe.yaml", "this is a pipe", "regular file"),
        ("link-to-pipe.yaml", "this is a pipe", "regular file"),
        ("device.yaml", "this is a pipe, a socket or a device", "regular file"),
        ("dangling.yaml", "a symbolic link to something that is not there", "Mend"),
        ("loop.yaml", "a symbolic link that leads in a circle", "Mend"),
        ("large.yaml", "larger than 1 MiB", "Split"),
        ("x" * 300, "cannot be read: File name too long", "Check the name"),
        ("nul\0.yaml", "its name cannot be one", "Check the name"),
        ("\ud800.yaml", "its name cannot be one", "Check the name"),
    ],
)
def test_what_cannot_be_read_is_told(tree: Tree, name: str, message: str, help: str) -> None:
    folder = tree(
        {"recipe.yaml": RECIPE, "folder.yaml/x.yaml": "", "large.yaml": b"#" * (MAX_BYTES + 1)}
    )
    os.mkfifo(folder / "pipe.yaml")
    for link, target in {
        "link-to-pipe": "pipe.yaml",
        "device": "/dev/zero",
        "dangling": "gone.yaml",
        "loop": "loop.yaml",
    }.items():
        (folder / f"{link}.yaml").symlink_to(target)
    problem = _problem(name)
    assert message in problem.message
    assert help in problem.help
    assert problem.missing == ("no such file" in message)
    finding = problem.finding()
    assert (finding.rule, finding.level, finding.path) == ("unreadable-file", "error", name)
    assert finding.span == FILE_START


def test_a_pipe_that_appears_in_between_does_not_hang(
    tree: Tree, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tree({"a.yaml": RECIPE})
    regular = (folder / "a.yaml").stat()
    os.mkfifo(folder / "pipe.yaml")
    monkeypatch.setattr(Path, "stat", lambda path, **more: regular)
    assert "pipe" in _problem("pipe.yaml").message


def test_a_file_of_the_greatest_length_is_read(tree: Tree) -> None:
    tree({"a.yaml": b"#" * MAX_BYTES})
    assert isinstance(Disk().read("a.yaml"), SourceFile)


def test_a_forbidden_file_is_told(tree: Tree, monkeypatch: pytest.MonkeyPatch) -> None:
    tree({"a.yaml": RECIPE})

    def forbid(*arguments: object) -> int:
        raise PermissionError(13, "Permission denied")

    # Permissions do not bind the super-user, as whom these tests may run.
    monkeypatch.setattr(files.os, "open", forbid)
    problem = _problem("a.yaml")
    assert problem.message == "the file may not be read by this user"
    assert "chmod" in problem.help


def test_a_problem_is_remembered_too(tree: Tree) -> None:
    tree({})
    disk = Disk()
    assert isinstance(disk.read("a.yaml"), ReadProblem)
    tree({"a.yaml": RECIPE})
    assert isinstance(disk.read("a.yaml"), ReadProblem)


def test_every_path_asked_for_is_recorded(tree: Tree) -> None:
    folder = tree({"a.yaml": RECIPE, "dir/x": ""})
    disk = Disk()
    with Recorder() as recorder:
        disk.read("a.yaml")
        disk.read("b.yaml")
        assert not disk.is_there(folder / "waterlint.yaml")
        assert not disk.is_there(folder / "dir")
    asked = set(recorder.answers)
    assert {
        ("bytes", str(folder / "a.yaml")),
        ("kind", str(folder / "b.yaml")),
        ("names", str(folder)),
        ("there", str(folder / "waterlint.yaml")),
        ("there", str(folder / "dir")),
    } <= asked
    assert NEVER not in asked
    with Recorder() as recorder:
        disk.read("dir")
    assert NEVER in recorder.answers


def test_a_dangling_link_is_there(tree: Tree) -> None:
    folder = tree({})
    (folder / "waterlint.yaml").symlink_to("gone")
    assert Disk().is_there(folder / "waterlint.yaml")


def test_text_may_stand_for_a_file(tree: Tree) -> None:
    folder = tree({"a.yaml": RECIPE})
    disk = Disk()
    source = read_text("waterlint: water/1\n", disk.shown("a.yaml"))
    disk.keep("a.yaml", source)
    assert disk.read(folder / "a.yaml") is source
    assert disk.lines_shown_as("a.yaml") is source.lines


def test_a_refused_path_stays_refused(tree: Tree) -> None:
    folder = tree({"a.yaml": RECIPE})
    disk = Disk()
    disk.read("a.yaml")
    disk.refuse("a.yaml", "no", "Leave it.")
    assert disk.read(folder / "a.yaml") == ReadProblem("a.yaml", "no", "Leave it.")


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("a.yaml", "a.yaml"),
        ("./sub//a.yaml", "sub/a.yaml"),
        ("sub/../a.yaml", "a.yaml"),
        ("../beside/a.yaml", "../beside/a.yaml"),
        ("-x.yaml", "-x.yaml"),
        ("with space\n.yaml", "with space\n.yaml"),
        (os.fsdecode(b"\xff.yaml"), "\udcff.yaml"),
        (".", "."),
    ],
)
def test_shown_paths_are_relative_to_the_working_directory(
    tree: Tree, name: str, shown: str
) -> None:
    folder = tree({"sub/x": ""})
    disk = Disk()
    assert disk.shown(name) == shown
    assert disk.shown(folder / name) == shown
    assert disk.path_shown_as(shown) == disk.absolute(name)
    assert disk.path_shown_as("never shown") is None


def test_a_name_that_is_no_text_can_be_read(tree: Tree) -> None:
    folder = tree({})
    name = os.fsdecode(b"w\xff.yaml")
    try:
        (folder / name).write_text(RECIPE)
    except OSError:
        pytest.skip("this file system takes no such name")
    source = Disk().read(name)
    assert isinstance(source, SourceFile) and os.fsencode(source.path) == b"w\xff.yaml"


def test_a_path_through_a_link_to_here_is_shown_from_here(tree: Tree, tmp_path: Path) -> None:
    tree({"sub/a.yaml": RECIPE})
    (tmp_path / "alias").symlink_to("project")
    assert Disk().shown(tmp_path / "alias/sub/a.yaml") == "sub/a.yaml"


def test_the_working_directory_may_be_given(tree: Tree) -> None:
    folder = tree({"sub/a.yaml": RECIPE})
    disk = Disk(folder / "sub")
    source = disk.read("a.yaml")
    assert isinstance(source, SourceFile) and source.path == "a.yaml"
    assert disk.shown(folder / "b.yaml") == "../b.yaml"
