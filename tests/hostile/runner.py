"""Runs many calls of `waterlint`, each in a process of its own, and measures what each took.

`python -m tests.hostile.runner CALLS.json` prints a list of outcomes as JSON. The program is
imported once and then forked, so that a call costs what its files cost; what starting it took is
measured on the way and added to the first figure of each.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from waterlint.cli.main import main

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


def run_all(
    calls: Sequence[Sequence[str]],
    folder: Path,
    environment: Mapping[str, str] | None = None,
    *flags: str,
) -> list[Outcome]:
    """The outcomes of calls made in a folder, in their order; `flags` are the interpreter's."""
    names = folder.parent / "calls.json"
    names.write_text(json.dumps(calls))
    done = subprocess.run(
        [sys.executable, *flags, "-m", "tests.hostile.runner", str(names), str(folder)],
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
            main(["check", str(path), "--format", format])
        sys.stdout.flush()
        os.dup2(out, 1)
        os.close(null)
        os.close(out)
    return time.process_time()


def _run(call: Sequence[str], started: float) -> dict[str, object]:
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        child = os.fork()
        if child == 0:
            os.dup2(out.fileno(), 1)
            os.dup2(err.fileno(), 2)
            resource.setrlimit(resource.RLIMIT_CPU, (MOST_CPU, MOST_CPU))
            resource.setrlimit(resource.RLIMIT_FSIZE, (_MOST_WRITTEN, _MOST_WRITTEN))
            status = 70
            try:
                status = main(list(call))
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
    }


def _main() -> None:
    calls = json.loads(Path(sys.argv[1]).read_bytes())
    started = _warm_up()
    os.chdir(sys.argv[2])
    json.dump([_run(call, started) for call in calls], sys.stdout)


if __name__ == "__main__":
    _main()
