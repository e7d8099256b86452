"""A run as a whole: what is looked at, what is told once, and what survives a broken rule."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

import waterlint
from tests.recent import RECENT
from waterlint.finding import Finding
from waterlint.linter import Linter, Options, Report
from waterlint.project.discovery import discover
from waterlint.rules import registry
from waterlint.rules.registry import Case
from waterlint.rules.samples import recipe, report

WELL = report(f"sampled: {RECENT}")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "well.yaml").write_text(WELL, encoding="utf-8")
    (tmp_path / "a.yaml").write_text(recipe(), encoding="utf-8")
    return tmp_path


def lint(*names: str, options: Options | None = None) -> Report:
    linter = Linter(options or Options(today=date(2026, 11, 1)))
    return linter.lint(discover([Path(name) for name in names], linter.configs, linter.disk))


def rules(report: Report) -> list[tuple[str, str]]:
    return [(each.path, each.rule) for each in report.findings]


def test_a_broken_file_in_a_folder_is_not_passed_over(folder: Path) -> None:
    (folder / "b.yaml").write_text("waterlint: recipe/1\nname: [\n", encoding="utf-8")
    (folder / "c.yaml").write_bytes(b"waterlint: recipe/1\nname: caf\xe9\n")
    report = lint(".")
    assert rules(report) == [("b.yaml", "invalid-yaml"), ("c.yaml", "unreadable-file")]
    assert report.exit_status("warning") == 2


def test_a_house_malt_is_known_where_its_configuration_holds(folder: Path) -> None:
    (folder / "a.yaml").write_text(
        recipe().replace("kind: pale,", "kind: moor-floor-malt,"), encoding="utf-8"
    )
    assert rules(lint("a.yaml")) == [("a.yaml", "bad-value")]
    (folder / "waterlint.yaml").write_text(
        "waterlint: config/1\n"
        "malts:\n"
        "  moor-floor-malt: {like: pale, di_ph: 5.68, basis: our own mash of 2026}\n",
        encoding="utf-8",
    )
    assert rules(lint("a.yaml")) == []


def test_several_documents_in_a_file(folder: Path) -> None:
    soda = recipe("additions: [{add: baking-soda, kettle: 2 g}]")
    (folder / "a.yaml").write_text(f"{recipe()}---\n{soda}---\n{WELL}", encoding="utf-8")
    report = lint("a.yaml")
    assert [(each.rule, each.document) for each in report.findings] == [("alkali-after-mash", 1)]


def test_a_report_with_errors_is_told_there_and_at_its_use(folder: Path) -> None:
    (folder / "well.yaml").write_text(WELL.replace("56 mg/L", "56"), encoding="utf-8")
    assert rules(lint("a.yaml")) == [("a.yaml", "unresolved-water"), ("well.yaml", "bad-quantity")]


def test_findings_come_sorted_and_once(folder: Path) -> None:
    report = lint("a.yaml", ".", "a.yaml", "./a.yaml")
    assert report.files == 2
    assert list(report.findings) == sorted(report.findings, key=lambda each: each.order)


def test_a_rule_that_crashes_is_a_finding_and_the_others_run(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def crash(case: Case) -> Iterator[Finding]:
        raise ZeroDivisionError("no water")

    linter = Linter(Options(today=date(2026, 11, 1)))
    linter.rules = {
        **linter.rules,
        "mash-ph": replace(linter.rules["mash-ph"], check=crash),
    }
    soda = recipe("additions: [{add: baking-soda, kettle: 2 g}]")
    (folder / "a.yaml").write_text(soda, encoding="utf-8")
    report = linter.lint(discover([Path("a.yaml")], linter.configs, linter.disk))
    assert rules(report) == [("a.yaml", "rule-crashed"), ("a.yaml", "alkali-after-mash")]
    assert "mash-ph failed: ZeroDivisionError: no water" in report.findings[0].message
    assert report.exit_status("warning") == 2


def test_two_rules_of_one_name_are_refused() -> None:
    entry = registry.all_rules()["mash-ph"]
    with pytest.raises(ValueError, match="two rules are named mash-ph"):
        registry.add(entry)


def test_the_public_functions(folder: Path) -> None:
    soda = recipe("additions: [{add: baking-soda, kettle: 2 g}]")
    found = waterlint.lint_text(soda, filename="b.yaml")
    assert [each.rule for each in found] == ["alkali-after-mash"]
    assert waterlint.lint_text(recipe(), filename="sub/b.yaml")[0].rule == "unresolved-water"
    (folder / "house.yaml").write_text(
        "waterlint: config/1\nlevels: {alkali-after-mash: off}\n", encoding="utf-8"
    )
    assert waterlint.lint_text(soda, filename="b.yaml", config="house.yaml") == []
    assert waterlint.lint_paths(["."]).findings == ()
    (prediction,) = waterlint.predict_text(recipe(), filename="b.yaml")
    assert prediction.mash is not None and prediction.mash.ph is not None
    assert 5.2 < prediction.mash.ph.value < 5.7
    with pytest.raises(AttributeError, match="nothing_of_the_kind"):
        _ = waterlint.nothing_of_the_kind


def test_a_file_that_is_done_is_not_kept(folder: Path) -> None:
    excused = recipe() + "# waterlint: accept mash-ph because it was measured\n"
    (folder / "b.yaml").write_text(excused, encoding="utf-8")
    linter = Linter()
    paths = [folder / name for name in ("a.yaml", "b.yaml", "well.yaml")]
    linter.lint(discover(paths, linter.configs, linter.disk))
    kept = [linter.intake.release(path) for path in paths]
    assert kept == [False, False, True]
    assert linter.intake.load(paths[0]).is_ours


def test_the_lines_of_a_file_that_is_done(folder: Path) -> None:
    (folder / "a.yaml").write_text(recipe().replace("volume:", "volum:", 1), encoding="utf-8")
    linter = Linter()
    report = linter.lint(discover([folder / "a.yaml"], linter.configs, linter.disk))
    finding = report.findings[0]
    line = linter.line(finding.path, finding.span.line)
    assert line is not None and "volum:" in line


def test_the_line_of_a_recipe_that_has_the_name_of_a_configuration(folder: Path) -> None:
    """What is told of it as a configuration is shown too, though as a recipe it is done."""
    (folder / "waterlint.yaml").write_text(recipe(), encoding="utf-8")
    linter = Linter()
    report = linter.lint(discover([folder], linter.configs, linter.disk))
    (finding,) = (each for each in report.findings if each.path == "waterlint.yaml")
    assert linter.line("waterlint.yaml", finding.span.line) == "waterlint: recipe/1"


def test_a_text_that_is_given_is_kept(folder: Path) -> None:
    linter = Linter()
    linter.lint_text(recipe(), folder / "new.yaml")
    assert not linter.intake.release(folder / "new.yaml")
    assert linter.intake.load(folder / "new.yaml").is_ours


def test_a_kind_of_malt_whose_entry_has_an_error_is_no_unknown_word(folder: Path) -> None:
    (folder / "waterlint.yaml").write_text(
        "waterlint: config/1\nmalts:\n  moor-malt: {like: crystal, di_ph: 4.9}\n", encoding="utf-8"
    )
    (folder / "a.yaml").write_text(recipe().replace("crystal, ", "moor-malt, "), encoding="utf-8")
    found = [
        (each.path, each.rule, each.pointer)
        for each in waterlint.lint_paths(["a.yaml"]).findings
        if each.path != "well.yaml"
    ]
    assert found == [
        ("a.yaml", "mash-ph-unpredictable", "/grist/1"),
        ("waterlint.yaml", "missing-key", "/malts/moor-malt"),
    ]
