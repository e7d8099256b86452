"""Runs in several processes: the same bytes as in one, and what happens when one dies."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path

import pytest

import waterlint
from tests.cache.conftest import PROJECT, Check
from tests.cache.conftest import check as check
from tests.cache.conftest import project as project
from tests.plugins.conftest import Install, rule_module
from tests.plugins.conftest import install as install
from waterlint import parallel
from waterlint.cli import running
from waterlint.verdict import Verdict

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(autouse=True)
def small_tasks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a small project make many tasks."""
    monkeypatch.setattr(parallel, "_FEWEST", 2)


@pytest.mark.parametrize("name", ["json", "text", "sarif"])
def test_the_same_bytes(project: Path, check: Check, name: str) -> None:
    one = check(".", "--format", name, "--no-cache", "--jobs", "1")
    assert check(".", "--format", name, "--no-cache", "--jobs", "3") == one
    # What the workers found is remembered.
    assert check(".", "--format", name, "--jobs", "2") == one
    assert check(".", "--format", name) == one


def test_over_the_examples_and_the_collections(
    check: Check, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)
    paths = ("example-recipes", "tests/collections")
    assert check(*paths, "--no-cache", "--jobs", "2") == check(*paths, "--no-cache", "--jobs", "1")


def test_one_by_one_finds_the_same(project: Path, check: Check) -> None:
    whole = check("ales", "--no-cache").findings
    for path in sorted((project / "ales").glob("[abt]*.yaml")):
        shown = f"ales/{path.name}"
        alone = check(shown, "--no-cache").findings
        assert [each for each in alone if each["path"] == shown] == [
            each for each in whole if each["path"] == shown
        ]


def test_standard_input_finds_the_same(
    project: Path, check: Check, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("ales/a.yaml", "ales/two.yaml"):
        with (project / name).open("rb") as stream:
            monkeypatch.setattr(sys, "stdin", type("", (), {"buffer": stream}))
            given = check("-", "--stdin-name", name)
        assert given == check(name, "--no-cache")
    assert not (project / ".waterlint-cache").exists() or check(".") == check(".", "--no-cache")


def test_rules_of_other_packages(project: Path, check: Check, install: Install) -> None:
    body = 'yield case.finding("{name}", "warning", "/name", f"by {{case.used_by}}")'
    install("acme_jobs", rule_module("acme-jobs", body))
    with (project / "waterlint.yaml").open("a", encoding="utf-8") as file:
        file.write("rules: [acme_jobs]\n")
    one = check(".", "--no-cache", "--format", "sarif")
    assert check(".", "--no-cache", "--jobs", "2", "--format", "sarif") == one
    assert "acme-jobs" in one.out


def test_the_progress_is_told(project: Path) -> None:
    from waterlint.linter import Linter
    from waterlint.project.discovery import discover

    linter = Linter()
    told: list[tuple[float, int]] = []
    linter.progress = lambda share, files: told.append((share, files))
    found = discover([project], linter.configs, linter.disk)
    with ThreadPoolExecutor(2) as threads:
        linter.lint(found, threads)
    assert told == [(number / 10, 10) for number in range(1, 11)]


def test_any_executor(project: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    alone = waterlint.lint_paths(["."])
    with ThreadPoolExecutor(2) as threads:
        assert waterlint.lint_paths(["."], executor=threads) == alone
    with ProcessPoolExecutor(2) as processes:
        assert waterlint.lint_paths(["."], executor=processes) == alone
        config = project / "house/base.yaml"
        given = waterlint.lint_paths(["ales"], config, processes)
        assert given == waterlint.lint_paths(["ales"], "house/base.yaml")


def test_a_worker_in_another_folder_without_git(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a worker's working directory is must not matter."""
    (project / ".git/HEAD").unlink()
    (project / ".git").rmdir()
    alone = waterlint.lint_paths(["."])
    with ProcessPoolExecutor(1, initializer=os.chdir, initargs=("/",)) as elsewhere:
        assert waterlint.lint_paths(["."], executor=elsewhere) == alone


def test_a_cluster_of_dask(project: Path) -> None:
    distributed = pytest.importorskip("distributed")
    alone = waterlint.lint_paths(["."])
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, dashboard_address=None, memory_limit=0
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        assert waterlint.lint_paths(["."], executor=client.get_executor()) == alone


def _die(task: object, pairs: Sequence[tuple[Path, str]]) -> list[tuple[Verdict, object]]:
    os._exit(9)


def _wait(task: object, pairs: Sequence[tuple[Path, str]]) -> list[tuple[Verdict, object]]:
    time.sleep(60)
    return []


def _fail(task: object, pairs: Sequence[tuple[Path, str]]) -> list[tuple[Verdict, object]]:
    raise RuntimeError("no such luck")


@pytest.mark.skipif(sys.platform != "linux", reason="needs workers that are copies")
def test_a_worker_that_dies(project: Path, check: Check, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parallel, "judge_some", _die)
    done = check(".", "--no-cache", "--jobs", "2")
    assert (done.status, done.out) == (2, "")
    assert done.err == (
        "waterlint: a process that judged files died, perhaps for want of memory; "
        "`--jobs 1` does without\n"
    )


@pytest.mark.skipif(sys.platform != "linux", reason="needs workers that are copies")
def test_an_error_in_a_worker_is_told_as_any(
    project: Path, check: Check, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(parallel, "judge_some", _fail)
    done = check(".", "--no-cache", "--jobs", "2")
    assert done.status == 2
    assert "unexpected RuntimeError: no such luck" in done.err


#: A process in the background of a script, or under nohup, is born deaf to some signals; these
#: must hear them.
INTERRUPTED = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)
signal.signal(signal.SIGHUP, signal.SIG_DFL)
signal.signal(signal.SIGTERM, signal.SIG_DFL)
from tests import test_parallel
from waterlint import parallel
from waterlint.cli.main import main
parallel.judge_some, parallel._FEWEST = test_parallel._wait, 2
sys.exit(main(["check", ".", "--jobs", "2", "--no-cache"]))
"""


#: Before the above: Ctrl-C comes the moment a process has been made, in the one that makes it.
AT_THE_START = """
import os, signal
def fork(fork=os.fork):
    child = fork()
    if child:
        os.kill(os.getpid(), signal.SIGINT)
    return child
os.fork = fork
"""


def _blocked() -> set[int]:
    return {int(each) for each in signal.pthread_sigmask(signal.SIG_BLOCK, [])}


@pytest.mark.skipif(sys.platform != "linux", reason="needs workers that are copies")
def test_the_workers_of_an_executor_that_is_given_hear_signals_as_before(project: Path) -> None:
    fork = multiprocessing.get_context("fork")
    with ProcessPoolExecutor(2, mp_context=fork) as executor:
        waterlint.lint_paths([project], executor=executor)
        assert executor.submit(_blocked).result() == _blocked()


#: Before both: a pool that waits for ever for what has been ended, as one did now and then.
STUCK = """
import time
from concurrent.futures import ProcessPoolExecutor
ProcessPoolExecutor.shutdown = lambda self, *args, **kwargs: time.sleep(300)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="needs workers that are copies")
@pytest.mark.parametrize("pool", ["", STUCK], ids=["sound", "stuck"])
def test_ctrl_c_while_processes_start_ends_all(project: Path, pool: str) -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", pool + AT_THE_START + INTERRUPTED],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        start_new_session=True,
    )
    _assert_all_ended(process)


@pytest.mark.skipif(sys.platform != "linux", reason="needs workers that are copies")
@pytest.mark.parametrize("files", [0, 60])
def test_ctrl_c_ends_all_processes(project: Path, files: int) -> None:
    """With some files that all are in work, and with many that wait and are called off."""
    for number in range(files):
        Path(f"more-{number}.yaml").write_text(f"waterlint: recipe/1\nname: {number}\n")
    process = subprocess.Popen(
        [sys.executable, "-c", INTERRUPTED],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        start_new_session=True,
    )
    deadline = time.monotonic() + 30
    while len(_group(process.pid)) < 3 and time.monotonic() < deadline:
        time.sleep(0.05)
    time.sleep(0.2)
    os.killpg(process.pid, signal.SIGINT)
    _assert_all_ended(process)


@pytest.mark.skipif(sys.platform != "linux", reason="needs workers that are copies")
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGKILL])
def test_workers_end_with_the_process_that_started_them(project: Path, number: int) -> None:
    """Of these it hears nothing or tells nobody."""
    process = subprocess.Popen(
        [sys.executable, "-c", INTERRUPTED],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        start_new_session=True,
    )
    try:
        deadline = time.monotonic() + 30
        while len(_group(process.pid)) < 3 and time.monotonic() < deadline:
            time.sleep(0.05)
        assert len(_group(process.pid)) == 3
        time.sleep(0.2)
        process.send_signal(number)
        process.wait(timeout=30)
        deadline = time.monotonic() + 30
        while _group(process.pid) and time.monotonic() < deadline:
            time.sleep(0.05)
        assert _group(process.pid) == []
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)


def _assert_all_ended(process: subprocess.Popen[bytes]) -> None:
    try:
        out, err = process.communicate(timeout=30)
        assert (process.returncode, out, err) == (130, b"", b"")
        assert _group(process.pid) == []
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)


def _group(leader: int) -> list[int]:
    """The living processes of a group."""
    found: list[int] = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                fields = (entry / "stat").read_text().rpartition(")")[2].split()
            except OSError:
                continue
            if int(fields[2]) == leader and fields[0] != "Z":
                found.append(int(entry.name))
    return found


@pytest.mark.parametrize("text", ["0", "-1", "two", "1.5", "²", ""])
def test_a_number_of_jobs_that_is_none(project: Path, check: Check, text: str) -> None:
    done = check(".", f"--jobs={text}")
    assert (done.status, done.out) == (2, "")
    assert "--jobs takes a number of processes from 1 on, or auto" in done.err


def test_few_files_are_judged_here(
    project: Path, check: Check, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[int] = []

    def pool(number: int) -> None:
        made.append(number)
        raise AssertionError

    monkeypatch.setattr(running, "_pool", pool)
    monkeypatch.setattr(running, "cores", lambda: 4)
    assert len(PROJECT) < running.BREAK_EVEN
    assert check(".", "--no-cache").status == 1
    assert made == []
    monkeypatch.setattr(running, "BREAK_EVEN", 2)
    assert check(".", "--no-cache").status == 2
    assert made == [4]
