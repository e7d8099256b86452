"""`waterlint suggest` as it is called."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from jsonschema import Draft7Validator

from tests.cli.test_check import RECIPE, WATER
from waterlint.cli.main import main
from waterlint.source.schema import load_schema

pytest.importorskip("scipy.optimize")

Tree = Callable[..., Path]

#: What every report of these tests is held to.
SCHEMA = Draft7Validator(load_schema("suggestion"))

FILES = {"waters/well.yaml": WATER}
SODA = RECIPE + "  - {add: baking-soda, kettle: 2 g}   # for the colour\n"
DAY = ("--as-of", "2026-10-01")


def suggested(
    tree: Tree, capsys: pytest.CaptureFixture[str], text: str, *options: str, status: int = 0
) -> list[dict[str, object]]:
    """The proposals for a recipe as JSON says them."""
    tree({**FILES, "a.yaml": text})
    assert main(["suggest", "a.yaml", "--format", "json", *DAY, *options]) == status
    report = json.loads(capsys.readouterr().out)
    SCHEMA.validate(report)
    found = report["suggestions"]
    assert isinstance(found, list)
    return found


def doses(suggestion: dict[str, object]) -> dict[str, str | None]:
    rows = suggestion["doses"]
    assert isinstance(rows, list)
    return {f"{row['add']} {row['vessel']}": row["after"] for row in rows}


def test_text(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tree({**FILES, "a.yaml": SODA})
    assert main(["suggest", "a.yaml", *DAY]) == 0
    out = capsys.readouterr().out
    assert out.startswith(
        "Lock Cottage porter (a.yaml)\n"
        "  Change 1 dose; all in all these go in:\n"
        "                                        before  after\n"
        "    mash    calcium-chloride dihydrate   1.5 g  1.5 g  as it is\n"
        "    sparge  calcium-chloride dihydrate   1.5 g  1.5 g  as it is\n"
        "    kettle  baking-soda                    2 g   none  leave out\n"
        "  What that does:\n"
        "                               before      after  range\n"
        "    sodium of the whole batch    28.5  9.0 ± 1.5  at most 100  mg/L\n"
    )
    assert "; mash pH 5.61 (5.2 to 5.7);" in " ".join(out.split())
    assert "This clears 1 finding at the level of warning or above; none is left.\n" in out
    assert "Cleared: baking soda in the kettle has no mash to serve any more" in out
    assert out.endswith("To write it: `waterlint fix --doses a.yaml`.\n")
    assert (folder / "a.yaml").read_text() == SODA


def test_json_has_doses_figures_findings_and_the_diff(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    (suggestion,) = suggested(tree, capsys, SODA)
    assert suggestion["path"] == "a.yaml"
    assert suggestion["changed"] is True
    assert (suggestion["additives_changed"], suggestion["steps_changed"]) == (1, 20.0)
    assert doses(suggestion) == {"baking-soda kettle": None}
    figures = {(row["quantity"], row["vessel"]): row for row in suggestion["figures"]}  # type: ignore[attr-defined]
    sodium = figures["sodium", "batch"]
    # 2 g × 273.7 mg/g over 28 L, on half a water of 12 mg/L and half of 6.
    assert sodium["before"] - sodium["after"] == pytest.approx(2000 * 22.990 / 84.006 / 28, 1e-3)
    assert sodium["after"] == pytest.approx(9.0, abs=0.01)
    assert [each["rule"] for each in suggestion["cleared"]] == ["alkali-after-mash"]  # type: ignore[attr-defined]
    assert suggestion["left"] == [] and suggestion["new"] == []
    assert str(suggestion["diff"]).endswith(
        "-  - {add: baking-soda, kettle: 2 g}   # for the colour\n+     # for the colour\n"
    ) or "# for the colour" in str(suggestion["diff"])


def test_diff_is_what_fix_writes(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tree({**FILES, "a.yaml": SODA})
    assert main(["suggest", "a.yaml", "--format", "diff", *DAY]) == 0
    (folder / "change.patch").write_text(capsys.readouterr().out)
    subprocess.run(["git", "apply", "change.patch"], check=True, cwd=folder)
    patched = (folder / "a.yaml").read_text()
    (folder / "a.yaml").write_text(SODA)
    assert main(["fix", "--doses", "a.yaml", *DAY]) == 0
    assert (folder / "a.yaml").read_text() == patched
    assert patched.startswith(RECIPE) and "# for the colour" in patched
    told = capsys.readouterr().err
    assert "a.yaml: dosed: Lock Cottage porter: kettle: baking-soda: 2 g → none" in told
    stamp = (folder / "a.yaml").stat().st_mtime_ns
    assert main(["fix", "--doses", "a.yaml", *DAY]) == 0
    assert (folder / "a.yaml").stat().st_mtime_ns == stamp


def test_nothing_to_do(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    tree({**FILES, "a.yaml": RECIPE})
    assert main(["suggest", "a.yaml", *DAY]) == 0
    assert capsys.readouterr().out == ("Lock Cottage porter (a.yaml)\n  No dose needs to change.\n")


def test_errors_of_the_file_come_first(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    tree({**FILES, "a.yaml": SODA.replace("grist:", "girst:")})
    assert main(["suggest", "a.yaml", *DAY]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert "[unknown-key]" in err


def test_an_unknown_additive_stands_in_the_way(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    tree({**FILES, "a.yaml": SODA + "  - {add: pixie-dust, mash: 1 g}\n"})
    assert main(["suggest", "a.yaml", *DAY]) == 1
    assert "[unknown-additive]" in capsys.readouterr().err


def test_missing_file(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    tree({})
    assert main(["suggest", "a.yaml"]) == 2
    assert "[unreadable-file]" in capsys.readouterr().err


ALKALINE = RECIPE.replace("mass: 300 g", "mass: 20 g").replace("14 L, from: w", "18 L, from: w")


def test_a_diff_of_several_recipes_is_one_and_git_takes_it(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    two = f"{SODA}---\n{SODA}".rstrip("\n").replace("\n", "\r\n")
    folder = tree({**FILES, "a.yaml": two.encode()})
    assert main(["suggest", "a.yaml", "--format", "diff", *DAY]) == 0
    diff = capsys.readouterr().out
    assert diff.count("--- a/a.yaml") == 1
    (folder / "change.patch").write_bytes(diff.encode())
    subprocess.run(["git", "apply", "change.patch"], check=True, cwd=folder)
    patched = (folder / "a.yaml").read_bytes()
    (folder / "a.yaml").write_bytes(two.encode())
    assert main(["fix", "--doses", "a.yaml", *DAY]) == 0
    assert (folder / "a.yaml").read_bytes() == patched
    assert patched.count(b"baking-soda") == 0 and b"\n" not in patched.replace(b"\r\n", b"")


def test_a_report_alone_is_no_recipe(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    tree(FILES)
    assert main(["suggest", "waters/well.yaml", *DAY]) == 2
    assert "there is no recipe in waters/well.yaml" in capsys.readouterr().err


def test_the_schema_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", "suggestion"]) == 0
    assert json.loads(capsys.readouterr().out) == load_schema("suggestion")


@pytest.mark.parametrize("aim", [5.3, 5.4, 5.5])
def test_an_aim_is_met(tree: Tree, capsys: pytest.CaptureFixture[str], aim: float) -> None:
    (suggestion,) = suggested(tree, capsys, RECIPE, "--aim", f"mash_ph={aim}")
    figures = suggestion["figures"]
    assert isinstance(figures, list)
    ph = next(row["after"] for row in figures if row["quantity"] == "mash_ph")
    assert ph == pytest.approx(aim, abs=0.0151)


def test_an_impossible_aim_says_what_is_nearest(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    options = ("--aim", "mash_ph=4.2", "--only", "gypsum")
    (suggestion,) = suggested(tree, capsys, RECIPE, *options, status=1)
    (remark,) = suggestion["remarks"]  # type: ignore[misc]
    assert remark.startswith("mash pH at 4.2")
    assert re.search(
        r"the nearest, the rest being kept, is 5\.4\d, and .* of the rest 5\.2", remark
    )
    # All the gypsum that is proposed to dissolve goes in, since every gram comes nearer.
    assert list(doses(suggestion)) == ["gypsum mash"]


def test_without_and_only(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    options = ("--aim", "mash_ph=5.3")
    free = doses(suggested(tree, capsys, RECIPE, *options)[0])
    assert len(free) == 1
    name = next(iter(free)).split()[0]
    other = doses(suggested(tree, capsys, RECIPE, *options, "--without", name)[0])
    assert name not in {each.split()[0] for each in other}
    only = doses(suggested(tree, capsys, RECIPE, *options, "--only", "phosphoric-acid")[0])
    assert list(only) == ["phosphoric-acid mash"]


def test_without_takes_away_what_is_there(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    (suggestion,) = suggested(tree, capsys, RECIPE, "--without", "calcium-chloride")
    after = doses(suggestion)
    assert after["calcium-chloride mash"] is None and after["calcium-chloride sparge"] is None


def test_kept_amounts_stay(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    (suggestion,) = suggested(tree, capsys, RECIPE, "--keep", "gypsum.mash=1.3 g")
    assert doses(suggestion) == {"gypsum mash": "1.3 g"}
    total = doses(suggested(tree, capsys, RECIPE, "--keep", "calcium-chloride=3.4 g")[0])
    assert len(total) == 1 and next(iter(total.values())) == "1.9 g"


def test_alternatives_change_other_additives(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    options = ("--aim", "mash_ph=5.3", "--alternatives", "3")
    found = suggested(tree, capsys, RECIPE, *options)
    changed = [frozenset(each.split()[0] for each in doses(one)) for one in found]
    assert len(found) >= 2
    for number, one in enumerate(changed):
        assert not any(other <= one for other in changed[:number])
    assert [one["number"] for one in found] == list(range(1, len(found) + 1))


def test_an_acid_brings_its_caution_by_its_strength(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    options = ("--aim", "mash_ph=5.3", "--only")
    strong = suggested(tree, capsys, RECIPE, *options, "lactic-acid")[0]["cautions"]
    weak = suggested(tree, capsys, RECIPE, *options, "phosphoric-acid")[0]["cautions"]
    assert str(strong).startswith('["lactic acid: Acid of this strength burns')
    assert str(weak).startswith('["phosphoric acid: A diluted acid still irritates skin')


def test_contradicting_targets_are_named(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    text = RECIPE + "targets: {chloride: .. 40 mg/L, calcium: 80 .. mg/L, sulfate: .. 50 mg/L}\n"
    (suggestion,) = suggested(tree, capsys, text, status=1)
    remarks = " ".join(suggestion["remarks"])  # type: ignore[arg-type]
    # Lime brings calcium without chloride and sulfate, but takes the mash pH up.
    assert remarks.startswith(
        "calcium of the whole batch of at least 80 mg/L and mash pH of at most 5.7, chloride of "
        "the whole batch of at most 40 mg/L and sulfate of the whole batch of at most 50 mg/L "
        "exclude each other with what is in stock and reverse-osmosis water; the nearest, the "
        "rest being kept, is 7"
    )


def test_where_no_dose_helps_water_is_blended(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    text = RECIPE + "targets: {sodium: .. 7.5 mg/L}\n"
    folder = tree({**FILES, "a.yaml": text})
    assert main(["fix", "--doses", "a.yaml", *DAY]) == 0
    written = (folder / "a.yaml").read_text()
    # 14 L of 12 mg/L and 14 L of 6: 7.5 takes half of the well's share, since (12 + 6) / 2 = 9.
    assert (
        "from: [{water: waters/well.yaml, share: 50 %}, {water: reverse-osmosis, share: 50 %}]"
        in written
    )
    assert (
        written.replace(
            "[{water: waters/well.yaml, share: 50 %}, {water: reverse-osmosis, share: 50 %}]",
            "waters/well.yaml",
        )
        == text
    )


def test_what_anchors_tie_together_stays_and_that_is_told(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    text = RECIPE.replace("mash: 1.5 g, sparge: 1.5 g", "mash: &dose 8 g, sparge: *dose")
    text += "targets: {chloride: .. 120 mg/L}\n"
    folder = tree({**FILES, "a.yaml": text})
    assert main(["fix", "--doses", "a.yaml", *DAY]) == 1
    assert "mash: &dose 8 g, sparge: *dose" in (folder / "a.yaml").read_text()
    told = capsys.readouterr().err
    assert "stays as it is, here doses at line 12: write them out" in told


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--keep", "gypsumm=1 g"), "Did you mean gypsum?"),
        (("--keep", "gypsum=1 furlong"), "--keep"),
        (("--keep", "gypsum.pot=1 g"), "no place"),
        (("--keep", "gypsum=1 g/L"), "a mass or a volume"),
        (("--keep", "chalk=1 g"), "neither in the recipe nor in stock"),
        (("--keep", "gypsum=2 mL"), "is measured in g here"),
        (("--keep", "gypsum=2.05 g"), "between two steps of the scale"),
        (("--without", "soda"), "no known additive"),
        (("--only", "gypsum,soda"), "no known additive"),
        (("--aim", "mash_ph"), "QUANTITY=VALUE"),
        (("--aim", "taste=5"), "QUANTITY=VALUE"),
        (("--aim", "calcium=80"), "--aim"),
        (("--alternatives", "99"), "--alternatives"),
        (("--alternatives", "few"), "invalid int value"),
    ],
)
def test_wrong_calls_are_one_sentence_and_status_2(
    tree: Tree, capsys: pytest.CaptureFixture[str], options: tuple[str, ...], words: str
) -> None:
    tree({**FILES, "a.yaml": RECIPE})
    assert main(["suggest", "a.yaml", *options]) == 2
    out, err = capsys.readouterr()
    assert out == "" and words in err


def test_without_the_solver_it_is_one_line_and_status_2(tree: Tree) -> None:
    tree({**FILES, "a.yaml": RECIPE})
    script = (
        "import sys; sys.modules['scipy'] = None; from waterlint.cli.main import main; "
        "raise SystemExit(main(['suggest', 'a.yaml']))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (2, "")
    assert (
        done.stderr.count("\n") == 1
        and ": python -m pip install 'waterlint[solve]'\n" in done.stderr
    )


def test_a_solver_that_breaks_is_one_line_and_status_2(
    tree: Tree, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("out of order\nand more")

    monkeypatch.setattr("scipy.optimize.milp", broken)
    tree({**FILES, "a.yaml": SODA})
    for command in (["suggest"], ["fix", "--doses"]):
        assert main([*command, "a.yaml", *DAY]) == 2
        out, err = capsys.readouterr()
        assert out == "" and err.count("\n") == 1 and "out of order" in err


def test_a_configuration_of_another_version_is_an_error_as_in_predict(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    tree({"c.yaml": "waterlint: config/2\n"})
    assert main(["predict", "c.yaml"]) == 1
    told = capsys.readouterr().err
    assert told.startswith("c.yaml:1:12: error: `config/2` is no version of the format")
    assert main(["suggest", "c.yaml"]) == 1
    assert capsys.readouterr() == ("", told)


def test_a_broken_configuration_that_holds_is_told(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody may take defaults for what the house has said."""
    tree({**FILES, "waterlint.yaml": "waterlint: config/2\n", "a.yaml": RECIPE})
    assert main(["suggest", "a.yaml", "--as-of", "2026-10-01"]) == 2
    told = "waterlint.yaml:1:12: error: `config/2` is no version"
    assert capsys.readouterr().err.count(told) == 1


def test_figures_below_nothing_have_a_minus_sign(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    """In every table for people alike; where programs read, a hyphen."""
    tree({**FILES, "a.yaml": SODA + "  - {add: lactic-acid, strength: 80 %, mash: 4 mL}\n"})
    for call in (["suggest", "a.yaml"], ["predict", "a.yaml"], ["audit", "."]):
        main([*call, *(DAY if call[0] != "predict" else ())])
        out = capsys.readouterr().out
        assert re.search(r"−[0-9]", out) and not re.search(r"(?<![0-9a-z])-[0-9]", out), out
    main(["predict", "a.yaml", "--format", "json"])
    assert "−" not in capsys.readouterr().out
