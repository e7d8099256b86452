"""The pure parser, with the white space of YAML 1.2 where its own scanner is narrower.

Three things that the C parser and the standard accept are refused by the scanner of
`ruamel.yaml`: a tab between two tokens of a line (``15 L<tab># tap``), a tab within an unquoted
text, and a blank line with fewer spaces than the text of the block that it starts. A verdict must
not depend on which parser is installed, so they are accepted here. Tags are taken as they stand,
without being looked up: the tree refuses every one of them. This module is imported only when the
pure parser is used.
"""

from __future__ import annotations

from ruamel.yaml import YAML
from ruamel.yaml.scanner import Scanner
from ruamel.yaml.tokens import TagToken

from waterlint.hints import Any

_LINE_ENDS = "\r\n"
_TAG_ENDS = "\0 \t\r\n,[]{}"


class WideScanner(Scanner):
    """Accepts tabs as separation, and ragged blank lines in front of a block's text."""

    def scan_to_next_token(self) -> Any:
        """Skip white space, line ends and comments in front of a token."""
        reader = self.reader
        while True:
            # Where a key could start, a tab would be indentation, and that is refused.
            blanks = " \t" if self.flow_level or not self.allow_simple_key else " "
            while reader.peek() in blanks:
                reader.forward()
            if reader.peek() == "#":
                while reader.peek() not in "\0\r\n":
                    reader.forward()
            if not self.scan_line_break():
                return None
            if not self.flow_level:
                self.allow_simple_key = True

    def scan_plain_spaces(self, indent: Any, start_mark: Any) -> Any:
        """Take the white space between two words of an unquoted text."""
        reader = self.reader
        length = 0
        while reader.peek(length) in " \t":
            length += 1
        blanks = reader.prefix(length)
        if "\t" not in blanks:
            return super().scan_plain_spaces(indent, start_mark)
        reader.forward(length)
        if reader.peek() in _LINE_ENDS:
            return super().scan_plain_spaces(indent, start_mark)
        return [blanks]

    def check_directive(self) -> bool:
        """Whether a directive starts here: never, since all that can be one are hidden before.

        Elsewhere the parsers would take a line that starts with ``%`` for one, and skip it.
        """
        return False

    def scan_tag(self) -> Any:
        """Take a tag, whatever it is, as the tag that says nothing."""
        reader = self.reader
        start_mark = reader.get_mark()
        length = 1
        if reader.peek(1) == "<":
            while reader.peek(length) not in "\0 \t\r\n>":
                length += 1
            length = length + 1 if reader.peek(length) == ">" else 1
        if length == 1:
            while reader.peek(length) not in _TAG_ENDS:
                length += 1
        reader.forward(length)
        return TagToken((None, "!"), start_mark, reader.get_mark())

    def scan_block_scalar_indentation(self) -> Any:
        """Find the indentation of a block's text: that of its deepest line before the first word.

        Returns the line breaks in front of the text, the indentation, and the place reached.
        """
        reader = self.reader
        breaks: list[Any] = []
        deepest = 0
        end_mark = reader.get_mark()
        while (character := reader.peek()) in " \r\n":
            if character == " ":
                reader.forward()
                deepest = max(deepest, reader.column)
            else:
                breaks.append(self.scan_line_break())
                end_mark = reader.get_mark()
        return breaks, deepest, end_mark


def parser() -> YAML:
    """A parser of its own for one text: it shares nothing with the one before."""
    yaml = YAML(typ="safe", pure=True)
    yaml.Scanner = WideScanner
    return yaml
