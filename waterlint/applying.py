"""A rule applied to a document: what it finds, or that it broke."""

from __future__ import annotations

from collections.abc import Iterable

from waterlint.finding import FILE_START, Finding
from waterlint.rules.registry import Case, Rule


def looking(rules: Iterable[Rule], has: frozenset[str]) -> tuple[Rule, ...]:
    """The rules that look at a document which has these traits."""
    subjects = [rule for rule in rules if rule.check is not None and rule.subject in has]
    return tuple([rule for rule in subjects if rule.needs <= has])


def run_rules(rules: Iterable[Rule], case: Case) -> list[Finding]:
    """The findings of built-in rules, one after the other; see `run_rule`."""
    findings: list[Finding] = []
    for rule in rules:
        assert rule.check is not None
        try:
            findings += list(rule.check(case))
        except KeyboardInterrupt:
            raise
        except BaseException as error:
            findings.append(_crash(rule, case, error))
    return findings


def run_rule(rule: Rule, case: Case, *, built_in: bool) -> list[Finding]:
    """The findings of one rule; its crash is a finding too, and the others still run."""
    if built_in:
        return run_rules([rule], case)
    assert rule.check is not None
    try:
        from waterlint.plugins.answers import aside, checked

        with aside():
            return checked(rule.name, rule.check(case), case.document.root.lines)
    except KeyboardInterrupt:
        raise
    except BaseException as error:  # a plugin may raise anything, the end of the process too
        return [_crash(rule, case, error)]


def _crash(rule: Rule, case: Case, error: BaseException) -> Finding:
    from waterlint.plugins.answers import words_of

    return Finding(
        rule="rule-crashed",
        level="error",
        path=case.path,
        span=FILE_START,
        document=case.document.index,
        message=f"the rule {rule.name} failed: {words_of(error)}",
        help=(
            "This is a fault of the rule, not of the file. Report it with the file, and "
            f"switch the rule off until then: `levels: {{{rule.name}: off}}`."
        ),
    )
