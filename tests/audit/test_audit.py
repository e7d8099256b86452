"""`waterlint audit`: rows, order, filters, and the formats."""

from __future__ import annotations

import csv
import io
import json
from typing import Any

import pytest
from jsonschema import Draft7Validator

from waterlint.audit.choose import BadChoice, Filter, arranged, read_condition
from waterlint.cli.main import main
from waterlint.finding import FILE_START, Finding, Level
from waterlint.output.audit import Audit, Row
from waterlint.output.audit_csv import render as render_csv
from waterlint.output.audit_text import render as render_text
from waterlint.prediction.result import Figure
from waterlint.source.schema import load_schema

RECIPE = """\
waterlint: recipe/1
name: {name}
style: {style}
batch: {{volume: 20 L}}
water:
  mash: {{volume: 16 L, from: ./well.yaml}}
  sparge: {{volume: 12 L, from: distilled}}
grist:
  - {{malt: pale malt, kind: pale, mass: 4.5 kg, color: 6 EBC}}
additions:
  - {{add: gypsum, mash: 2 g}}
  - {{add: calcium-chloride, form: dihydrate, mash: 2 g}}
  - {{add: table-salt, kettle: {salt} g}}
"""

WELL = """\
waterlint: water/1
name: Well
sampled: 2026-08-01
ph: 7.4
ions: {calcium: 40 mg/L, magnesium: 5 mg/L, sodium: 10 mg/L, chloride: 20 mg/L, sulfate: 25 mg/L}
alkalinity: 90 mg/L as CaCO3
"""


def recipe(name: str = "Sluice", style: str = "best-bitter", salt: float = 1.0) -> str:
    return RECIPE.format(name=name, style=style, salt=salt)


FILES = {
    "well.yaml": WELL,
    "a.yaml": recipe("Zostera", "irish-stout", 0.5),
    "b.yaml": recipe("Breakwater", "best-bitter", 9.0),
    "c.yaml": recipe("Calluna").replace("volume: 20 L", "volum: 20 L"),
    "d.yaml": "waterlint: recipe/1\nname: [",
    "e.yaml": "waterlint: water/1\nname: [",
}


def audit(*arguments: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    status = main(["audit", "--as-of", "2026-09-01", *arguments])
    return status, capsys.readouterr().out


def audit_json(*arguments: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, dict[str, Any]]:
    status, out = audit("--format", "json", *arguments, capsys=capsys)
    made = json.loads(out)
    assert not list(Draft7Validator(load_schema("audit")).iter_errors(made))
    return status, made


def test_every_recipe_has_a_row_those_with_errors_too(tree: Any, capsys: Any) -> None:
    tree(FILES)
    status, made = audit_json(capsys=capsys)
    assert status == 1
    rows = {row["path"]: row for row in made["recipes"]}
    assert list(rows) == ["a.yaml", "b.yaml", "c.yaml", "d.yaml"]
    assert [row["read"] for row in rows.values()] == [True, True, False, False]
    assert rows["c.yaml"]["name"] == "Calluna" and rows["c.yaml"]["worst"] == "error"
    assert rows["d.yaml"]["worst_rule"] == "invalid-yaml"
    assert rows["b.yaml"]["worst"] == "warning"
    assert "kettle-only-excess" in {each["rule"] for each in rows["b.yaml"]["findings"]}
    assert rows["b.yaml"]["beyond"]["sodium"] == "warning"
    assert {each["path"] for each in made["other_findings"]} == {"e.yaml"}
    assert made["summary"]["recipes"] == made["summary"]["shown"] == 4
    assert made["summary"]["error"] == 2


def test_what_may_be_a_recipe_has_its_row(tree: Any, capsys: Any) -> None:
    tree(
        {
            "well.yaml": WELL,
            "a.yaml": recipe().replace("recipe/1", "recip/1"),
            "b.yaml": b"waterlint: recipe/1\nname: \xff\n",
            "c.yaml": recipe("One") + "---\n" + recipe("Two").replace("mash: 2 g", "mash: 2"),
            "d.yaml": "waterlint: config/1\nexclude: x\n",
        }
    )
    _, made = audit_json(capsys=capsys)
    found = [
        (row["path"], row["document"], row["name"], row["read"], row["worst"] == "error")
        for row in made["recipes"]
    ]
    assert found == [
        ("a.yaml", 0, "Sluice", False, True),
        ("b.yaml", 0, "", False, True),
        ("c.yaml", 0, "One", True, False),
        ("c.yaml", 1, "Two", False, True),
    ]


def test_figures_are_those_of_predict(tree: Any, capsys: Any) -> None:
    tree({"well.yaml": WELL, "b.yaml": recipe(salt=9.0)})
    _, made = audit_json("b.yaml", capsys=capsys)
    main(["predict", "b.yaml", "--format", "json"])
    (predicted,) = json.loads(capsys.readouterr().out)["predictions"]
    (row,) = made["recipes"]
    for vessel in ("batch", "mash"):
        ions = predicted[f"{vessel}_water"]["ions_mg_l"]
        spread = predicted[f"{vessel}_water"]["ions_sd_mg_l"]
        for ion, figure in row[f"{vessel}_ions_mg_l"].items():
            assert figure["value"] == pytest.approx(ions[ion], rel=1e-4, abs=1e-4)
            assert figure["high"] - figure["value"] == pytest.approx(
                spread[ion], rel=1e-2, abs=1e-3
            )
    assert row["mash_ph"]["low"] == pytest.approx(predicted["mash"]["ph_low"], abs=1e-4)


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        ([], ["Zostera", "Breakwater", "Calluna", ""]),
        (["--sort", "name"], ["Breakwater", "Calluna", "Zostera", ""]),
        (["--sort", "name", "--reverse"], ["Zostera", "Calluna", "Breakwater", ""]),
        (["--sort", "sodium"], ["Zostera", "Breakwater", "Calluna", ""]),
        (["--sort", "sodium", "--reverse"], ["Breakwater", "Zostera", "Calluna", ""]),
        (["--sort", "worst"], ["Calluna", "", "Breakwater", "Zostera"]),
        (["--worst", "error"], ["Calluna", ""]),
        (["--worst", "warning"], ["Breakwater", "Calluna", ""]),
        (["--style", "*-stout"], ["Zostera"]),
        (
            ["--style", "irish-stout", "--style", "best-bitter"],
            ["Zostera", "Breakwater", "Calluna"],
        ),
        (["--found", "kettle-only-excess"], ["Breakwater"]),
        (["--where", "sodium > 60"], ["Breakwater"]),
        (["--where", "sodium<=60", "--where", "calcium>=1"], ["Zostera"]),
    ],
)
def test_sorted_and_filtered(
    arguments: list[str], expected: list[str], tree: Any, capsys: Any
) -> None:
    tree(FILES)
    status, made = audit_json(*arguments, capsys=capsys)
    assert [row["name"] for row in made["recipes"]] == expected
    assert status == 1  # of the collection, whatever is shown
    assert made["summary"]["recipes"] == 4


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["--where", "sodium"], "--where takes a figure"),
        (["--where", "taste > 3"], "--where knows mash_ph"),
        (
            ["--where", "sodium = 60"],
            "without a unit, such as 'sodium > 60', not 'sodium = 60'; the",
        ),
        (["--where", "sodium = 60"], "the figures are mash_ph, residual_alkalinity, calcium, "),
        (["--where", "sodium > 1e3"], "--where takes a number without a unit, such as"),
        (["--where", "sodium > 60 mg/L"], "not '60 mg/L'; ions are in mg/L, residual"),
        (["--where", "mash pH > 5.4"], "not 'mash pH'; did you mean mash_ph?\n"),
        (["--where", "sodum > 60"], "not 'sodum'; did you mean sodium?\n"),
        (["--where", "> 60"], "not ''\n"),
        (["--found", "kettle-only-exces"], "did you mean kettle-only-excess?"),
        (["--style", "irsh-stout"], "--style: there is no style 'irsh-stout'; did you mean irish-"),
        (["--style", "*-stout", "--style", "nope"], "there is no style 'nope'; patterns such as"),
        (["--page", "no/such/page.html"], "there is no folder no/such"),
        (["--page", "."], "is a folder"),
    ],
)
def test_a_wrong_call(arguments: list[str], word: str, tree: Any, capsys: Any) -> None:
    tree({"well.yaml": WELL})
    assert main(["audit", *arguments]) == 2
    assert word in capsys.readouterr().err


def test_a_style_of_the_house_is_no_wrong_call(tree: Any, capsys: Any) -> None:
    style = "styles: {quay-ale: {emphasis: balanced, color: 5 .. 9 SRM, basis: ours}}"
    tree(
        {
            "waterlint.yaml": f"waterlint: config/1\n{style}\n",
            "well.yaml": WELL,
            "a.yaml": recipe("Zostera", "quay-ale"),
            "b.yaml": FILES["b.yaml"],
        }
    )
    _, made = audit_json("--style", "quay-*", capsys=capsys)
    assert [row["name"] for row in made["recipes"]] == ["Zostera"]


def test_a_file_that_is_not_there_is_told_and_has_no_row(tree: Any, capsys: Any) -> None:
    tree(FILES)
    told = "nowhere.yaml:1:1: error: there is no such file [unreadable-file]\n"
    assert main(["audit", "nowhere.yaml"]) == 2
    captured = capsys.readouterr()
    assert captured.out == "" and captured.err.startswith(told)
    assert main(["audit", "--format", "json", "a.yaml", "nowhere.yaml"]) == 2
    captured = capsys.readouterr()
    assert [row["path"] for row in json.loads(captured.out)["recipes"]] == ["a.yaml"]
    assert captured.err.startswith(told)


@pytest.mark.parametrize(
    ("least", "status"), [("error", 0), ("warning", 1), ("note", 1), ("never", 0)]
)
def test_the_exit_status_is_that_of_check(least: str, status: int, tree: Any, capsys: Any) -> None:
    tree({"well.yaml": WELL, "b.yaml": FILES["b.yaml"]})
    assert audit("--fail-on", least, capsys=capsys)[0] == status
    assert main(["check", "--as-of", "2026-09-01", "--fail-on", least]) == status


def test_nothing_but_the_table_is_said_where_nobody_looks(tree: Any, capsys: Any) -> None:
    tree(FILES)
    main(["audit", "--as-of", "2026-09-01"])
    assert capsys.readouterr().err == ""


def test_an_empty_collection_says_so(tree: Any, capsys: Any) -> None:
    tree({"well.yaml": WELL})
    status, out = audit(capsys=capsys)
    assert status == 0
    assert out.startswith("There is no recipe: 1 file looked at.")
    assert audit_json(capsys=capsys)[1]["recipes"] == []


@pytest.mark.parametrize("width", [40, 60, 80, 100, 140, 200])
def test_the_table_fits_the_terminal(
    width: int, tree: Any, capsys: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    tree(
        {
            **FILES,
            "f.yaml": recipe("夜の" * 60),
            "g.yaml": recipe('"e\u0301\u202e' + "x" * 300 + '"'),
        }
    )
    monkeypatch.setenv("COLUMNS", str(width))
    _, out = audit(capsys=capsys)
    lines = out.split("\n\n")[0].splitlines()
    assert len(lines) == 7
    wide = sum(2 for character in lines[5] if character in "夜の")
    assert len(lines[5]) + wide // 2 <= max(width, 52)
    assert all(len(line) <= max(width, 52) for line in lines[:5])
    assert "mash pH" in lines[0] and "worst finding" in lines[0]
    assert "\u202e" not in out


def row(name: str, level: Level | None = None, **figures: float) -> Row:
    found = () if level is None else (Finding("r", level, "p", FILE_START, "=cmd()"),)
    made = {key: Figure(value, 0.5) for key, value in figures.items()}
    return Row("p", 0, name, None, figures=made, findings=found)


@pytest.mark.parametrize(
    "name", ["=1+1", "+1", "-2", "@SUM(A1)", " \t=1", "＝1", '=HYPERLINK("x")', "\r=1"]
)
def test_no_cell_of_text_is_a_formula(name: str) -> None:
    made = render_csv(Audit((row(name, "note", residual_alkalinity=-26.0),), 1, 1))
    head, cells = list(csv.reader(io.StringIO(made)))
    found = dict(zip(head, cells, strict=True))
    assert found["recipe"].startswith("'")
    assert found["worst_message"] == "'=cmd()"
    assert found["residual_alkalinity_mg_l_caco3"] == "-26"  # a figure stays one


def test_a_figure_beyond_its_range_is_marked_and_levels_are_coloured() -> None:
    made = Row("p", 0, "Sluice", None, {"sodium": Figure(120.0, 3.0)}, {}, {"sodium": "warning"})
    assert "120!" in render_text(Audit((made,), 1, 1), width=200)
    noted = render_text(Audit((row("Sluice", "note"),), 1, 1), color=True, width=200)
    assert "\x1b[36mnote\x1b[0m r" in noted


@pytest.mark.parametrize(
    ("shown", "whole", "told"),
    [
        (1, 1, "1 recipe: 1 with nothing found"),
        (1, 12, "1 of 12 recipes: 1 with nothing found"),
        (0, 12, "0 of 12 recipes: none is as the filters ask"),
    ],
)
def test_the_last_line_counts(shown: int, whole: int, told: str) -> None:
    made = render_text(Audit((row("Sluice"),) * shown, whole, whole + 1))
    assert made.splitlines()[-1] == told


def test_what_is_not_known_comes_last_either_way() -> None:
    rows = [row("a"), row("b", sodium=2.0), row("c", sodium=1.0)]
    for reverse, expected in ((False, "cba"), (True, "bca")):
        assert "".join(each.name for each in arranged(rows, "sodium", reverse=reverse)) == expected


def test_a_condition_is_read_and_kept() -> None:
    condition = read_condition(" mash_ph<=5.3 ")
    assert condition.holds(row("a", mash_ph=5.3)) and not condition.holds(row("a", mash_ph=5.31))
    assert not condition.holds(row("a"))
    with pytest.raises(BadChoice):
        read_condition("mash_ph = 5.3")
    assert Filter(worst="none").admits(row("a")) and not Filter(worst="none").admits(
        row("a", "note")
    )
