"""Killed, full, read-only, raced: a file is the old or the new one, and the next run is right."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.hostile.corpus import NEIGHBOUR, RECIPE, WELL
from tests.hostile.runner import run_all

#: More lines than any way through the module that writes files has.
STEPS = 40

CONFIG = "waterlint: config/1\nbaseline: known.json\n"
MENDED = NEIGHBOUR.replace("mil_gap", "mill_gap")
SALTY = RECIPE + "  - {add: table-salt, kettle: 16 g}\n"
EMPTY = '{"waterlint": "baseline/1", "findings": [\n]}\n'

#: Each file that is written, what stood there before, and the call that writes it.
WRITERS: dict[str, tuple[str, str | None, list[str]]] = {
    "mended-recipe": ("a.yaml", NEIGHBOUR, ["fix", "a.yaml"]),
    "new-baseline": ("known.json", None, ["check", "b.yaml", "--update-baseline", "--no-cache"]),
    "old-baseline": ("known.json", EMPTY, ["check", "b.yaml", "--update-baseline", "--no-cache"]),
    "new-report": ("r.json", None, ["check", "a.yaml", "--output", "json=r.json", "--no-cache"]),
    "old-report": ("r.json", "old", ["check", "a.yaml", "--output", "json=r.json", "--no-cache"]),
    "first-file": ("waterlint.yaml", None, ["init", "--only", "config", "--yes"]),
}


def fill(folder: Path) -> Path:
    (folder / ".git").mkdir(parents=True, exist_ok=True)
    files = {"a.yaml": NEIGHBOUR, "b.yaml": SALTY, "well.yaml": WELL, "waterlint.yaml": CONFIG}
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def start(top: Path, name: str, old: str | None) -> tuple[Path, Path]:
    """The project, and a folder with what it holds at the start."""
    held = fill(top / "start")
    if old is None:
        (held / name).unlink(missing_ok=True)
    else:
        (held / name).write_text(old, encoding="utf-8")
    (top / "project").mkdir(exist_ok=True)
    return top / "project", held


@pytest.mark.parametrize(("name", "old", "call"), WRITERS.values(), ids=WRITERS)
def test_killed_at_any_line(name: str, old: str | None, call: list[str], tmp_path: Path) -> None:
    project, held = start(tmp_path, name, old)
    always = [f"afresh:{held}", f"look:{name}"]
    # Every way into the module goes through the same lines; one is tried at each of them.
    stride = 1 if name == "r.json" and old else 4
    steps = [[*always, f"kill:{step}", *call] for step in range(1, STEPS + 1, stride)]
    undisturbed, *killed = run_all([[*always, *call], *steps], project)
    assert undisturbed.status in (0, 1)
    new = undisturbed.left
    assert new is not None and new != old
    if old is not None:
        old = old.encode().decode("latin-1")
    assert {each.status for each in killed} == {-9, undisturbed.status}
    assert sum(each.status == -9 for each in killed) >= 15 // stride
    assert {each.left for each in killed} == {old, new}
    # The last was killed nowhere, or left everything as it was: the next run is right.
    (after,) = run_all([[f"look:{name}", *call]], project)
    assert after.err == "" or "Traceback" not in after.err
    assert after.left == new


@pytest.mark.parametrize(("name", "old", "call"), WRITERS.values(), ids=WRITERS)
def test_no_room_for_the_file(name: str, old: str | None, call: list[str], tmp_path: Path) -> None:
    project, held = start(tmp_path, name, old)
    outcomes = run_all(
        [[f"afresh:{held}", f"look:{name}", f"most:{most}", *call] for most in (0, 1, 100)],
        project,
    )
    for outcome in outcomes:
        assert outcome.status == 2
        assert outcome.left == (None if old is None else old.encode().decode("latin-1"))
        assert "Traceback" not in outcome.err
    assert not [path for path in project.iterdir() if path.name.endswith(".tmp")]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 64 kB, where the system lets us have one."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(folder)]
    if shutil.which("mount") is None or subprocess.run(mount, capture_output=True).returncode:
        pytest.skip("no disk of its own can be had here")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def test_a_full_disk(small_disk: Path) -> None:
    project = fill(small_disk / "project")
    with (small_disk / "filling").open("wb", buffering=0) as file, pytest.raises(OSError):
        while True:
            file.write(b"x" * 512)
    calls = [[f"look:{name}", *call] for name, _, call in WRITERS.values() if call[0] != "init"]
    for outcome in run_all(calls, project):
        assert outcome.status == 2, outcome
        assert outcome.left in (NEIGHBOUR.encode().decode("latin-1"), None)
        assert "No space left" in outcome.err + outcome.out
        assert "Traceback" not in outcome.err and "fault of waterlint" not in outcome.err
    # A check itself needs no room, with a cache or without.
    (outcome,) = run_all([["check", "a.yaml"]], project)
    assert outcome.status == 1 and "mil_gap" in outcome.out


@pytest.fixture
def open_place() -> Iterator[Path]:
    """A folder that other users may look into."""
    name = tempfile.mkdtemp()
    Path(name).chmod(0o755)
    yield Path(name)
    subprocess.run(["rm", "-rf", name], check=True)


def test_a_read_only_folder(open_place: Path) -> None:
    project = fill(open_place / "project")
    for path in project.rglob("*"):  # for another user to read, whatever the umask
        path.chmod(0o755 if path.is_dir() else 0o644)
    project.chmod(0o555)
    other = ["user:65534"] if os.geteuid() == 0 else []
    calls = [[f"look:{name}", *other, *call] for name, _, call in WRITERS.values()]
    before = {path: path.read_bytes() for path in project.iterdir() if path.is_file()}
    for (name, _, call), outcome in zip(WRITERS.values(), run_all(calls, project), strict=True):
        assert outcome.status == (0 if call[0] == "init" else 2), (name, outcome)
        assert "Traceback" not in outcome.err and "fault of waterlint" not in outcome.err
    (outcome,) = run_all([[*other, "check", "a.yaml"]], project)
    assert outcome.status == 1 and outcome.err == "" and "mil_gap" in outcome.out
    assert {path: path.read_bytes() for path in project.iterdir() if path.is_file()} == before
    project.chmod(0o755)


def test_without_a_home(tmp_path: Path) -> None:
    project = fill(tmp_path / "project")
    unset = ["unset:HOME", "unset:XDG_CACHE_HOME", "unset:USERPROFILE"]
    calls = [
        [*unset, *call] for call in (["check", "a.yaml"], ["fix", "a.yaml"], ["hook", "a.yaml"])
    ]
    for outcome in run_all([*calls, [*unset, "check", "."]], project):
        assert outcome.status in (0, 1) and "Traceback" not in outcome.err


def together(project: Path, *calls: list[str]) -> list[tuple[int, str]]:
    """The calls at the same time; status and standard error of each."""
    program = "import sys; from waterlint.cli.main import main; sys.exit(main())"
    running = [
        subprocess.Popen(
            [sys.executable, "-P", "-c", program, *call],
            cwd=project,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
        )
        for call in calls
    ]
    return [(each.returncode, err) for each in running for _, err in (each.communicate(),)]


def test_two_at_one_file(tmp_path: Path) -> None:
    project = fill(tmp_path / "project")
    calls = [["fix", "a.yaml"], ["fix", "a.yaml"]]
    calls += [["check", ".", "--output", "json=r.json"], ["check", "--update-baseline"]]
    for status, err in together(project, *calls):
        assert status in (0, 1, 2)
        assert "Traceback" not in err and "fault of waterlint" not in err
    assert (project / "a.yaml").read_text("utf-8") == MENDED
    assert json.loads((project / "r.json").read_bytes())["summary"]["files"] == 4
    assert json.loads((project / "known.json").read_bytes())["waterlint"] == "baseline/1"
    assert not [path for path in project.iterdir() if path.name.endswith(".tmp")]
    (outcome,) = run_all([["check", "."]], project)
    assert outcome.status == 0 and outcome.err == ""


def test_the_clock_set_back(tmp_path: Path) -> None:
    project = fill(tmp_path / "project")
    held, home = tmp_path / "held", tmp_path / "home"
    home.mkdir()
    calls: list[list[str]] = []
    for moment in (4_102_444_800, 0, 1_700_000_000):
        # The same size at the same time, and another fault.
        for word in ("mil_gap", "mill_ga"):
            start = fill(held / f"{moment}-{word}")
            path = start / "a.yaml"
            path.write_text(NEIGHBOUR.replace("mil_gap", word), encoding="utf-8")
            for each in (*start.iterdir(), start):
                os.utime(each, (moment, moment))
            calls.append([f"afresh:{start}", "check", "a.yaml"])
            calls.append(["check", "a.yaml", "--as-of", "1999-01-01"])
    outcomes = run_all(calls, project, {"HOME": str(home), "XDG_CACHE_HOME": str(home)})
    for number, outcome in enumerate(outcomes):
        word = ("mil_gap", "mill_ga")[number // 2 % 2]
        assert outcome.status == 1
        assert f"`{word}` is no key" in outcome.out


_HEAD = "import sys; from waterlint.cli.main import main; sys.exit(main())"


@pytest.mark.parametrize("call", [["check", "a.yaml"], ["explain"], ["schema", "recipe"]])
def test_a_pipe_that_is_closed_early(call: list[str], tmp_path: Path) -> None:
    project = fill(tmp_path / "project")
    (project / "a.yaml").write_text(RECIPE + "x: y\n" * 2000, encoding="utf-8")
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(
        [sys.executable, "-P", "-c", _HEAD, *call],
        cwd=project,
        stdout=writer,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    os.close(writer)
    assert (done.returncode, done.stderr) == (1, "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device of Linux")
@pytest.mark.parametrize("lines", [1, 2000])
def test_an_output_without_room(lines: int, tmp_path: Path) -> None:
    project = fill(tmp_path / "project")
    (project / "a.yaml").write_text(RECIPE + "x: y\n" * lines, encoding="utf-8")
    with open("/dev/full", "wb") as full:  # noqa: PTH123
        done = subprocess.run(
            [sys.executable, "-P", "-c", _HEAD, "check", "a.yaml"],
            cwd=project,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 2
    assert done.stderr == "waterlint: the output cannot be written: No space left on device\n"


def test_closed_streams(tmp_path: Path) -> None:
    project = fill(tmp_path / "project")
    command = [sys.executable, "-P", "-c", _HEAD, "check", "a.yaml"]
    line = '"$0" "$@" >&- 2>&- <&-; echo $?'
    done = subprocess.run(
        ["sh", "-c", line, *command], cwd=project, capture_output=True, text=True, check=True
    )
    assert done.stdout == "1\n"
