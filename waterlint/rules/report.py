"""Whether a water report's charges balance, and whether that can be told at all."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.finding import Finding, Related
from waterlint.rules import analyses
from waterlint.rules.agreement import alkalinity_gap, hardness_gap
from waterlint.rules.balance import (
    Verdict,
    balances_with_bicarbonate,
    balances_with_hardness,
    implausible_ions,
    verdicts,
)
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import report_example
from waterlint.rules.wording import apart, listed, number

_FORMULA = "100 (C − A)/(C + A)"


@rule(
    "ion-balance",
    subject="water",
    levels=("note", "warning"),
    group="The water report",
    what=(
        "The charges of an analysis: cations against anions, in mEq/L, as a percentage of their "
        f"sum, {_FORMULA}. Every ion that the report states counts, alkalinity as its "
        "equivalents. Where one slip of unit would close the balance it is named: sulfate given "
        "as sulfur, nitrate as nitrogen, carbonate for bicarbonate, the wrong basis of "
        "alkalinity, calcium or magnesium given as calcium carbonate. A season that states only "
        "some of the ions is weighed together with the main analysis, and only for a gross "
        "difference."
    ),
    why=(
        "Water carries no charge. Where the sums differ, a figure is wrong or missing, and every "
        "recipe on this water is computed with it. It is the one check of a report that needs "
        "nothing but the report."
    ),
    limits=(
        limits.ION_BALANCE_NOTE.line,
        limits.ION_BALANCE_WARNING.line,
        limits.ION_BALANCE_FLOOR.line,
    ),
    configure="`levels: {ion-balance: note}`, or `off`.",
    failing=report_example("  sulfate: 61 mg/L", "  calcium: 107 mg/L"),
    passing=report_example("  sulfate: 61 mg/L as S", "  calcium: 107 mg/L"),
)
def ion_balance(case: Case) -> Iterator[Finding]:
    """Each analysis whose charges differ, unless a plainer cross-check names the figure."""
    assert case.report is not None
    for verdict in verdicts(case.report):
        if verdict.level is not None and not _stands_aside(case, verdict):
            yield _finding(case, verdict)


def _stands_aside(case: Case, verdict: Verdict) -> bool:
    """Whether another rule names the figure whose fault this is."""
    analysis = verdict.analysis
    assert verdict.level is not None

    def tells(rule: str) -> bool:
        return analyses.speaks_for(case, rule, "warning", "ion-balance", verdict.level or "note")

    if implausible_ions(analysis) and tells("implausible-quantity"):
        return True
    if hardness_gap(analysis) is not None and balances_with_hardness(verdict):
        return tells("hardness-disagrees")
    if alkalinity_gap(analysis) is not None and balances_with_bicarbonate(verdict):
        return tells("alkalinity-disagrees")
    return False


def _finding(case: Case, verdict: Verdict) -> Finding:
    assert verdict.level is not None
    balance = verdict.charges.balance
    limit = limits.ION_BALANCE_NOTE if verdict.level == "note" else limits.ION_BALANCE_WARNING
    percent = balance.percent_difference
    spread = verdict.charges.percent_sd
    key = "ions" if "ions" in verdict.analysis.own else ""
    message = (
        f"the charges{analyses.title(verdict.analysis)} do not balance: cations "
        f"{number(balance.cations)} mEq/L, anions {number(balance.anions)} mEq/L, a difference "
        f"of {apart(percent, limit.ceiling)} % of their sum by {_FORMULA}, where "
        f"{number(limit.ceiling)} % is allowed"
    )
    if not verdict.whole:
        message += "; what this analysis leaves out is taken from the main one"
    return case.finding(
        "ion-balance",
        verdict.level,
        f"{verdict.analysis.pointer}/{key}".rstrip("/"),
        f"{message}.{_spread(percent, spread, limit.ceiling)}{_slip(verdict)}",
        key=True,
        help=_help(verdict),
        basis=limit.basis,
        related=_suspects(case, verdict),
        quantity="ion_balance",
        value=percent,
        value_low=percent - spread if spread else None,
        value_high=percent + spread if spread else None,
        low=-limit.ceiling,
        high=limit.ceiling,
        unit="%",
    )


def _spread(percent: float, sd: float, limit: float) -> str:
    if not sd or abs(percent) - sd >= limit:
        return ""
    return f" With the stated spreads it may be {number(sd)} % less, and within the limit."


def _slip(verdict: Verdict) -> str:
    if not verdict.closures:
        return ""
    closest = verdict.closures[0]
    factor = closest.slip.factor
    scale = f"× {number(factor)}" if factor >= 1.0 else f"÷ {number(1.0 / factor)}"
    return f" If {closest.slip.words} ({scale}), the difference is {number(closest.percent, 2)} %."


def _help(verdict: Verdict) -> str:
    if not verdict.closures:
        return (
            "Compare each figure and its unit with the laboratory's sheet, and look for an ion "
            "that was left out; potassium and nitrate count too."
        )
    remedies = [closure.slip.remedy for closure in verdict.closures]
    closest = remedies[0]
    help = f"Look at the laboratory's sheet; if it says so, {closest}."
    others = [closure.slip.words for closure in verdict.closures[1:3]]
    if others:
        help += f" It would also balance if {listed(others, 'or if')}."
    return help


def _suspects(case: Case, verdict: Verdict) -> tuple[Related, ...]:
    if not verdict.closures:
        return ()
    slip = verdict.closures[0].slip
    pointer = analyses.place(verdict.analysis, slip.key)
    return (Related(case.path, case.place(pointer), f"perhaps {slip.words}"),)


@rule(
    "ion-balance-untestable",
    subject="water",
    levels=("note",),
    group="The water report",
    what=(
        "An analysis whose charges cannot be compared: an ion is missing, or figures are so "
        "uncertain (`< 50 mg/L`, a wide ±) that a balance within them says nothing."
    ),
    why=(
        "A balance that was not tested must not be taken for one that passed. Sodium above all "
        "is often left out, or given only as below a limit."
    ),
    limits=(
        "needed: calcium, magnesium, sodium, chloride, sulfate, alkalinity or bicarbonate — the "
        "charges of nearly all of any supply; common practice",
        limits.ION_BALANCE_WARNING.line,
    ),
    configure="`levels: {ion-balance-untestable: off}`.",
    failing=report_example("  sodium: < 50 mg/L"),
    passing=report_example("  sodium: 11 ± 2 mg/L"),
)
def ion_balance_untestable(case: Case) -> Iterator[Finding]:
    """Each analysis of which it cannot be said whether its charges balance."""
    assert case.report is not None
    for verdict in verdicts(case.report):
        if not verdict.untestable:
            continue
        key = "ions" if "ions" in verdict.analysis.own else ""
        yield case.finding(
            "ion-balance-untestable",
            "note",
            f"{verdict.analysis.pointer}/{key}".rstrip("/"),
            f"whether the charges balance{analyses.title(verdict.analysis)} cannot be told: "
            f"{verdict.untestable}",
            key=True,
            help=(
                "Ask the laboratory for the missing or exact figure; a full analysis of the "
                "main ions has it."
            ),
            basis=limits.ION_BALANCE_WARNING.basis,
            quantity="ion_balance",
            unit="%",
        )
