"""Chlorine and chloramine in brewing water, and whether anything takes them out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from waterlint.catalog import limits
from waterlint.chemistry.formulas import molar_mass
from waterlint.chemistry.salts import salt
from waterlint.finding import Finding, Related
from waterlint.model.recipe import Addition, Dose, Vessel
from waterlint.prediction.doses import LIQUOR_VESSELS
from waterlint.prediction.vessels import TAKES_CHLORAMINE, TAKES_CHLORINE
from waterlint.records import Record
from waterlint.rules import analyses
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import apart, at_least, number

#: The salts of metabisulfite that the trade sells, by the names of chemistry.
_SALTS = {
    "potassium metabisulfite": "potassium_metabisulfite",
    "sodium metabisulfite": "sodium_metabisulfite",
}

_TAKES_BOTH = TAKES_CHLORINE & TAKES_CHLORAMINE

CHLORINE_MASS = molar_mass("Cl2")
"""[g/mol]"""


class Chlorine(Record):
    """Chlorine of a vessel's water [mg/L as Cl2].

    Attributes
    ----------
    reported : float
        Free and combined, as the reports have it.
    free, combined : float
        What the vessel's treatments leave.
    known : bool
        Whether every water in the vessel says what it holds.
    """

    reported: float
    free: float
    combined: float
    known: bool

    @property
    def left(self) -> float:
        return self.free + self.combined


def chlorine_of(case: Case, vessel: Vessel) -> Chlorine:
    """The chlorine of a vessel's water, before and after its treatments."""
    free = combined = 0.0
    known = True
    for share in vessel.shares:
        water = case.waters.get(share.water)
        if water is None or water.report is None:
            known = False
            continue
        traces = water.report.newest.traces
        stated = [traces[name] for name in ("chlorine", "chloramine") if name in traces]
        # A built-in or house water has no file: it says all that there is to say.
        known = known and (bool(stated) or water.path is None)
        amounts = {
            name: traces[name].value
            for name in ("chlorine", "chloramine")
            if name in traces and not analyses.is_below_detection(traces[name])
        }
        free += share.share * amounts.get("chlorine", 0.0)
        combined += share.share * amounts.get("chloramine", 0.0)
    treatments = set(vessel.treatments)
    return Chlorine(
        reported=free + combined,
        free=0.0 if treatments & TAKES_CHLORINE else free,
        combined=0.0 if treatments & TAKES_CHLORAMINE else combined,
        known=known,
    )


def millimoles_needed(chlorine: float) -> float:
    """Metabisulfite that so much chlorine as Cl2 uses up, free or combined.

    Parameters
    ----------
    chlorine : float
        [mg]

    Returns
    -------
    float
        [mmol of S2O5], half a mole per mole.

    References
    ----------
    A. J. deLange, Home Brew Digest 5793.

    Examples
    --------
    >>> round(millimoles_needed(1.0) * molar_mass("K2S2O5"), 3)
    1.568
    """
    return chlorine / 2.0 / CHLORINE_MASS


def sulfite_doses(case: Case) -> list[tuple[Addition, Dose]]:
    """Every dose of a metabisulfite."""
    assert case.recipe is not None
    return [
        (addition, dose)
        for addition in case.recipe.additions
        if addition.name in case.catalog.additives
        and case.catalog.additives[addition.name].role == "sulfite"
        for dose in addition.doses
    ]


def reaches(dose: Dose, vessel: str) -> bool:
    """Whether a dose goes into a vessel's water, by itself or with the liquor."""
    return dose.place == vessel or (dose.place == "liquor" and vessel in LIQUOR_VESSELS)


@rule(
    "chlorine-untreated",
    subject="recipe",
    levels=("warning",),
    group="The water report",
    what=(
        "Chlorine or chloramine in a vessel's water, by the report, and nothing that takes it "
        "out: a carbon filter or metabisulfite for both, boiling or standing for free chlorine "
        "only. Reports that say nothing of either are not guessed at."
    ),
    why=(
        "Chlorine makes chlorophenols of what malt and yeast give off: they taste of plaster at "
        "millionths of a gram in a litre. Chloramine is the stabler of the two and outlasts a boil."
    ),
    limits=(limits.CHLORINE_UNTREATED.line,),
    configure="State `treat` for the vessel; `levels: {chlorine-untreated: off}`.",
    failing=recipe_example(water=("chlorine: 0.6 mg/L",)),
    passing=recipe_example(
        "  mash: {volume: 15 L, from: ./well.yaml, treat: carbon-filtered}",
        "  sparge: {volume: 13.5 L, from: ./well.yaml, treat: carbon-filtered}",
        water=("chlorine: 0.6 mg/L",),
    ),
)
def chlorine_untreated(case: Case) -> Iterator[Finding]:
    """Each vessel whose water keeps its chlorine."""
    recipe = case.recipe
    assert recipe is not None
    for vessel in recipe.vessels.values():
        if _TAKES_BOTH.intersection(vessel.treatments):
            continue
        chlorine = chlorine_of(case, vessel)
        if limits.CHLORINE_UNTREATED.contains(chlorine.left):
            continue
        if not any(reaches(dose, vessel.name) for _, dose in sulfite_doses(case)):
            yield _untreated(case, vessel, chlorine)


def _untreated(case: Case, vessel: Vessel, chlorine: Chlorine) -> Finding:
    limit = limits.CHLORINE_UNTREATED
    what = (
        "chlorine and chloramine"
        if chlorine.free and chlorine.combined
        else "chloramine"
        if chlorine.combined
        else "chlorine"
    )
    message = (
        f"the {vessel.name} water holds {apart(chlorine.left, limit.ceiling)} mg/L of {what} as "
        f"Cl2 and nothing takes it out; {number(limit.ceiling)} mg/L would pass"
    )
    if chlorine.reported > chlorine.left or (chlorine.combined and vessel.treatments):
        treatments = ", ".join(f"`{name}`" for name in vessel.treatments)
        message += f". Chloramine stays through {treatments}"
    need = millimoles_needed(chlorine.left * vessel.volume.value)
    grams = {title: need * salt(name).molar_mass / 1000.0 for title, name in _SALTS.items()}
    doses = " or ".join(f"{at_least(mass)} g of {title}" for title, mass in grams.items())
    return case.finding(
        "chlorine-untreated",
        "warning",
        vessel.source_pointer,
        message,
        key=case.document.find(f"{vessel.source_pointer}/0") is not None,
        help=(
            "Say `treat: carbon-filtered` where it is, or dose metabisulfite: these "
            f"{number(vessel.volume.value)} L need {doses}, and may have up to "
            f"{number(limits.SULFITE_DOSE.ceiling)} times that.{_solution(case, grams)}"
        ),
        basis=limit.basis,
        related=tuple(_reported(case, vessel)),
        quantity="chlorine",
        vessel=vessel.name,
        value=chlorine.left,
        high=limit.ceiling,
        unit="mg/L as Cl2",
    )


def _solution(case: Case, grams: Mapping[str, float]) -> str:
    """How to dose what the scale cannot weigh; nothing where it can."""
    if min(grams.values()) >= limits.BELOW_SCALE.floor * case.settings.scale.mass_g:
        return ""
    parts = " or ".join(f"{at_least(1000.0 * mass)} mL" for mass in grams.values())
    return f" So little is not weighed: of 1 g in 1 L of water, made fresh, take {parts}."


def _reported(case: Case, vessel: Vessel) -> Iterator[Related]:
    """Where the reports say so."""
    for reference in dict.fromkeys(share.water for share in vessel.shares):
        water = case.waters.get(reference)
        if water is None or water.report is None or water.document is None or water.path is None:
            continue
        newest = water.report.newest
        for name in ("chlorine", "chloramine"):
            if name in newest.traces:
                place = water.document.place_of(analyses.place(newest, name))
                yield Related(water.path, place, f"{name} is reported here")
