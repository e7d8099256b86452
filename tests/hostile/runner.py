"""Runs many calls of `waterlint`, each in a process of its own, and measures what each took.

`python -m tests.hostile.runner FOLDER` reads a list of calls and prints their outcomes as JSON.
The program is imported once and then forked, so that a call costs what its files cost; what
starting it took is measured on the way and added to the first figure of each.

A call may begin with words that say what befalls it: `kill:7` (at the seventh line of the module
that writes files), `most:1000` (bytes that a file may have), `user:65534`, `unset:HOME`; before
those, `afresh:FOLDER` (what stands there is put in place of the project) and `look:FILE` (what it
holds afterwards is told).
"""

from __future__ import annotations

import json
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

from waterlint.cli.main import main
from waterlint.project import write

TraceFunction = Callable[[FrameType, str, object], object]

#: A call that takes longer is stopped [s of processor time]: what hangs must not hang the tests.
MOST_CPU = 20

#: What every call may write [bytes].
_MOST_WRITTEN = 64 * 1024 * 1024


@dataclass(frozen=True)
class Outcome:
    """What became of a call: `cpu` in seconds, `peak` in bytes of resident memory."""

    status: int
    cpu: float
    peak: int
    out: str
    err: str
    left: str | None = None


def run_all(
    calls: Sequence[Sequence[str]],
    folder: Path,
    environment: Mapping[str, str] | None = None,
    *flags: str,
) -> list[Outcome]:
    """The outcomes of calls made in a folder, in their order; `flags` are the interpreter's."""
    done = subprocess.run(
        [sys.executable, *flags, "-m", "tests.hostile.runner", str(folder)],
        input=json.dumps(calls),
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).resolve().parents[2],
        env={**os.environ, **(environment or {})},
    )
    assert done.returncode == 0, done.stderr
    return [Outcome(**each) for each in json.loads(done.stdout)]


def _warm_up() -> float:
    """Import what any call needs, and a faulty file besides; how long that took [s]."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name, "a.yaml")
        path.write_text("waterlint: recipe/1\nname: [1]\nbatch: {vollume: 1 x}\n")
        out = os.dup(1)
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, 1)
        for format in ("text", "json"):
            main(["check", "--format", format, "--", str(path)])  # not a plain call
        sys.stdout.flush()
        os.dup2(out, 1)
        os.close(null)
        os.close(out)
    return time.process_time()


def _prepared(call: list[str]) -> tuple[Path | None, list[str]]:
    looked: Path | None = None
    while call[0].partition(":")[0] in ("afresh", "look"):
        what, _, value = call.pop(0).partition(":")
        if what == "look":
            looked = Path(value)
            continue
        for path in Path().iterdir():
            if path.name == ".waterlint-cache":
                continue  # what is remembered is remembered of another state
            shutil.rmtree(path) if path.is_dir() else path.unlink()
        shutil.copytree(value, ".", dirs_exist_ok=True)
    return looked, call


def _befallen(call: list[str]) -> list[str]:
    """Let happen to this process what a call begins with; the rest of the call."""
    while call and call[0].partition(":")[0] in ("kill", "most", "user", "unset"):
        what, _, value = call.pop(0).partition(":")
        if what == "kill":
            _kill_at(int(value))
        elif what == "most":
            null = os.open(os.devnull, os.O_WRONLY)
            os.dup2(null, 1)  # what is printed goes to a file here, and needs room too
            os.dup2(null, 2)
            resource.setrlimit(resource.RLIMIT_FSIZE, (int(value), _MOST_WRITTEN))
        elif what == "user":
            os.setuid(int(value))
        else:
            os.environ.pop(value, None)
    return call


def _kill_at(step: int) -> None:
    """Kill this process in front of the line of that number in the module that writes files."""
    left = step

    def in_frame(frame: FrameType, event: str, argument: object) -> TraceFunction | None:
        nonlocal left
        if event == "line":
            left -= 1
            if left == 0:
                os.kill(os.getpid(), signal.SIGKILL)
        return in_frame

    def in_call(frame: FrameType, event: str, argument: object) -> TraceFunction | None:
        return in_frame if frame.f_code.co_filename == write.__file__ else None

    sys.settrace(in_call)


def _run(call: Sequence[str], started: float) -> dict[str, object]:
    looked, call = _prepared(list(call))
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        child = os.fork()
        if child == 0:
            os.dup2(out.fileno(), 1)
            os.dup2(err.fileno(), 2)
            resource.setrlimit(resource.RLIMIT_CPU, (MOST_CPU, MOST_CPU))
            resource.setrlimit(resource.RLIMIT_FSIZE, (_MOST_WRITTEN, _MOST_WRITTEN))
            status = 70
            try:
                status = main(_befallen(list(call)))
            finally:
                sys.stdout.flush()
                sys.stderr.flush()
                os._exit(status)
        _, ended, usage = os.wait4(child, 0)
        texts = []
        for file in (out, err):
            file.seek(0)
            texts.append(file.read().decode("utf-8", "backslashreplace"))
    return {
        "status": os.waitstatus_to_exitcode(ended),
        "cpu": started + usage.ru_utime + usage.ru_stime,
        "peak": usage.ru_maxrss * 1024,
        "out": texts[0],
        "err": texts[1],
        "left": looked.read_text("latin-1") if looked and looked.exists() else None,
    }


def _main() -> None:
    calls = json.load(sys.stdin)
    started = _warm_up()
    os.chdir(sys.argv[1])
    json.dump([_run(call, started) for call in calls], sys.stdout)


if __name__ == "__main__":
    _main()
