"""Whatever a finding hangs on may change: what is remembered is then found anew."""

from __future__ import annotations

import ast
import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.cache.conftest import BLEND, EXCUSED, PROJECT, SODA, WATERS, Check, Done
from tests.plugins.conftest import Install, rule_module
from waterlint import judging
from waterlint.cache import quick, whole
from waterlint.rules import registry
from waterlint.rules.samples import recipe, report

FORMATS = ("json", "text", "sarif", "junit", "markdown", "github", "gitlab")


@pytest.fixture(autouse=True, params=[1, 10_000], ids=["whole", "by file"])
def least_files(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> int:
    """From how many files on the outcome of a whole call is kept."""
    least: int = request.param
    monkeypatch.setattr(whole, "LEAST_FILES", least)
    return least


@pytest.fixture
def recalls(monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """Takes up, for each call, whether everything in it was remembered."""
    told: list[bool] = []
    whole = quick.quick_run

    def watched(*arguments: object, **options: object) -> quick.Quick | None:
        outcome = whole(*arguments, **options)  # type: ignore[arg-type]
        told.append(outcome is not None)
        return outcome

    monkeypatch.setattr(quick, "quick_run", watched)
    return told


def same(check: Check, *arguments: str) -> Done:
    """The remembered outcome, equal to the one without a memory, twice."""
    cold = check(*arguments, "--no-cache")
    first, second = check(*arguments), check(*arguments)
    assert (first, second) == (cold, cold)
    return cold


def rules(done: Done) -> set[object]:
    """The rules that report something."""
    return {each["rule"] for each in done.findings}


def test_a_second_run_finds_nothing_out_and_says_the_same(
    project: Path, check: Check, recalls: list[bool]
) -> None:
    done = same(check, ".")
    assert {"bad-quantity", "unresolved-water", "report-age", "stale-baseline"} <= rules(done)
    summary = json.loads(done.out)["summary"]
    assert (summary["accepted"], summary["baseline"], summary["files"]) == (1, 1, 10)
    assert recalls == [False, True]


def test_of_a_whole_call_nothing_is_put_together(
    project: Path, check: Check, least_files: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[bool] = []
    known = whole.whole_run

    def watched(*arguments: object) -> quick.Quick | None:
        outcome = known(*arguments)  # type: ignore[arg-type]
        told.append(outcome is not None)
        return outcome

    monkeypatch.setattr(whole, "whole_run", watched)
    done = [check("."), check("."), check("waters"), check("."), check(".")]
    assert done[0] == done[1] == done[3] == done[4] != done[2]
    assert told == ([False, True, False, False, True] if least_files == 1 else [False] * 5)


def test_a_configuration_that_was_excluded_is_checked_when_it_is_excluded_no_more(
    project: Path, check: Check
) -> None:
    """That a search passed over a file that was read all the same does not say what it is."""
    (project / "ales" / "waterlint.yaml").write_text("waterlint: config/1\nnonsense: 1\n")
    config = project / "waterlint.yaml"
    text = config.read_text()
    config.write_text(text.replace("attic/**", "attic/**, ales/*.yaml"))
    files = json.loads(same(check, ".").out)["summary"]["files"]
    config.write_text(text)
    assert json.loads(same(check, ".").out)["summary"]["files"] == files + 6


@pytest.mark.parametrize("name", FORMATS)
def test_every_format(project: Path, check: Check, name: str) -> None:
    assert same(check, ".", "--format", name).out


def write(name: str, text: str) -> Callable[[Path], None]:
    """A change: a file with this text."""

    def change(folder: Path) -> None:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")

    return change


def remove(name: str) -> Callable[[Path], None]:
    """A change: a file is no longer there."""
    return lambda folder: (folder / name).unlink()


def edit(name: str, old: str, new: str) -> Callable[[Path], None]:
    """A change in a file's text."""

    def change(folder: Path) -> None:
        text = (folder / name).read_text(encoding="utf-8")
        assert old in text
        (folder / name).write_text(text.replace(old, new), encoding="utf-8")

    return change


def link(name: str, target: str) -> Callable[[Path], None]:
    """A change: a symbolic link in the place of a file."""

    def change(folder: Path) -> None:
        (folder / name).unlink(missing_ok=True)
        (folder / name).symlink_to(target)

    return change


def folder_for(name: str) -> Callable[[Path], None]:
    """A change: a folder in the place of a file."""

    def change(folder: Path) -> None:
        (folder / name).unlink()
        (folder / name).mkdir()

    return change


CHANGES: dict[str, Callable[[Path], None]] = {
    "a recipe": edit("ales/a.yaml", "2 g", "9 g"),
    "a recipe is added": write("ales/new.yaml", recipe(*WATERS, SODA)),
    "a recipe is gone": remove("ales/a.yaml"),
    "a recipe becomes another program's": write("ales/a.yaml", "jobs: 1\n"),
    "another program's file becomes a recipe": write("ales/ci.yaml", recipe(*WATERS, SODA)),
    "a recipe becomes unreadable": lambda folder: (folder / "ales/a.yaml").write_bytes(b"\xff\xfe"),
    "a recipe becomes a link": link("ales/a.yaml", "b.yaml"),
    "a recipe becomes a link out": link("ales/a.yaml", "/etc/hostname"),
    "an exception": edit("ales/b.yaml", "accept alkali-after-mash", "accept batch-sodium"),
    "an exception goes": edit("ales/b.yaml", "# waterlint: accept mash-ph", "# accept mash-ph"),
    "a report": edit("waters/well.yaml", "15 mg/L", "85 mg/L"),
    "a report's day": edit("waters/old.yaml", "2019-02-03", "2026-10-03"),
    "a report is gone": remove("waters/old.yaml"),
    "a report becomes a link": link("waters/old.yaml", "well.yaml"),
    "a report becomes a folder": folder_for("waters/old.yaml"),
    "a report becomes a recipe": write("waters/old.yaml", recipe()),
    "a report gets an error": edit("waters/old.yaml", "56 mg/L", "56"),
    "a missing report appears": write("waters/wel.yaml", report()),
    "a name like the missing one appears": write("waters/well2.yaml", report()),
    "the configuration": edit("waterlint.yaml", ".. 20 mg/L", ".. 8 mg/L"),
    "the configuration gets an error": edit("waterlint.yaml", "mg/L}", "mg}"),
    "the configuration is gone": remove("waterlint.yaml"),
    "what it excludes": edit("waterlint.yaml", "attic/**", "ales/two.yaml"),
    "what it builds on": edit("house/base.yaml", "mash-ph: note", "kettle-only-excess: off"),
    "what it builds on is gone": remove("house/base.yaml"),
    "what it builds on builds on more": write(
        "house/base.yaml", "waterlint: config/1\nextends: x\n"
    ),
    "a nearer configuration": write("ales/waterlint.yaml", "waterlint: config/1\n"),
    "a nearer one with another name": write("ales/waterlint.yml", "waterlint: config/1\n"),
    "a nearer project": write("ales/.git/HEAD", "ref: refs/heads/main\n"),
    "no project": lambda folder: shutil.rmtree(folder / ".git"),
    "the baseline": edit("known.json", "ales/a.yaml", "ales/two.yaml"),
    "the baseline is broken": write("known.json", "{"),
    "the baseline is gone": remove("known.json"),
    "what only the baseline speaks of is gone": remove("ales/ci.yaml"),
    "a folder becomes a cache": write("ales/CACHEDIR.TAG", "Signature: whatever\n"),
    "a folder is hidden": lambda folder: (folder / "ales").rename(folder / ".ales"),
}


#: What changes nothing for these files, and may be remembered or not.
UNNOTICED = (
    "a name like the missing one appears",
    "a nearer one with another name",
    "no project",
)


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES.keys())
def test_a_change_is_noticed(project: Path, check: Check, change: Callable[[Path], None]) -> None:
    before = check(".")
    change(project)
    after = same(check, ".")
    if change not in [CHANGES[name] for name in UNNOTICED]:
        assert after.out != before.out


@pytest.mark.parametrize(
    "options",
    [
        ("--as-of", "2019-03-01"),
        ("--as-of", "2030-01-01"),
        ("--rule", "alkali-after-mash=error"),
        ("--rule", "report-age=off"),
        ("--config", "house/base.yaml"),
        ("--baseline", "other.json", "--update-baseline"),
        ("--allow-root", ".."),
        ("--fail-on", "error"),
        ("ales/a.yaml",),
        ("attic/gone.yaml",),
        ("waters",),
        ("waters/unused.yaml", "ales/c.yaml"),
        ("ales/ci.yaml",),
        ("nothing.yaml",),
        ("ales/a.yaml", "ales"),
    ],
    ids=" ".join,
)
def test_another_call_is_another_call(
    project: Path, check: Check, options: tuple[str, ...]
) -> None:
    paths = () if options[0].endswith("yaml") or options[0] == "waters" else (".",)
    check(".")
    same(check, *paths, *options)
    same(check, ".")


def test_a_baseline_that_changes_while_the_outcome_is_kept(
    project: Path, check: Check, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep = whole.keep

    def late(*arguments: object) -> None:
        edit("known.json", "ales/a.yaml", "ales/two.yaml")(project)
        keep(*arguments)  # type: ignore[arg-type]

    with monkeypatch.context() as patched:
        patched.setattr(whole, "keep", late)
        before = check(".")
    assert same(check, ".").out != before.out or whole.LEAST_FILES > 1


def test_the_day_comes_from_no_memory(project: Path, check: Check, recalls: list[bool]) -> None:
    edit("waters/well.yaml", "2026-03-14", "2019-02-01")(project)
    young = check(".", "--as-of", "2019-03-01")
    old = check(".", "--as-of", "2026-11-01")
    assert rules(old) - rules(young) == {"report-age"}
    assert check(".", "--as-of", "2026-11-01") == old
    assert recalls == [False, False, True]
    # What is quiet on a day was quiet before.
    assert "report-age" not in rules(check(".", "--as-of", "2019-02-28"))
    assert recalls[-1]


def test_a_day_that_is_to_come_comes_from_no_memory(
    project: Path, check: Check, recalls: list[bool]
) -> None:
    edit("waters/well.yaml", "2026-03-14", "2029-03-14")(project)
    remove("waters/old.yaml")(project)
    ahead = check(".", "--as-of", "2026-11-01")
    assert "report-age" in rules(ahead)
    assert "report-age" not in rules(check(".", "--as-of", "2029-06-01"))
    # What is quiet on a day was not so before, and a clock may be set back.
    assert check(".", "--as-of", "2026-11-01") == ahead
    assert "report-age" not in rules(check(".", "--as-of", "2029-06-02")) and recalls[-1]


def test_who_uses_a_report_comes_from_no_memory(project: Path, check: Check) -> None:
    check(".")
    message = next(
        str(each["message"])
        for each in same(check, "ales/a.yaml").findings
        if each["rule"] == "report-age"
    )
    assert message.endswith("It is used by ales/a.yaml")
    assert "report-age" not in same(check, "waters").out


def test_from_another_folder(
    project: Path, check: Check, monkeypatch: pytest.MonkeyPatch, recalls: list[bool]
) -> None:
    check(".")
    monkeypatch.chdir(project / "ales")
    done = same(check, ".")
    assert {"a.yaml", "../waters/old.yaml"} <= {str(each["path"]) for each in done.findings}
    monkeypatch.chdir(project)
    check(".")
    assert recalls == [False, False, True, True]


def test_a_project_that_was_moved(
    project: Path, check: Check, monkeypatch: pytest.MonkeyPatch, recalls: list[bool]
) -> None:
    before = check(".")
    moved = project.with_name("moved")
    project.rename(moved)
    monkeypatch.chdir(moved)
    assert check(".") == before
    assert recalls == [False, False]


def test_a_change_of_this_program_is_noticed(
    project: Path, check: Check, recalls: list[bool], monkeypatch: pytest.MonkeyPatch
) -> None:
    check(".")
    monkeypatch.setattr("waterlint.project.cache_folder.__version__", "0.0.0")
    check(".")
    assert recalls == [False, False]


def test_no_other_rule_looks_at_the_day_the_users_or_the_index() -> None:
    """What a verdict says is kept beyond the day, so rules that look at it are known by name."""
    looks: dict[str, set[str]] = {}
    for path in sorted(Path(registry.__file__).parent.glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef):
                seen = {each.attr for each in ast.walk(node) if isinstance(each, ast.Attribute)}
                for word in seen & {"today", "used_by", "untracked"}:
                    looks.setdefault(word, set()).add(node.name)
    assert looks == {
        "today": {"report_age"},
        "used_by": {"report_age"},
        "untracked": {"untracked_water"},
    }
    assert (judging.AGING, judging.TRACKING) == ("report-age", "untracked-water")


PLUGIN = 'yield case.finding("{name}", "warning", "/name", f"on {{case.today}}, {{case.used_by}}")'


def test_a_plugin_its_code_and_what_it_looks_at(
    project: Path, check: Check, install: Install, recalls: list[bool]
) -> None:
    site = install("acme_kept", rule_module("acme-kept", PLUGIN))
    with (project / "waterlint.yaml").open("a", encoding="utf-8") as file:
        file.write("rules: [acme_kept]\n")
    done = same(check, ".")
    assert "on 2026-11-01" in done.out
    assert recalls == [False, True]
    assert "on 2026-11-02" in same(check, ".", "--as-of", "2026-11-02").out
    same(check, ".", "--format", "sarif")
    # The module is loaded already in this process; that its file changed must be noticed.
    (site / "acme_kept.py").write_text(rule_module("acme-kept", PLUGIN) + "\n")
    recalls.clear()
    check(".")
    check(".")
    assert recalls == [False, True]


TEXTS = st.sampled_from(
    [
        recipe(*WATERS, SODA),
        recipe(BLEND, WATERS[1], EXCUSED),
        recipe("  mash: {volume: 15 L, from: ../waters/wel.yaml}", WATERS[1]),
        recipe(*WATERS).replace("20 L", "20"),
        report("  sodium: 15 mg/L"),
        report("sampled: 2019-02-03"),
        "waterlint: config/1\nranges: {sodium: .. 9 mg/L}\n",
        "waterlint: config/1\nextends: ../house/base.yaml\nexclude: ['*a.yaml']\n",
        "jobs: 1\n",
        "",
    ]
)
NAMES = st.sampled_from(
    [
        *("ales/a.yaml", "ales/b.yaml", "waters/well.yaml", "waters/wel.yaml", "waters/old.yaml"),
        *("ales/waterlint.yaml", "house/base.yaml", "waterlint.yaml", "known.json"),
    ]
)


@settings(
    max_examples=5,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.lists(st.tuples(NAMES, st.none() | TEXTS), min_size=1, max_size=4))
def test_any_series_of_edits(
    project: Path, check: Check, edits: list[tuple[str, str | None]]
) -> None:
    for name, text in PROJECT.items():
        (project / name).write_text(text, encoding="utf-8")
    (project / "ales/waterlint.yaml").unlink(missing_ok=True)
    (project / "waters/wel.yaml").unlink(missing_ok=True)
    for name, text in edits:
        if text is None:
            (project / name).unlink(missing_ok=True)
        else:
            (project / name).write_text(text, encoding="utf-8")
        assert check(".") == check(".", "--no-cache")
