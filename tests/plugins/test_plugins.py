"""Rules of other packages: loaded where a configuration names them, and treated like any other."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from tests.conftest import Tree
from tests.plugins.conftest import Install, rule_module
from waterlint.cli.main import main
from waterlint.linter import Linter, Options, Report
from waterlint.project.discovery import discover
from waterlint.rules.registry import all_rules
from waterlint.rules.samples import recipe, report

EXAMPLE = Path(__file__).parent / "acme_waterlint_rules"
THIN = recipe(
    "  mash: {volume: 22 L, from: ./well.yaml}", "  sparge: {volume: 6.5 L, from: ./well.yaml}"
)


def project(tree: Tree, config: str, a: str = "") -> Path:
    return tree(
        {
            "waterlint.yaml": f"waterlint: config/1\n{config}",
            "well.yaml": report(),
            "a.yaml": a or recipe(),
        }
    )


def lint(*names: str, **options: object) -> Report:
    linter = Linter(Options(today=date(2026, 11, 1), **options))  # type: ignore[arg-type]
    paths = [Path(name) for name in names or (".",)]
    return linter.lint(discover(paths, linter.configs, linter.disk))


def told(report: Report) -> list[tuple[str, str, int, int]]:
    return [(each.rule, each.path, each.span.line, each.span.column) for each in report.findings]


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example package, installed for real."""
    base = tmp_path_factory.mktemp("acme")
    shutil.copytree(EXAMPLE, base / "source")
    pip = [sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    subprocess.run(
        [*pip, "--no-deps", "--no-build-isolation", "--no-index", "--target", "site", "./source"],
        check=True,
        cwd=base,
    )
    return base / "site"


def call(site: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "waterlint", *arguments],
        capture_output=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(site), "PYTHONDONTWRITEBYTECODE": "1"},
        check=False,
    )


def test_the_example_in_check_and_with_levels(site: Path, tree: Tree) -> None:
    folder = project(tree, "rules: [acme_waterlint_rules]\n", THIN)
    common = ("check", "a.yaml", "--as-of", "2026-11-01", "--format")
    done = call(site, *common, "json")
    found = [each for each in json.loads(done.stdout)["findings"] if each["rule"] == "thin-mash"]
    assert [(each["line"], each["column"], each["unit"]) for each in found] == [(5, 18, "L/kg")]
    assert (done.returncode, done.stderr) == (1, "")
    done = call(site, *common, "sarif", "--rule", "thin-mash=error")
    run = json.loads(done.stdout)["runs"][0]
    (result,) = (each for each in run["results"] if each["ruleId"] == "thin-mash")
    assert result["level"] == "error"
    assert run["tool"]["driver"]["rules"][result["ruleIndex"]]["id"] == "thin-mash"
    (folder / "waterlint.yaml").write_text(
        "waterlint: config/1\nlevels: {thin-mash: off}\nrules: [acme_waterlint_rules]\n"
    )
    done = call(site, *common, "json")
    assert "thin-mash" not in done.stdout and done.stderr == ""
    (folder / "waterlint.yaml").write_text("waterlint: config/1\n")
    assert "thin-mash" not in call(site, *common, "json").stdout


def test_the_example_in_explain(site: Path, tree: Tree) -> None:
    project(tree, "rules: [acme_waterlint_rules]\n")
    done = call(site, "explain", "thin-mash")
    assert done.returncode == 0
    assert done.stdout.startswith("thin-mash (warning)\n")
    assert "4.5 L/kg — the house's own trials of 2025" in done.stdout
    assert "\nthin-mash " in call(site, "explain").stdout


def test_the_examples_of_the_example_do_what_they_say(site: Path, tree: Tree) -> None:
    folder = project(tree, "rules: [acme_waterlint_rules]\n")
    script = (
        "import sys; from pathlib import Path\n"
        "from acme_waterlint_rules import thin_mash\n"
        "from waterlint.rules.registry import foreign_rules\n"
        "(rule,) = foreign_rules('acme_waterlint_rules')\n"
        "for name in ('failing', 'passing'):\n"
        "    Path(name + '.yaml').write_text(getattr(rule, name).text, encoding='utf-8')\n"
    )
    subprocess.run(
        [sys.executable, "-c", script],
        check=True,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(site)},
    )
    done = call(site, "check", "failing.yaml", "passing.yaml", "--format", "json")
    found = [(each["rule"], each["path"]) for each in json.loads(done.stdout)["findings"]]
    assert [path for rule, path in found if rule == "thin-mash"] == ["failing.yaml"]


def test_a_plugin_is_loaded_only_when_named(tree: Tree, install: Install) -> None:
    install("beta_rules", "raise RuntimeError('loaded')")
    project(tree, "levels: {mash-ph: note}\n")
    assert told(lint()) == []
    assert "beta_rules" not in sys.modules


def test_its_rules_hold_only_below_the_configuration(tree: Tree, install: Install) -> None:
    install("beta_rules", rule_module("beta"), name="beta")
    folder = project(tree, "report_age: 9 months\n")
    (folder / "sub").mkdir()
    (folder / "sub/waterlint.yaml").write_text("waterlint: config/1\nrules: [beta]\n")
    for name in ("a.yaml", "well.yaml"):
        shutil.copy(folder / name, folder / "sub" / name)
    assert told(lint()) == [("beta", "sub/a.yaml", 2, 7)]
    assert "beta" not in all_rules()


def test_by_module_by_call_and_excused(tree: Tree, install: Install) -> None:
    install("beta_rules", rule_module("beta"), name="beta")
    folder = project(tree, "rules: [beta_rules]\n")
    assert told(lint()) == [("beta", "a.yaml", 2, 7)]
    excused = recipe("name: Plover  # waterlint: accept beta because it is a bird")
    (folder / "a.yaml").write_text(excused)
    assert (told(lint()), len(lint().accepted)) == ([], 1)
    (folder / "waterlint.yaml").unlink()
    (folder / "other.yaml").write_text("waterlint: config/1\nrules: [beta]\n")
    assert len(lint("a.yaml", config=Path("other.yaml")).accepted) == 1


def test_a_level_on_the_command_line(
    tree: Tree, install: Install, capsys: pytest.CaptureFixture[str]
) -> None:
    install("beta_rules", rule_module("beta"))
    folder = project(tree, "report_age: 9 months\n")
    (folder / "sub").mkdir()
    (folder / "sub/waterlint.yaml").write_text("waterlint: config/1\nrules: [beta_rules]\n")
    for name in ("a.yaml", "well.yaml"):
        shutil.copy(folder / name, folder / "sub" / name)
    assert main(["check", "--as-of", "2026-11-01", "--rule", "beta=off"]) == 0
    assert main(["check", "a.yaml", "--rule", "beta=off"]) == 2
    assert "there is no rule named 'beta'" in capsys.readouterr().err


@pytest.mark.parametrize("where", ["child", "parent"])
def test_levels_are_judged_when_the_plugins_are_known(
    tree: Tree, install: Install, where: str
) -> None:
    install("beta_rules", rule_module("beta"))
    named, other = (
        ("rules: [beta_rules]\n", "") if where == "child" else ("", "rules: [beta_rules]\n")
    )
    folder = project(tree, f"levels: {{beta: error}}\nextends: house.yaml\n{named}")
    (folder / "house.yaml").write_text(f"waterlint: config/1\nreport_age: 9 months\n{other}")
    (finding,) = lint("a.yaml").findings
    assert (finding.rule, finding.level) == ("beta", "error")


def test_a_level_for_a_rule_of_no_named_plugin_is_unknown(tree: Tree, install: Install) -> None:
    install("beta_rules", rule_module("beta"))
    project(tree, "levels: {beta: error}\n")
    assert told(lint()) == [("unknown-key", "waterlint.yaml", 2, 10)]


REGISTRATIONS = {
    "Not-A-Name": ('rule(\n    "beta"', 'rule(\n    "Beta_1"', "no name of a rule"),
    "subject": ('subject="recipe"', 'subject="beer"', "the subject 'beer'"),
    "levels": ('levels=("warning",)', 'levels="warning"', "does not say its levels"),
    "no such level": ('levels=("warning",)', 'levels=("loud",)', "does not say its levels"),
    "documentation": ('why="Why it is looked at."', 'why=" "', "nothing under 'why'"),
    "limits": ("limits=()", "limits=(1,)", "no tuple of texts"),
    "example": ("failing=None", "failing='text'", "an example that is none"),
}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("import no_such_module_at_all", "ModuleNotFoundError"),
        ("raise RuntimeError('broken')", "RuntimeError: broken"),
        ("import sys; sys.exit(0)", "SystemExit: 0"),
        ("def f(): f()\nf()", "RecursionError"),
        ("this is no Python", "SyntaxError"),
        ("x = 1", "adds no rule"),
        (rule_module("mash-ph"), "a built-in one of that name"),
        (rule_module("beta") + rule_module("beta"), "two rules are named beta"),
        *(
            (rule_module("beta").replace(old, new), words)
            for old, new, words in REGISTRATIONS.values()
        ),
    ],
)
def test_a_broken_plugin_is_told_at_its_line(
    tree: Tree, install: Install, text: str, words: str
) -> None:
    install("beta_rules", text)
    project(tree, "rules:\n  - beta_rules\n")
    found = lint()
    assert told(found) == [("bad-value", "waterlint.yaml", 3, 5)]
    assert words in found.findings[0].message and found.findings[0].help
    assert found.exit_status(None) == 2


def test_a_missing_plugin_is_told_with_the_nearest(tree: Tree, install: Install) -> None:
    install("beta_rules", rule_module("beta"))
    project(tree, "rules: [beta_rule, nothing_like_it, beta_rules, beta_rules]\n")
    found = lint("waterlint.yaml")
    assert [(each[0], each[2], each[3]) for each in told(found)] == [
        ("bad-value", 2, c) for c in (9, 20, 49)
    ]
    assert found.findings[0].help == "Did you mean beta_rules?"
    assert "Install the package" in found.findings[1].help
    assert "says the same as item 3" in found.findings[2].message
    assert found.exit_status(None) == 2


def test_two_plugins_with_one_rule_name(tree: Tree, install: Install) -> None:
    install("beta_rules", rule_module("beta"))
    install("gamma_rules", rule_module("beta"))
    project(tree, "rules: [beta_rules, gamma_rules]\n")
    found = lint("waterlint.yaml")
    assert "and so does beta_rules" in found.findings[0].message
    assert found.exit_status(None) == 2


def test_two_packages_under_one_name(tree: Tree, install: Install) -> None:
    install("beta_rules", rule_module("beta"), name="house")
    install("gamma_rules", rule_module("gamma"), name="house")
    folder = project(tree, "rules: [house]\n")
    assert "several installed packages" in lint().findings[0].message
    (folder / "waterlint.yaml").write_text("waterlint: config/1\nrules: [gamma_rules]\n")
    assert [each[0] for each in told(lint())] == ["gamma"]


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("return 1", "TypeError"),
        ("return None", "TypeError"),
        ("return ['text']", "something of the type str"),
        ("check(case)", "RecursionError"),
        ("raise SystemExit(0)", "SystemExit"),
        ("1 / 0", "ZeroDivisionError"),
        (
            "while True: yield case.finding('{name}', 'note', '', 'again')",
            "more than 1000 findings",
        ),
        ("yield case.finding('mash-ph', 'note', '', 'x')", "under the name 'mash-ph'"),
        ("yield case.finding('{name}', 'loud', '', 'x')", "the level 'loud'"),
        ("yield case.finding('{name}', 'note', '', '')", "without a message"),
        ("yield case.finding('{name}', 'note', '', 1)", "message is no text"),
        ("yield case.finding('{name}', 'note', '', 'x', value=float('nan'))", "no finite number"),
        ("yield case.finding('{name}', 'note', '', 'x', unit=1)", "unit is no text"),
        ("yield case.finding('{name}', 'note', '', 'x', related=('y',))", "related place"),
    ],
)
def test_a_rule_that_fails_is_told_and_the_others_run(
    tree: Tree, install: Install, body: str, words: str
) -> None:
    install("beta_rules", rule_module("beta", body))
    project(tree, "rules: [beta_rules]\n", recipe("additions: [{add: baking-soda, kettle: 2 g}]"))
    found = lint()
    assert [each.rule for each in found.findings] == ["rule-crashed", "alkali-after-mash"]
    assert "the rule beta failed" in found.findings[0].message
    assert words in found.findings[0].message
    assert found.exit_status(None) == 2


def test_no_code_of_the_project_is_run(
    tree: Tree, install: Install, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = project(tree, "rules: [beta_rules]\n")
    install("beta_rules", "raise SystemError('run')", folder=folder)
    for entry in ("", ".", str(folder)):
        monkeypatch.syspath_prepend(entry)
    assert "no installed package adds rules" in lint().findings[0].message
    assert "beta_rules" not in sys.modules


def test_no_module_of_the_project_stands_in_for_an_installed_one(
    tree: Tree, install: Install, monkeypatch: pytest.MonkeyPatch
) -> None:
    install("beta_rules", "import beta_tools\n" + rule_module("beta"))
    folder = project(tree, "rules: [beta_rules]\n")
    for name in ("beta_rules", "beta_tools"):
        (folder / f"{name}.py").write_text("raise SystemError('run')")
    monkeypatch.syspath_prepend("")
    monkeypatch.syspath_prepend(str(folder))
    before = list(sys.path)
    (finding,) = lint().findings
    assert "ModuleNotFoundError: No module named 'beta_tools'" in finding.message
    assert sys.path == before


def test_a_package_whose_module_lies_in_the_project_is_refused(
    tree: Tree, install: Install, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = project(tree, "rules: [beta_rules]\n")
    (folder / "beta_rules.py").write_text("raise SystemError('run')")
    site = install("beta_rules", "")
    (site / "beta_rules.py").unlink()
    # As an editable install leaves it, or a link.
    (site / "beta_rules.py").symlink_to(folder / "beta_rules.py")
    assert "lies in the project itself" in lint().findings[0].message
    assert "beta_rules" not in sys.modules


def test_explain_tells_a_plugin_that_cannot_be_loaded(
    tree: Tree, install: Install, capsys: pytest.CaptureFixture[str]
) -> None:
    project(tree, "rules: [beta_rules]\n")
    assert main(["explain", "mash-ph"]) == 0
    assert "waterlint.yaml:2:9: no installed package" in capsys.readouterr().err
    assert main(["explain", "beta"]) == 2


def test_show_config_says_what_plugins_there_are(
    tree: Tree, install: Install, capsys: pytest.CaptureFixture[str]
) -> None:
    install("beta_rules", rule_module("beta"))
    project(tree, "rules: [beta_rules]\nlevels: {beta: note}\n")
    assert main(["check", "--show-config", "a.yaml"]) == 0
    lines = [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()]
    assert "rules beta_rules (waterlint.yaml:2)" in lines
    assert "levels.beta note (waterlint.yaml:3)" in lines
