"""Read a YAML file into positioned trees, with a finding for everything that is refused.

The reader never raises for what a file contains, and knows no field of a recipe by name.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from waterlint.finding import FILE_START, Finding, Span
from waterlint.source.lines import Lines
from waterlint.source.nodes import (
    Entry,
    Kind,
    Mapping,
    Node,
    Scalar,
    Sequence,
    escape,
    unescape,
    walk,
)
from waterlint.source.parsing import (
    DoubtfulText,
    Engine,
    SyntaxFault,
    available_engine,
    is_disputed,
    parse,
)
from waterlint.source.tree import LimitReached, Tree, TreeBuilder

__all__ = [
    "Document",
    "Entry",
    "Kind",
    "Mapping",
    "Node",
    "Scalar",
    "Sequence",
    "SourceFile",
    "escape",
    "line_text",
    "read_bytes",
    "read_text",
    "unescape",
    "walk",
]


@dataclass(frozen=True, slots=True)
class Document:
    """One YAML document of a file.

    Attributes
    ----------
    index : int
        Its number in the file, from 0; documents that say nothing are not counted.
    root : Node
        Its value.
    uncertain : frozenset of str
        JSON pointers of values whose content a reported fault leaves in doubt: a mapping with a
        merge key or an unusable key may lack keys, a value with a tag or an undefined alias may
        not be what is meant. What is missing or of a wrong type there is not worth a finding.
    start, end : int
        The part of the text that belongs to it, comments around it included.
    """

    index: int
    root: Node
    uncertain: frozenset[str] = frozenset()
    start: int = 0
    end: int = 0
    _scalars: list[tuple[int, int]] = field(default_factory=list, repr=False)

    def find(self, pointer: str) -> Node | None:
        """The value at a JSON pointer (``/water/mash/volume``), `None` where there is none."""
        node, _, complete = self._follow(pointer)
        return node if complete else None

    def entry(self, pointer: str) -> Entry | None:
        """The key and value at a JSON pointer whose last step is a key of a mapping."""
        _, entry, complete = self._follow(pointer)
        return entry if complete else None

    def span_of(self, pointer: str, key: bool = False) -> Span:
        """The place of a value, or with `key` of its key.

        Where the pointer leads to nothing, the nearest existing parent answers; where a value
        has no key (a list's item, the root), the value answers.
        """
        node, entry, _ = self._follow(pointer)
        return entry.key_span if key and entry is not None else node.span

    def _follow(self, pointer: str) -> tuple[Node, Entry | None, bool]:
        node: Node = self.root
        entry: Entry | None = None
        for step in pointer.split("/")[1:]:
            if isinstance(node, Mapping):
                following = node.entries.get(unescape(step))
                if following is None:
                    return node, entry, False
                entry, node = following, following.value
            elif isinstance(node, Sequence):
                if not step.isdecimal() or not step.isascii() or len(step) > 9:
                    return node, entry, False
                if int(step) >= len(node.items):
                    return node, entry, False
                entry, node = None, node.items[int(step)]
            else:
                return node, entry, False
        return node, entry, True


@dataclass(frozen=True, slots=True)
class SourceFile:
    """A file as it was read: its text without byte order mark, its documents, its faults."""

    path: str
    text: str
    documents: tuple[Document, ...]
    findings: tuple[Finding, ...]
    lines: Lines = field(repr=False, compare=False)
    has_bom: bool = False


def read_text(text: str, path: str, *, engine: Engine | None = None) -> SourceFile:
    """Read a text; faults become findings, whatever it contains."""
    has_bom = text.startswith("\ufeff")
    text = text[1:] if has_bom else text
    lines = Lines(text)
    trees, findings = _read_trees(lines, path, engine or available_engine())
    documents = tuple(
        Document(index, tree.root, tree.uncertain, tree.start, tree.end, tree.scalars)
        for index, tree in enumerate(trees)
    )
    return SourceFile(path, text, documents, tuple(findings), lines, has_bom)


def read_bytes(data: bytes, path: str) -> SourceFile:
    """Read the bytes of a file; faults become findings, whatever they are."""
    try:
        return read_text(data.decode("utf-8"), path)
    except UnicodeDecodeError as error:
        finding = Finding("unreadable-file", "error", path, FILE_START, str(error))
        return SourceFile(path, "", (), (finding,), Lines(""))


def line_text(source: SourceFile, line: int) -> str:
    """A line of a file, counted from 1, without its line end; empty where there is none."""
    return source.lines.line(line)


def _read_trees(lines: Lines, path: str, engine: Engine) -> tuple[list[Tree], list[Finding]]:
    if engine == "c" and not is_disputed(lines.text):
        builder = TreeBuilder(lines, path)
        try:
            builder.take(parse(lines.text, "c"))
            return builder.trees, builder.findings
        except LimitReached:
            return builder.trees, builder.findings
        except DoubtfulText:
            pass
    builder = TreeBuilder(lines, path)
    try:
        builder.take(parse(lines.text, "pure"))
    except LimitReached:
        pass
    except SyntaxFault as fault:
        offset = fault.offset
        span = lines.span(offset, offset)
        builder.findings.append(Finding("invalid-yaml", "error", path, span, fault.problem))
    return builder.trees, builder.findings
