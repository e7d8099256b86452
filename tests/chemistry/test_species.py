"""Every species' constant, activity and diffusion against PHREEQC's own, species by species."""

from __future__ import annotations

from functools import cache
from math import log10

import pytest

from waterlint.chemistry.species import (
    CATIONS,
    FAMILIES,
    FORMED,
    FREE_ANIONS,
    FREE_CATIONS,
    FREE_SPECTATORS,
    HYDROXIDE,
    PROTON,
    Species,
    activity_terms,
    formation_constants,
)

phreeqc = pytest.importorskip("phreeqc", reason="the phreeqc package is not installed")

#: Families that phreeqc.dat does not know.
ELSEWHERE = {FAMILIES.index(name) for name in ("lactate", "citrate", "sulfite")}
FREE = (*FREE_CATIONS, *FREE_ANIONS[:3], *FREE_SPECTATORS, PROTON)
KNOWN = (*FREE, *(each for each in FORMED if each.family not in ELSEWHERE))
#: Temperatures and pH of the waters that are asked of.
WATERS = [(10.0, 11.5), (25.0, 2.5), (25.0, 7.0), (65.0, 8.5)]


@cache
def figures(celsius: float, ph: float) -> dict[str, tuple[float, float, float]]:
    """Of each species log10 activity, log10 activity coefficient and diffusion; and of `mu` I."""
    names = [each.name for each in KNOWN]
    punched = ", ".join(f'LA("{name}"), LG("{name}"), DIFF_C("{name}")' for name in names)
    text = f"""
SOLUTION 1
 temp {celsius}
 pH {ph}
 units mmol/kgw
 Ca 2\n Mg 2\n Na 20\n K 5\n Cl 20\n N(5) 1\n S(6) 8\n P 2\n C 4
SELECTED_OUTPUT
 -reset false
USER_PUNCH
 -headings mu {" ".join(f"a{n} g{n} d{n}" for n in range(len(names)))}
 10 PUNCH MU, {punched}
END
"""
    engine = phreeqc.Phreeqc()
    assert engine.LoadBuiltInDatabase("phreeqc.dat") == 0
    assert engine.RunString(text) == 0, engine.GetErrorString()
    mu, *rest = (values[-1] for values in engine.GetSelectedOutput().values())
    triples = zip(rest[::3], rest[1::3], rest[2::3], strict=True)
    return {"mu": (mu, 0.0, 0.0), **dict(zip(names, triples, strict=True))}


@pytest.mark.parametrize("species", KNOWN, ids=lambda each: each.name)
@pytest.mark.parametrize(("celsius", "ph"), WATERS)
def test_activity(species: Species, celsius: float, ph: float) -> None:
    told = figures(celsius, ph)
    root = told["mu"][0] ** 0.5
    p, q, r = activity_terms(species, celsius)
    found = -p * root / (1.0 + q * root) + r * root * root
    assert found == pytest.approx(told[species.name][1], abs=1e-3)


@pytest.mark.parametrize("species", KNOWN[len(FREE) :], ids=lambda each: each.name)
@pytest.mark.parametrize(("celsius", "ph"), WATERS)
def test_constant(species: Species, celsius: float, ph: float) -> None:
    """Its activity over those of what it is made of."""
    told = figures(celsius, ph)
    held = species.protons * told["H+"][0]
    if species.cation is not None:
        held += told[FREE_CATIONS[species.cation].name][0]
    if species.family is not None:
        held += species.anions * told[FREE_ANIONS[species.family].name][0]
    constant = formation_constants(celsius)[FORMED.index(species)]
    assert log10(constant) == pytest.approx(told[species.name][0] - held, abs=2e-3)


@pytest.mark.parametrize("species", KNOWN, ids=lambda each: each.name)
def test_diffusion(species: Species) -> None:
    if species.diffusion or species is HYDROXIDE:
        told = 1e9 * figures(25.0, 7.0)[species.name][2]
        assert species.diffusion == pytest.approx(told, abs=2e-3)


def test_what_a_name_says_it_is_made_of() -> None:
    """Charges add up: of cations, bare anions and protons."""
    for each in FORMED:
        held = float(each.protons)
        if each.cation is not None:
            held += FREE_CATIONS[each.cation].charge
        if each.family is not None:
            held += each.anions * FREE_ANIONS[each.family].charge
        assert each.charge == held, each.name
    assert len(FREE_CATIONS) == len(CATIONS)
    assert len(FREE_ANIONS) == len(FAMILIES)
    assert len({each.name for each in FORMED}) == len(FORMED)
