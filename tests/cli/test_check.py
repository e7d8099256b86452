"""`waterlint check` as it is called: streams, formats and exit status."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.recent import RECENT
from waterlint.cli.main import main

WATER = """\
waterlint: water/1
name: Lock Cottage well
sampled: RECENT
ph: 7.2
ions:
  calcium: 52 mg/L
  magnesium: 5 mg/L
  sodium: 12 mg/L
  chloride: 30 mg/L
  sulfate: 41 mg/L
alkalinity: 94 mg/L as CaCO3
""".replace("RECENT", RECENT)

RECIPE = """\
waterlint: recipe/1
name: Lock Cottage porter
batch: {volume: 20 L, boil: 60 min, evaporation: 3 L, losses: 1 L}
water:
  mash:   {volume: 14 L, from: waters/well.yaml}
  sparge: {volume: 14 L, from: reverse-osmosis}
mash: {mill_gap: 1.1 mm}
grist:
  - {malt: pale malt, kind: pale,    mass: 4.0 kg, color: 5 EBC}
  - {malt: chocolate, kind: roasted, mass: 300 g,  color: 900 EBC}
additions:
  - {add: calcium-chloride, form: dihydrate, mash: 1.5 g, sparge: 1.5 g}
"""

SODA = "  - {add: baking-soda, kettle: 2 g}\n"


class Done(NamedTuple):
    """What a call left behind."""

    returncode: int
    stdout: str
    stderr: str


Call = Callable[..., Done]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "waters").mkdir()
    (tmp_path / "waters/well.yaml").write_text(WATER, encoding="utf-8")
    (tmp_path / "porter.yaml").write_text(RECIPE, encoding="utf-8")
    return tmp_path


@pytest.fixture
def call(folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Call:
    """The command line as a function: a process for each call would take most of the time."""
    monkeypatch.chdir(folder)
    monkeypatch.setenv("COLUMNS", "100")

    def run(*arguments: str, stdin: str = "") -> Done:
        stream = io.TextIOWrapper(io.BytesIO(stdin.encode("utf-8")), encoding="utf-8")
        monkeypatch.setattr(sys, "stdin", stream)
        status = main(arguments)
        captured = capsys.readouterr()
        return Done(status, captured.out, captured.err)

    return run


def findings(done: Done) -> list[tuple[object, ...]]:
    return [
        (each["rule"], each["level"], each["path"], each["line"], each["column"])
        for each in json.loads(done.stdout)["findings"]
    ]


def test_a_process_gives_what_the_function_gives(folder: Path, call: Call) -> None:
    (folder / "porter.yaml").write_text(RECIPE + SODA, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "waterlint", "check", "--format", "json"],
        cwd=folder,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert Done(done.returncode, done.stdout, done.stderr) == call("check", "--format", "json")


def test_a_clean_folder(call: Call) -> None:
    done = call("check", "--as-of", "2026-11-01")
    assert (done.returncode, done.stdout, done.stderr) == (0, "2 files: nothing to report\n", "")


def test_a_folder_that_is_left_out_is_no_clean_one(folder: Path, call: Call) -> None:
    (folder / "waterlint.yaml").write_text(
        "waterlint: config/1\nexclude: ['*', '**/*']\n", encoding="utf-8"
    )
    (folder / "empty").mkdir()
    told = "0 files: nothing was looked at; `waterlint check --show-files` says why\n"
    for path in (".", "empty"):
        done = call("check", path)
        assert (done.returncode, done.stdout, done.stderr) == (0, told, "")


def test_a_warning_fails_unless_only_errors_shall(folder: Path, call: Call) -> None:
    (folder / "porter.yaml").write_text(RECIPE + SODA, encoding="utf-8")
    done = call("check", "porter.yaml")
    assert done.returncode == 1
    assert done.stdout.startswith("porter.yaml:13:32: warning: baking soda in the kettle")
    assert (
        "  13 |   - {add: baking-soda, kettle: 2 g}\n     |                                ^^^\n"
        in (done.stdout)
    )
    assert call("check", "porter.yaml", "--fail-on", "error").returncode == 0
    assert call("check", "porter.yaml", "--fail-on", "never").returncode == 0


def test_a_rule_is_given_another_level(folder: Path, call: Call) -> None:
    (folder / "porter.yaml").write_text(RECIPE + SODA, encoding="utf-8")
    done = call("check", "--format", "json", "--rule", "alkali-after-mash=error")
    assert findings(done) == [("alkali-after-mash", "error", "porter.yaml", 13, 32)]
    assert call("check", "--rule", "alkali-after-mash=off").returncode == 0
    assert call("check", "--rule", "alkali-after-mash=note").returncode == 0
    assert call("check", "--rule", "alkali-after-mash=note", "--fail-on", "note").returncode == 1


def test_json_has_the_counts_of_the_contract(folder: Path, call: Call) -> None:
    (folder / "porter.yaml").write_text(RECIPE + SODA, encoding="utf-8")
    report = json.loads(call("check", "--format", "json").stdout)
    assert report["summary"] == {
        "files": 2,
        "error": 0,
        "warning": 1,
        "note": 0,
        "accepted": 0,
        "baseline": 0,
    }


def test_the_same_input_gives_the_same_bytes(folder: Path, call: Call) -> None:
    (folder / "porter.yaml").write_text(RECIPE + SODA, encoding="utf-8")
    first = call("check", "--format", "json", "--as-of", "2026-11-01").stdout
    assert call("check", "--format", "json", "--as-of", "2026-11-01").stdout == first
    named = call("check", "porter.yaml", "waters", "--format", "json", "--as-of", "2026-11-01")
    assert named.stdout == first


def test_standard_input_stands_where_it_is_said_to(folder: Path, call: Call) -> None:
    done = call(
        "check", "-", "--stdin-name", "porter.yaml", "--format", "json", stdin=RECIPE + SODA
    )
    assert done.returncode == 1
    assert findings(done) == [("alkali-after-mash", "warning", "porter.yaml", 13, 32)]
    # A folder that is not there yet may be named too; its water is then not found.
    done = call("check", "-", "--stdin-name", "new/a.yaml", "--format", "json", stdin=RECIPE)
    assert findings(done)[0][0] == "unresolved-water"


def test_standard_input_needs_a_name(call: Call) -> None:
    done = call("check", "-", stdin=RECIPE)
    assert done.returncode == 2
    assert "--stdin-name" in done.stderr


def test_a_report_in_a_file_besides(folder: Path, call: Call) -> None:
    done = call("check", "--output", "json=report.json")
    assert done.returncode == 0 and done.stdout.endswith("nothing to report\n")
    assert json.loads((folder / "report.json").read_text(encoding="utf-8"))["findings"] == []


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("check", "--format", "xml"), "invalid choice"),
        (("check", "--rule", "alkali-after-mash"), "NAME=LEVEL"),
        (("check", "--rule", "alkali-after-mash=loud"), "off, note, warning or error"),
        (("check", "--rule", "alkali-after-mesh=off"), "did you mean alkali-after-mash?"),
        (("check", "--rule", "invalid-yaml=off"), "keeps its level"),
        (("check", "--as-of", "yesterday"), "2026-03-14"),
        (("check", "--config", "nowhere.yaml"), "there is no file nowhere.yaml"),
        (("check", "--allow-root", "nowhere"), "there is no folder nowhere"),
        (("check", "--output", "json"), "FORMAT=FILE"),
        (
            ("check", "--output=json=r.json", "--output=sarif=./r.json"),
            "r.json is named twice; name two files",
        ),
        (("check", "--output", "json=no/such/folder.json"), "cannot be written: No such file"),
        (("chek",), "Did you mean `waterlint check`?"),
        (("explain", "mash-hp"), "did you mean mash-ph"),
        (("schema", "beer"), "invalid choice"),
        (("predict",), "RECIPE"),
    ],
)
def test_a_wrong_call_is_told_with_status_2(
    call: Call, arguments: tuple[str, ...], words: str
) -> None:
    done = call(*arguments)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("text", "rule", "place", "status"),
    [
        ("", "not-a-waterlint-file", (1, 1), 1),
        ("# only a comment\n", "not-a-waterlint-file", (1, 1), 1),
        ("- a list\n", "not-a-waterlint-file", (1, 1), 1),
        ("on: push\n", "not-a-waterlint-file", (1, 1), 1),
        (RECIPE.replace("14 L, from: w", "-14 L, from: w"), "bad-quantity", (5, 20), 1),
        (RECIPE.replace("14 L, from: w", "0 L, from: w"), "bad-value", (5, 20), 1),
        (RECIPE.replace("14 L, from: w", "14 stone, from: w"), "bad-quantity", (5, 20), 1),
        (RECIPE.replace("14 L, from: w", "14, from: w"), "bad-quantity", (5, 20), 1),
        (RECIPE.replace("well.yaml", "wall.yaml"), "unresolved-water", (5, 32), 1),
        (RECIPE.replace("{mill_gap: 1.1 mm}", "[1.1 mm]"), "wrong-type", (7, 7), 1),
        (RECIPE + "notes: [\n", "invalid-yaml", (13, 8), 1),
    ],
)
def test_bad_input_is_a_finding_with_its_place(
    folder: Path, call: Call, text: str, rule: str, place: tuple[int, int], status: int
) -> None:
    (folder / "bad.yaml").write_text(text, encoding="utf-8")
    done = call("check", "--format", "json", "bad.yaml", "porter.yaml")
    assert "Traceback" not in done.stderr
    assert done.returncode == status
    assert findings(done) == [(rule, "error", "bad.yaml", *place)]


def test_what_cannot_be_read_gives_status_2(folder: Path, call: Call) -> None:
    (folder / "utf16.yaml").write_bytes("waterlint: recipe/1\n".encode("utf-16"))
    done = call("check", "--format", "json", "utf16.yaml", "nowhere.yaml", "porter.yaml")
    assert done.returncode == 2
    assert [(each[0], each[2]) for each in findings(done)] == [
        ("unreadable-file", "nowhere.yaml"),
        ("unreadable-file", "utf16.yaml"),
    ]


def test_a_broken_configuration_gives_status_2(folder: Path, call: Call) -> None:
    (folder / "waterlint.yaml").write_text(
        "waterlint: config/1\nlevels: {alkali-after-mesh: off}\n", encoding="utf-8"
    )
    done = call("check", "--format", "json", "porter.yaml")
    assert done.returncode == 2
    assert findings(done) == [("unknown-key", "error", "waterlint.yaml", 2, 10)]


def test_configuration_levels_ranges_and_exclude(folder: Path, call: Call) -> None:
    (folder / "attic").mkdir()
    (folder / "attic/old.yaml").write_text("waterlint: recipe/1\n", encoding="utf-8")
    (folder / "porter.yaml").write_text(RECIPE + SODA, encoding="utf-8")
    (folder / "waterlint.yaml").write_text(
        "waterlint: config/1\n"
        "exclude: [attic/**]\n"
        "levels: {alkali-after-mash: off}\n"
        "ranges: {sodium: .. 20 mg/L}\n",
        encoding="utf-8",
    )
    done = call("check", "--format", "json")
    assert findings(done) == [("kettle-only-excess", "warning", "porter.yaml", 13, 32)]
    # An excluded file that is named is read all the same.
    assert call("check", "attic/old.yaml").returncode == 1


def test_show_files_and_show_config_lint_nothing(folder: Path, call: Call) -> None:
    (folder / "porter.yaml").write_text(RECIPE + SODA, encoding="utf-8")
    (folder / "ci.yaml").write_text("on: push\n", encoding="utf-8")
    (folder / ".hidden").mkdir()
    (folder / "node_modules").mkdir()
    (folder / "notes.md").write_text("Brew days.\n", encoding="utf-8")
    done = call("check", "--show-files")
    assert done.returncode == 0
    assert done.stdout.splitlines() == [
        "porter.yaml: found in .",
        "waters/well.yaml: found in .",
        ".hidden: skipped: a hidden folder",
        "ci.yaml: skipped: its first key is not waterlint",
        "node_modules: skipped: a folder of other programs",
    ]
    done = call("check", "--show-config", "porter.yaml", "--rule", "mash-ph=off")
    assert done.returncode == 0
    assert "the command line" in done.stdout and "built in" in done.stdout


def test_a_report_is_told_once_in_its_own_file(folder: Path, call: Call) -> None:
    old = WATER.replace(RECENT, "2024-09-01")
    (folder / "waters/well.yaml").write_text(old, encoding="utf-8")
    (folder / "second.yaml").write_text(RECIPE, encoding="utf-8")
    for arguments in (("porter.yaml", "second.yaml"), (".",)):
        done = call("check", "--format", "json", "--as-of", "2026-11-01", *arguments)
        assert findings(done) == [("report-age", "warning", "waters/well.yaml", 3, 10)]
    # Alone, a report that no recipe of the call uses may be as old as it likes.
    done = call("check", "--as-of", "2026-11-01", "waters/well.yaml")
    assert done.returncode == 0


def test_a_closed_pipe_is_no_crash(folder: Path) -> None:
    (folder / "porter.yaml").write_text(RECIPE + SODA, encoding="utf-8")
    command = f"{sys.executable} -m waterlint check porter.yaml | true"
    done = subprocess.run(
        ["bash", "-c", command], cwd=folder, capture_output=True, text=True, check=False
    )
    assert done.stderr == ""


def test_output_that_the_stream_cannot_show_is_escaped(folder: Path) -> None:
    (folder / "porter.yaml").write_text(
        RECIPE.replace("kind: pale, ", "kind: p\u00e4le, "), encoding="utf-8"
    )
    done = subprocess.run(
        [sys.executable, "-m", "waterlint", "check", "porter.yaml"],
        cwd=folder,
        capture_output=True,
        check=False,
        env=os.environ | {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONIOENCODING": "ascii"},
    )
    assert done.returncode == 1
    assert b"p\\xe4le" in done.stdout and done.stderr == b""


@pytest.mark.parametrize("option", ["--output=json=porter.yaml", "--output=sarif=waters/well.yaml"])
def test_a_report_takes_no_recipe_s_place(folder: Path, call: Call, option: str) -> None:
    name = option.rpartition("=")[2]
    before = (folder / name).read_bytes()
    done = call("check", option)
    assert done.returncode == 2 and "is a YAML file that is there already" in done.stderr
    assert (folder / name).read_bytes() == before
