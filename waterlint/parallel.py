"""Judging files in other processes, also on other machines that see the same files.

A task is a number of paths with the options of the run; what comes back are verdicts, which are
plain data. Any executor will do, as long as its workers have this package and the files under the
same paths.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future
from functools import partial

from waterlint.hints import TYPE_CHECKING
from waterlint.paths import Path
from waterlint.project.probes import Probe, Recorder
from waterlint.project.root import WorkingFrom
from waterlint.records import Record, replace
from waterlint.report import Options
from waterlint.verdict import Verdict

if TYPE_CHECKING:
    from waterlint.linter import Linter

#: Files in a task: few enough that all workers are busy to the end, and enough that what a task
#: costs besides (0.1 ms for a local process, measured) does not show.
_FEWEST, _MOST = 8, 100

#: So many tasks are made of a run, where they are not too small or too large.
_TASKS = 32

#: A verdict and the probes that it hangs on, with their answers.
Judged = tuple[Verdict, tuple[tuple[Probe, str], ...]]


class Task(Record):
    """What a worker needs to know of a run; `run` tells runs apart."""

    run: str
    options: Options
    working_directory: Path
    tells_untracked: bool


def judge_elsewhere(
    roles: Mapping[Path, str],
    options: Options,
    working_directory: Path,
    executor: Executor,
    *,
    remembers: bool,
) -> Iterator[Judged]:
    """The verdicts about files, in their order.

    Parameters
    ----------
    roles : mapping
        The part of each path in the run.
    options : Options
        Of the run.
    working_directory : Path
        Of the run; a worker may have another.
    executor : Executor
        Where the work is done.
    remembers : bool
        Whether verdicts are kept for other runs, and so must hold for those too.
    """
    task = Task(
        os.urandom(8).hex(),
        _absolute(options, working_directory),
        working_directory,
        remembers or options.tracked is not None,
    )
    pairs = list(roles.items())
    size = min(max(len(pairs) // _TASKS, _FEWEST), _MOST)
    futures: list[Future[list[Judged]]] = [
        executor.submit(judge_some, task, pairs[start : start + size])
        for start in range(0, len(pairs), size)
    ]
    try:
        for number, future in enumerate(futures):
            yield from future.result()
            futures[number] = Future()  # its verdicts are not needed twice
    finally:
        for future in futures:
            future.cancel()


def judge_some(task: Task, pairs: Sequence[tuple[Path, str]]) -> list[Judged]:
    """What a worker does: judge some files of a run."""
    linter, recorder = _linter(task)
    judged: list[Judged] = []
    with WorkingFrom(task.working_directory), recorder:
        for path, role in pairs:
            verdict, probes = recorder.trace(partial(linter.judge.verdict, path, role))
            judged.append((verdict, tuple((each, recorder.answers[each]) for each in probes)))
            linter.release(path, verdict)
    return judged


_HERE = threading.local()


def _linter(task: Task) -> tuple[Linter, Recorder]:
    """The linter of this thread for a run; what it has read is used for all tasks of the run."""
    known: tuple[str, Linter, Recorder] | None = getattr(_HERE, "linter", None)
    if known is None or known[0] != task.run:
        # Imported late: it imports this module.
        from waterlint.linter import Linter
        from waterlint.project.files import Disk

        with WorkingFrom(task.working_directory), Recorder() as recorder:
            linter = Linter(task.options, Disk(task.working_directory))
        linter.judge.tells_untracked = task.tells_untracked
        known = _HERE.linter = (task.run, linter, recorder)
    return known[1], known[2]


def _absolute(options: Options, here: Path) -> Options:
    """The options with paths that mean the same in any working directory."""
    return replace(
        options,
        config=None if options.config is None else here / options.config,
        baseline=None if options.baseline is None else here / options.baseline,
        allow_roots=tuple(here / root for root in options.allow_roots),
        stand_ins={here / path: here / other for path, other in options.stand_ins.items()},
    )
