"""Every rule's documentation is complete, and its two examples do what they say."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from waterlint.finding import Finding
from waterlint.linter import Linter, Options
from waterlint.project.discovery import Found
from waterlint.rules.registry import Example, Rule, all_rules

RULES = list(all_rules().values())

#: Rules that no file alone can break: they need git, a baseline, broken code, or an unread file.
WITHOUT_FAILING = {
    "rule-crashed",
    "stale-baseline",
    "unreadable-file",
    "untracked-water",
}


def findings_of(example: Example, folder: Path) -> list[Finding]:
    """What is found in an example, its own file named and the others lying beside it."""
    for name, text in example.files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    path = folder / "example.yaml"
    path.write_text(example.text, encoding="utf-8")
    linter = Linter(Options(today=date(2026, 11, 1)))
    return list(linter.lint([Found(path, "an example", named=True)]).findings)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_the_documentation_is_complete(rule: Rule) -> None:
    assert rule.levels and set(rule.levels) <= {"note", "warning", "error"}
    assert len(rule.what) > 20 and len(rule.why) > 20 and rule.configure and rule.group
    for limit in rule.limits:
        assert " — " in limit, f"{limit} has no basis"
    if rule.name not in WITHOUT_FAILING:
        assert rule.failing is not None and rule.passing is not None


@pytest.mark.parametrize(
    "rule", [rule for rule in RULES if rule.failing is not None], ids=lambda rule: rule.name
)
def test_the_failing_example_is_reported(rule: Rule, tmp_path: Path) -> None:
    assert rule.failing is not None
    found = [each for each in findings_of(rule.failing, tmp_path) if each.rule == rule.name]
    assert found
    for finding in found:
        assert finding.level in rule.levels
        assert finding.message and finding.help
        assert finding.span.line >= 1 and finding.span.column >= 1


@pytest.mark.parametrize(
    "rule", [rule for rule in RULES if rule.passing is not None], ids=lambda rule: rule.name
)
def test_the_passing_example_is_not(rule: Rule, tmp_path: Path) -> None:
    assert rule.passing is not None
    found = findings_of(rule.passing, tmp_path)
    assert [each.message for each in found if each.rule == rule.name] == []
    assert [each.message for each in found if each.level == "error"] == []
