"""All formats of one real run, and what asking for one of them costs."""

from __future__ import annotations

import json
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import jsonschema
import pytest
import xmlschema

from tests.conftest import Tree
from tests.output.reported import SCHEMAS, outcome
from waterlint.cli.main import main
from waterlint.output.formats import FORMATS

RECIPE = """\
waterlint: recipe/1
name: Slipway 🍺 pale ale
batch: {volume: 20 L, evaporation: 3 L, losses: 1 L}
water:
  mash: {vollume: 15 L, from: ./well.yaml}
mash: {mil_gap: 1 mm}
"""
MILD = """\
waterlint: recipe/1
name: Slipway mild
batch: {volume: 20 L, evaporation: 3 L, losses: 1 L}
water:
  mash: {volume: 15 L, from: ./well.yaml}
  sparge: {volume: 13.5 L, from: ./well.yaml}
mash: {mill_gap: 1 mm, temperature: 66 °C}
grist:
  - {malt: pale malt, kind: pale, mass: 4.2 kg, color: 6 EBC}
  - {malt: light crystal, kind: crystal, mass: 300 g, color: 60 EBC}
additions:
  # waterlint: accept alkali-after-mash because the old <book> | says so
  - {add: baking-soda, kettle: 1 g}
"""
WELL = """\
waterlint: water/1
name: Quarry Lane well
sampled: 2026-03-14
ph: 7.4
ions: {calcium: 56 mg/L, magnesium: 6 mg/L, sodium: 11 mg/L, chloride: 60 mg/L, sulfate: 61 mg/L}
alkalinity: 40 mg/L as CaCO3
"""
FILES = {
    "ales/pale.yaml": RECIPE,
    "ales/mild.yaml": MILD,
    "ales/well.yaml": WELL,
    "ales/hops.yaml": "hops: many\n",
}


def run(tree: Tree, *options: str) -> int:
    tree(FILES)
    return main(["check", "ales", "--as-of", "2026-06-01", *options])


def test_the_formats_are_those_of_the_contract() -> None:
    assert list(FORMATS) == ["text", "json", "sarif", "github", "gitlab", "junit", "markdown"]


@pytest.mark.parametrize("name", FORMATS)
def test_the_same_outcome_gives_the_same_bytes(name: str) -> None:
    report = FORMATS[name](outcome())
    assert report == FORMATS[name](outcome())
    assert report.endswith("\n")


def test_every_format_of_one_run(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    names = [name for name in FORMATS if name != "markdown"]
    outputs = [text for name in names for text in ("--output", f"{name}=reports.{name}")]
    assert run(tree, "--format", "markdown", *outputs) == 1
    assert "### `ales/pale.yaml`" in capsys.readouterr().out
    sarif = json.loads(Path("reports.sarif").read_bytes())
    schema = json.loads((SCHEMAS / "sarif-schema-2.1.0.json").read_bytes())
    jsonschema.Draft4Validator(schema).validate(sarif)
    results = sarif["runs"][0]["results"]
    report = json.loads(Path("reports.json").read_bytes())
    assert len(results) == len(report["findings"]) + len(report["accepted"])
    (excused,) = [result for result in results if result["suppressions"]]
    assert excused["suppressions"][0]["justification"] == "the old <book> | says so"
    assert len(json.loads(Path("reports.gitlab").read_bytes())) == len(report["findings"])
    xmlschema.XMLSchema10(str(SCHEMAS / "junit-10.xsd")).validate("reports.junit")
    cases = ET.parse("reports.junit").getroot().findall("testsuite/testcase")
    assert [(case.get("name"), len(case)) for case in cases] == [
        ("ales/mild.yaml", 1),
        ("ales/pale.yaml", 1),
        ("ales/well.yaml", 0),
    ]
    annotations = Path("reports.github").read_text(encoding="utf-8").splitlines()
    assert len(annotations) == len(report["findings"]) + 1
    assert "ales/pale.yaml:5:10: error:" in Path("reports.text").read_text(encoding="utf-8")


@pytest.mark.parametrize(("least", "tag"), [("error", "failure"), ("never", "system-out")])
def test_a_case_fails_as_the_run_does(
    least: str, tag: str, tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    status = run(tree, "--format", "junit", "--fail-on", least)
    cases = ET.fromstring(capsys.readouterr().out).findall("testsuite/testcase")
    assert [(case.get("name"), [each.tag for each in case]) for case in cases] == [
        ("ales/mild.yaml", ["system-out"]),
        ("ales/pale.yaml", [tag]),
        ("ales/well.yaml", []),
    ]
    assert status == int(tag == "failure")


def test_columns_of_a_real_file_are_utf_16(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    tree({"a.yaml": RECIPE.replace("🍺 pale ale", '🍺 "pale" ale').replace("name: ", "🍺: ")})
    main(["check", "a.yaml", "--format", "sarif"])
    results = json.loads(capsys.readouterr().out)["runs"][0]["results"]
    (region,) = [
        result["locations"][0]["physicalLocation"]["region"]
        for result in results
        if "`🍺`" in result["message"]["text"]
    ]
    assert region == {"startLine": 2, "startColumn": 1, "endLine": 2, "endColumn": 3}


def test_an_unknown_format_is_a_wrong_call(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tree, "--output", "yaml=x") == 2
    assert "with text, json, sarif, github, gitlab, junit or markdown" in capsys.readouterr().err


def test_a_format_is_imported_only_when_it_is_asked_for() -> None:
    code = "import sys, waterlint.cli.check; print(*sorted(sys.modules))"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, check=True, text=True
    ).stdout.split()
    unwanted = {f"waterlint.output.{name}" for name in FORMATS} | {"xml.etree.ElementTree"}
    assert "waterlint.output.formats" in loaded
    assert not unwanted & set(loaded)
