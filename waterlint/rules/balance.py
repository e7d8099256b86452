"""The verdict on an analysis's ion balance, which several rules on reports ask for."""

from __future__ import annotations

from waterlint.catalog import limits
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS, IonBalance
from waterlint.chemistry.ions import hardness as total_hardness
from waterlint.finding import Level
from waterlint.model.water import Analysis, WaterReport
from waterlint.records import Record, replace
from waterlint.rules import analyses
from waterlint.rules.analyses import Charges
from waterlint.rules.slips import Closure, closing
from waterlint.rules.wording import number


class Verdict(Record):
    """How the charges of an analysis stand.

    Attributes
    ----------
    analysis : Analysis
    charges : Charges
    level : str or None
        ``warning``, ``note``, or `None` where the balance passes or cannot be judged.
    untestable : str
        Why it cannot be judged; empty where it can.
    closures : tuple of Closure
        Slips of unit that would close it, the closest first.
    whole : bool
        Whether the analysis states all of the balance itself.
    """

    analysis: Analysis
    charges: Charges
    level: Level | None
    untestable: str = ""
    closures: tuple[Closure, ...] = ()
    whole: bool = True


def verdicts(report: WaterReport) -> list[Verdict]:
    """The verdict on every analysis that says something of its own about the balance.

    A season that states only some of the ions is weighed with what it takes from the main
    analysis, and then only for a gross difference that the main one does not have: ions of two
    days need not balance to a few percent.
    """
    main, *seasons = analyses.main_first(report)
    first = _verdict(main, report.uncertainty)
    found = [first]
    for season in seasons:
        verdict = _verdict(season, report.uncertainty)
        if analyses.states_whole(season):
            found.append(verdict)
        elif _states_any(season):
            beside = abs(first.charges.balance.percent_difference)
            more = abs(verdict.charges.balance.percent_difference) - beside
            gross = first.level is None or more > limits.ION_BALANCE_WARNING.ceiling
            level = verdict.level if verdict.level == "warning" and gross else None
            found.append(replace(verdict, level=level, untestable="", whole=False))
    return found


def implausible_ions(analysis: Analysis) -> list[str]:
    """The ions that an analysis itself states beyond what any brewing water holds."""
    limit = limits.IMPLAUSIBLE_ION.ceiling
    return [
        name
        for name, quantity in analysis.ions.items()
        if quantity.value > limit and analyses.states(analysis, f"ions/{name}")
    ]


def _states_any(season: Analysis) -> bool:
    return any(key == "alkalinity" or key.startswith("ions/") for key in season.own)


def _verdict(analysis: Analysis, uncertainty: float | None) -> Verdict:
    charges = analyses.charges(analysis, uncertainty)
    missing = analyses.missing_ions(analysis)
    if missing:
        return Verdict(analysis, charges, None, f"the analysis states no {', no '.join(missing)}")
    level = _level(charges)
    if _is_blurred(charges):
        return Verdict(
            analysis,
            charges,
            None,
            f"the spread of its figures alone is {charges.percent_sd:.0f} % of the charges, more "
            f"than the {number(limits.ION_BALANCE_WARNING.ceiling)} % that they may differ by",
        )
    closures = () if level is None else tuple(_closures(analysis, charges))
    return Verdict(analysis, charges, level, closures=closures)


def _level(charges: Charges) -> Level | None:
    percent = abs(charges.balance.percent_difference)
    if abs(charges.difference) <= limits.ION_BALANCE_FLOOR.ceiling:
        return None
    if percent > limits.ION_BALANCE_WARNING.ceiling:
        return "warning"
    return "note" if percent > limits.ION_BALANCE_NOTE.ceiling else None


def _is_blurred(charges: Charges) -> bool:
    """Whether the stated spreads are so wide that a balance within them says nothing."""
    wide = charges.percent_sd > limits.ION_BALANCE_WARNING.ceiling
    counts = charges.sd > limits.ION_BALANCE_FLOOR.ceiling
    return wide and counts and abs(charges.difference) <= 2.0 * charges.sd


def _closures(analysis: Analysis, charges: Charges) -> list[Closure]:
    return closing(
        analysis, charges, limits.ION_BALANCE_NOTE.ceiling, limits.ION_BALANCE_FLOOR.ceiling
    )


def balances_with_hardness(verdict: Verdict) -> bool:
    """Whether the charges balance when the reported hardness replaces calcium and magnesium."""
    hardness = verdict.analysis.hardness
    if hardness is None:
        return False
    ions = verdict.analysis.ions
    computed = total_hardness(ions["calcium"].value, ions["magnesium"].value)
    shift = (hardness.value - computed) / CALCIUM_CARBONATE_EQUIVALENT
    return _balances(verdict.charges, shift, 0.0)


def balances_with_bicarbonate(verdict: Verdict) -> bool:
    """Whether the charges balance when the reported bicarbonate replaces the alkalinity."""
    alkalinity = verdict.analysis.alkalinity
    stated = [ion for ion in ("bicarbonate", "carbonate") if ion in verdict.analysis.ions]
    if alkalinity is None or not stated:
        return False
    ions = verdict.analysis.ions
    carried = sum(ions[ion].value / IONS[ion].equivalent_weight for ion in stated)
    shift = carried - alkalinity.value / CALCIUM_CARBONATE_EQUIVALENT
    return _balances(verdict.charges, 0.0, shift)


def _balances(charges: Charges, cations: float, anions: float) -> bool:
    """Whether the charges balance when so much is added to either side [mEq/L]."""
    moved_cations = charges.balance.cations + cations
    moved_anions = charges.balance.anions + anions
    total = moved_cations + moved_anions
    percent = 100.0 * (moved_cations - moved_anions) / total if total else 0.0
    moved = replace(charges, balance=IonBalance(moved_cations, moved_anions, percent))
    return _level(moved) is None
