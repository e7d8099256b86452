"""A file is written whole or not at all."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from waterlint.project import write
from waterlint.project.write import WriteFailed, create_whole, write_whole

Tree = Callable[..., Path]


def _only(folder: Path, *names: str) -> bool:
    return sorted(each.name for each in folder.iterdir()) == sorted(names)


@pytest.mark.parametrize("name", ["a.yaml", "-x.yaml", "with space.yaml", "n" * 250 + ".yml"])
def test_a_file_is_replaced(tree: Tree, name: str) -> None:
    folder = tree({name: "old"})
    write_whole(Path(name), b"new\r\n")
    assert (folder / name).read_bytes() == b"new\r\n"
    assert _only(folder, name)


def test_a_new_file_gets_usual_permissions(tree: Tree) -> None:
    folder = tree({})
    old = os.umask(0o027)
    try:
        write_whole(folder / "a.yaml", b"x")
    finally:
        os.umask(old)
    assert stat.S_IMODE((folder / "a.yaml").stat().st_mode) == 0o640


def test_permissions_are_kept(tree: Tree) -> None:
    folder = tree({"a.yaml": "old"})
    (folder / "a.yaml").chmod(0o755)
    write_whole(folder / "a.yaml", b"new")
    assert stat.S_IMODE((folder / "a.yaml").stat().st_mode) == 0o755


def test_a_link_stays_a_link(tree: Tree) -> None:
    folder = tree({"real/a.yaml": "old"})
    (folder / "link.yaml").symlink_to("real/a.yaml")
    write_whole(folder / "link.yaml", b"new")
    assert (folder / "link.yaml").is_symlink()
    assert (folder / "real/a.yaml").read_bytes() == b"new"
    assert _only(folder / "real", "a.yaml")


def test_a_change_made_meanwhile_is_not_overwritten(tree: Tree) -> None:
    folder = tree({"a.yaml": "theirs"})
    with pytest.raises(WriteFailed, match="changed by someone else") as caught:
        write_whole(folder / "a.yaml", b"ours", expected=b"old")
    assert caught.value.strerror == "the file was changed by someone else meanwhile"
    assert (folder / "a.yaml").read_bytes() == b"theirs"
    assert _only(folder, "a.yaml")
    with pytest.raises(WriteFailed):
        write_whole(folder / "gone.yaml", b"ours", expected=b"old")
    assert _only(folder, "a.yaml")
    write_whole(folder / "a.yaml", b"ours", expected=b"theirs")
    assert (folder / "a.yaml").read_bytes() == b"ours"


def test_what_is_no_file_is_refused(tree: Tree) -> None:
    folder = tree({"dir.yaml/x": ""})
    os.mkfifo(folder / "pipe.yaml")
    for name in ("dir.yaml", "pipe.yaml"):
        with pytest.raises(WriteFailed, match="no regular file"):
            write_whole(folder / name, b"x")
    with pytest.raises(FileNotFoundError):
        write_whole(folder / "no-such/a.yaml", b"x")
    assert _only(folder, "dir.yaml", "pipe.yaml")


def test_a_protected_file_is_left_alone(tree: Tree, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tree({"a.yaml": "old"})
    # Permissions do not bind the super-user, as whom these tests may run.
    monkeypatch.setattr(write.os, "access", lambda path, mode: False)
    with pytest.raises(WriteFailed, match="write-protected"):
        write_whole(folder / "a.yaml", b"new")
    assert (folder / "a.yaml").read_bytes() == b"old"


@pytest.mark.parametrize("error", [KeyboardInterrupt(), OSError(28, "No space left on device")])
@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_an_interruption_leaves_the_old_file_and_nothing_else(
    tree: Tree, monkeypatch: pytest.MonkeyPatch, step: str, error: BaseException
) -> None:
    folder = tree({"a.yaml": "old"})

    def fail(*arguments: object) -> None:
        raise error

    monkeypatch.setattr(write.os, step, fail)
    with pytest.raises(type(error)):
        write_whole(folder / "a.yaml", b"new")
    assert (folder / "a.yaml").read_bytes() == b"old"
    assert _only(folder, "a.yaml")


def test_what_does_not_read_back_is_not_put_in_place(
    tree: Tree, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tree({"a.yaml": "old"})
    monkeypatch.setattr(Path, "read_bytes", lambda self: b"ne")
    with pytest.raises(WriteFailed, match="read back"):
        write_whole(folder / "a.yaml", b"new")
    assert (folder / "a.yaml").read_text() == "old"
    assert _only(folder, "a.yaml")


@pytest.mark.parametrize(("executable", "mode"), [(False, 0o640), (True, 0o750)])
def test_a_file_is_created(tree: Tree, executable: bool, mode: int) -> None:
    folder = tree({})
    old = os.umask(0o027)
    try:
        create_whole(folder / "a.sh", b"x\n", executable=executable)
    finally:
        os.umask(old)
    assert (folder / "a.sh").read_bytes() == b"x\n"
    assert stat.S_IMODE((folder / "a.sh").stat().st_mode) == mode


@pytest.mark.parametrize("there", ["file", "link", "lost link", "folder"])
def test_what_is_there_is_not_created_anew(tree: Tree, there: str) -> None:
    folder = tree({"other.yaml": "old"})
    path = folder / "a.yaml"
    if there == "folder":
        path.mkdir()
    elif there == "file":
        path.write_text("mine", encoding="utf-8")
    else:
        path.symlink_to("other.yaml" if there == "link" else "nowhere.yaml")
    with pytest.raises(FileExistsError):
        create_whole(path, b"new")
    assert _only(folder, "a.yaml", "other.yaml")
    assert (folder / "other.yaml").read_text(encoding="utf-8") == "old"
    assert there != "file" or path.read_text(encoding="utf-8") == "mine"


def test_nothing_is_left_of_a_file_that_could_not_be_created(
    tree: Tree, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tree({})

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        create_whole(folder / "a.yaml", b"new")
    assert _only(folder)
