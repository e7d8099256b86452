"""Conductivity: by the database's own text, by hand, and by measured solutions."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from waterlint.chemistry import Water
from waterlint.chemistry.conductivity import CLOSEST_APPROACH, conductivity_at_25
from waterlint.chemistry.speciation import Speciation


def test_sizes_are_those_of_the_database() -> None:
    """The third figure behind -dw: the size in Falkenhagen's denominator."""
    phreeqc = pytest.importorskip("phreeqc", reason="the phreeqc package is not installed")
    (path,) = (Path(phreeqc.__file__).parent / "databases").glob("phreeqc.dat")
    name, found = "", {}
    for line in path.read_text(encoding="latin-1").splitlines():
        formed = re.match(r"[^\s#].*= *([^\s=]+)\s*(#.*)?$", line)
        if formed:
            name = formed[1]
        figures = line.partition("#")[0].split()
        if figures[:1] == ["-dw"] and len(figures) > 3 and name not in found:
            found[name] = float(figures[3])
    assert {each: found.get(each) for each in CLOSEST_APPROACH} == CLOSEST_APPROACH


def thin(*, sodium: float = 0.0, sulfate: float = 0.0, chloride: float = 0.0) -> float:
    """Conductivity of so many mol/kg where no ion feels another."""
    anions = (0.0, sulfate, 0.0, 0.0, 0.0, 0.0)
    nothing = (7.0, 0.0, 0.0, 0.0)
    solved = Speciation(*nothing, (0.0, 0.0, sodium, 0.0), anions, 0.0, (), 0.0, 0.0, True)
    return conductivity_at_25(solved, (chloride, 0.0))


def test_limiting_conductivities() -> None:
    """z2 F2 D / (R T) at 25 C by hand: F 96485.33 C/mol, R 8.314463 J/(mol K)."""
    per_diffusion = 96485.33212**2 / (8.314462618 * 298.15) * 1e-9 * 1e4  # cm2 for m2
    assert thin(sodium=1e-3) == pytest.approx(1.33 * per_diffusion, rel=1e-4)
    assert thin(sulfate=1e-3) == pytest.approx(4.0 * 1.07 * per_diffusion, rel=1e-4)
    both = thin(sodium=1e-3, chloride=1e-3)
    assert both == pytest.approx((1.33 + 2.033) * per_diffusion, rel=1e-4)


@pytest.mark.parametrize(
    ("water", "molar", "expected"),
    [
        (Water(sodium=229.9, chloride=354.5), 0.01, 118.45),
        (Water(sodium=2299.0, chloride=3545.0), 0.1, 106.69),
        (Water(potassium=390.98, nitrate=620.04), 0.01, 132.75),
        (Water(potassium=3909.8, nitrate=6200.4), 0.1, 120.34),
    ],
    ids=repr,
)
def test_measured_solutions(water: Water, molar: float, expected: float) -> None:
    """Molar conductivities of NaCl and KNO3 [S cm2/mol] as tables have them; from memory."""
    assert water.conductivity == pytest.approx(1000.0 * molar * expected, rel=0.035)
