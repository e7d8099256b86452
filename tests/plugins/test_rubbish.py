"""A plugin that hands back rubbish of the right type, or raises what no rule should."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from tests.conftest import Tree
from tests.fuzzing.checks import check_formats
from tests.plugins.conftest import Install, rule_module
from tests.plugins.test_plugins import lint, project
from waterlint.linter import Linter, Options
from waterlint.output.outcome import Outcome
from waterlint.project.discovery import discover
from waterlint.remedy.mechanical import mend
from waterlint.rules.samples import recipe

RECIPE = recipe("additions: [{add: baking-soda, kettle: 2 g}]")

_RAISING = {
    "no words": "class Mute(Exception): __str__ = lambda self: 1 / 0\n    raise Mute",
    "a text that is none": "class Odd(Exception): __str__ = lambda self: 1\n    raise Odd",
    "beyond exceptions": "class Base(BaseException): pass\n    raise Base('no Exception')",
    "generator's end": "raise GeneratorExit",
    "a character in halves": "raise ValueError('\\ud800 \\x1b[31m \\n' * 3)",
    "no end of words": "raise ValueError('x' * 10_000_000)",
    "a group": "raise ExceptionGroup('many', [ValueError('one')])",
    "memory": "raise MemoryError",
    "a thousand frames": "f = lambda n: f(n + 1)\n    f(0)",
}


@pytest.mark.parametrize("body", _RAISING.values(), ids=_RAISING)
def test_whatever_is_raised_is_told(tree: Tree, install: Install, body: str) -> None:
    install("beta_rules", rule_module("beta", body))
    project(tree, "rules: [beta_rules]\n", RECIPE)
    found = lint()
    assert [each.rule for each in found.findings] == ["rule-crashed", "alkali-after-mash"]
    assert "the rule beta failed" in found.findings[0].message
    assert len(found.findings[0].message) < 1000
    assert found.exit_status(None) == 2


_SPANS = {
    "far away": "Span(10**9, 10**9, 10**9, 10**9)",
    "before the start": "Span(-5, -5, -5, -5)",
    "nowhere": "Span(0, 0, 0, 0)",
    "backwards": "Span(5, 5, 1, 1)",
    "no numbers": "Span('1', None, 2.5, [])",
    "far offsets": "Span(1, 1, 1, 1, 10**9, -1)",
}
_ODD = {
    **{name: f"span={span}" for name, span in _SPANS.items()},
    "another file": "path='/etc/passwd'",
    "no file": "path='a\\x00b'",
    "a file in halves": "path='\\ud800'",
    "no document": "document=99",
    "a document before the first": "document=-1",
    "no place": "pointer='/a/~2/99999999999999999999'",
    "far related": "related=(Related('b', Span(10**9, 1, 1, 1), 'x'),)",
    "related to nothing": "related=(Related(None, None, None),)",
    "hostile words": "message='\\x1b[31m\\n::error::\\ud800]]>'",
    "words without end": "message='x' * 3_000_000",
    "an edit far away": "fix=Fix('x', (Edit(10**9, 10**9 + 1, 'y'),))",
    "edits that overlap": "fix=Fix('x', (Edit(0, 9, 'y'), Edit(5, 6, 'z')))",
    "an edit backwards": "fix=Fix('x', (Edit(9, 3, 'y'),))",
    "an edit of nothing": "fix=Fix('x', (Edit(None, None, None),))",
    "an edit that breaks": "fix=Fix('x', (Edit(0, 9, '\\x00[['),))",
    "edits of no type": "fix=Fix('x', (1, 2))",
    "a fix of no text": "fix=Fix(1, None)",
    "excused by itself": "accepted_because='I say so'",
}


def odd(change: str) -> str:
    return (
        "from dataclasses import replace\n"
        "    from waterlint.finding import Edit, Fix, Related, Span\n"
        f"    yield replace(case.finding('{{name}}', 'note', '/name', 'words'), {change})"
    )


@pytest.mark.parametrize("change", _ODD.values(), ids=_ODD)
def test_odd_findings_are_shown_or_refused(tree: Tree, install: Install, change: str) -> None:
    install("beta_rules", rule_module("beta", odd(change)))
    folder = project(tree, "rules: [beta_rules]\n", RECIPE)
    linter = Linter(Options(today=date(2026, 11, 1)))
    report = linter.lint(discover([Path()], linter.configs, linter.disk))
    assert "alkali-after-mash" in {each.rule for each in report.findings}
    assert {each.rule for each in (*report.findings, *report.accepted)} >= {
        "beta"
    } or report.exit_status(None) == 2
    outcome = Outcome(
        findings=report.findings,
        accepted=report.accepted,
        summary=report.summary(),
        paths=report.paths,
        rules=linter.rules_of_run(),
        lines=linter.lines,
        weight=lambda finding: report.weight(finding, "warning"),
        known=report.known,
    )
    check_formats(outcome, "")
    path = folder / "a.yaml"
    text = path.read_text("utf-8")
    mended = mend(text, path, Options(today=date(2026, 11, 1)))
    assert mended.after == text


def test_a_plugin_that_ends_the_process_loudly(tree: Tree, install: Install) -> None:
    """From the command line too, an exit is a crash of the rule and no clean run."""
    install("beta_rules", rule_module("beta", "raise SystemExit(0)"))
    folder = project(tree, "rules: [beta_rules]\n", RECIPE)
    done = subprocess.run(
        [sys.executable, "-P", "-c", _HEAD, str(sys.path), "check", "."],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "the rule beta failed: SystemExit" in done.stdout


def test_what_a_plugin_prints_is_no_part_of_the_report(tree: Tree, install: Install) -> None:
    rule = rule_module("gamma", "print('looking'); yield from ()")
    install("gamma_rules", f"print('loading')\n{rule}")
    folder = project(tree, "rules: [gamma_rules]\n", RECIPE)
    done = subprocess.run(
        [sys.executable, "-P", "-c", _HEAD, str(sys.path), "check", ".", "--format", "json"],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    assert json.loads(done.stdout)["findings"]
    assert done.stderr.splitlines() == ["loading", "looking"]


_HEAD = """
import ast, sys
sys.path[:] = [each for each in ast.literal_eval(sys.argv.pop(1)) if each]
from waterlint.cli.main import main
sys.exit(main())
"""
