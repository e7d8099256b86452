"""`waterlint predict`: the table, the keys of the contract, and what is not computed."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from waterlint.cli.main import main
from waterlint.rules.samples import recipe, report

EXAMPLES = Path(__file__).resolve().parents[2] / "example-recipes"

IONS = {
    "calcium",
    "magnesium",
    "sodium",
    "potassium",
    "chloride",
    "sulfate",
    "nitrate",
    "bicarbonate",
}

WATER_KEYS = {
    "volume_l",
    "ions_mg_l",
    "ions_sd_mg_l",
    "ph",
    "alkalinity_mg_l_caco3",
    "hardness_mg_l_caco3",
    "residual_alkalinity_mg_l_caco3",
    "chloride_to_sulfate",
    "calcite_saturation_index",
    "conductivity_us_cm",
    "ionic_strength_mol_l",
}


def predict(*names: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, dict[str, object]]:
    paths = [str(EXAMPLES / name) for name in names]
    status = main(["predict", "--format", "json", *paths])
    return status, json.loads(capsys.readouterr().out)


def test_exactly_the_keys_of_the_contract(capsys: pytest.CaptureFixture[str]) -> None:
    status, made = predict("ales/tidewrack-oatmeal-stout.yaml", capsys=capsys)
    assert status == 0
    assert set(made) == {"waterlint", "predictions"}
    (prediction,) = made["predictions"]  # type: ignore[misc]
    assert set(prediction) == {
        "path",
        "document",
        "name",
        "mash_water",
        "sparge_water",
        "batch_water",
        "wort",
        "kettle_share",
        "mash",
        "color",
    }
    for vessel in ("mash_water", "sparge_water", "batch_water"):
        water = prediction[vessel]
        assert set(water) == WATER_KEYS
        assert set(water["ions_mg_l"]) >= IONS
        assert set(water["ions_sd_mg_l"]) == set(water["ions_mg_l"])
    assert set(prediction["wort"]) == {"volume_l", "ions_mg_l"}
    assert set(prediction["mash"]) == {
        "ph",
        "ph_low",
        "ph_high",
        "reference_temperature_c",
        "thickness_l_per_kg",
    }
    assert set(prediction["color"]) == {"srm", "ebc"}


def test_figures_worked_by_hand(capsys: pytest.CaptureFixture[str]) -> None:
    """The stout's calcium and sodium by arithmetic on its report, shares and doses."""
    _, made = predict("ales/tidewrack-oatmeal-stout.yaml", capsys=capsys)
    (prediction,) = made["predictions"]  # type: ignore[misc]
    mash = prediction["mash_water"]["ions_mg_l"]
    # 42 mg/L in the report; 0.12 g/L of the dihydrate at 272.62 mg/g; 1.2 g of gypsum at 232.79
    # in 15.5 L.
    assert mash["calcium"] == pytest.approx(42 + 0.12 * 272.62 + 1.2 * 232.79 / 15.5, rel=1e-4)
    batch = prediction["batch_water"]["ions_mg_l"]
    # Sodium: 15.5 L and 60 % of 16 L of the report's 11 mg/L, over 31.5 L.
    assert batch["sodium"] == pytest.approx(11 * (15.5 + 9.6) / 31.5, rel=1e-4)
    # Chloride of the kettle: 1.4 g at 482.29 mg/g over 31.5 L.
    assert prediction["kettle_share"]["chloride"] == pytest.approx(1.4 * 482.29 / 31.5, rel=1e-4)


def test_a_vessel_that_is_not_there_is_null(capsys: pytest.CaptureFixture[str]) -> None:
    _, made = predict("ales/night-ferry-mild.yaml", "ales/first-kettle-blonde.yaml", capsys=capsys)
    mild, blonde = made["predictions"]  # type: ignore[misc]
    assert mild["sparge_water"] is None and mild["mash_water"] is not None
    assert blonde["mash_water"] is None and blonde["mash"] is None
    assert blonde["batch_water"]["volume_l"] == 12


def test_a_recipe_with_errors_in_the_way_gives_1_and_tells_them(
    capsys: pytest.CaptureFixture[str],
) -> None:
    status = main(["predict", str(EXAMPLES / "wrong/misspelt-key.yaml")])
    captured = capsys.readouterr()
    assert status == 1
    assert "[unknown-key]" in captured.err and "Traceback" not in captured.err


def test_a_warning_does_not_stand_in_the_way(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["predict", str(EXAMPLES / "wrong/kettle-salt-stout.yaml")]) == 0
    assert "kettle additions alone bring [mg/L]: sodium 87, chloride 134" in capsys.readouterr().out


def test_the_table(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["predict", str(EXAMPLES / "ales/night-ferry-mild.yaml")]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("Night Ferry mild (")
    assert lines[1].split() == ["mash", "sparge", "batch", "wort"]
    assert lines[2].split() == ["volume", "[L]", "27.00", "–", "27.00", "20.30"]
    assert any(line.startswith("The mash, 8.4 L/kg, should settle at pH 5.") for line in lines)
    assert lines[-1].startswith("Known only roughly: mash pH: the thickness")


def test_no_figure_looks_surer_than_it_is(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["predict", str(EXAMPLES / "ales/tidewrack-oatmeal-stout.yaml")]) == 0
    table = capsys.readouterr().out
    assert "± 0 " not in table and "± 0\n" not in table
    (magnesium,) = (line for line in table.splitlines() if line.startswith("magnesium"))
    assert magnesium.split()[2:] == ["6.0", "±", "0.4", "3.6", "±", "0.2", *magnesium.split()[8:]]


def test_a_small_spread_is_shown_and_a_gap_told_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Both vessels lack the lost water for one reason."""
    monkeypatch.chdir(tmp_path)
    soft = report("  magnesium: 0.6 ± 0.03 mg/L")
    Path("well.yaml").write_text(soft, encoding="utf-8")
    Path("soft.yaml").write_text(recipe(), encoding="utf-8")
    lost = recipe().replace("./well.yaml", "./lost.yaml")
    Path("lost.yml").write_text(lost, encoding="utf-8")
    main(["predict", "soft.yaml"])
    table = capsys.readouterr().out
    (magnesium,) = (line for line in table.splitlines() if line.startswith("magnesium"))
    assert magnesium.split()[2:5] == ["0.60", "±", "0.03"]
    main(["predict", "lost.yml"])
    told = [line for line in capsys.readouterr().out.splitlines() if line.startswith("Not")]
    assert told and len(told) == len(set(told))


def test_wide_figures_keep_apart(capsys: pytest.CaptureFixture[str]) -> None:
    """Next to no sulfate in the sparge makes a ratio that is as wide as it is unsure."""
    assert main(["predict", str(EXAMPLES / "ales/coal-quay-stout.yaml")]) == 0
    lines = capsys.readouterr().out.splitlines()
    (ratio,) = (line for line in lines if line.startswith("chloride to sulfate"))
    name, mash, sparge, batch = re.split(r"  +", ratio)
    assert (name, mash, sparge) == ("chloride to sulfate", "1.86 ± 0.09", "20.59 ± 10.39")
    # Every row ends each figure where the heads end.
    head = lines[1]
    for column, figure in (("sparge", sparge), ("batch", batch)):
        end = head.index(column) + len(column)
        assert ratio[:end].endswith(f"  {figure}")


@pytest.mark.parametrize("name", ["waters/mill-leat.yaml", "waters"])
def test_a_call_without_a_recipe_is_wrong(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["predict", str(EXAMPLES / name)]) == 2
    captured = capsys.readouterr()
    assert captured.out == "" and "there is no recipe in " in captured.err
