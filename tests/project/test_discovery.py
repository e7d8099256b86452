"""Which files a call is about."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from waterlint.project import discovery
from waterlint.project.discovery import discover, survey
from waterlint.project.files import MAX_BYTES, Disk, ReadProblem

Tree = Callable[..., Path]

OURS = "waterlint: recipe/1\n"
OTHER = "name: another program's\n"


@dataclass
class Excluding:
    """Stands in for the configuration: leaves out what is in `paths`."""

    paths: dict[Path, str] = field(default_factory=dict)
    allow_roots: tuple[Path, ...] = ()

    def exclusion(self, path: Path) -> str | None:
        return self.paths.get(path)


def _found(*paths: str, disk: Disk | None = None, **more: object) -> list[tuple[str, bool]]:
    disk = disk or Disk()
    exclusions = more.pop("exclusions", Excluding())
    found = discover([Path(path) for path in paths], exclusions, disk, **more)  # type: ignore
    return [(disk.shown(each.path), each.named) for each in found]


def test_a_folder_is_searched_for_our_files(tree: Tree) -> None:
    tree(
        {
            "b.yaml": OURS,
            "a/z.yml": OURS,
            "a/A.YAML": OURS,
            "a/other.yaml": OTHER,
            "a/notes.txt": OURS,
            "a/j2.yaml.j2": OURS,
            "with space/-dash.yaml": OURS,
            "folder.yaml/new\nline.yaml": OURS,
            ".hidden/x.yaml": OURS,
            ".git/x.yaml": OURS,
            "node_modules/x.yaml": OURS,
            "venv/x.yaml": OURS,
            "my-env/pyvenv.cfg": "",
            "my-env/x.yaml": OURS,
            "cache/CACHEDIR.TAG": "",
            "cache/x.yaml": OURS,
            ".beer.yaml": OURS,
            "empty.yaml": "",
        }
    )
    assert _found(".") == [
        (".beer.yaml", False),
        ("a/A.YAML", False),
        ("a/z.yml", False),
        ("b.yaml", False),
        ("folder.yaml/new\nline.yaml", False),
        ("with space/-dash.yaml", False),
    ]


def test_what_is_left_out_is_said(tree: Tree) -> None:
    folder = tree(
        {
            "a.yaml": OURS,
            "o.yaml": OTHER,
            ".h/x.yaml": OURS,
            "env/pyvenv.cfg": "",
            "ex/a.yaml": OURS,
        }
    )
    os.mkfifo(folder / "pipe.yaml")
    result = survey([folder], Excluding({folder / "ex": "excluded by ex"}), Disk())
    assert {each.path.name: each.reason for each in result.skipped} == {
        ".h": "a hidden folder",
        "env": "a cache or an environment, for it holds pyvenv.cfg",
        "ex": "excluded by ex",
        "o.yaml": "its first key is not waterlint",
        "pipe.yaml": "no regular file",
    }
    assert [(each.path, each.reason) for each in result.found] == [
        (folder / "a.yaml", "found in .")
    ]


def test_named_files_come_as_named_and_once(tree: Tree) -> None:
    folder = tree({"b.yaml": OURS, "a.yaml": OTHER, "x.txt": OTHER, "sub/c.yaml": OURS})
    assert _found("b.yaml", "./a.yaml", "x.txt", "sub/../b.yaml", "no.yaml", ".") == [
        ("b.yaml", True),
        ("a.yaml", True),
        ("x.txt", True),
        ("no.yaml", True),
        ("sub/c.yaml", False),
    ]
    assert _found(".", "sub/c.yaml") == [("sub/c.yaml", True), ("b.yaml", False)]
    assert _found("sub", ".", "sub") == [("b.yaml", False), ("sub/c.yaml", False)]
    assert _found(str(folder / "sub")) == [("sub/c.yaml", False)]
    assert _found("-") == [("-", True)]


def test_a_named_folder_is_searched_whatever_it_is_called(tree: Tree) -> None:
    tree({".hidden/x.yaml": OURS, "venv/x.yaml": OURS})
    assert _found(".hidden", "venv") == [(".hidden/x.yaml", False), ("venv/x.yaml", False)]


def test_exclusion_is_for_searches(tree: Tree) -> None:
    folder = tree({"attic/a.yaml": OURS, "b.yaml": OURS, "c.yaml": OURS})
    exclusions = Excluding({folder / "attic": "excluded", folder / "b.yaml": "excluded"})
    assert _found(".", exclusions=exclusions) == [("c.yaml", False)]
    assert _found("b.yaml", "attic/a.yaml", exclusions=exclusions) == [
        ("b.yaml", True),
        ("attic/a.yaml", True),
    ]


def test_what_a_hook_hands_over_is_sifted(tree: Tree) -> None:
    folder = tree({"a.yaml": OURS, "b.yaml": OURS, "ci.yaml": OTHER, "README.md": OURS})
    exclusions = Excluding({folder / "b.yaml": "excluded"})
    names = ("a.yaml", "b.yaml", "ci.yaml", "README.md", "gone.yaml")
    assert _found(*names, exclusions=exclusions, handed_over=True) == [
        ("a.yaml", False),
        ("gone.yaml", False),
    ]


def test_links(tree: Tree, tmp_path: Path) -> None:
    folder = tree({"waters/mill.yaml": OURS, "recipes/a.yaml": OURS, "other/b.yaml": OURS})
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "x.yaml").write_text(OURS)
    (folder / "recipes/current.yaml").symlink_to("../waters/mill.yaml")
    (folder / "recipes/out.yaml").symlink_to(outside / "x.yaml")
    (folder / "recipes/gone.yaml").symlink_to("no-such.yaml")
    (folder / "recipes/loop.yaml").symlink_to("loop.yaml")
    (folder / "recipes/up").symlink_to("..")
    (folder / "recipes/self").symlink_to(".")
    (folder / "recipes/away").symlink_to(outside)
    (folder / "recipes/dir.yaml").symlink_to("../other")
    everything = [
        ("other/b.yaml", False),
        ("recipes/a.yaml", False),
        ("recipes/gone.yaml", False),
        ("recipes/loop.yaml", False),
        ("waters/mill.yaml", False),
    ]
    assert _found(".") == everything
    # The link is the only way to its target here.
    assert ("recipes/current.yaml", False) in _found("recipes")
    result = survey([folder], Excluding(), Disk())
    reasons = {each.path.name: each.reason for each in result.skipped}
    assert reasons["out.yaml"] == "a symbolic link out of the project"
    assert reasons["current.yaml"] == "a symbolic link to waters/mill.yaml"
    assert folder / "recipes/current.yaml" in result.links
    assert folder / "recipes/out.yaml" not in result.links
    allowing = Excluding(allow_roots=(outside,))
    assert ("recipes/out.yaml", False) in _found(".", exclusions=allowing)


@pytest.mark.parametrize("name", ["out.yaml", "away", "away/x.yaml"])
def test_a_named_path_out_of_the_project_is_refused(tree: Tree, tmp_path: Path, name: str) -> None:
    folder = tree({})
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "x.yaml").write_text(OURS)
    (folder / "out.yaml").symlink_to(outside / "x.yaml")
    (folder / "away").symlink_to(outside)
    disk = Disk()
    assert _found(name, disk=disk) == [(name, True)]
    problem = disk.read(name)
    assert isinstance(problem, ReadProblem)
    assert "leads out of its project" in problem.message and "--allow-root" in problem.help
    disk = Disk()
    found = _found(name, disk=disk, exclusions=Excluding(allow_roots=(outside,)))
    assert not any(isinstance(disk.read(path), ReadProblem) for path, _ in found)
    handed = Disk()
    if name.endswith(".yaml"):
        assert _found(name, disk=handed, handed_over=True) == [(name, False)]
        assert isinstance(handed.read(name), ReadProblem)


def test_a_folder_elsewhere_may_be_named(tree: Tree, tmp_path: Path) -> None:
    tree({})
    (tmp_path / "elsewhere/sub").mkdir(parents=True)
    (tmp_path / "elsewhere/sub/a.yaml").write_text(OURS)
    disk = Disk()
    assert _found("../elsewhere", disk=disk) == [("../elsewhere/sub/a.yaml", False)]
    assert not isinstance(disk.read("../elsewhere/sub/a.yaml"), ReadProblem)


def test_of_several_links_the_first_by_name_is_taken(
    tree: Tree, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tree({"waters/mill.yaml": OURS, "recipes/x.txt": ""})
    for name in "cab":
        (folder / f"recipes/{name}.yaml").symlink_to("../waters/mill.yaml")
    scandir = os.scandir

    class Backwards:
        def __init__(self, path: Path) -> None:
            with scandir(path) as listing:
                self.entries = sorted(listing, key=lambda entry: entry.name, reverse=True)

        def __enter__(self) -> list[os.DirEntry[str]]:
            return self.entries

        def __exit__(self, *error: object) -> None:
            pass

    monkeypatch.setattr(discovery.os, "scandir", Backwards)
    assert _found("recipes") == [("recipes/a.yaml", False)]


def test_files_that_cannot_be_read_are_told(tree: Tree, monkeypatch: pytest.MonkeyPatch) -> None:
    large = b"#" * MAX_BYTES
    tree({"ours.yaml": OURS.encode() + large, "other.yaml": OTHER.encode() + large})
    disk = Disk()
    assert _found(".", disk=disk) == [("ours.yaml", False)]
    assert isinstance(disk.read("ours.yaml"), ReadProblem)


def test_a_closed_folder_is_told(tree: Tree, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tree({"a.yaml": OURS, "closed/b.yaml": OURS})
    scandir = os.scandir

    def guarded(path: Path) -> object:
        if Path(path) == folder / "closed":
            raise PermissionError(13, "Permission denied")
        return scandir(path)

    # Permissions do not bind the super-user, as whom these tests may run.
    monkeypatch.setattr(discovery.os, "scandir", guarded)
    disk = Disk()
    assert _found(".", disk=disk) == [("a.yaml", False), ("closed", False)]
    problem = disk.read("closed")
    assert isinstance(problem, ReadProblem)
    assert problem.message == "the folder cannot be searched: Permission denied"


def test_a_name_that_is_no_text_is_found(tree: Tree) -> None:
    folder = tree({})
    name = os.fsdecode(b"w\xff.yaml")
    try:
        (folder / name).write_text(OURS)
    except OSError:
        pytest.skip("this file system takes no such name")
    assert _found(".") == [(name, False)]


def test_a_search_keeps_only_so_much(tree: Tree, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(discovery, "_MOST_WAITING", 3 * len(OURS))
    folder = tree({f"{number}.yaml": OURS for number in range(8)})
    disk = Disk()
    assert len(_found(".", disk=disk)) == 8
    assert disk.waiting == 3 * len(OURS)
    for number in range(8):
        source = disk.read(folder / f"{number}.yaml")
        assert not isinstance(source, ReadProblem) and source.text == OURS
    assert disk.waiting == 0
