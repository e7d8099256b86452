"""`waterlint fix` as it is called: what is written, what is shown, what is refused."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.test_check import RECIPE, WATER
from waterlint.cli import fix
from waterlint.cli.main import main

Tree = Callable[..., Path]

BROKEN = RECIPE.replace("name:", "nmae:").replace("14 L, from: w", "14,5 L, from: w")
MENDED = RECIPE.replace("14 L, from: w", "14.5 L, from: w")

FILES = {"waters/well.yaml": WATER}


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize("bom", ["", "\ufeff"])
def test_keys_and_commas_are_mended_and_nothing_else(
    tree: Tree, capsys: pytest.CaptureFixture[str], line_end: str, bom: str
) -> None:
    broken = "# a porter\n" + BROKEN.replace("kind: pale,   ", "kind:  'pale',") + "# end"
    expected = "# a porter\n" + MENDED.replace("kind: pale,   ", "kind:  'pale',") + "# end"
    folder = tree({**FILES, "a.yaml": (bom + broken).replace("\n", line_end).encode()})
    assert main(["fix", "a.yaml", "--as-of", "2026-10-01"]) == 0
    assert (folder / "a.yaml").read_bytes() == (bom + expected).replace("\n", line_end).encode()
    told = capsys.readouterr().err
    assert "a.yaml:3:1: fixed: `nmae` is no key of the recipe: write `name` [unknown-key]" in told
    assert "a.yaml:6:20: fixed:" in told
    # Once more, and nothing changes.
    stamp = (folder / "a.yaml").stat().st_mtime_ns
    assert main(["fix", "a.yaml", "--as-of", "2026-10-01"]) == 0
    assert (folder / "a.yaml").stat().st_mtime_ns == stamp
    assert capsys.readouterr().err == ""


def test_a_fault_under_a_misspelt_key_is_mended_in_the_next_pass(tree: Tree) -> None:
    broken = RECIPE.replace("additions:", "additons:").replace("sparge: 1.5 g", "sparge: 1,5 g")
    broken = broken.replace("form: dihydrate", "form: dihydrat").replace(
        "mash: 1.5 g", "msah: 1.5 g"
    )
    folder = tree({**FILES, "a.yaml": broken})
    assert main(["fix", "a.yaml", "--as-of", "2026-10-01"]) == 0
    assert (folder / "a.yaml").read_text() == RECIPE


def test_diff_shows_and_writes_nothing(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tree({**FILES, "a.yaml": BROKEN})
    assert main(["fix", "--diff", "a.yaml", "--as-of", "2026-10-01"]) == 1
    assert (folder / "a.yaml").read_text() == BROKEN
    out, err = capsys.readouterr()
    assert out.startswith("--- a/a.yaml\n+++ b/a.yaml\n")
    assert "-nmae: Lock Cottage porter\n+name: Lock Cottage porter\n" in out
    assert "would fix" in err
    (folder / "change.patch").write_text(out)
    subprocess.run(["git", "apply", "change.patch"], check=True, cwd=folder)
    assert (folder / "a.yaml").read_text() == MENDED


def test_what_no_fix_mends_is_told_and_fails(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    soda = RECIPE + "  - {add: baking-soda, kettle: 2 g}\n"
    folder = tree({**FILES, "a.yaml": soda})
    assert main(["fix", "a.yaml"]) == 1
    assert (folder / "a.yaml").read_text() == soda
    assert "[alkali-after-mash]" in capsys.readouterr().out
    assert main(["fix", "a.yaml", "--fail-on", "never"]) == 0


def test_a_file_that_changed_meanwhile_is_not_overwritten(
    tree: Tree, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tree({**FILES, "a.yaml": BROKEN})
    real = fix.mend

    def slow(*arguments: object) -> object:
        outcome = real(*arguments)  # type: ignore[arg-type]
        (folder / "a.yaml").write_text(BROKEN + "# mine\n")
        return outcome

    monkeypatch.setattr(fix, "mend", slow)
    assert main(["fix", "a.yaml"]) == 2
    assert (folder / "a.yaml").read_text() == BROKEN + "# mine\n"
    assert "changed by someone else meanwhile" in capsys.readouterr().err
    assert sorted(each.name for each in folder.iterdir()) == ["a.yaml", "waters"]


def test_a_write_protected_file_is_told(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    if os.geteuid() == 0:
        pytest.skip("nothing is write-protected for the superuser")
    folder = tree({**FILES, "a.yaml": BROKEN})
    (folder / "a.yaml").chmod(0o444)
    assert main(["fix", "a.yaml"]) == 2
    assert "write-protected" in capsys.readouterr().err


@pytest.mark.parametrize("content", [b"waterlint: recipe/1\nname: \xff\n", None])
def test_what_cannot_be_read_is_told(
    tree: Tree, capsys: pytest.CaptureFixture[str], content: bytes | None
) -> None:
    tree({} if content is None else {"a.yaml": content})
    assert main(["fix", "a.yaml"]) == 2
    assert "[unreadable-file]" in capsys.readouterr().out


def test_as_a_hook_it_leaves_other_files_alone_and_only_fixes(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    soda = BROKEN + "  - {add: baking-soda, kettle: 2 g}\n"
    folder = tree({**FILES, "a.yaml": soda, "other.yaml": "nmae: x\n"})
    assert main(["fix", "--hook", "a.yaml", "other.yaml"]) == 0
    assert (folder / "a.yaml").read_text() == MENDED + "  - {add: baking-soda, kettle: 2 g}\n"
    assert (folder / "other.yaml").read_text() == "nmae: x\n"
    assert capsys.readouterr().out == ""


def test_an_unused_exception_goes_and_a_needed_one_stays(tree: Tree) -> None:
    soda = "  - {add: baking-soda, kettle: 2 g}  # waterlint: accept alkali-after-mash"
    folder = tree({**FILES, "a.yaml": f"{RECIPE}{soda}, mash-ph because it primes\n"})
    assert main(["fix", "a.yaml", "--as-of", "2026-10-01"]) == 0
    assert (folder / "a.yaml").read_text() == f"{RECIPE}{soda} because it primes\n"


def test_without_the_solver_doses_are_one_line_and_status_2(tree: Tree) -> None:
    tree({**FILES, "a.yaml": RECIPE})
    script = (
        "import sys; sys.modules['scipy'] = None; from waterlint.cli.main import main; "
        "raise SystemExit(main(['fix', '--doses', 'a.yaml']))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert "waterlint[solve]" in done.stderr


def test_a_wrong_call_is_status_2(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fix"]) == 2
    assert "RECIPE" in capsys.readouterr().err
