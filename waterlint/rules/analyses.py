"""What the rules on water reports ask of an analysis: its charges, its places, its spread."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from waterlint.chemistry.ions import (
    CALCIUM_CARBONATE_EQUIVALENT,
    IONS,
    IonBalance,
    ion_balance,
)
from waterlint.finding import LEVELS, Level
from waterlint.model.water import Analysis, WaterReport
from waterlint.records import Record
from waterlint.rules.registry import Case
from waterlint.units import Quantity

#: The ions without which charges cannot be compared; alkalinity comes beside them.
BALANCE_IONS: tuple[str, ...] = ("calcium", "magnesium", "sodium", "chloride", "sulfate")

_CHARGED_TRACES = ("iron", "manganese", "copper", "ammonium", "nitrite", "fluoride", "phosphate")


class Charges(Record):
    """The charges of an analysis.

    Attributes
    ----------
    amounts : mapping of str to float
        mg/L by ion; bicarbonate and carbonate only where no alkalinity is stated.
    alkalinity : float
        [mg/L as CaCO3]; 0 where bicarbonate stands for it.
    balance : IonBalance
        [mEq/L, %]
    sd : float
        Standard deviation of the difference C - A from the spreads that are stated [mEq/L].
    """

    amounts: dict[str, float]
    alkalinity: float
    balance: IonBalance
    sd: float

    @property
    def difference(self) -> float:
        """C - A [mEq/L]."""
        return self.balance.cations - self.balance.anions

    @property
    def total(self) -> float:
        """C + A [mEq/L]."""
        return self.balance.cations + self.balance.anions

    @property
    def percent_sd(self) -> float:
        """Standard deviation of the percent difference [%]."""
        return 100.0 * self.sd / self.total if self.total else 0.0

    def with_factor(self, figure: str, factor: float) -> IonBalance:
        """The balance when one figure (an ion, or ``alkalinity``) is multiplied."""
        if figure == "alkalinity":
            return ion_balance(self.amounts, self.alkalinity * factor)
        return ion_balance(self.amounts | {figure: self.amounts[figure] * factor}, self.alkalinity)


def charges(analysis: Analysis, uncertainty: float | None) -> Charges:
    """Add up an analysis.

    Parameters
    ----------
    analysis : Analysis
    uncertainty : float or None
        The report's standard deviation where a figure states none, as a fraction.

    Returns
    -------
    Charges
        Silica is left out: below pH 9 it carries no charge.
    """
    quantities = dict(analysis.ions)
    quantities |= {
        name: analysis.traces[name] for name in _CHARGED_TRACES if name in analysis.traces
    }
    alkalinity = analysis.alkalinity
    if alkalinity is not None:
        quantities.pop("bicarbonate", None)
        quantities.pop("carbonate", None)
    amounts = {name: quantity.value for name, quantity in quantities.items()}
    spreads = [
        stated_sd(quantity, uncertainty) / IONS[name].equivalent_weight
        for name, quantity in quantities.items()
    ]
    if alkalinity is not None:
        spreads.append(stated_sd(alkalinity, uncertainty) / CALCIUM_CARBONATE_EQUIVALENT)
    value = 0.0 if alkalinity is None else alkalinity.value
    return Charges(amounts, value, ion_balance(amounts, value), hypot(*spreads))


def missing_ions(analysis: Analysis) -> list[str]:
    """The figures without which charges cannot be compared."""
    missing = [name for name in BALANCE_IONS if name not in analysis.ions]
    if analysis.alkalinity is None and "bicarbonate" not in analysis.ions:
        missing.append("alkalinity")
    return missing


def stated_sd(quantity: Quantity, uncertainty: float | None) -> float:
    """The standard deviation that the report states for a figure, 0 where it states none."""
    if quantity.sd is not None:
        return quantity.sd
    return 0.0 if uncertainty is None else uncertainty * quantity.value


def is_below_detection(quantity: Quantity) -> bool:
    """Whether the laboratory found less than it can measure."""
    return quantity.text.lstrip().startswith("<")


def rounding(quantity: Quantity) -> float:
    """How far the true figure can be from what is written, for its last digit alone.

    What is below detection can be anything down to nothing.
    """
    return quantity.value if is_below_detection(quantity) else quantity.resolution


def states(analysis: Analysis, *keys: str) -> bool:
    """Whether an analysis itself states all of `keys` (``alkalinity``, ``ions/calcium``)."""
    return all(key in analysis.own for key in keys)


def states_whole(analysis: Analysis) -> bool:
    """Whether an analysis states every figure of an ion balance itself."""
    ions = states(analysis, *(f"ions/{name}" for name in BALANCE_IONS))
    return ions and (states(analysis, "alkalinity") or states(analysis, "ions/bicarbonate"))


def place(analysis: Analysis, key: str) -> str:
    """The JSON pointer of a figure: the analysis's own, or the main one's that it takes over."""
    return f"{analysis.pointer}/{key}" if key in analysis.own else f"/{key}"


def title(analysis: Analysis) -> str:
    """How a sentence names a season's analysis; nothing for the main one."""
    return f" in the analysis of {analysis.sampled.isoformat()}" if analysis.pointer else ""


def main_first(report: WaterReport) -> Iterator[Analysis]:
    """The main analysis, then the seasons in the order of the file."""
    yield report.main
    seasons = [analysis for analysis in report.analyses if analysis.pointer]
    yield from sorted(seasons, key=lambda analysis: int(analysis.pointer.rpartition("/")[2]))


def is_on(case: Case, rule: str) -> bool:
    """Whether a rule has a voice; one that is off cannot speak for another."""
    return case.settings.levels.get(rule) != "off"


def tells_at(case: Case, rule: str, own: Level, level: Level) -> bool:
    """Whether a rule whose own level is `own` tells at `level` or a graver one in this house."""
    told = case.settings.levels.get(rule, own)
    return told != "off" and LEVELS.index(told) >= LEVELS.index(level)


def speaks_for(case: Case, rule: str, own: Level, other: str, level: Level) -> bool:
    """Whether a rule can stand for what another would tell of something else.

    It must be sure to reach a reader, and not more mildly than the other would. Of the very same
    thing the first is enough, `tells_as_gravely`: who excuses the one means the other too.

    Parameters
    ----------
    case : Case
    rule, own : str
        Who tells, and its level before the house has changed it.
    other, level : str
        Who would be silent, and the level of what it would tell.
    """
    if case.settings.levels.get(other) == "off":
        return True
    return tells_as_gravely(case, rule, own, other, level) and is_heard(case, rule)


def tells_as_gravely(case: Case, rule: str, own: Level, other: str, level: Level) -> bool:
    """Whether a rule tells no more mildly than another would; see `speaks_for`."""
    silenced = case.settings.levels.get(other, level)
    return silenced == "off" or tells_at(case, rule, own, silenced)


def is_heard(case: Case, rule: str) -> bool:
    """Whether what a rule tells is sure to reach a reader; only then can it stand for the rest.

    A baseline may know it, and an exception that names the rule may keep it back; both are about
    nothing else.
    """
    marked = [comment.text for comment in case.document.comments if "waterlint" in comment.text]
    return not case.has_baseline and is_on(case, rule) and not any(rule in text for text in marked)
