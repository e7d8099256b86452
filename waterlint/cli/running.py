"""How a run is made: with what earlier runs have found or without, here or in many processes."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable

from waterlint.cli.console import UsageError
from waterlint.hints import TYPE_CHECKING, TypeVar
from waterlint.paths import Path

if TYPE_CHECKING:
    import argparse
    from concurrent.futures import Executor

    from waterlint.cache.memory import Memory
    from waterlint.linter import Linter

T = TypeVar("T")

#: From so many files on that must be judged anew, `--jobs auto` uses all processors. Measured with
#: 64 files: a second process costs 0.31 s of processor time (to import the pool, start it, and
#: read in it what the first has read), and a file 5 ms; half of it saved outweighs that from some
#: 75 files on.
BREAK_EVEN = 100

#: The exit status after Ctrl-C, as shells have it.
INTERRUPTED = 130

#: How long each process that was ended is waited for [s]; it has nothing left to do. The project's
#: own bound.
_LAST_WAIT_S = 2.0

#: More processes than this are not started, whatever is asked for; the project's own bound.
_MOST_JOBS = 64

#: How often a worker looks whether the process that started it is still there [s].
_LOOKS_EVERY = 0.5


def jobs(arguments: argparse.Namespace) -> int | None:
    """How many processes are asked for; `None` where the files decide.

    Raises
    ------
    UsageError
        If it is no number from 1 on.
    """
    text: str = arguments.jobs
    if text == "auto":
        return None
    if not (text.isascii() and text.isdigit() and int(text[:9]) >= 1):
        raise UsageError(f"--jobs takes a number of processes from 1 on, or auto, not {text!r}")
    return min(int(text[:9]), _MOST_JOBS)


class _Forgetful:
    """A context around a run that leaves nothing for later ones."""

    def __enter__(self) -> None:
        return None

    def __exit__(self, *failure: object) -> None:
        return None


def remembering(
    linter: Linter, paths: list[Path], arguments: argparse.Namespace
) -> Memory | _Forgetful:
    """Let a run use what earlier ones have found, and keep what it finds, within a context."""
    if arguments.no_cache:
        return _Forgetful()
    from waterlint.cache.memory import open_memory

    linter.memory = open_memory(paths, linter.options, linter.disk)
    if linter.memory is None:
        return _Forgetful()
    linter.judge.tells_untracked = True
    return linter.memory


def in_processes(linter: Linter, wanted: int | None, run: Callable[[], T]) -> T:
    """Make a run that may use several processes.

    Raises
    ------
    UsageError
        If a process dies.
    """
    pools: list[Executor] = []

    def pool(files: int) -> Executor | None:
        number = wanted or (cores() if files >= BREAK_EVEN else 1)
        if min(number, files) < 2:
            return None
        pools.append(_pool(min(number, files)))
        return pools[-1]

    linter.pool = pool
    try:
        return run()
    except KeyboardInterrupt:
        if not pools:
            raise
        # Nobody waits for the pool: its own thread may wait for what has just been ended, or fail
        # over what has been called off. Nothing has been written yet.
        _end_children()
        os._exit(INTERRUPTED)
    except RuntimeError as error:  # what `BrokenExecutor` is; it takes long to import
        if type(error).__name__ != "BrokenProcessPool":
            raise
        raise UsageError(
            "a process that judged files died, perhaps for want of memory; `--jobs 1` does without"
        ) from error
    finally:
        linter.pool = None
        for each in pools:
            each.shutdown(wait=True, cancel_futures=True)


def cores() -> int:
    """The processors that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _pool(number: int) -> Executor:
    import multiprocessing
    import signal
    from concurrent.futures import Future, ProcessPoolExecutor

    class Pool(ProcessPoolExecutor):
        def submit(self, fn: Callable[..., T], /, *args: object, **kwargs: object) -> Future[T]:
            """Let Ctrl-C wait: between a process's start and its entry in a list none ends it."""
            if not hasattr(signal, "pthread_sigmask"):
                return super().submit(fn, *args, **kwargs)
            before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
            try:
                return super().submit(fn, *args, **kwargs)
            finally:
                signal.pthread_sigmask(signal.SIG_SETMASK, before)

    # A copy of this process has everything imported already; where that is not to be had, or the
    # process has other threads, a new one starts.
    forks = sys.platform == "linux"
    return Pool(
        number,
        mp_context=multiprocessing.get_context("fork" if forks else None),
        initializer=_begin_worker,
        initargs=(os.getpid(),),
    )


def _begin_worker(parent: int) -> None:
    """Ctrl-C reaches every process of a terminal; the first one ends the others.

    Where that one is ended otherwise, nobody tells the others: each looks for itself.
    """
    import signal
    import threading

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()


def _end_with(parent: int) -> None:
    """End this process soon after the one that started it."""
    import time

    while os.getppid() == parent:
        time.sleep(_LOOKS_EVERY)
    os._exit(1)


def _end_children() -> None:
    import multiprocessing
    import threading

    # What the pool's thread fails over from here on concerns nobody.
    threading.excepthook = lambda _: None
    children = multiprocessing.active_children()
    for child in children:
        child.terminate()
    for child in children:
        child.join(_LAST_WAIT_S)
