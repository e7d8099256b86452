"""Exceptions in a file: what they excuse, what they must say, and when they are left over."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.recent import RECENT
from waterlint.linter import Linter, Report
from waterlint.source.edit import apply_fixes

HEAD = """\
waterlint: recipe/1
name: Lock Cottage porter
batch: {volume: 20 L, boil: 60 min, evaporation: 3 L, losses: 1 L}
water:
  mash:   {volume: 14 L, from: w.yaml}
  sparge: {volume: 14 L, from: reverse-osmosis}
mash: {mill_gap: 1.1 mm}
grist:
  - {malt: pale malt, kind: pale,    mass: 4.0 kg, color: 5 EBC}
  - {malt: chocolate, kind: roasted, mass: 300 g,  color: 900 EBC}
additions:
  - {add: calcium-chloride, form: dihydrate, mash: 1.5 g, sparge: 1.5 g}
"""

SODA = "  - {add: baking-soda, kettle: 2 g}"

WATER = """\
waterlint: water/1
name: Lock Cottage well
sampled: RECENT
ph: 7.2
ions: {calcium: 52 mg/L, magnesium: 5 mg/L, sodium: 12 mg/L, chloride: 30 mg/L, sulfate: 41 mg/L}
alkalinity: 94 mg/L as CaCO3
""".replace("RECENT", RECENT)


def lint(tmp_path: Path, text: str) -> Report:
    (tmp_path / "w.yaml").write_text(WATER, encoding="utf-8")
    return Linter().lint_text(text, tmp_path / "a.yaml")


def outcome(report: Report) -> tuple[list[tuple[str, int]], list[tuple[str, str | None]]]:
    return (
        [(each.rule, each.span.line) for each in report.findings],
        [(each.rule, each.accepted_because) for each in report.accepted],
    )


@pytest.mark.parametrize(
    "text",
    [
        f"{HEAD}{SODA}  # waterlint: accept alkali-after-mash because it is for the priming\n",
        f"{HEAD}  # waterlint: accept alkali-after-mash because it is for the priming\n{SODA}\n",
        HEAD.replace(
            "additions:",
            "additions:  # waterlint: accept alkali-after-mash because it is for the priming",
        )
        + f"{SODA}\n",
        f"# waterlint: accept alkali-after-mash because it is for the priming\n{HEAD}{SODA}\n",
        f"{HEAD}{SODA}  # waterlint:accept alkali-after-mash  because it is for the priming\n",
    ],
    ids=["end of line", "line above", "block", "document", "spaces"],
)
def test_what_is_excused(tmp_path: Path, text: str) -> None:
    assert outcome(lint(tmp_path, text)) == (
        [],
        [("alkali-after-mash", "it is for the priming")],
    )


def test_another_line_is_not_excused(tmp_path: Path) -> None:
    text = (
        HEAD.replace(
            "mash: {mill_gap: 1.1 mm}",
            "mash: {mill_gap: 1.1 mm}  # waterlint: accept alkali-after-mash because of nothing",
        )
        + f"{SODA}\n"
    )
    kept, accepted = outcome(lint(tmp_path, text))
    assert kept == [("unused-exception", 7), ("alkali-after-mash", 13)]
    assert accepted == []


def test_another_rule_is_not_excused(tmp_path: Path) -> None:
    text = f"{HEAD}{SODA}  # waterlint: accept batch-sodium because it is for the priming\n"
    kept, _ = outcome(lint(tmp_path, text))
    assert kept == [("alkali-after-mash", 13), ("unused-exception", 13)]


def test_several_rules_and_one_of_them_unused(tmp_path: Path) -> None:
    text = f"{HEAD}{SODA}  # waterlint: accept alkali-after-mash, mash-ph because I know\n"
    kept, accepted = outcome(lint(tmp_path, text))
    assert kept == [("unused-exception", 13)]
    assert accepted == [("alkali-after-mash", "I know")]


@pytest.mark.parametrize(
    ("comment", "words"),
    [
        ("# waterlint: accept alkali-after-mash", "gives no reason"),
        ("# waterlint: accept alkali-after-mash because", "gives no reason"),
        ("# waterlint: ignore alkali-after-mash because I say so", "no exception"),
        ("# waterlint: accept alkali-after-mesh because of a typo", "did you mean alkali"),
        ("# waterlint: accept invalid-yaml because I can", "never excused"),
    ],
)
def test_a_malformed_exception_is_told_and_excuses_nothing(
    tmp_path: Path, comment: str, words: str
) -> None:
    report = lint(tmp_path, f"{HEAD}{SODA}  {comment}\n")
    assert [each.rule for each in report.findings] == ["alkali-after-mash", "malformed-exception"]
    told = report.findings[1]
    assert words in told.message
    assert (told.span.line, told.span.column) == (13, len(SODA) + 3)


@pytest.mark.parametrize(
    "text",
    [
        HEAD + "notes: '# waterlint: accept nothing'\n",
        HEAD + "notes: |\n  # waterlint: accept nothing\n",
        HEAD + "# we use waterlint: it is good\n",
    ],
)
def test_what_is_no_exception_at_all(tmp_path: Path, text: str) -> None:
    assert outcome(lint(tmp_path, text)) == ([], [])


def test_a_comment_speaks_for_its_own_document_only(tmp_path: Path) -> None:
    excused = f"# waterlint: accept alkali-after-mash because it is for the priming\n{HEAD}{SODA}\n"
    report = lint(tmp_path, f"{excused}---\n{HEAD}{SODA}\n")
    assert [(each.rule, each.document) for each in report.findings] == [("alkali-after-mash", 1)]
    assert len(report.accepted) == 1


def test_a_report_excuses_its_own_findings(tmp_path: Path) -> None:
    old = WATER.replace(RECENT, "2020-09-01  # waterlint: accept report-age because it rains")
    (tmp_path / "w.yaml").write_text(old, encoding="utf-8")
    report = Linter().lint_text(HEAD, tmp_path / "a.yaml")
    assert outcome(report) == ([], [("report-age", "it rains")])


def fixed(tmp_path: Path, text: str) -> str:
    """The text with the fixes of its unused exceptions that do not touch one another."""
    findings = [each for each in lint(tmp_path, text).findings if each.rule == "unused-exception"]
    fixes = [finding.fix for finding in findings if finding.fix is not None]
    return apply_fixes(text, fixes).text


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            f"{HEAD}{SODA}  # waterlint: accept alkali-after-mash, mash-ph because I know\n",
            f"{HEAD}{SODA}  # waterlint: accept alkali-after-mash because I know\n",
        ),
        (
            f"{HEAD}{SODA}  # waterlint: accept mash-ph ,  alkali-after-mash because I know\n",
            f"{HEAD}{SODA}  # waterlint: accept alkali-after-mash because I know\n",
        ),
        (f"{HEAD}{SODA}   # waterlint: accept mash-ph because I know", None),
        (
            f"{HEAD}  # waterlint: accept mash-ph because I know\r\n{SODA}\n",
            f"{HEAD}{SODA}\n",
        ),
        (
            f"{HEAD}{SODA}  # waterlint: accept mash-ph, batch-sodium because I know\n",
            f"{HEAD}{SODA}  # waterlint: accept batch-sodium because I know\n",
        ),
    ],
)
def test_an_unused_exception_brings_the_edit_that_takes_it_away(
    tmp_path: Path, text: str, expected: str | None
) -> None:
    assert fixed(tmp_path, text) == (f"{HEAD}{SODA}" if expected is None else expected)


def test_an_exception_to_a_rule_of_the_hook_is_not_taken_away(tmp_path: Path) -> None:
    text = f"{HEAD}{SODA}  # waterlint: accept untracked-water because it follows\n"
    assert fixed(tmp_path, text) == text


def test_where_a_document_is_broken_no_exception_is_called_unused(tmp_path: Path) -> None:
    text = f"{HEAD}{SODA}  # waterlint: accept alkali-after-mash because I know\nnmae: x\n"
    assert [each.rule for each in lint(tmp_path, text).findings] == ["unknown-key"]
