"""The documentation of rules as text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from waterlint.rules.registry import Example, Rule


def render_list(rules: Iterable[Rule]) -> str:
    """Every rule with its levels and what it looks at, a line each."""
    rules = list(rules)
    longest = max(len(rule.name) for rule in rules)
    lines = [
        f"{rule.name.ljust(longest)}  {'/'.join(rule.levels):<20}  {_first_sentence(rule.what)}"
        for rule in rules
    ]
    return "\n".join(lines) + "\n"


def _first_sentence(text: str) -> str:
    flat = " ".join(text.split())
    return flat.partition(". ")[0].rstrip(".")


def render(rule: Rule, width: int = 88) -> str:
    """All that is written about a rule, wrapped to `width` columns."""
    return "\n".join(_lines(rule, max(width, 40))) + "\n"


def _lines(rule: Rule, width: int) -> Iterator[str]:
    yield f"{rule.name} ({' or '.join(rule.levels)})"
    yield ""
    yield from _paragraph(rule.what, width)
    yield ""
    yield from _paragraph(rule.why, width)
    if rule.limits:
        yield ""
        yield "Limits, and where they come from:"
        for limit in rule.limits:
            yield from textwrap.wrap(
                " ".join(limit.split()), width, initial_indent="  - ", subsequent_indent="    "
            )
    yield ""
    yield from _paragraph(f"To change it: {rule.configure}", width)
    if rule.failing is not None:
        yield from _example("This is reported:", rule.failing)
    if rule.passing is not None:
        yield from _example("This is not:", rule.passing)


def _paragraph(text: str, width: int) -> Iterator[str]:
    yield from textwrap.wrap(" ".join(text.split()), width)


def _example(heading: str, example: Example) -> Iterator[str]:
    yield ""
    yield heading
    yield ""
    yield textwrap.indent(textwrap.dedent(example.text).strip("\n"), "    ")
    for name, text in example.files.items():
        yield ""
        yield f"with {name}:"
        yield ""
        yield textwrap.indent(textwrap.dedent(text).strip("\n"), "    ")
