"""The lines of files that are not judged in this run, for what was found in them to be shown."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from waterlint.paths import Path
from waterlint.project.files import Disk, lines_of
from waterlint.project.quick_search import Content
from waterlint.records import Record, field, replace
from waterlint.source.lines import Lines

#: How much of the files is kept for their lines to be shown; what does not fit is read again
#: [bytes].
_ROOM = 16 * 1024 * 1024

#: A file's path and the digest of what it held when it was judged.
Held = tuple[str, str]


class KnownLines(Record, frozen=False):
    """Looks up the lines of files that were judged in earlier runs, where somebody asks.

    `find_others` gives the files that others hang on, as configurations, by their shown names.
    """

    disk: Disk
    find_others: Callable[[Disk], Mapping[str, Held]]
    taken: dict[str, Content] = field(default_factory=dict)
    room: int = _ROOM
    _lines: dict[str, Lines | None] = field(default_factory=dict)
    _others: Mapping[str, Held] | None = None

    def take(self, shown: str, content: Content, is_told: bool) -> Content:
        """Take a file that was read, and forget what it holds, but for one `is_told` of."""
        without = replace(content, data=None)
        if is_told and content.data is not None and len(content.data) <= self.room:
            self.room -= len(content.data)
            self.taken[shown] = content
        else:
            self.taken[shown] = without
        return without

    def of(self, shown: str) -> Lines | None:
        """The line table of a file, as long as it holds what it held when it was judged."""
        if shown not in self._lines:
            content = self.taken.get(shown)
            if content is not None and content.data is not None:
                self._lines[shown] = lines_of(content.data, shown)
            else:
                held = self.held(shown)
                if held is not None:
                    self.disk.keep_judged(Path(held[0]), held[1])
                self._lines[shown] = self.disk.lines_shown_as(shown)
        return self._lines[shown]

    def held(self, shown: str) -> Held | None:
        """Where a file is, and what it held when it was judged."""
        content = self.taken.get(shown)
        if content is not None:
            return content.path, content.digest
        if self._others is None:
            self._others = self.find_others(self.disk)
        return self._others.get(shown)
