"""`waterlint learn` as it is called: from recipes with readings to a block that works."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from tests.cli.test_check import WATER
from waterlint.cli.main import main
from waterlint.linter import Linter, Options

Tree = Callable[..., Path]

TRUTH = """\
waterlint: config/1
malts:
  pale:    {like: pale,    di_ph: 5.62, basis: the truth}
  crystal: {like: crystal, di_ph: 4.50, basis: the truth}
"""

RECIPE = """\
waterlint: recipe/1
name: Sluice ale {number}
batch: {{volume: 20 L, boil: 60 min, evaporation: 3 L, losses: 1 L}}
water:
  mash:   {{volume: {mash} L, from: waters/well.yaml}}
  sparge: {{volume: {sparge} L, from: reverse-osmosis}}
mash: {{mill_gap: 1.1 mm, temperature: 66 °C}}
grist:
  - {{malt: Quay pale,    kind: pale,    mass: {pale} kg, color: 6 EBC}}
  - {{malt: Quay crystal, kind: crystal, mass: {crystal} g, color: 120 EBC}}
additions:
  - {{add: calcium-chloride, form: dihydrate, mash: {salt} g}}
"""


def recipes(count: int) -> dict[str, str]:
    """Recipes without readings, all different."""
    random = Random(11)
    return {
        f"ale-{number:02}.yaml": RECIPE.format(
            number=number,
            mash=(mash := random.randint(12, 17)),
            sparge=28 - mash,
            pale=random.randint(38, 48) / 10,
            crystal=random.choice((100, 300, 500, 700)),
            salt=random.randint(2, 4),
        )
        for number in range(count)
    }


def predicted(folder: Path, name: str, config: Path | None = None) -> float:
    (prediction,) = Linter(Options(config=config)).predictions(folder / name)
    assert prediction.mash is not None and prediction.mash.ph is not None
    return prediction.mash.ph.value


def measured(tree: Tree, count: int, noise: float = 0.04) -> Path:
    """A house whose malts are not the default's, with a reading of each mash."""
    plain = recipes(count)
    folder = tree({"waters/well.yaml": WATER, "truth.yaml": TRUTH, **plain})
    random = Random(5)
    for name, text in plain.items():
        ph = predicted(folder, name, folder / "truth.yaml") + random.gauss(0.0, noise)
        reading = f"measured: {{mash_ph: {{value: {ph:.2f}, temperature: 25 °C}}}}\n"
        (folder / name).write_text(text + reading, encoding="utf-8")
    (folder / "truth.yaml").unlink()
    return folder


def called(folder: Path, *arguments: str, encoding: str = "utf-8") -> tuple[int, str, str]:
    """The real command."""
    done = subprocess.run(
        [sys.executable, "-m", "waterlint", "learn", *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONIOENCODING": encoding},
        capture_output=True,
        timeout=120,
        check=False,
    )
    return done.returncode, done.stdout.decode(encoding), done.stderr.decode(encoding)


def block(out: str) -> str:
    """The lines to paste."""
    lines = out.splitlines()
    start = lines.index("malts:")
    return "\n".join(lines[start : lines.index("", start)]) + "\n"


@pytest.mark.parametrize("encoding", ["utf-8", "ascii"])
def test_what_is_pasted_is_sound_and_predicts_better(
    tree: Tree, capsys: pytest.CaptureFixture[str], encoding: str
) -> None:
    folder = measured(tree, 14)
    status, out, err = called(folder, encoding=encoding)
    assert (status, err) == (0, "")
    assert "more than chance: what was learned is better for this house" in out
    pasted = block(out)
    assert pasted.startswith("malts:\n  quay-crystal: {like: crystal, di_ph: ")
    assert "Write `kind: quay-crystal` for quay crystal in the recipes." in out
    before = predicted(folder, "ale-03.yaml")
    truth = predicted(folder, "ale-03.yaml", _config(folder, TRUTH))
    (folder / "waterlint.yaml").write_text(f"waterlint: config/1\n{pasted}", encoding="utf-8")
    for path in folder.glob("ale-*.yaml"):
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace("kind: crystal", "kind: quay-crystal"), encoding="utf-8")
    assert main(["check", "--fail-on", "warning", "--as-of", "2026-10-01", "."]) == 0
    capsys.readouterr()
    after = predicted(folder, "ale-03.yaml")
    assert abs(after - truth) < 0.4 * abs(before - truth)
    assert abs(before - truth) > 0.08
    # What was learned is not built upon: the same mashes give the same again.
    _, again, _ = called(folder, encoding=encoding)
    assert block(again) == pasted


def test_the_order_of_the_files_says_nothing(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = measured(tree, 6)
    text = (folder / "ale-00.yaml").read_text(encoding="utf-8")
    for name in ("x.yaml", "y.yaml"):
        (folder / name).write_text(text.replace("well.yaml", "none.yaml"), encoding="utf-8")
    names = sorted(path.name for path in folder.glob("*.yaml"))
    main(["learn", "--format", "json", *names])
    told = capsys.readouterr().out
    assert [each["path"] for each in json.loads(told)["left_out"]] == ["x.yaml", "y.yaml"]
    main(["learn", "--format", "json", *names[::-1]])
    assert capsys.readouterr().out == told


def _config(folder: Path, text: str) -> Path:
    path = folder / "other.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def printed(capsys: pytest.CaptureFixture[str]) -> str:
    assert main(["learn"]) == 0
    return capsys.readouterr().out


def test_the_truth_is_within_the_printed_intervals(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    measured(tree, 14)
    out = printed(capsys)
    for line, truth in (("quay-crystal: {like: crystal", 4.50), ("pale: {like: pale", 5.62)):
        (found,) = (each for each in out.splitlines() if line in each)
        value, sd = found.split("di_ph: ")[1].split(",")[0].split(" ± ")
        assert abs(float(value) - truth) <= 2.0 * float(sd)


def test_hot_readings_are_brought_to_25_degrees(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    """Read hot, the same figures mean a higher pH, and are less certain."""
    folder = measured(tree, 10)
    cool = printed(capsys)
    for path in folder.glob("ale-*.yaml"):
        text = path.read_text("utf-8")
        path.write_text(text.replace("temperature: 25 °C", "temperature: 65 °C"), "utf-8")
    hot = printed(capsys)

    def pale(out: str) -> tuple[float, float]:
        (line,) = (each for each in out.splitlines() if "pale: quay pale" in each)
        value, sd = line.split("  ")[-1].split("(")[0].split(" ± ")
        return float(value), float(sd)

    assert pale(hot)[0] > pale(cool)[0] + 0.05
    assert pale(hot)[1] > 1.3 * pale(cool)[1]


def test_what_tells_nothing_is_left_out_and_said(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = measured(tree, 8)
    first, second, third = (folder / f"ale-0{number}.yaml" for number in (0, 1, 2))
    first.write_text(first.read_text("utf-8").replace(", temperature: 25 °C", ""), "utf-8")
    second.write_text(second.read_text("utf-8").replace("waters/well", "waters/none"), "utf-8")
    third.write_text(third.read_text("utf-8").replace("name:", "nmae:"), "utf-8")
    assert main(["learn"]) == 1
    captured = capsys.readouterr()
    assert "Learned from 5 measured mashes: " in captured.out
    assert "Left out: ale-00.yaml: its sample's temperature is not stated." in captured.out
    assert "Left out: ale-01.yaml: its pH is not predicted: " in captured.out
    assert captured.err == "waterlint: ale-02.yaml has errors; `waterlint check` tells them\n"


def test_json(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    measured(tree, 14)
    assert main(["learn", "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    pale = next(malt for malt in found["malts"] if malt["name"] == "quay pale")
    assert (pale["default"], pale["default_sd"], pale["mashes"]) == (5.75, 0.07, 14)
    assert pale["learned"] == pytest.approx(5.62, abs=2 * pale["learned_sd"])
    error = found["left_out_error"]
    assert error["learned_rms"] < 0.5 * error["default_rms"]
    assert error["paired_difference"] > 2 * error["paired_difference_sd"] > 0
    assert found["block"].startswith("malts:\n") and found["too_few"] is None


def test_a_slip_is_told(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    folder = measured(tree, 10)
    path = folder / "ale-04.yaml"
    text = path.read_text("utf-8")
    path.write_text(text.replace("{value: 5.", "{value: 4."), "utf-8")
    assert main(["learn", "."]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert out.startswith("Learned from 9 measured mashes: ")
    assert "Set aside: ale-04.yaml, Sluice ale 4: pH 4." in out


def test_a_malt_of_known_figures_is_not_learned(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = measured(tree, 8)
    for path in folder.glob("ale-*.yaml"):
        text = path.read_text("utf-8")
        path.write_text(text.replace("color: 6 EBC", "color: 6 EBC, di_ph: 5.62 ± 0.02"), "utf-8")
    (folder / "waterlint.yaml").write_text(
        "waterlint: config/1\nmalts: {quay-crystal: {like: crystal, di_ph: 4.5, basis: a sheet}}\n"
    )
    assert main(["learn"]) == 0
    out = capsys.readouterr().out
    assert "crystal: quay crystal" in out and "pale:" not in out
    for path in folder.glob("ale-*.yaml"):
        text = path.read_text("utf-8")
        path.write_text(text.replace("kind: crystal", "kind: quay-crystal"), "utf-8")
    assert main(["learn"]) == 1
    assert "Nothing was learned: 0 measured mashes with malts of unknown" in capsys.readouterr().out


def test_too_few_are_refused_politely(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    measured(tree, 4)
    assert main(["learn"]) == 1
    captured = capsys.readouterr()
    assert captured.out.startswith(
        "Nothing was learned: 4 measured mashes with malts of unknown pH are too few to\n"
    )
    assert "malts:" not in captured.out and captured.err == ""


def test_a_folder_without_recipes_is_a_wrong_call(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    tree({"notes.txt": ""})
    assert main(["learn"]) == 2
    assert "there is no recipe in this folder" in capsys.readouterr().err


def test_a_file_that_is_not_there_is_told(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    tree({"notes.txt": ""})
    assert main(["learn", "nowhere.yaml"]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.startswith(
        "nowhere.yaml:1:1: error: there is no such file [unreadable-file]\n"
    )


def test_a_file_that_is_not_there_keeps_no_other_from_teaching(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    measured(tree, 8)
    assert main(["learn", ".", "nowhere.yaml"]) == 2
    captured = capsys.readouterr()
    assert captured.out.startswith("Learned from 8 measured mashes: ")
    assert captured.err.startswith("nowhere.yaml:1:1: error: there is no such file")
