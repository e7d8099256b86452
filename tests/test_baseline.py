"""A baseline: what it knows, what stays new, and how it only shrinks."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from tests.conftest import Tree
from waterlint.baseline import NEVER_KNOWN
from waterlint.cli.main import main
from waterlint.linter import Linter, Options, Report
from waterlint.project.baseline import MAX_BYTES, Known, baseline_text
from waterlint.project.discovery import discover
from waterlint.rules.registry import all_rules
from waterlint.rules.samples import recipe, report

NAME = "waterlint-baseline.json"
CONFIG = f"waterlint: config/1\nbaseline: {NAME}\n"
SODA = recipe("additions:\n  - {add: baking-soda, kettle: 2 g}")
TWICE = recipe("additions:\n  - {add: baking-soda, kettle: 2 g}\n  - {add: chalk, kettle: 1 g}")
CLEAN = recipe()
AGED = report("sampled: 2020-01-01")


def project(tree: Tree, **files: str) -> Path:
    given = {f"{name}.yaml": text for name, text in files.items()}
    return tree({"waterlint.yaml": CONFIG, "well.yaml": report(), **given})


def lint(*names: str, **options: object) -> Report:
    linter = Linter(Options(today=date(2026, 11, 1), **options))  # type: ignore[arg-type]
    paths = [Path(name) for name in names or (".",)]
    return linter.lint(discover(paths, linter.configs, linter.disk))


def update(*names: str, **options: object) -> Report:
    return lint(*names, update_baseline=True, **options)


def told(report: Report) -> list[tuple[str, str, int]]:
    return [(each.rule, each.path, each.span.line) for each in report.findings]


def entries(folder: Path) -> list[dict[str, object]]:
    found: list[dict[str, object]] = json.loads((folder / NAME).read_text("utf-8"))["findings"]
    return found


def test_what_is_there_today_is_recorded_and_only_new_findings_count(tree: Tree) -> None:
    folder = project(tree, a=SODA, b=CLEAN)
    first = update()
    assert (first.findings, first.summary()["baseline"]) == ((), 1)
    assert (folder / NAME).read_text("utf-8") == (
        '{"waterlint": "baseline/1", "findings": [\n'
        '  {"path": "a.yaml", "rule": "alkali-after-mash", "level": "warning", '
        '"pointer": "/additions/baking-soda/kettle", "quantity": "sodium", "vessel": "batch"}\n'
        "]}\n"
    )
    assert lint().exit_status("note") == 0
    (folder / "b.yaml").write_text(SODA, encoding="utf-8")
    assert told(lint()) == [("alkali-after-mash", "b.yaml", 12)]
    assert lint().exit_status("warning") == 1


def test_a_dose_that_is_known_stands_for_nothing_that_came_after_it(tree: Tree) -> None:
    gypsum = "additions:\n  - {add: gypsum, sparge: 26.5 g}\n  - {add: calcium-chloride, "
    before, after = (
        recipe(gypsum + f"form: dihydrate, mash: 1 g, sparge: {dose} g}}") for dose in (1, 9)
    )
    folder = project(tree, a=before)
    soft = ("  calcium: 4 mg/L", "  chloride: 7 mg/L", "  sulfate: 4 mg/L", "alkalinity: 0.2 mEq/L")
    (folder / "well.yaml").write_text(report(*soft), encoding="utf-8")
    update()
    assert "dose-beyond-practice" in {entry["rule"] for entry in entries(folder)}
    (folder / "a.yaml").write_text(after, encoding="utf-8")
    assert "batch-calcium" in {rule for rule, _, _ in told(lint())}


@pytest.mark.parametrize(
    "text",
    [
        "# a comment above\n" + SODA,
        SODA.replace("additions:\n", "additions:\n  - {add: gypsum, mash: 1 g}\n"),
        SODA.replace("2 g", "2.5 g"),
        SODA.replace("\n", "\r\n"),
    ],
    ids=["a line above", "an addition in front", "another dose", "line ends"],
)
def test_a_finding_stays_known(tree: Tree, text: str) -> None:
    folder = project(tree, a=SODA)
    update()
    (folder / "a.yaml").write_bytes(text.encode())
    assert (told(lint()), lint().summary()["baseline"]) == ([], 1)


def test_another_addition_is_new_and_the_old_entry_is_stale(tree: Tree) -> None:
    folder = project(tree, a=SODA)
    update()
    (folder / "a.yaml").write_text(SODA.replace("baking-soda", "chalk"), encoding="utf-8")
    found = lint()
    assert ("alkali-after-mash", "a.yaml", 12) in told(found)
    assert ("stale-baseline", NAME, 2) in told(found)


def test_findings_alike_are_counted(tree: Tree) -> None:
    again = SODA + "  - {add: baking-soda, kettle: 3 g}\n"
    folder = project(tree, a=again)
    update()
    assert [each["count"] for each in entries(folder)] == [2]
    (folder / "a.yaml").write_text(again + "  - {add: baking-soda, kettle: 1 g}\n", "utf-8")
    assert told(lint()) == [("alkali-after-mash", "a.yaml", 14)]
    (folder / "a.yaml").write_text(SODA, encoding="utf-8")
    (stale,) = lint().findings
    assert (stale.rule, stale.level) == ("stale-baseline", "warning")
    text = (folder / NAME).read_text(encoding="utf-8").splitlines()[stale.span.line - 1]
    assert text[stale.span.column - 1 : stale.span.end_column - 1] == '"alkali-after-mash"'
    assert (stale.span.line, stale.span.end_line) == (2, 2)
    assert "(2 of them)" not in stale.message
    (folder / "a.yaml").write_text(CLEAN, encoding="utf-8")
    assert "alkali-after-mash no longer reports" in lint().findings[0].message
    assert "(2 of them)" in lint().findings[0].message


def test_a_text_of_an_entry_is_not_taken_for_its_rule(tree: Tree) -> None:
    folder = project(tree, a=CLEAN)
    pointer = json.dumps('/x/"rule": "mash-ph"')
    entry = '"path": "a.yaml", "level": "note", "rule" : "alkali-after-mash"'
    text = f'{{"waterlint": "baseline/1", "findings": [\n{{"pointer": {pointer}, {entry}}}]}}'
    (folder / NAME).write_text(text, encoding="utf-8")
    (stale,) = lint().findings
    line = text.splitlines()[1]
    assert line[stale.span.column - 1 : stale.span.end_column - 1] == '"alkali-after-mash"'


def test_a_graver_finding_is_new(tree: Tree) -> None:
    project(tree, a=SODA)
    update()
    graver = lint(levels={"alkali-after-mash": "error"})
    assert [each.rule for each in graver.findings] == ["alkali-after-mash", "stale-baseline"]
    milder = lint(levels={"alkali-after-mash": "note"})
    assert (told(milder), milder.summary()["baseline"]) == ([], 1)


def test_a_stale_entry_goes_with_the_next_update(tree: Tree) -> None:
    folder = project(tree, a=TWICE, b=SODA)
    update()
    (folder / "a.yaml").write_text(SODA, encoding="utf-8")
    assert [each.rule for each in lint().findings][-1] == "stale-baseline"
    update()
    assert {each["pointer"] for each in entries(folder)} == {"/additions/baking-soda/kettle"}
    assert told(lint()) == []


def test_only_files_of_the_run_are_judged(tree: Tree) -> None:
    folder = project(tree, a=SODA, b=SODA)
    update()
    for name in ("a", "b"):
        (folder / f"{name}.yaml").write_text(CLEAN, encoding="utf-8")
    assert told(lint("a.yaml")) == [("stale-baseline", NAME, 2)]
    update("a.yaml")
    assert [each["path"] for each in entries(folder)] == ["b.yaml"]
    # What is not there any more leaves no entry behind either.
    (folder / "b.yaml").unlink()
    assert told(lint("a.yaml")) == []
    update("a.yaml")
    assert entries(folder) == []


def test_nothing_is_stale_that_could_not_be_judged(tree: Tree) -> None:
    folder = project(tree, a=SODA, b=CLEAN)
    (folder / "well.yaml").write_text(AGED, encoding="utf-8")
    update()
    assert [each["rule"] for each in entries(folder)] == ["alkali-after-mash", "report-age"]
    # A report's age matters only beside a recipe that uses it.
    assert told(lint("well.yaml")) == []
    assert told(lint(levels={"alkali-after-mash": "off"})) == []
    (folder / "a.yaml").write_text(SODA.replace("20 L", "20"), encoding="utf-8")
    assert told(lint()) == [("bad-quantity", "a.yaml", 3)]
    update()
    assert [each["rule"] for each in entries(folder)] == ["alkali-after-mash", "report-age"]
    (folder / "a.yaml").write_text(SODA.replace("./well", "./wall"), encoding="utf-8")
    assert "stale-baseline" not in {each.rule for each in lint().findings}


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        (SODA.replace("20 L", "20"), "bad-quantity"),
        (SODA.replace("name: ", "nome: "), "unknown-key"),
        (SODA + "notes: [\n", "invalid-yaml"),
        ("name: nothing of ours\n", "not-a-waterlint-file"),
    ],
)
def test_whether_a_file_can_be_read_is_never_known(tree: Tree, text: str, rule: str) -> None:
    folder = project(tree, a=text)
    assert rule in [each.rule for each in update("a.yaml").findings]
    assert rule in [each.rule for each in lint("a.yaml").findings]
    assert rule not in [each["rule"] for each in entries(folder)]


def test_what_is_never_known_is_what_is_never_excused() -> None:
    never = {name for name, rule in all_rules().items() if not rule.excusable}
    assert never - {"unused-exception"} == NEVER_KNOWN


def test_an_exception_comes_first(tree: Tree) -> None:
    excused = SODA.replace("2 g}", "2 g}  # waterlint: accept alkali-after-mash because of it")
    folder = project(tree, a=excused)
    found = update()
    assert (len(found.accepted), found.known, entries(folder)) == (1, (), [])


def test_the_same_findings_give_the_same_bytes_wherever_one_stands(
    tree: Tree, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = project(tree, b=TWICE, a=TWICE)
    (folder / ".git").mkdir()
    update()
    before = (folder / NAME).read_bytes()
    (folder / "deep").mkdir()
    monkeypatch.chdir(folder / "deep")
    assert (told(lint("..")), lint("..").summary()["baseline"]) == ([], 4)
    update("..")
    assert (folder / NAME).read_bytes() == before


def test_the_line_of_the_entry_is_shown(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    folder = project(tree, a=SODA)
    update()
    (folder / "a.yaml").write_text(CLEAN, encoding="utf-8")
    assert main(["check", "--as-of", "2026-11-01"]) == 1
    shown = capsys.readouterr().out
    assert f"{NAME}:2:30: warning:" in shown and '  2 |   {"path": "a.yaml"' in shown
    carets = "^" * len('"alkali-after-mash"')
    assert f"\n    | {' ' * 29}{carets}\n" in shown


def test_a_known_finding_is_suppressed_in_sarif(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    project(tree, a=SODA, b=SODA)
    update("a.yaml")
    main(["check", "--as-of", "2026-11-01", "--format", "sarif"])
    results = json.loads(capsys.readouterr().out)["runs"][0]["results"]
    assert [[each["kind"] for each in result["suppressions"]] for result in results] == [
        ["external"],
        [],
    ]


ENTRY = '{"path": "a.yaml", "rule": "mash-ph", "level": "note", "pointer": ""'


@pytest.mark.parametrize(
    ("text", "words", "place"),
    [
        ("", "the baseline is no JSON", (1, 1)),
        ('{"waterlint": "baseline/1",\n "findings": [}', "the baseline is no JSON", (2, 15)),
        ("[" * 100_000, "nested too deeply", (1, 1)),
        ("1" * 5000, "too many digits", (1, 1)),
        ("[]", "no baseline", (1, 1)),
        ('{"waterlint": "baseline/2", "findings": []}', "no baseline", (1, 1)),
        ('{"waterlint": "baseline/1", "findings": {}}', "something else", (1, 1)),
        ('{"waterlint": "baseline/1", "findings": [], "x": 1}', "something else", (1, 1)),
        ('{"waterlint": "baseline/1", "waterlint": "x", "findings": []}', "twice", (1, 1)),
        ('{"waterlint": "baseline/1", "findings": [\n 1\n]}', "braces", (2, 2)),
        (f'{{"findings": [\n{ENTRY}}},\n {ENTRY}}}], "waterlint": "baseline/1"}}', "twice", (3, 2)),
        (f'{{"waterlint": "baseline/1", "findings": [\n{ENTRY}, "line": 3}}]}}', "'line'", (2, 1)),
        (f'{{"waterlint": "baseline/1", "findings": [\n{ENTRY}, "count": 0}}]}}', "count", (2, 1)),
        (
            f'{{"waterlint": "baseline/1", "findings": [\n{ENTRY}, "count": true}}]}}',
            "count",
            (2, 1),
        ),
        (
            '{"waterlint": "baseline/1", "findings": [\n{"path": "a.yaml"}]}',
            "does not say its level",
            (2, 1),
        ),
        (
            '{"waterlint": "baseline/1", "findings": [\n{"path": 1, "level": "note"}]}',
            "path that is no text",
            (2, 1),
        ),
        (
            f'{{"waterlint": "baseline/1", "findings": [\n{ENTRY.replace("note", "loud")}}}]}}',
            "'loud'",
            (2, 1),
        ),
    ],
)
def test_a_broken_baseline_is_told_knows_nothing_and_is_not_overwritten(
    tree: Tree, text: str, words: str, place: tuple[int, int]
) -> None:
    folder = project(tree, a=SODA)
    (folder / NAME).write_text(text, encoding="utf-8")
    for found in (lint(), update()):
        broken = next(each for each in found.findings if each.path == NAME)
        assert (words in broken.message, (broken.span.line, broken.span.column)) == (True, place)
        assert found.exit_status(None) == 2
        assert ("alkali-after-mash", "a.yaml", 12) in told(found)
    assert (folder / NAME).read_text("utf-8") == text


@pytest.mark.parametrize("content", [b"\xff", b" " * (MAX_BYTES + 1)], ids=["no UTF-8", "too big"])
def test_a_baseline_that_cannot_be_read(tree: Tree, content: bytes) -> None:
    folder = project(tree, a=SODA)
    (folder / NAME).write_bytes(content)
    found = lint()
    assert ("unreadable-file", NAME, 1) in told(found) and found.exit_status(None) == 2


def test_a_baseline_may_be_larger_than_a_recipe(tree: Tree) -> None:
    folder = project(tree, a=SODA)
    many = [
        Known(f"{number:04}.yaml", 0, "/mash", "mash-ph", "", "", "note")
        for number in range(15_000)
    ]
    (folder / NAME).write_text(baseline_text(many), encoding="ascii")
    assert (folder / NAME).stat().st_size > 1024 * 1024
    assert told(lint("a.yaml")) == [("alkali-after-mash", "a.yaml", 12)]
    assert ("stale-baseline", NAME, 2) in told(lint())


def test_files_that_are_gone_are_told_by_a_run_that_looks_for_them(tree: Tree) -> None:
    folder = project(tree, **{"old/a": SODA, "old/b": SODA, "new/c": SODA, "d": CLEAN})
    for name in ("old", "new"):
        (folder / name / "well.yaml").write_text(report(), encoding="utf-8")
    update()
    (folder / "old/a.yaml").rename(folder / "old/z.yaml")
    (folder / "old/z.yaml").write_text(CLEAN, encoding="utf-8")
    (told_once,) = lint().findings
    assert told_once.message == "there is no such file any more: old/a.yaml"
    assert (told_once.rule, told_once.path, told_once.span.line) == ("stale-baseline", NAME, 3)
    assert lint("old").findings == (told_once,)
    # Neither has looked for it.
    assert lint("new").findings == lint("old/b.yaml", "old/z.yaml").findings == ()
    for name in ("old/b.yaml", "new/c.yaml"):
        (folder / name).unlink()
    (told_once,) = lint().findings
    assert told_once.message.endswith(": new/c.yaml, old/a.yaml, old/b.yaml")
    assert update().findings == lint().findings == ()
    assert entries(folder) == []


def test_nothing_is_recorded_under_a_broken_configuration(tree: Tree) -> None:
    folder = project(tree, a=SODA)
    (folder / "waterlint.yaml").write_text(CONFIG + "levels: {mash-hp: off}\n", encoding="utf-8")
    assert update().exit_status(None) == 2
    assert not (folder / NAME).exists()


def test_a_file_that_cannot_be_written_is_told(tree: Tree) -> None:
    folder = project(tree, a=SODA)
    (folder / "waterlint.yaml").write_text(CONFIG.replace(NAME, "./no/b.json"), encoding="utf-8")
    found = update()
    assert ("unreadable-file", "no/b.json", 1) in told(found) and found.exit_status(None) == 2


def test_the_command_line(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tree({"well.yaml": report(), "a.yaml": SODA})
    common = ["check", "--as-of", "2026-11-01"]
    assert main([*common, "--baseline", "b.json", "--update-baseline"]) == 0
    assert "1 in the baseline" in capsys.readouterr().out
    assert (folder / "b.json").is_file()
    assert main([*common, "--baseline", "b.json"]) == 0
    assert main(common) == 1


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--update-baseline"], "needs a file to write"),
        (["--baseline", "nowhere.json"], "there is no file nowhere.json"),
        (["--baseline", "../b.json", "--update-baseline"], "outside the project"),
        (["-", "--stdin-name", "a.yaml", "--update-baseline"], "not in -"),
    ],
)
def test_a_wrong_call(
    tree: Tree, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str
) -> None:
    folder = tree({"well.yaml": report(), "a.yaml": SODA})
    assert main(["check", *arguments]) == 2
    assert words in capsys.readouterr().err
    assert sorted(each.name for each in folder.parent.rglob("*.json")) == []


def test_a_baseline_is_not_written_where_git_keeps_its_own(tree: Tree) -> None:
    folder = project(tree, a=SODA)
    hook = folder / ".git/hooks/post-checkout"
    hook.parent.mkdir(parents=True)
    (folder / "waterlint.yaml").write_text(
        "waterlint: config/1\nbaseline: .git/hooks/post-checkout\n", encoding="utf-8"
    )
    assert "bad-value" in {each.rule for each in update().findings}
    assert not hook.exists()
