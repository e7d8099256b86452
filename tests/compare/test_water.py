"""A new water report in the place of an old one: what is told, and that nothing is written."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft7Validator
from markdown_it import MarkdownIt

from tests.compare.state import DAY, FILES, GOLDEN, HARD, PORTER, SAME, WELL, goldens, made
from waterlint.cli.main import main
from waterlint.output import comparison_markdown
from waterlint.source.schema import load_schema

Tree = Callable[..., Path]
Capture = pytest.CaptureFixture[str]
NEW = "waters/well.yaml=waters/2027.yaml"


def compared(capsys: Capture, *arguments: str, status: int) -> dict[str, Any]:
    """What the JSON says; it fits its schema."""
    assert main(["compare", "--format", "json", *DAY, *arguments]) == status
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    Draft7Validator(load_schema("compare")).validate(told)
    return told


def refused(capsys: Capture, *arguments: str) -> str:
    """What a wrong call is told, on one line or two."""
    assert main(["compare", *arguments]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    return captured.err


@pytest.mark.parametrize("name", ["comparison.txt", "comparison.md", "comparison.json"])
def test_goldens(tree: Tree, name: str) -> None:
    tree(FILES)
    assert goldens(made())[name] == (GOLDEN / name).read_text(encoding="utf-8")


def test_figures_findings_and_order(tree: Tree, capsys: Capture) -> None:
    folder = tree(FILES)
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    told = compared(capsys, "--water", NEW, "ales", status=1)
    assert told["summary"] == {"falling_out": 1, "changed": 1, "same": 0}
    first, second = told["recipes"]
    assert (first["path"], first["falls_out"]) == ("ales/porter.yaml", True)
    assert (second["path"], second["falls_out"]) == ("ales/blended.yaml", False)
    figures = {(row["quantity"], row["vessel"]): row for row in first["figures"]}
    # 1.5 g of CaCl2·2H2O over 14 L bring 1500 × 40.078 / 147.01 / 14 = 29.2 mg/L.
    calcium = figures["calcium", "mash"]
    assert calcium["before"]["value"] == pytest.approx(52 + 29.2, abs=0.05)
    assert calcium["after"]["value"] == pytest.approx(152 + 29.2, abs=0.05)
    assert figures["sodium", "batch"]["before"] == figures["sodium", "batch"]["after"]
    (warning, note) = first["appearing"]
    assert (warning["finding"]["rule"], warning["before"]) == ("mash-ph", None)
    assert note["finding"]["rule"] == "mash-calcium"
    assert before == {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_the_same_figures_are_no_change(tree: Tree, capsys: Capture) -> None:
    tree({**FILES, "waters/2027.yaml": SAME})
    told = compared(capsys, "--water", NEW, status=0)
    assert told["recipes"] == []
    assert told["summary"] == {"falling_out": 0, "changed": 0, "same": 2}


@pytest.mark.parametrize(("least", "status"), [("note", 1), ("warning", 1), ("error", 0)])
def test_what_fails_decides(tree: Tree, capsys: Capture, least: str, status: int) -> None:
    tree(FILES)
    told = compared(capsys, "--water", NEW, "--fail-on", least, status=status)
    assert [each["falls_out"] for each in told["recipes"]] == (
        [True, False] if status else [False] * 2
    )


def test_a_finding_that_becomes_graver_appears_and_a_milder_one_goes(
    tree: Tree, capsys: Capture
) -> None:
    soft, hard = WELL.replace("calcium: 52", "calcium: 140"), HARD.replace("152", "190")
    tree({"waters/well.yaml": soft, "waters/2027.yaml": hard, "ales/porter.yaml": PORTER})

    def of_calcium(changes: list[dict[str, Any]]) -> list[tuple[str, str | None]]:
        return [
            (each["finding"]["level"], each.get("before", each.get("now")))
            for each in changes
            if each["finding"]["rule"] == "mash-calcium"
        ]

    (recipe,) = compared(capsys, "--water", NEW, status=1)["recipes"]
    assert of_calcium(recipe["appearing"]) == [("warning", "note")]
    back = "waters/2027.yaml=waters/well.yaml"
    tree({"ales/porter.yaml": PORTER.replace("well.yaml", "2027.yaml")})
    (recipe,) = compared(capsys, "--water", back, status=0)["recipes"]
    assert of_calcium(recipe["going"]) == [("warning", "note")]
    assert of_calcium(recipe["appearing"]) == []


def test_too_little_and_too_much_are_two_findings(tree: Tree, capsys: Capture) -> None:
    soft = WELL.replace("calcium: 52", "calcium: 1").replace("alkalinity: 94", "alkalinity: 10")
    bare = PORTER.replace("additions:\n", "").replace(
        "  - {add: calcium-chloride, form: dihydrate, mash: 1.5 g, sparge: 1.5 g}\n", ""
    )
    tree({"waters/well.yaml": soft, "waters/2027.yaml": HARD, "ales/porter.yaml": bare})
    (recipe,) = compared(capsys, "--water", NEW, status=1)["recipes"]
    for changes, word in ((recipe["appearing"], "above"), (recipe["going"], "below")):
        (calcium,) = [each for each in changes if each["finding"]["rule"] == "mash-calcium"]
        assert word in calcium["finding"]["message"]


def test_a_link_to_the_old_report_leads_to_the_new_one(tree: Tree, capsys: Capture) -> None:
    folder = tree({**FILES, "ales/porter.yaml": PORTER.replace("well.yaml", "current.yaml")})
    (folder / "waters/current.yaml").symlink_to("well.yaml")
    for arguments in (("ales",), ("ales/porter.yaml",)):
        told = compared(capsys, "--water", NEW, *arguments, status=1)
        assert told["recipes"][0]["path"] == "ales/porter.yaml"


def test_the_new_reports_own_faults_are_told_in_its_own_file(tree: Tree, capsys: Capture) -> None:
    lopsided = HARD.replace("chloride: 83", "chloride: 3")
    tree({**FILES, "waters/2027.yaml": lopsided})
    told = compared(capsys, "--water", NEW, status=1)
    (file,) = told["files"]
    assert (file["path"], file["old_path"]) == ("waters/2027.yaml", "waters/well.yaml")
    (balance,) = file["appearing"]
    assert (balance["finding"]["rule"], balance["finding"]["line"]) == ("ion-balance", 5)


def test_a_report_from_outside_the_project(tree: Tree, capsys: Capture, tmp_path: Path) -> None:
    tree(FILES)
    (tmp_path / "a=b.yaml").write_text(HARD, encoding="utf-8")
    told = compared(capsys, "--water", f"waters/well.yaml={tmp_path}/a=b.yaml", status=1)
    assert told["question"] == "../a=b.yaml in the place of waters/well.yaml"


def test_what_a_baseline_holds_is_not_new(tree: Tree, capsys: Capture) -> None:
    hold = "waterlint: config/1\nbaseline: known.json\n"
    tree({"waters/well.yaml": HARD, "ales/porter.yaml": PORTER, "waterlint.yaml": hold})
    assert main(["check", "--update-baseline", *DAY]) == 0
    capsys.readouterr()
    tree({"waters/well.yaml": WELL, "waters/2027.yaml": HARD})
    told = compared(capsys, "--water", NEW, status=0)
    assert [each["appearing"] for each in told["recipes"]] == [[]]


def test_no_recipe_uses_it(tree: Tree, capsys: Capture) -> None:
    tree({"waters/well.yaml": WELL, "waters/2027.yaml": HARD})
    assert main(["compare", "--water", NEW]) == 0
    assert capsys.readouterr().out.endswith("\n\nNo recipe depends on what changed.\n")


@pytest.mark.parametrize(
    ("water", "told"),
    [
        (
            "waters/wel.yaml=waters/2027.yaml",
            "--water: waters/wel.yaml: there is no such file. Did you mean well.yaml?",
        ),
        ("waters/well.yaml=gone.yaml", "--water: gone.yaml: there is no such file."),
        ("waters/well.yaml", "--water takes OLD=NEW, two water reports"),
        ("=x", "--water takes OLD=NEW"),
        ("waters/well.yaml=ales/porter.yaml", "ales/porter.yaml holds no water report"),
        ("waters/well.yaml=waters/broken.yaml", "waters/broken.yaml:4:1: "),
        ("waters/well.yaml=ales", "--water: ales: this is a folder, not a file."),
    ],
)
def test_wrong_calls(tree: Tree, capsys: Capture, water: str, told: str) -> None:
    tree({**FILES, "waters/broken.yaml": HARD.replace("ph:", "pee:")})
    assert told in refused(capsys, "--water", water)


def test_a_link_that_leads_out_of_the_project_is_not_read(
    tree: Tree, capsys: Capture, tmp_path: Path
) -> None:
    (tmp_path / "secret.yaml").write_text("password: 1234\n", encoding="utf-8")
    folder = tree(FILES)
    (folder / ".git").mkdir()
    (folder / "waters/new.yaml").symlink_to(tmp_path / "secret.yaml")
    told = refused(capsys, "--water", "waters/well.yaml=waters/new.yaml")
    assert told.startswith("waterlint: --water: waters/new.yaml: a symbolic link leads out")


def test_one_of_two_questions(tree: Tree, capsys: Capture) -> None:
    tree(FILES)
    assert "one of the arguments --water --rev is required" in refused(capsys)
    assert "not allowed with" in refused(capsys, "--water", NEW, "--rev", "HEAD")
    assert "there is no file or folder nowhere" in refused(capsys, "--water", NEW, "nowhere")


def test_remedies_take_the_new_water(tree: Tree, capsys: Capture) -> None:
    pytest.importorskip("scipy.optimize")
    folder = tree(FILES)
    told = compared(capsys, "--water", NEW, "--suggest", "ales", status=1)
    first, second = told["recipes"]
    assert second["remedy"] is None and second["without_remedy"] is None
    assert [each["rule"] for each in first["remedy"]["cleared"]] == ["mash-ph"]
    assert first["remedy"]["doses"] and first["remedy"]["left"] == []
    assert (folder / "ales/porter.yaml").read_text(encoding="utf-8") == PORTER
    for name in ("text", "markdown"):
        assert main(["compare", "--water", NEW, "--suggest", "--format", name, *DAY]) == 1
        assert "Remedy:" in capsys.readouterr().out


def test_a_hostile_name_stays_a_heading(tree: Tree) -> None:
    tree(FILES)
    tokens = MarkdownIt("commonmark").enable("table").parse(goldens(made())["comparison.md"])
    headings = [tokens[n + 1] for n, token in enumerate(tokens) if token.type == "heading_open"]
    shown = ["".join(child.content for child in each.children or []) for each in headings]
    assert shown == ["waterlint", "Lock Cottage porter: falls out", "Half | *and* half: changed"]


def test_a_comment_stays_within_its_limit_and_says_what_it_leaves_out(tree: Tree) -> None:
    tree(FILES)
    comparison = made()
    first, *_ = comparison.recipes
    many = tuple(replace(first, name=f"porter {number}") for number in range(100))
    shown = comparison_markdown.render(replace(comparison, recipes=many))
    assert len(shown) <= 65_536
    kept = shown.count("### porter ")
    assert 0 < kept < 100
    left = f"{100 - kept} more are left out here: a comment may take 64 KiB at most."
    assert shown.endswith(f"\n\n{left}\n")
