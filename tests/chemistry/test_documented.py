"""The figures of waterlint/docs/chemistry.md are those that the package gives."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from statistics import median
from typing import Any, NamedTuple

import pytest

from waterlint.chemistry import Water
from waterlint.chemistry.ions import KOLBACH_CALCIUM, KOLBACH_MAGNESIUM
from waterlint.chemistry.mash import MashInputs, mash_ph
from waterlint.chemistry.mash_uncertainty import at_reference_temperature, mash_ph_sd

from .mashes import brewing_rows, in_brewing_range, mash_of, rows

PAGE = (Path(__file__).parents[2] / "waterlint" / "docs" / "chemistry.md").read_text(
    encoding="utf-8"
)
TEXT = " ".join(PAGE.split())
TABLE = [
    [cell.strip() for cell in line.strip("|\n").split("|")]
    for line in PAGE.splitlines()
    if re.match(r"\| (T\d|TAY|HOS|all)", line)
]


class Miss(NamedTuple):
    """Predicted less measured pH of one mash, by three ways of predicting."""

    own: float
    defaults: float
    line: float


def predicted_by_line(mash: MashInputs) -> float:
    residual = mash.alkalinity - mash.calcium / KOLBACH_CALCIUM - mash.magnesium / KOLBACH_MAGNESIUM
    return mash_ph(mash).intrinsic_ph + 0.084 * residual


def miss(row: Any) -> Miss:
    own, defaults = (mash_of(row["inputs"], own) for own in (True, False))
    found = (mash_ph(own).ph, mash_ph(defaults).ph, predicted_by_line(own))
    return Miss(*(ph - row["expected"]["measured_ph_cooled"] for ph in found))


def in_words(misses: list[Miss]) -> Iterator[str]:
    yield str(len(misses))
    for column in zip(*misses, strict=True) if misses else ([], [], []):
        yield f"{rms(column):.3f}" if column else "–"


def rms(errors: Iterable[float]) -> float:
    squares = [error * error for error in errors]
    return float((sum(squares) / len(squares)) ** 0.5)


def is_of(row: Any, name: str) -> bool:
    return "NaOH_mEq_L" not in row["inputs"] and name in ("all", row["id"].split("-")[0])


@pytest.mark.parametrize("cells", TABLE, ids=lambda cells: cells[0])
def test_row(cells: list[str]) -> None:
    found = [row for row in rows() if is_of(row, cells[0])]
    inside = [row for row in found if in_brewing_range(row["inputs"])]
    expected = [*in_words([*map(miss, found)]), *in_words([*map(miss, inside)])]
    assert cells[2:10] == expected


def test_every_set_has_its_row() -> None:
    names = {row["id"].split("-")[0] for row in rows() if "NaOH_mEq_L" not in row["inputs"]}
    assert sorted(cells[0] for cells in TABLE) == sorted({*names, "all"})


@pytest.mark.parametrize(
    ("own", "words"), [(True, "(median ± {}) holds {} of the {}"), (False, "(± {}) all {}")]
)
def test_intervals(own: bool, words: str) -> None:
    inside, widths = 0, []
    for row in brewing_rows():
        mash = mash_of(row["inputs"], own)
        result = mash_ph(mash)
        widths.append(mash_ph_sd(mash, result).sd)
        inside += abs(result.ph - row["expected"]["measured_ph_cooled"]) <= widths[-1]
    assert words.format(f"{median(widths):.3f}", inside, len(widths)) in TEXT


def test_a_decoction_widens_and_moves_nothing() -> None:
    row = rows()[0]
    mash = mash_of(row["inputs"], own=True)
    plain, decocted = (mash_ph_sd(mash, mash_ph(mash), decoctions=count) for count in (0, 1))
    added = (decocted.sd**2 - plain.sd**2) ** 0.5
    assert f"each decoction adds {added:.2f} to the standard deviation (in squares)" in TEXT


def test_a_hot_reading() -> None:
    _, spread = at_reference_temperature(5.3, 65.0)
    assert f"at 65 °C is compared with ± {spread:.2f} more" in TEXT


USUAL = (
    "Ca 42\n Mg 6\n Na 11\n K 2\n Cl 28\n S(6) 24 as SO4\n N(5) 4 as NO3\n Alkalinity 96 as CaCO3\n"
)
PAIRS = """
SOLUTION_MASTER_SPECIES
 Lactate Lactate- 0 89.07 89.07
SOLUTION_SPECIES
 Lactate- = Lactate-
 Lactate- + H+ = HLactate
 log_k 3.86
 Lactate- + Ca+2 = CaLactate+
 log_k 1.48
"""
"""The pair's constant is from memory."""


@pytest.fixture(scope="module")
def engine() -> Any:
    phreeqc = pytest.importorskip("phreeqc", reason="the phreeqc package is not installed")
    made = phreeqc.Phreeqc()
    assert made.LoadBuiltInDatabase("phreeqc.dat") == 0
    assert made.RunString(PAIRS) == 0
    return made


def run(engine: Any, extra: str = "", after: str = "", ph: float = 7.6) -> tuple[float, ...]:
    """PH, inorganic carbon [mg/L as CaCO3] and calcite saturation index of a usual water."""
    text = f"""
SOLUTION 1
 pH {ph}
 units mg/kgw
 {USUAL} {extra}
{after}
SELECTED_OUTPUT
 -reset false
USER_PUNCH
 -headings ph carbon index
 10 PUNCH -LA("H+"), 50043 * TOT("C"), SI("Calcite")
END
"""
    assert engine.RunString(text) == 0, engine.GetErrorString()
    return tuple(values[-1] for values in engine.GetSelectedOutput().values())


WEAK = "Si 20 as SiO2\n B 0.5"


def test_cost_of_silica_and_borate(engine: Any) -> None:
    costs = [run(engine, ph=ph)[1] - run(engine, WEAK, ph=ph)[1] for ph in (7.6, 8.5)]
    assert "theirs: {:.1f} mg/L as CaCO3 at pH 7.6, {:.1f} at pH 8.5".format(*costs) in TEXT
    acid = "REACTION 1\n HCl 1\n 0.0005 moles"
    low = run(engine, WEAK, acid, ph=8.5)[0] - run(engine, "", acid, ph=8.5)[0]
    assert f"the pH after acid comes out up to {low:.2f} too low" in TEXT


def test_cost_of_traces(engine: Any) -> None:
    for ph in (7.6, 8.5):
        for trace in ("Fe(2) 0.3", "Mn 0.1", "F 1"):
            without, held = run(engine, ph=ph), run(engine, trace, ph=ph)
            assert abs(without[1] - held[1]) < 0.1
            assert abs(without[2] - held[2]) < 0.002


def test_cost_of_lactate_pairs(engine: Any) -> None:
    water = Water(
        calcium=42, magnesium=6, sodium=11, potassium=2, chloride=28, sulfate=24, nitrate=4,
        alkalinity=96, ph=7.6,
    ).with_acid("lactic", 1.2)  # fmt: skip
    ph, _, index = run(engine, after="REACTION 1\n HLactate 1\n 0.0012 moles")
    assert water.ph == pytest.approx(ph, abs=0.001)
    assert 0.005 < water.calcite_saturation_index - index < 0.02


def test_cost_of_a_closed_and_cool_water(engine: Any) -> None:
    opened, _, _ = run(engine, after="EQUILIBRIUM_PHASES 1\n CO2(g) -3.4 10")
    assert f"pH 7.6 becomes {opened:.1f} in an open vat" in TEXT
    warmer = run(engine, after="REACTION_TEMPERATURE 1\n 66")[2] - run(engine)[2]
    assert f"at 66 °C its saturation index is {warmer:.1f} higher" in TEXT
