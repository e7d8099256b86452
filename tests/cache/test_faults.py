"""A cache that is damaged, forged or cannot be written costs time and nothing else."""

from __future__ import annotations

import errno
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cache.conftest import AS_OF, SODA, Check
from tests.cache.test_dependencies import edit
from waterlint.cache import store, whole
from waterlint.project import cache_folder
from waterlint.project.cache_folder import CacheFile
from waterlint.rules.samples import recipe, report

FOLDER = ".waterlint-cache"


def cached(project: Path, ending: str = ".json") -> Path:
    """The one cache file of a project, or the one with the outcome of the whole call."""
    (file,) = (project / FOLDER).glob(f"*{ending}")
    return file


@pytest.fixture
def keeps_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the outcome of a call be kept however few files it has."""
    monkeypatch.setattr(whole, "LEAST_FILES", 1)


def test_the_folder_says_what_it_is_and_git_passes_it_over(project: Path, check: Check) -> None:
    check(".")
    assert {each.name for each in (project / FOLDER).iterdir()} == {
        ".gitignore",
        "CACHEDIR.TAG",
        cached(project).name,
    }
    assert (project / FOLDER / ".gitignore").read_text() == "*\n"
    tag = (project / FOLDER / "CACHEDIR.TAG").read_text()
    assert tag.startswith("Signature: 8a477f597d28d172789f06886806bc55\n")


def test_without_a_cache_nothing_is_left(project: Path, check: Check) -> None:
    check(".", "--no-cache")
    assert not (project / FOLDER).exists()


def truncated(data: bytes) -> bytes:
    return data[: len(data) // 2]


def turned(data: bytes) -> bytes:
    return data[:-20] + bytes([data[-20] ^ 1]) + data[-19:]


DAMAGE: dict[str, Callable[[bytes], bytes]] = {
    "empty": lambda data: b"",
    "half of it": truncated,
    "one bit": turned,
    "another program's": lambda data: b'{"layout": 1}',
    "no seal": lambda data: data.partition(b"\n")[0] + b"\n" + data.rpartition(b"\n")[2],
    "a text with a NUL": lambda data: b"\0" * 100,
}


@pytest.mark.parametrize("damage", DAMAGE.values(), ids=DAMAGE.keys())
@pytest.mark.parametrize("ending", [".json", ".whole"])
def test_a_damaged_file_is_not_there(
    project: Path, check: Check, damage: Callable[[bytes], bytes], ending: str, keeps_whole: None
) -> None:
    cold = check(".")
    cached(project, ending).write_bytes(damage(cached(project, ending).read_bytes()))
    assert check(".") == cold
    assert check(".") == cold


def test_a_forged_file_hides_nothing(
    project: Path, check: Check, monkeypatch: pytest.MonkeyPatch
) -> None:
    cold = check(".")
    data = cached(project).read_bytes()
    head, content = data[:18], data[18 + 65 :]
    # A stranger says that nothing was found, sealed with a secret of theirs …
    forged = json.loads(content)
    for contents in forged["files"].values():
        for entry in contents.values():
            entry[2][3] = []
    text = json.dumps(forged).encode()
    theirs = CacheFile(project, cached(project).name, os.urandom(32))
    cached(project).write_bytes(head + theirs._seal(text) + text)
    assert check(".") == cold
    # … or without one, or with what was sealed for another place.
    cached(project).write_bytes(head + b"0" * 64 + b"\n" + text)
    assert check(".") == cold
    elsewhere = project.with_name("elsewhere")
    secret = (project.parents[1] / "home/xdg_cache_home/waterlint/cache-secret").read_bytes()
    moved = CacheFile(elsewhere, cached(project).name, secret)
    cached(project).write_bytes(head + moved._seal(text) + text)
    assert check(".") == cold
    # With the user's own secret it would be believed, so these were not refused for their form.
    own = CacheFile(project, cached(project).name, secret)
    cached(project).write_bytes(head + own._seal(text) + text)
    assert check(".") != cold


def test_a_forged_outcome_hides_nothing(project: Path, check: Check, keeps_whole: None) -> None:
    cold = check(".")
    path = cached(project, ".whole")
    head, content = path.read_bytes()[:18], path.read_bytes()[18 + 65 :]
    forged = json.loads(content)
    forged["report"][0] = []
    text = json.dumps(forged).encode()
    theirs = CacheFile(project, path.name, os.urandom(32))
    path.write_bytes(head + theirs._seal(text) + text)
    assert check(".") == cold
    secret = (project.parents[1] / "home/xdg_cache_home/waterlint/cache-secret").read_bytes()
    # What was sealed as another file's content is none of this one's.
    other = CacheFile(project, cached(project).name, secret)
    path.write_bytes(head + other._seal(text) + text)
    assert check(".") == cold
    own = CacheFile(project, path.name, secret)
    own.write(text)
    assert check(".") != cold
    for nonsense in (b"[]", b"{", b"null", b'{"layout": 1, "days": ["", "9"]}', b"[" * 100_000):
        own.write(nonsense)
        assert check(".") == cold


def test_sealed_nonsense_is_no_error(project: Path, check: Check) -> None:
    cold = check(".")
    secret = (project.parents[1] / "home/xdg_cache_home/waterlint/cache-secret").read_bytes()
    file = CacheFile(project, cached(project).name, secret)
    for text in (b"[]", b"{", b"null", b'{"layout": 1, "run": 1}', b"[" * 100_000):
        file.write(text)
        assert check(".") == cold
    data = json.loads(file.read() or b"")
    data["files"] = {
        path: {key: [0, 0, []] for key in each} for path, each in data["files"].items()
    }
    file.write(json.dumps(data).encode())
    assert check(".") == cold


@pytest.mark.parametrize("target", ["elsewhere", "nowhere", "/dev/null"])
def test_a_planted_link_leads_nowhere(project: Path, check: Check, target: str) -> None:
    (project.parent / "elsewhere").mkdir()
    (project / FOLDER).symlink_to(project.parent / target)
    cold = check(".", "--no-cache")
    assert check(".") == cold
    assert list((project.parent / "elsewhere").iterdir()) == []
    assert not (project.parent / "nowhere").exists()


def test_planted_files_in_the_folder_are_not_followed(project: Path, check: Check) -> None:
    check(".")
    name = cached(project).name
    precious = project.parent / "precious"
    precious.write_text("as it was")
    for each in (name, ".gitignore"):
        (project / FOLDER / each).unlink()
        (project / FOLDER / each).symlink_to(precious)
    cold = check(".", "--no-cache")
    assert check(".") == cold
    assert precious.read_text() == "as it was"
    (project / FOLDER / name).unlink()
    os.mkfifo(project / FOLDER / name)
    assert check(".") == cold


def test_a_secret_inside_the_project_is_no_secret(
    project: Path, check: Check, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(project / "cache"))
    cold = check(".")
    assert not (project / FOLDER).exists()
    assert not (project / "cache").exists()
    assert cold == check(".", "--no-cache")


def test_a_secret_that_others_may_read_is_no_secret(
    project: Path, check: Check, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(project.parent / "own"))
    check(".")
    (project.parent / "own/waterlint/cache-secret").chmod(0o644)
    cached(project).unlink()
    check(".")
    assert not list((project / FOLDER).glob("*.json"))


def test_without_a_home_there_is_no_cache(
    project: Path, check: Check, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("HOME", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    assert check(".") == check(".", "--no-cache")
    assert not (project / FOLDER).exists()
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")
    check(".")
    assert not (project / FOLDER).exists()


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EACCES, errno.EDQUOT])
def test_what_cannot_be_written_is_left(
    project: Path, check: Check, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    cold = check(".")
    before = cached(project).read_bytes()
    edit("ales/a.yaml", "2 g", "3 g")(project)

    def full(path: Path, data: bytes) -> None:
        path.write_bytes(data[: len(data) // 2])
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(cache_folder, "_write_new", full)
    assert check(".").status == cold.status
    assert cached(project).read_bytes() == before
    assert not list((project / FOLDER).glob("*.tmp"))


def test_a_file_in_the_place_of_the_folder(project: Path, check: Check) -> None:
    (project / FOLDER).write_text("mine")
    assert check(".") == check(".", "--no-cache")
    assert (project / FOLDER).read_text() == "mine"


def test_a_folder_that_anybody_may_write_gets_none(project: Path, check: Check) -> None:
    project.chmod(0o777)
    check(".")
    assert not (project / FOLDER).exists()


def test_a_single_file_makes_no_project(
    project: Path, check: Check, monkeypatch: pytest.MonkeyPatch
) -> None:
    lone = project.parent / "lone"
    lone.mkdir()
    (lone / "a.yaml").write_text(report(), encoding="utf-8")
    monkeypatch.chdir(lone)
    check("a.yaml")
    assert not (lone / FOLDER).exists()
    check(".")
    assert (lone / FOLDER).is_dir()


def test_a_clock_that_was_set_back(project: Path, check: Check) -> None:
    cold = check(".")
    later = time.time() + 10_000_000
    left = project / FOLDER / "1-left.tmp"
    left.write_bytes(b"")
    os.utime(left, (1, 1))
    for path in (project / FOLDER).iterdir():
        if path != left:
            os.utime(path, (later, later))
    os.utime(project / "ales/a.yaml", (later, later))
    edit("ales/a.yaml", "2 g", "3 g")(project)
    changed = check(".")
    assert changed == check(".", "--no-cache") != cold
    assert not left.exists()


def test_an_edit_that_keeps_size_and_time(project: Path, check: Check) -> None:
    path = project / "ales/a.yaml"
    found = path.stat()
    cold = check(".")
    edit("ales/a.yaml", "2 g", "9 g")(project)
    os.utime(path, ns=(found.st_atime_ns, found.st_mtime_ns))
    assert path.stat().st_size == found.st_size
    assert check(".") == check(".", "--no-cache") != cold


def test_old_files_and_entries_go(
    project: Path, check: Check, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(cache_folder.MOST_FILES + 3):
        check(".", "--rule", f"report-age={('note', 'error')[number % 2]}", "--allow-root", "ales")
        (project / f"extra{number}").mkdir()
        check(".", "--allow-root", f"extra{number}")
    assert len(list((project / FOLDER).glob("*.json"))) == cache_folder.MOST_FILES
    check(".")
    most = len(cached_content(project)) // 2
    monkeypatch.setattr(store, "MAX_BYTES", 2 * most)
    for number in range(4):
        (project / "ales/a.yaml").write_text(
            recipe(SODA.replace("2 g", f"{number}.5 g")), encoding="utf-8"
        )
        assert check(".") == check(".", "--no-cache")
        assert len(cached_content(project)) <= most


def test_an_outcome_goes_with_its_file(project: Path, check: Check, keeps_whole: None) -> None:
    for number in range(cache_folder.MOST_FILES + 2):
        (project / f"extra{number}").mkdir()
        check(".", "--allow-root", f"extra{number}")
    left = [{each.stem for each in (project / FOLDER).glob(f"*{e}")} for e in (".json", ".whole")]
    assert left[0] == left[1]
    assert len(left[0]) == cache_folder.MOST_FILES


def test_of_a_file_the_last_contents_are_kept(project: Path, check: Check) -> None:
    texts = [recipe(SODA.replace("2 g", f"{number}.5 g")) for number in range(1, 7)]
    for text in texts:
        (project / "ales/a.yaml").write_text(text, encoding="utf-8")
        check(".")
    kept = json.loads(cached_content(project))["files"]
    assert len(kept[str(project / "ales/a.yaml")]) == store.MOST_CONTENTS
    assert len(kept[str(project / "ales/b.yaml")]) == 1
    (project / "ales/a.yaml").write_text(texts[-2], encoding="utf-8")
    assert check(".") == check(".", "--no-cache")


def cached_content(project: Path) -> bytes:
    """What the file that was written last holds."""
    files = sorted((project / FOLDER).glob("*.json"), key=lambda path: path.stat().st_mtime_ns)
    return files[-1].read_bytes()[18 + 65 :]


KILLED = """
import os, signal, sys
from waterlint.project import cache_folder
whole = os.fsync
def half(path, data):
    if path.suffix == ".tmp" and b"waterlint-cache" in data[:20]:
        path.write_bytes(data[: len(data) // 2])
        os.kill(os.getpid(), signal.SIGKILL)
    write(path, data)
write, cache_folder._write_new = cache_folder._write_new, half
from waterlint.cli.main import main
main(["check", "."])
"""


def test_a_process_that_is_killed_while_it_writes(project: Path, check: Check) -> None:
    done = subprocess.run([sys.executable, "-c", KILLED], capture_output=True, check=False)
    assert done.returncode == -signal.SIGKILL
    assert len(list((project / FOLDER).glob("*.tmp"))) == 1
    cold = check(".", "--no-cache")
    assert check(".") == cold
    assert check(".") == cold


def test_two_processes_on_one_cache(project: Path) -> None:
    call = [sys.executable, "-m", "waterlint", "check", ".", "--format", "json", "--as-of", AS_OF]
    for number in range(2):
        (project / "ales/a.yaml").write_text(
            recipe(SODA.replace("2 g", f"{number + 2} g")), encoding="utf-8"
        )
        running = [subprocess.Popen(call, stdout=subprocess.PIPE) for _ in range(2)]
        told = [process.communicate(timeout=60)[0] for process in running]
        cold = subprocess.run([*call, "--no-cache"], capture_output=True, check=False)
        assert told == [cold.stdout] * 2
        assert not list((project / FOLDER).glob("*.tmp"))
