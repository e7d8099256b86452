"""Exceptions that a file makes: `# waterlint: accept RULE because REASON`.

A comment at the end of a line, or on the line above, excuses findings that point into that line
or into the block that it opens; before the first key it excuses the whole document. A reason is
required. An exception that excuses nothing is itself a finding.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from waterlint.finding import Edit, Finding, Fix, Span
from waterlint.intake import Loaded, Part
from waterlint.records import dataclass, replace
from waterlint.rules.registry import Rule
from waterlint.source.comments import Comment
from waterlint.source.document import Document, Node, Sequence, line_text
from waterlint.source.document import Mapping as MappingNode
from waterlint.source.lines import Lines

_MARK = re.compile(r"#\s*waterlint\s*:\s*(?P<body>.*)$")
_BODY = re.compile(
    r"accept\s+(?P<rules>[a-z][a-z-]*(?:\s*,\s*[a-z][a-z-]*)*)\s+because\s+(?P<reason>\S.*)$"
)

#: Rules that look only in some calls: in a hook, or at a report beside a recipe that uses it. An
#: exception to one that is unused here may be needed there, so it is not taken away by itself.
_SOMETIMES = frozenset({"untracked-water", "report-age"})


@dataclass(frozen=True, slots=True)
class _Exception:
    rules: tuple[str, ...]
    reason: str
    path: str
    document: int
    span: Span
    first_line: int
    last_line: int
    lines: Lines
    judged: bool

    def excuses(self, finding: Finding) -> bool:
        return (
            finding.rule in self.rules
            and finding.path == self.path
            and finding.document == self.document
            and self.first_line <= finding.span.line <= self.last_line
        )


def apply_exceptions(
    findings: Iterable[Finding], files: Iterable[Loaded], rules: Mapping[str, Rule]
) -> tuple[list[Finding], list[Finding]]:
    """Set aside what the files excuse.

    Parameters
    ----------
    findings : iterable of Finding
        Of the whole run.
    files : iterable of Loaded
        The files whose comments count.
    rules : mapping
        The known rules by name.

    Returns
    -------
    kept, accepted : list of Finding
        What still counts, with findings about the exceptions themselves; and what is excused,
        each with its reason.
    """
    made: list[_Exception] = []
    kept: list[Finding] = []
    for file in files:
        for exception in _exceptions(file, rules):
            if isinstance(exception, Finding):
                kept.append(exception)
            else:
                made.append(exception)
    accepted: list[Finding] = []
    used: set[tuple[int, str]] = set()
    for finding in findings:
        number = next((i for i, each in enumerate(made) if each.excuses(finding)), None)
        if number is None:
            kept.append(finding)
        else:
            used.add((number, finding.rule))
            accepted.append(replace(finding, accepted_because=made[number].reason))
    for number, exception in enumerate(made):
        if exception.judged:
            kept += [
                _unused(exception, rule) for rule in exception.rules if (number, rule) not in used
            ]
    return kept, accepted


def has_exceptions(file: Loaded) -> bool:
    """Whether a file has comments that excuse something, or mean to."""
    return _may_have_exceptions(file) and any(
        _MARK.match(comment.text) is not None
        for part in file.parts
        for comment in part.document.comments
    )


def _may_have_exceptions(file: Loaded) -> bool:
    """Whether the word stands anywhere but in the first keys; comments are searched only then."""
    if file.source is None:
        return False
    ours = sum(part.kind is not None for part in file.parts)
    return file.source.text.count("waterlint") > ours


def _exceptions(file: Loaded, rules: Mapping[str, Rule]) -> Iterable[_Exception | Finding]:
    if file.source is None or not _may_have_exceptions(file):
        return
    for part in file.parts:
        for comment in part.document.comments:
            mark = _MARK.match(comment.text)
            if mark is None:
                continue
            body = _BODY.match(mark["body"].strip())
            if body is None:
                yield _malformed(
                    file,
                    part.document,
                    _span(comment),
                    "the comment is no exception that can be read",
                )
                continue
            names = tuple(name.strip() for name in body["rules"].split(","))
            problem = _problem(names, rules)
            if problem is not None:
                yield _malformed(file, part.document, _span(comment), problem)
                continue
            first, last = _lines(part.document, _span(comment), _stands_alone(file, comment))
            yield _Exception(
                names,
                body["reason"].strip(),
                file.shown,
                part.document.index,
                _span(comment),
                first,
                last,
                file.source.lines,
                _is_judged(part),
            )


def _is_judged(part: Part) -> bool:
    """Whether rules have looked at a document; nothing else says that an exception is unused."""
    return part.kind == "config" or part.recipe is not None or part.report is not None


def _span(comment: Comment) -> Span:
    return Span(comment.line, comment.column, comment.line, comment.column + len(comment.text))


def _stands_alone(file: Loaded, comment: Comment) -> bool:
    assert file.source is not None
    return not line_text(file.source, comment.line)[: comment.column - 1].strip()


def _problem(names: Iterable[str], rules: Mapping[str, Rule]) -> str | None:
    for name in names:
        if name not in rules:
            from difflib import get_close_matches

            near = get_close_matches(name, list(rules), 1)
            guess = f"; did you mean {near[0]}?" if near else ""
            return f"there is no rule named {name}{guess}"
        if not rules[name].excusable:
            return f"{name} concerns whether the file can be read, and is never excused"
    return None


def _lines(document: Document, span: Span, alone: bool) -> tuple[int, int]:
    """The lines that a comment speaks for."""
    root = document.root.span
    if alone and span.line < root.line:
        return 1, root.end_line
    blocks = list(_blocks(document.root))
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
    elif isinstance(node, Sequence):
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


def _unused(exception: _Exception, rule: str) -> Finding:
    return Finding(
        rule="unused-exception",
        level="warning",
        path=exception.path,
        span=exception.span,
        document=exception.document,
        message=f"nothing here is reported by {rule} any more, so nothing is excused",
        help=f"Take {rule} out of the comment, so that a later fault is not hidden by it.",
        fix=None if rule in _SOMETIMES else _without(exception, rule),
    )


def _without(exception: _Exception, rule: str) -> Fix:
    """The fix that takes a rule out of its comment, or the comment away with its only rule."""
    span, lines = exception.span, exception.lines
    line_start = lines.starts[span.line - 1]
    line = lines.line(span.line)
    comment = line_start + span.column - 1
    if len(exception.rules) > 1:
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
