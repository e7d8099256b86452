"""A page for each rule with the text that `waterlint explain` prints, and their list."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping

from waterlint.docs.markdown import flat, table
from waterlint.rules.registry import Example, Rule


def rule_pages(rules: Iterable[Rule]) -> Mapping[str, str]:
    """The pages by name, those of the rules under ``rules/``."""
    rules = list(rules)
    pages = {f"rules/{rule.name}": rule_page(rule) for rule in rules}
    return {"rules/index": _list(rules), **pages}


def rule_page(rule: Rule) -> str:
    """The documentation of a rule as Markdown."""
    return "\n".join(_lines(rule))


def _lines(rule: Rule) -> Iterator[str]:
    yield f"# {rule.name} ({' or '.join(rule.levels)})"
    yield ""
    yield flat(rule.what)
    yield ""
    yield flat(rule.why)
    yield ""
    if rule.limits:
        yield "Limits, and where they come from:"
        yield ""
        yield from (f"- {flat(limit)}" for limit in rule.limits)
        yield ""
    yield f"To change it: {flat(rule.configure)}"
    if rule.failing is not None:
        yield from _example("This is reported:", rule.failing)
    if rule.passing is not None:
        yield from _example("This is not:", rule.passing)
    yield ""


def _example(heading: str, example: Example) -> Iterator[str]:
    yield from ("", heading, "", *_code(example.text))
    for name, text in example.files.items():
        yield from ("", f"with {name}:", "", *_code(text))


def _code(text: str) -> Iterator[str]:
    # Not marked as YAML: some examples are none, which is what they show.
    yield from ("```text", textwrap.dedent(text).strip("\n"), "```")


def _list(rules: Iterable[Rule]) -> str:
    groups: dict[str, list[Rule]] = {}
    for rule in rules:
        groups.setdefault(rule.group, []).append(rule)
    lines = ["# Rules", "", "`waterlint explain RULE` prints the same texts.", ""]
    for group, members in sorted(groups.items()):
        lines += [f"## {group}", ""]
        lines += table(
            ("rule", "level", "what it looks at"),
            [
                (
                    f"[{rule.name}]({rule.name}.md)",
                    " or ".join(rule.levels),
                    flat(rule.what.partition(". ")[0].rstrip(".")),
                )
                for rule in members
            ],
        )
        lines += ["", "```{toctree}", ":hidden:", ""]
        lines += [*(rule.name for rule in members), "```", ""]
    return "\n".join(lines)
