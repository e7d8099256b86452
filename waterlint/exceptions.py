"""Exceptions that a file makes: `# waterlint: accept RULE because REASON`.

A comment at the end of a line, or on the line above, excuses findings that point into that line
or into the block that it opens; before the first key it excuses the whole document. A reason is
required. An exception that excuses nothing is itself a finding.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from waterlint.finding import Edit, Finding, Fix, Span
from waterlint.intake import Loaded, Part
from waterlint.rules.registry import Rule
from waterlint.source.comments import Comment
from waterlint.source.document import Document, Node, line_text
from waterlint.source.document import Mapping as MappingNode
from waterlint.source.document import Sequence as SequenceNode
from waterlint.source.lines import Lines
from waterlint.verdict import Excuse

# `re` keeps what it has compiled, so these are compiled when the first file has an exception.
_MARK = r"#\s*waterlint\s*:\s*(?P<body>.*)$"
_RULES = r"accept\s+(?P<rules>[a-z][a-z-]*(?:\s*,\s*[a-z][a-z-]*)*)"
_BODY = _RULES + r"\s+because\s+(?P<reason>\S.*)$"

#: Exceptions that are read of one document, and rules that one may name: the project's own bound.
#: Each is compared with every key and every finding.
MOST_EXCEPTIONS = 100

#: Rules that look only in some calls: in a hook, or at a report beside a recipe that uses it. An
#: exception to one that is unused here may be needed there, so it is not taken away by itself.
_SOMETIMES = frozenset({"untracked-water", "report-age"})


def excuses_of(file: Loaded, rules: Mapping[str, Rule]) -> tuple[list[Finding], list[Excuse]]:
    """The exceptions that a file makes.

    Parameters
    ----------
    file : Loaded
        The file whose comments count.
    rules : mapping
        The rules that look at it, by name.

    Returns
    -------
    malformed : list of Finding
        What is wrong with exceptions.
    excuses : list of Excuse
        Those that can be read.
    """
    malformed: list[Finding] = []
    excuses: list[Excuse] = []
    for exception in _exceptions(file, rules):
        if isinstance(exception, Finding):
            malformed.append(exception)
        else:
            excuses.append(exception)
    return malformed, excuses


def _exceptions(file: Loaded, rules: Mapping[str, Rule]) -> Iterable[Excuse | Finding]:
    if file.source is None:
        return
    for part in file.parts:
        blocks: list[tuple[int, int]] | None = None
        for number, (comment, written) in enumerate(_marked(part.document)):
            if number == MOST_EXCEPTIONS:
                told = f"the document has more than {MOST_EXCEPTIONS} exceptions; no more are read"
                yield _malformed(file, part.document, _span(comment), told)
                break
            body = re.match(_BODY, written)
            if body is None:
                told = _unread(written)
                yield _malformed(file, part.document, _span(comment), told)
                continue
            names = tuple(name.strip() for name in body["rules"].split(","))
            problem = _problem(names, rules)
            if problem is not None:
                yield _malformed(file, part.document, _span(comment), problem)
                continue
            blocks = list(_blocks(part.document.root)) if blocks is None else blocks
            alone = _stands_alone(file, comment)
            first, last = _lines(part.document, blocks, _span(comment), alone)
            unused = [_unused(file, part.document, comment, names, name) for name in names]
            yield Excuse(
                names,
                body["reason"].strip(),
                file.shown,
                part.document.index,
                first,
                last,
                tuple(unused) if _is_judged(part) else (),
            )


def _unread(written: str) -> str:
    if re.fullmatch(_RULES + r"(\s+because)?", written):
        return "the comment gives no reason, and nothing is excused without one"
    return "the comment is no exception that can be read"


def _marked(document: Document) -> Iterable[tuple[Comment, str]]:
    """The comments that are for waterlint, each with what it says."""
    for comment in document.comments:
        mark = re.match(_MARK, comment.text)
        if mark is not None:
            yield comment, mark["body"].strip()


def _is_judged(part: Part) -> bool:
    """Whether rules have looked at a document; nothing else says that an exception is unused."""
    return part.kind == "config" or part.recipe is not None or part.report is not None


def _span(comment: Comment) -> Span:
    return Span(comment.line, comment.column, comment.line, comment.column + len(comment.text))


def _stands_alone(file: Loaded, comment: Comment) -> bool:
    assert file.source is not None
    return not line_text(file.source, comment.line)[: comment.column - 1].strip()


def _problem(names: Sequence[str], rules: Mapping[str, Rule]) -> str | None:
    if len(names) > MOST_EXCEPTIONS:
        return f"the comment names more than {MOST_EXCEPTIONS} rules"
    for name in names:
        if name not in rules:
            from difflib import get_close_matches

            near = get_close_matches(name, list(rules), 1)
            guess = f"; did you mean {near[0]}?" if near else ""
            return f"there is no rule named {name}{guess}"
        if not rules[name].excusable:
            return f"{name} concerns whether the file can be read, and is never excused"
    return None


def _lines(
    document: Document, blocks: Sequence[tuple[int, int]], span: Span, alone: bool
) -> tuple[int, int]:
    """The lines that a comment speaks for."""
    root = document.root.span
    if alone and span.line < root.line:
        return 1, root.end_line
    if not alone:
        line = span.line
    else:
        later = [first for first, _ in blocks if first > span.line]
        if not later:
            return span.line, span.line
        line = min(later)
    return line, max((last for first, last in blocks if first == line), default=line)


def _blocks(node: Node) -> Iterable[tuple[int, int]]:
    """First and last line of every key with its value, and of every item of a list."""
    if isinstance(node, MappingNode):
        for entry in node.entries.values():
            yield entry.key_span.line, _last_line(entry.value, entry.key_span)
            yield from _blocks(entry.value)
    elif isinstance(node, SequenceNode):
        for item in node.items:
            yield item.span.line, item.span.end_line
            yield from _blocks(item)


def _last_line(value: Node, key_span: Span) -> int:
    return key_span.end_line if value.anchor is not None else value.span.end_line


def _malformed(file: Loaded, document: Document, span: Span, message: str) -> Finding:
    return Finding(
        rule="malformed-exception",
        level="error",
        path=file.shown,
        span=span,
        document=document.index,
        message=message,
        help="Write `# waterlint: accept RULE[, RULE] because REASON`.",
    )


def _unused(
    file: Loaded, document: Document, comment: Comment, rules: Sequence[str], rule: str
) -> Finding:
    assert file.source is not None
    span = _span(comment)
    return Finding(
        rule="unused-exception",
        level="warning",
        path=file.shown,
        span=span,
        document=document.index,
        message=f"nothing here is reported by {rule} any more, so nothing is excused",
        help=f"Take {rule} out of the comment, so that a later fault is not hidden by it.",
        fix=None if rule in _SOMETIMES else _without(span, file.source.lines, rules, rule),
    )


def _without(span: Span, lines: Lines, rules: Sequence[str], rule: str) -> Fix:
    """The fix that takes a rule out of its comment, or the comment away with its only rule."""
    line_start = lines.starts[span.line - 1]
    line = lines.line(span.line)
    comment = line_start + span.column - 1
    if len(rules) > 1:
        listed = re.search(
            rf"(?<![a-z-]){rule}\s*,\s*|\s*,\s*{rule}(?![a-z-])", line[span.column :]
        )
        assert listed is not None
        start = comment + 1 + listed.start()
        edit = Edit(start, comment + 1 + listed.end(), "")
        return Fix(f"take `{rule}` out of the exception", (edit,))
    before = line[: span.column - 1]
    if before.strip():
        edit = Edit(line_start + len(before.rstrip(" \t")), line_start + len(line), "")
    else:
        # On a line of its own: the line goes, with its end.
        following = lines.starts[span.line] if span.line < len(lines.starts) else len(lines.text)
        edit = Edit(line_start, following, "")
    return Fix("take the exception away", (edit,))
