"""The same findings on any terminal and under any locale, with the caret under what is meant."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.hostile.corpus import NEIGHBOUR, RECIPE, WELL, put
from waterlint.output.excerpt import width_of

_HEAD = "import sys; from waterlint.cli.main import main; sys.exit(main())"

#: Surroundings that a program meets in the wild; each is put in place of all of ours.
SURROUNDINGS = {
    "C": {"LANG": "C", "LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    "ASCII": {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
    "Latin 1": {"PYTHONIOENCODING": "latin-1", "LANG": "C"},
    "UTF-16": {"PYTHONIOENCODING": "utf-16"},
    "nothing": {},
    "a locale that is not there": {"LANG": "xx_XX.NOWHERE", "LC_ALL": "xx_XX.NOWHERE"},
    "dumb": {"TERM": "dumb", "LANG": "C.UTF-8"},
    "no color": {"NO_COLOR": "1", "TERM": "xterm-256color", "LANG": "C.UTF-8"},
    "narrow": {"COLUMNS": "40", "LANG": "C.UTF-8"},
    "very narrow": {"COLUMNS": "1", "LANG": "C.UTF-8"},
    "no width": {"COLUMNS": "wide", "LANG": "C.UTF-8"},
}


def run(folder: Path, extra: dict[str, str], *call: str) -> subprocess.CompletedProcess[bytes]:
    kept = {name: os.environ[name] for name in ("PATH", "PYTHONPATH", "HOME") if name in os.environ}
    return subprocess.run(
        [sys.executable, "-P", "-c", _HEAD, *call],
        cwd=folder,
        capture_output=True,
        check=False,
        env=kept | extra,
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    text = put("Slipway pale ale", "漢字 🍺 Bière e\u0301", NEIGHBOUR)
    (tmp_path / "mühle 🍺.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "b.yaml").write_text(RECIPE.replace("./well", "./brünnle"), encoding="utf-8")
    (tmp_path / "well.yaml").write_text(WELL, encoding="utf-8")
    (tmp_path / "brünnle.yaml").write_text(WELL, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("extra", SURROUNDINGS.values(), ids=SURROUNDINGS)
def test_every_locale_and_terminal(folder: Path, extra: dict[str, str]) -> None:
    done = run(folder, extra, "check", ".", "--no-cache")
    encoding = extra.get("PYTHONIOENCODING", "utf-8")
    if extra.get("LC_ALL") == "C":
        encoding = "ascii"
    shown = done.stdout.decode(encoding)
    assert (done.returncode, done.stderr) == (1, b"")
    assert "`mil_gap` is no key" in shown and "\x1b" not in shown
    assert "4 files: 1 error" in shown
    assert f"hle {'🍺' if encoding.startswith('utf') else ''}" in shown
    if extra.get("COLUMNS") == "40":
        wrapped = [line for line in shown.splitlines() if line.startswith(("  do:", "      "))]
        assert wrapped and all(width_of(line) <= 40 for line in wrapped)


@pytest.mark.parametrize("name", ["json", "sarif", "github", "gitlab", "junit", "markdown"])
def test_formats_for_machines_hang_on_no_locale(folder: Path, name: str) -> None:
    call = ("check", ".", "--no-cache", "--format", name)
    here, there = (run(folder, SURROUNDINGS[each], *call) for each in ("dumb", "C"))
    assert here.returncode == there.returncode == 1 and there.stderr == b""
    if name in ("json", "sarif", "gitlab", "junit"):
        assert here.stdout == there.stdout


@pytest.mark.parametrize(
    ("before", "columns"),
    [
        ("abc", 3),
        ("漢字", 4),
        ("🍺", 2),
        ("e\u0301", 1),  # a letter and its accent
        ("ｆｕｌｌ", 8),
        ("ﾊﾝ", 2),
        ("a\u200bb", 2),  # a space without width
        ("👩\u200d🔬", 4),  # two characters that some terminals join
        ("Ω°µ", 3),
        ("한글", 4),
    ],
)
def test_the_caret_stands_under_what_is_meant(before: str, columns: int, tmp_path: Path) -> None:
    text = put("{mill_gap: 1 mm", f'{{"{before}": 1, mill_gap: 1 xx')
    (tmp_path / "a.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "well.yaml").write_text(WELL, encoding="utf-8")
    done = run(tmp_path, {"LANG": "C.UTF-8"}, "check", "a.yaml", "--no-cache")
    lines = done.stdout.decode().splitlines()
    (number,) = [n for n, line in enumerate(lines) if "[bad-quantity]" in line]
    line, caret = lines[number + 1 : number + 3]
    under = len(caret) - len(caret.lstrip(" |"))
    assert width_of(line[: line.index("1 xx")]) == under
    assert under == len('  7 | mash: {"": 1, mill_gap: ') + columns
    assert caret.strip(" |") == "^^^^"


def test_a_terminal_of_forty_columns(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(RECIPE + "notes: " + "x" * 500 + "\ny: z\n", encoding="utf-8")
    (tmp_path / "well.yaml").write_text(WELL, encoding="utf-8")
    for call in (["check", "a.yaml"], ["predict", "a.yaml"], ["explain", "mash-ph"], ["--help"]):
        done = run(tmp_path, {"COLUMNS": "40", "LANG": "C"}, *call)
        assert done.returncode in (0, 1) and b"Traceback" not in done.stderr
