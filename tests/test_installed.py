"""What the package's JSON files say is the same kept and parsed; a changed one is parsed anew."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

import pytest

from waterlint import installed

SCHEMAS = sorted((Path(__file__).parents[1] / "schemas").glob("*.json"))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where files are kept."""
    monkeypatch.setattr(installed, "_FOLDER", str(tmp_path / "kept"))
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    monkeypatch.setattr(sys, "pycache_prefix", None)
    (tmp_path / "kept").mkdir()
    return tmp_path


def kept(folder: Path) -> list[Path]:
    return sorted((folder / "kept").iterdir())


def written(file: Path) -> tuple[int, int]:
    """Which file it is and when it was written; reading moves the time of the last access only."""
    state = file.stat()
    return state.st_ino, state.st_mtime_ns


def read(path: Path) -> object:
    return installed.read_json(str(path))


@pytest.mark.parametrize("path", SCHEMAS, ids=lambda path: path.name)
def test_the_same_parsed_and_kept(path: Path, folder: Path) -> None:
    wanted = json.loads(path.read_text("utf-8"))
    assert read(path) == wanted
    (file,) = kept(folder)
    before = written(file)
    assert read(path) == wanted
    assert written(file) == before


def test_what_is_kept_is_used_until_the_file_changes(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = folder / "a.json"
    path.write_text('{"a": 1}', "utf-8")
    assert read(path) == {"a": 1}
    with monkeypatch.context() as patched:
        patched.delattr(json, "load")
        assert read(path) == {"a": 1}, "it was not parsed"
    then = path.stat()
    while path.stat().st_ctime_ns == then.st_ctime_ns:  # a clock of several milliseconds' steps
        path.write_text('{"a": 2}', "utf-8")
        os.utime(path, ns=(then.st_atime_ns, then.st_mtime_ns))
    assert read(path) == {"a": 2}, "the same size and date"
    path.write_text('{"a": 20}', "utf-8")
    assert read(path) == {"a": 20}


@pytest.mark.parametrize("rubbish", [b"", b"rubbish", b"\xe9\x01\x00\x00\x00", b"N"])
def test_what_is_kept_is_no_use(rubbish: bytes, folder: Path) -> None:
    path = folder / "a.json"
    path.write_text("[1]", "utf-8")
    read(path)
    (file,) = kept(folder)
    whole = file.read_bytes()
    for data in (rubbish, whole[:-1]):
        file.write_bytes(data)
        assert read(path) == [1]
        assert kept(folder) == [file]
        assert file.read_bytes() == whole


@pytest.mark.parametrize("name", ["dont_write_bytecode", "pycache_prefix"])
def test_nothing_is_kept_where_python_keeps_nothing(
    name: str, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, name, str(folder))
    path = folder / "a.json"
    path.write_text("[1]", "utf-8")
    assert read(path) == [1]
    assert kept(folder) == []


def test_nothing_is_kept_where_there_is_no_folder(folder: Path) -> None:
    (folder / "kept").rmdir()
    path = folder / "a.json"
    path.write_text("[1]", "utf-8")
    assert read(path) == [1]
    assert list(folder.iterdir()) == [path]
