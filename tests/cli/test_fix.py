"""`waterlint fix` as it is called: what is written, what is shown, what is refused."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
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
    told = "waterlint: a.yaml cannot be written: the file was changed by someone else meanwhile\n"
    assert capsys.readouterr().err == told
    assert sorted(each.name for each in folder.iterdir()) == ["a.yaml", "waters"]


def test_a_write_protected_file_is_told(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    if os.geteuid() == 0:
        pytest.skip("nothing is write-protected for the superuser")
    folder = tree({**FILES, "a.yaml": BROKEN})
    (folder / "a.yaml").chmod(0o444)
    assert main(["fix", "a.yaml"]) == 2
    told = "waterlint: a.yaml cannot be written: the file is write-protected\n"
    assert capsys.readouterr().err == told


@pytest.mark.parametrize("content", [b"waterlint: recipe/1\nname: \xff\n", None])
def test_what_cannot_be_read_is_told(
    tree: Tree, capsys: pytest.CaptureFixture[str], content: bytes | None
) -> None:
    tree({} if content is None else {"a.yaml": content})
    assert main(["fix", "a.yaml"]) == 2
    assert "[unreadable-file]" in capsys.readouterr().out
    # A patch can be handed on: findings stand beside it.
    assert main(["fix", "--diff", "a.yaml"]) == 2
    captured = capsys.readouterr()
    assert captured.out == "" and "[unreadable-file]" in captured.err


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
    assert ": python -m pip install 'waterlint[solve]'\n" in done.stderr


def test_a_wrong_call_is_status_2(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fix"]) == 2
    assert "FILE" in capsys.readouterr().err


def test_a_folder_with_nothing_to_fix_is_a_wrong_call_but_for_the_hook(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tree({**FILES, "notes/brewday.txt": ""})
    assert main(["fix", "notes"]) == 2
    assert capsys.readouterr() == ("", "waterlint: there is no recipe in notes\n")
    assert main(["fix", "--hook", "notes"]) == 0
    assert capsys.readouterr() == ("", "")
    assert [each.name for each in (folder / "notes").iterdir()] == ["brewday.txt"]


def fixed(folder: Path, *options: str) -> str:
    """What the file says afterwards; a second run changes nothing."""
    main(["fix", "a.yaml", "--as-of", "2026-10-01", *options])
    written = (folder / "a.yaml").read_bytes()
    stamp = (folder / "a.yaml").stat().st_mtime_ns
    main(["fix", "a.yaml", "--as-of", "2026-10-01", *options])
    assert (folder / "a.yaml").stat().st_mtime_ns == stamp
    return written.decode()


def test_quotes_stay(tree: Tree) -> None:
    text = RECIPE.replace("kind: pale, ", "'kind': 'pale', ").replace("dihydrate", '"dihydrate"')
    text = text.replace("add: calcium-chloride", "add: 'calcium-chloride'")
    broken = text.replace("'kind': 'pale'", "'kidn': 'paale'").replace("dihydrate", "dihydrat")
    broken = broken.replace("calcium-chloride'", "calcium-chlorid'")
    broken = broken.replace("sparge: 1.5 g", 'sparge: "1,5 g"')
    folder = tree({**FILES, "a.yaml": broken})
    assert fixed(folder) == text.replace("sparge: 1.5 g", 'sparge: "1.5 g"')


def test_line_ends_stay_mixed_as_they_are(tree: Tree) -> None:
    ends = ["\r\n", "\n", "\r"]
    lines = BROKEN.splitlines()
    mixed = "".join(line + ends[number % 3] for number, line in enumerate(lines))
    wanted = "".join(line + ends[number % 3] for number, line in enumerate(MENDED.splitlines()))
    assert fixed(tree({**FILES, "a.yaml": mixed.encode()})) == wanted


def test_every_document_is_mended(tree: Tree) -> None:
    folder = tree({**FILES, "a.yaml": f"{BROKEN}---\nfoo: 1\n---\n{BROKEN}"})
    assert fixed(folder) == f"{MENDED}---\nfoo: 1\n---\n{MENDED}"


def test_what_stands_at_an_anchor_is_mended_there(tree: Tree) -> None:
    text = RECIPE.replace(
        "{volume: 14 L, from: waters/well.yaml}", "&w {volume: 14.5 L, from: waters/well.yaml}"
    ).replace("{volume: 14 L, from: reverse-osmosis}", "*w")
    broken = text.replace("&w {volume: 14.5 L", "&w {vollume: 14,5 L")
    assert fixed(tree({**FILES, "a.yaml": broken})) == text


@pytest.mark.parametrize("shared", [False, True])
def test_a_misspelt_water_is_mended_and_a_file_is_not_guessed(tree: Tree, shared: bool) -> None:
    text = RECIPE.replace("waters/well.yaml", "reverse-osmosis") if shared else RECIPE
    broken = text.replace("reverse-osmosis", "reverse-osmoss")
    assert fixed(tree({**FILES, "a.yaml": broken})) == text
    other = RECIPE.replace("well.yaml", "wel.yaml")
    assert fixed(tree({**FILES, "a.yaml": other})) == other


def test_a_link_stays_and_what_it_points_to_is_mended(tree: Tree) -> None:
    folder = tree({**FILES, "real.yaml": BROKEN})
    (folder / "a.yaml").symlink_to("real.yaml")
    assert fixed(folder) == MENDED
    assert (folder / "a.yaml").is_symlink() and (folder / "real.yaml").read_text() == MENDED


def test_the_report_carries_the_fix_that_is_made(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tree({**FILES, "a.yaml": BROKEN})
    main(["check", "a.yaml", "--format", "json", "--as-of", "2026-10-01"])
    findings = json.loads(capsys.readouterr().out)["findings"]
    edits = [edit for finding in findings for edit in finding["fix"]["edits"]]
    text = BROKEN
    for edit in sorted(edits, key=lambda each: each["start"], reverse=True):
        text = text[: edit["start"]] + edit["replacement"] + text[edit["end"] :]
    assert text == fixed(folder)
    # A dose is no mechanical matter: its finding has none.
    tree({**FILES, "a.yaml": RECIPE + "  - {add: baking-soda, kettle: 2 g}\n"})
    capsys.readouterr()
    main(["check", "a.yaml", "--format", "json", "--as-of", "2026-10-01"])
    findings = json.loads(capsys.readouterr().out)["findings"]
    assert [(each["rule"], each["fix"]) for each in findings] == [("alkali-after-mash", None)]


def test_doses_that_are_written_bring_their_cautions(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    pytest.importorskip("scipy.optimize")
    text = RECIPE.replace("mass: 300 g", "mass: 20 g").replace("mash: 1.5 g, sparge", "sparge")
    folder = tree({**FILES, "a.yaml": text})
    assert main(["fix", "--doses", "--diff", "a.yaml", "--as-of", "2026-10-01"]) == 1
    assert (folder / "a.yaml").read_text() == text
    assert "a.yaml: would dose: Lock Cottage porter: mash: " in capsys.readouterr().err
    assert main(["fix", "--doses", "a.yaml", "--as-of", "2026-10-01"]) == 0
    told = capsys.readouterr().err
    assert "a.yaml: dosed: Lock Cottage porter: mash: " in told
    assert ("lactic-acid" in told) == ("caution: lactic acid: Acid of this strength" in told)


def test_a_killed_run_leaves_the_old_file_or_the_new_one(tree: Tree) -> None:
    """A child writes two texts in turn, and is killed at another moment each time."""
    old, new = (word * 20_000 for word in ("old\n", "new\n"))
    folder = tree({"a.yaml": old})
    script = (
        "import sys; from pathlib import Path; from waterlint.project.write import write_whole\n"
        "texts = [b'old\\n' * 20_000, b'new\\n' * 20_000]\n"
        "print('on', flush=True)\n"
        "while True:\n"
        "    texts.reverse(); write_whole(Path('a.yaml'), texts[0], expected=texts[1])\n"
    )
    seen = set()
    for number in range(12):
        text = (folder / "a.yaml").read_text()
        order = "texts.reverse()\n" if text == new else ""
        call = [sys.executable, "-c", script.replace("print(", f"{order}print(")]
        child = subprocess.Popen(call, stdout=subprocess.PIPE)
        assert child.stdout is not None and child.stdout.readline() == b"on\n"
        time.sleep(0.001 * number)
        child.send_signal(signal.SIGKILL)
        child.wait()
        child.stdout.close()
        seen.add((folder / "a.yaml").read_text())
    assert seen <= {old, new}


def test_a_broken_configuration_that_holds_is_told(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody may take defaults for what the house has said."""
    tree({**FILES, "waterlint.yaml": "waterlint: config/2\n", "a.yaml": RECIPE})
    assert main(["fix", "a.yaml", "--as-of", "2026-10-01"]) == 2
    told = "waterlint.yaml:1:12: error: `config/2` is no version"
    assert capsys.readouterr().err.count(told) == 1
    assert main(["fix", ".", "--as-of", "2026-10-01"]) == 2
    captured = capsys.readouterr()
    assert (captured.out + captured.err).count(told) == 1
    assert main(["fix", "--hook", "a.yaml"]) == 0


def test_each_key_that_a_configuration_lacks_is_told(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    house = "waterlint: config/1\nadditives: {sluice-lime: {strength: 95 %}}\n"
    tree({**FILES, "waterlint.yaml": house, "a.yaml": RECIPE})
    assert main(["fix", "a.yaml", "--as-of", "2026-10-01"]) == 2
    told = capsys.readouterr().err
    assert "has no `like`" in told and "has no `basis`" in told
