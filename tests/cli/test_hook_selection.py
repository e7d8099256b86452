"""What the hook looks at and says of it, without pre-commit."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.hooked import FAULTY, RECIPE, WATER
from waterlint.cli.hook import run
from waterlint.cli.main import main

Tree = Callable[..., Path]
Capture = pytest.CaptureFixture[str]


def _git(*arguments: str) -> None:
    command = ["git", "-c", "user.name=B", "-c", "user.email=b@example.org", *arguments]
    subprocess.run(command, check=True, capture_output=True)


@pytest.fixture
def committed(tree: Tree) -> Path:
    """Four recipes on one report, of which two are faulty since long, and what is none of ours."""
    folder = tree(
        {
            "a.yaml": RECIPE,
            "b.yaml": FAULTY,
            "c.yaml": FAULTY,
            "d.yaml": RECIPE,
            "other.yaml": RECIPE.replace("waters/well.yaml", "distilled"),
            "attic/old.yaml": FAULTY,
            "waters/well.yaml": WATER,
            "waterlint.yaml": "waterlint: config/1\nexclude: [attic]\n",
            "ci.yaml": "on: push\n",
            "notes.md": "Brew days.\n",
        }
    )
    _git("init", "-q")
    _git("add", "-A")
    _git("commit", "-q", "-m", "first")
    return folder


def _stage(folder: Path, name: str, text: str) -> None:
    (folder / name).write_text(text, encoding="utf-8")
    _git("add", name)


def test_a_faulty_dependent_has_its_reason_and_the_others_are_counted(
    committed: Path, capsys: Capture
) -> None:
    _stage(committed, "waters/well.yaml", WATER.replace("7.2", "7.3"))
    assert run(["waters/well.yaml"]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[:3] == [
        "b.yaml: checked because waters/well.yaml changed",
        "c.yaml: checked because waters/well.yaml changed",
        "2 files without findings: checked because waters/well.yaml changed",
    ]
    assert lines[3].startswith("b.yaml:12:")
    assert "other.yaml" not in "".join(lines) and "attic" not in "".join(lines)


def test_a_pass_says_why_too(committed: Path, capsys: Capture) -> None:
    for name in ("b.yaml", "c.yaml", "d.yaml"):
        _git("rm", "-q", name)
    _git("commit", "-q", "-m", "fewer")
    _stage(committed, "waters/well.yaml", WATER.replace("7.2", "7.3"))
    assert run(["waters/well.yaml"]) == 0
    assert capsys.readouterr().out == (
        "1 file without findings: checked because waters/well.yaml changed\n"
    )


def test_a_handed_file_needs_no_reason(committed: Path, capsys: Capture) -> None:
    _stage(committed, "waters/well.yaml", WATER.replace("7.2", "7.3"))
    _stage(committed, "b.yaml", FAULTY + "# again\n")
    assert run(["waters/well.yaml", "b.yaml"]) == 1
    out = capsys.readouterr().out
    assert out.startswith("c.yaml: checked because")
    assert out.count("b.yaml:12:") == 1


@pytest.mark.parametrize("reverse", [False, True])
def test_split_calls_tell_every_changed_file_once(
    committed: Path, capsys: Capture, reverse: bool
) -> None:
    """Each call looks after the dependents of all that is staged, whatever it is handed."""
    _stage(committed, "waters/well.yaml", WATER.replace("7.2", "7.3"))
    _stage(committed, "b.yaml", FAULTY + "# again\n")
    calls = [["b.yaml"], ["waters/well.yaml"]]
    outputs = []
    for call in reversed(calls) if reverse else calls:
        assert run(call) == 1
        outputs.append(capsys.readouterr().out)
    assert "".join(outputs).count("b.yaml:12:") == 1
    assert all("c.yaml: checked because waters/well.yaml changed" in each for each in outputs)


def test_every_changed_configuration_on_the_way_counts(committed: Path, capsys: Capture) -> None:
    _stage(committed, "house.yaml", "waterlint: config/1\n")
    _stage(committed, "waterlint.yaml", "waterlint: config/1\nextends: house.yaml\n")
    _git("commit", "-q", "-m", "house")
    _stage(committed, "house.yaml", "waterlint: config/1\nranges: {calcium: .. 5 mg/L}\n")
    assert run(["house.yaml"]) == 1
    out = capsys.readouterr().out
    assert "a.yaml: checked because house.yaml changed, on which waterlint.yaml builds\n" in out
    assert "a.yaml:" in out.partition("builds\n")[2] and "[batch-calcium]" in out


def test_show_files_gives_every_reason(committed: Path, capsys: Capture) -> None:
    _stage(committed, "waters/well.yaml", WATER.replace("7.2", "7.3"))
    call = ["waters/well.yaml", "attic/old.yaml", "ci.yaml", "notes.md", "--show-files"]
    assert run(call) == 0
    assert capsys.readouterr().out.splitlines() == [
        "waters/well.yaml: handed over by the hook",
        "a.yaml: checked because waters/well.yaml changed",
        "b.yaml: checked because waters/well.yaml changed",
        "c.yaml: checked because waters/well.yaml changed",
        "d.yaml: checked because waters/well.yaml changed",
        "attic/old.yaml: skipped: excluded by attic (waterlint.yaml:2)",
        "ci.yaml: skipped: its first key is not waterlint",
        "notes.md: skipped: no YAML file by its name",
    ]


@pytest.mark.parametrize("name", ["--fail-on=never.yaml", "--config=other.yaml", "-x.yaml", "--"])
def test_a_file_is_no_option_whatever_its_name(committed: Path, capsys: Capture, name: str) -> None:
    (committed / name).write_text(FAULTY, encoding="utf-8")
    assert run(["a.yaml", name, "b.yaml"]) == 1
    out = capsys.readouterr().out
    assert "b.yaml:12:" in out
    assert (f"{name}:12:" in out) is name.endswith(".yaml")


def test_options_pass_through(committed: Path, capsys: Capture) -> None:
    _stage(committed, "a.yaml", RECIPE + "  - {add: baking-soda, kettle: 2 g}\n")
    assert run(["a.yaml"]) == 1
    assert run(["--fail-on", "error", "a.yaml"]) == 0
    assert "[alkali-after-mash]" in capsys.readouterr().out
    assert run(["--rule", "alkali-after-mash=off", "a.yaml"]) == 0
    assert run(["--fail-on", "nothing", "a.yaml"]) == 2


@pytest.mark.parametrize("call", [[], ["notes.md"], ["a", "b.txt"]])
def test_nothing_to_do(committed: Path, capsys: Capture, call: list[str]) -> None:
    _stage(committed, "notes.md", "Brew days and others.\n")
    assert run(call) == 0
    assert capsys.readouterr().out == ""


def test_a_report_that_is_not_valid_any_more(committed: Path, capsys: Capture) -> None:
    """Its faults are told in its own file, once, and its recipes are no reason for more."""
    _stage(committed, "waters/well.yaml", WATER.replace("94 mg/L as CaCO3", "94"))
    assert run(["waters/well.yaml"]) == 1
    assert capsys.readouterr().out.count("waters/well.yaml:11:") == 1


def test_without_git_the_handed_files_are_linted(tree: Tree, capsys: Capture) -> None:
    folder = tree({"b.yaml": FAULTY, "waters/well.yaml": WATER})
    assert not (folder / ".git").exists()
    assert run(["b.yaml", os.fspath(folder / "waters/well.yaml")]) == 1
    assert "b.yaml:12:" in capsys.readouterr().out


def test_a_neighbour_of_the_repository_is_left_alone(tree: Tree, capsys: Capture) -> None:
    """A recipe beside the repository may name its water, and is none of its own for that."""
    folder = tree({"inner/a.yaml": RECIPE, "inner/waters/well.yaml": WATER}) / "inner"
    (folder.parent / "b.yaml").write_text(RECIPE.replace("waters/", "inner/waters/"), "utf-8")
    os.chdir(folder)
    _git("init", "-q")
    _stage(folder, "waters/well.yaml", WATER)
    assert run(["waters/well.yaml", "--show-files"]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "waters/well.yaml: handed over by the hook",
        "a.yaml: checked because waters/well.yaml was added",
    ]


def test_a_file_that_is_handed_over_unchanged_counts_once(committed: Path, capsys: Capture) -> None:
    _stage(committed, "waters/well.yaml", WATER.replace("7.2", "7.3"))
    assert run(["a.yaml", "waters/well.yaml", "--show-files"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line for line in lines if line.startswith("a.yaml")] == [
        "a.yaml: handed over by the hook"
    ]


def test_a_report_may_have_any_name(committed: Path, capsys: Capture) -> None:
    """A commit without a YAML file is looked at where some YAML file names one of its own."""
    (committed / "waters/well.txt").write_text(WATER, encoding="utf-8")
    for name in "abcd":
        text = (committed / f"{name}.yaml").read_text(encoding="utf-8")
        (committed / f"{name}.yaml").write_text(text.replace("well.yaml", "well.txt"), "utf-8")
    _git("add", "-A")
    _git("commit", "-q", "-m", "another name")
    _stage(committed, "notes.md", "No brew day.\n")
    assert (run(["notes.md"]), capsys.readouterr().out) == (0, "")
    _stage(committed, "waters/well.txt", WATER.replace("7.2", "7.3"))
    assert run(["notes.md", "waters/well.txt"]) == 1
    assert "b.yaml: checked because waters/well.txt changed" in capsys.readouterr().out
    _git("rm", "-q", "--force", "waters/well.txt")
    assert run([]) == 1
    assert "a.yaml: checked because waters/well.txt was deleted" in capsys.readouterr().out


def test_links_on_the_way_to_a_report(committed: Path, capsys: Capture) -> None:
    (committed / "well-of-2").mkdir()
    (committed / "well-of-2/well.yaml").write_text(WATER.replace("52 mg/L", "520 mg/L"), "utf-8")
    (committed / "now").symlink_to("waters")
    text = RECIPE.replace("waters/well.yaml", "now/well.yaml")
    (committed / "a.yaml").write_text(text, encoding="utf-8")
    (committed / "linked.yaml").symlink_to("original.txt")
    (committed / "original.txt").write_text(RECIPE, encoding="utf-8")
    _git("add", "-A")
    _git("commit", "-q", "-m", "links")
    (committed / "now").unlink()
    (committed / "now").symlink_to("well-of-2")
    _git("add", "-A")
    assert run([]) == 1
    assert "a.yaml: checked because now changed" in capsys.readouterr().out
    _git("rm", "-q", "--force", "now")
    assert run([]) == 1
    assert "a.yaml: checked because now was deleted" in capsys.readouterr().out
    _git("reset", "-q", "--hard")
    _stage(committed, "original.txt", FAULTY)
    assert run([]) == 1
    assert "linked.yaml: checked because original.txt changed" in capsys.readouterr().out
    _stage(committed, "d.yaml", f"# a comment\n{RECIPE}")
    assert run(["d.yaml"]) == 1
    assert "linked.yaml: checked because original.txt changed" in capsys.readouterr().out


def test_a_report_in_a_submodule_is_kept(tmp_path: Path, committed: Path, capsys: Capture) -> None:
    origin = tmp_path / "waters-of-all"
    origin.mkdir()
    (origin / "well.yaml").write_text(WATER, encoding="utf-8")
    _git("-C", str(origin), "init", "-q")
    _git("-C", str(origin), "add", "-A")
    _git("-C", str(origin), "commit", "-q", "-m", "waters")
    _git("-c", "protocol.file.allow=always", "submodule", "add", "-q", str(origin), "all")
    _stage(committed, "a.yaml", RECIPE.replace("waters/well.yaml", "all/well.yaml"))
    run(["a.yaml"])
    assert "untracked-water" not in capsys.readouterr().out


def test_a_baseline_brings_what_it_holds_for(committed: Path, capsys: Capture) -> None:
    config = "waterlint: config/1\nexclude: [attic]\nbaseline: known.json\n"
    (committed / "waterlint.yaml").write_text(config, encoding="utf-8")
    assert main(["check", "--update-baseline"]) == 0
    _git("add", "-A")
    _git("commit", "-q", "-m", "known")
    assert main(["check"]) == 0
    known = (committed / "known.json").read_text(encoding="utf-8")
    assert '"path": "b.yaml"' in known
    _stage(committed, "known.json", '{"waterlint": "baseline/1", "findings": []}\n')
    capsys.readouterr()
    for options in ([], ["--no-cache"]):
        assert run([*options, "known.json"]) == 1
        assert "b.yaml: checked because known.json changed" in capsys.readouterr().out
    _git("rm", "-q", "--force", "known.json")
    assert run([]) == 1
    assert "b.yaml: checked because known.json was deleted" in capsys.readouterr().out


def test_where_git_does_not_answer_it_is_said(committed: Path, capsys: Capture) -> None:
    (committed / ".git/config").write_text("[core", encoding="utf-8")
    run(["a.yaml"])
    assert "git does not say what is staged" in capsys.readouterr().err


def test_a_name_begins_no_line_of_its_own(committed: Path, capsys: Capture) -> None:
    """Neither for a CI service, which takes `::error` at a line's begin for a command."""
    name = "b\n::error title=x::y\x1b[2J\u202e.yaml"
    _stage(committed, name, FAULTY)
    assert run([name]) == 1
    told = capsys.readouterr()
    assert "b\\n::error title=x::y\\x1b[2J\\u202e.yaml:" in told.out
    for text in (told.out, told.err):
        assert not any(line.startswith("::") for line in text.splitlines())
        assert "\x1b" not in text and "\u202e" not in text
