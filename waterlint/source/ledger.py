"""What is open while a text is read, how much has been read, and what is refused.

A limit ends the reading; every other fault leaves a value or a mapping in doubt.
"""

from __future__ import annotations

from waterlint.hints import NoReturn
from waterlint.source.escapes import find_unfit_escape
from waterlint.source.faults import Faults, shorten
from waterlint.source.nodes import MAX_DEPTH as MAX_DEPTH
from waterlint.source.nodes import MAX_NODES as MAX_NODES
from waterlint.source.stack import Frame, pointer_to

#: Documents that a file may have; those who keep several in one have a dozen.
MAX_DOCUMENTS = 1_000


class LimitReached(Exception):
    """A limit is passed and reported; nothing more is to be read from this text."""


class Ledger:
    """The state of the reading of one text, as far as faults depend on it.

    Attributes
    ----------
    faults : Faults
        The findings so far.
    frames : list of Frame
        The open collections, from the outermost.
    frame : Frame or None
        The innermost of them.
    uncertain : set of str
        JSON pointers of the values of this document that faults leave in doubt.
    size : int
        The number of values read so far, aliases counted in full.
    """

    __slots__ = ("faults", "frame", "frames", "lines", "size", "text", "uncertain")

    def __init__(self, faults: Faults) -> None:
        self.faults = faults
        self.lines = faults.lines
        self.text = faults.lines.text
        self.frames: list[Frame] = []
        self.frame: Frame | None = None
        self.uncertain: set[str] = set()
        self.size = 0

    def pointer(self, *steps: str) -> str:
        """The JSON pointer of the innermost open collection, with further steps."""
        return pointer_to(self.frames, *steps)

    def pointer_to_next(self) -> str:
        """The JSON pointer of what comes next; of the mapping itself when that is a key."""
        if self.frame is None:
            return ""
        return self.pointer() if self.frame.expects_key else self.pointer(self.frame.next_step)

    def count(self, size: int, start: int, end: int) -> None:
        """Count the values that stand, or are repeated, between two offsets."""
        self.size += size
        if self.size > MAX_NODES:
            self.refuse_size(start, end)

    def doubt_copy(self, original: str) -> None:
        """Carry what is in doubt in an anchored value over to the copy that comes next."""
        here = self.pointer_to_next()
        self.uncertain |= {
            here + pointer.removeprefix(original)
            for pointer in self.uncertain
            if pointer == original or pointer.startswith(f"{original}/")
        }

    def refuse(self, start: int, end: int, message: str, help: str) -> None:
        """Report a fault of the value that comes next, whose meaning it leaves in doubt."""
        pointer = self.pointer_to_next()
        self.uncertain.add(pointer)
        self.faults.add("invalid-yaml", start, end, message, help, pointer)

    def refuse_tag(self, tag: str, start: int, end: int) -> None:
        """Report a tag."""
        message = f"the tag {shorten(tag)} is not allowed"
        self.refuse(start, end, message, "Delete it: what a value is follows from its key.")

    def refuse_escape(self, start: int, end: int) -> None:
        """Report an escape within the quotes at two offsets that stands for no fit character."""
        start, end = find_unfit_escape(self.text, start, end)
        message = f"{self.text[start:end]} stands for half a character or a control character"
        self.refuse(start, end, message, "Write the character itself, or leave it out.")

    def refuse_undefined(self, name: str, start: int, end: int) -> None:
        """Report an alias without an anchor."""
        name = shorten(name)
        self.refuse(
            start,
            end,
            f"the alias *{name} names no anchor above it in this document",
            f"Put &{name} in front of the value to repeat, or quote a text that starts with *.",
        )

    def refuse_cycle(self, name: str, start: int, end: int) -> NoReturn:
        """Report an alias within the value that it repeats."""
        message = f"the alias *{shorten(name)} repeats the value that it is a part of, without end"
        self._refuse_limit(start, end, message, "Write out what is meant.")

    def refuse_size(self, start: int, end: int) -> NoReturn:
        """Report too many values."""
        message = f"the file has more than {MAX_NODES:,} values, each alias counted in full"
        self._refuse_limit(start, end, message, "Split it into several files.")

    def refuse_documents(self, start: int, end: int) -> NoReturn:
        """Report too many documents."""
        message = f"the file has more than {MAX_DOCUMENTS:,} documents"
        self._refuse_limit(start, end, message, "Split it into several files.")

    def refuse_depth(self, start: int, end: int) -> NoReturn:
        """Report too many collections within collections."""
        message = f"the values nest more than {MAX_DEPTH} levels deep"
        self._refuse_limit(start, end, message, "Write them with fewer levels.")

    def _refuse_limit(self, start: int, end: int, message: str, help: str) -> NoReturn:
        self.faults.add("expansion-limit", start, end, message, help, self.pointer())
        raise LimitReached
