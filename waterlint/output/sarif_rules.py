"""The rules as SARIF's `reportingDescriptor` objects, from their documentation."""

from __future__ import annotations

from waterlint.finding import LEVELS
from waterlint.output.text import one_line
from waterlint.rules.registry import Rule

#: The longest short and full description that code scanning on GitHub takes [characters], from
#: its page "SARIF support for code scanning".
LONGEST_DESCRIPTION = 1024


def descriptor(rule: Rule) -> dict[str, object]:
    """A rule with its documentation; its level is the gravest that it reports by default."""
    what = one_line(rule.what)
    data: dict[str, object] = {
        "id": rule.name,
        "shortDescription": {"text": _shortened(what.partition(". ")[0].rstrip(".") + ".")},
        "fullDescription": {"text": _shortened(what)},
        "defaultConfiguration": {"level": max(rule.levels, key=LEVELS.index)},
        "help": {"text": _text(rule), "markdown": _markdown(rule)},
    }
    if rule.group:
        data["properties"] = {"tags": [rule.group.lower()]}
    return data


def _shortened(text: str) -> str:
    return text if len(text) <= LONGEST_DESCRIPTION else text[: LONGEST_DESCRIPTION - 1] + "…"


def _text(rule: Rule) -> str:
    parts = [one_line(rule.what), one_line(rule.why)]
    if rule.limits:
        limits = "; ".join(one_line(limit).rstrip(".") for limit in rule.limits)
        parts.append(f"Limits, and where they come from: {limits}.")
    parts.append(f"To change it: {one_line(rule.configure)}")
    parts.append(f"Examples: waterlint explain {rule.name}.")
    return "\n\n".join(parts)


def _markdown(rule: Rule) -> str:
    # Written by us, not by the file that is checked: the code spans in it are meant.
    parts = [one_line(rule.what), f"**Why:** {one_line(rule.why)}"]
    if rule.limits:
        limits = "\n".join(f"- {one_line(limit)}" for limit in rule.limits)
        parts.append(f"**Limits, and where they come from:**\n\n{limits}")
    parts.append(f"**To change it:** {one_line(rule.configure)}")
    parts.append(f"**Examples:** `waterlint explain {rule.name}`")
    return "\n\n".join(parts)
