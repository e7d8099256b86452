"""How far a long run is, on standard error and for a person only."""

from __future__ import annotations

import os
from collections.abc import Callable
from time import monotonic
from types import TracebackType

from waterlint.hints import TextIO

#: A run shorter than this says nothing [s]; common practice: a second passes for immediate.
_SILENT = 1.0

#: Between two words at least this passes [s], so that a terminal over a slow line keeps up.
_PAUSE = 0.1

_ERASE = "\r\x1b[K"


class Progress:
    """A line that is written over and is gone at the end; nothing where nobody looks.

    Parameters
    ----------
    stream : TextIO
        Where to write. Only a terminal that can erase a line gets anything.
    clock : callable
        Seconds that only grow.
    """

    def __init__(self, stream: TextIO, clock: Callable[[], float] = monotonic) -> None:
        self.stream = stream
        self.clock = clock
        self.is_on = stream.isatty() and os.environ.get("TERM") != "dumb"
        self.next = clock() + _SILENT
        self.is_shown = False

    def __enter__(self) -> Progress:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        if self.is_shown:
            self._say(_ERASE)

    def __call__(self, share: float, files: int) -> None:
        """Say which share [0 to 1] of a run over some files is done."""
        if not self.is_on or (now := self.clock()) < self.next:
            return
        self.next = now + _PAUSE
        self.is_shown = True
        self._say(f"{_ERASE}checking {files:,} files: {int(100 * share)} %")

    def _say(self, text: str) -> None:
        self.stream.write(text)
        self.stream.flush()
