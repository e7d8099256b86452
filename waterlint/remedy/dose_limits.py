"""What is asked of doses themselves, whatever figures they lead to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf

from waterlint.catalog import limits
from waterlint.chemistry.formulas import molar_mass
from waterlint.hints import Final
from waterlint.prediction.compounds import find_compound
from waterlint.prediction.doses import LIQUOR_VESSELS
from waterlint.records import Record
from waterlint.remedy.levers import Lever
from waterlint.remedy.reach import millimoles_per_unit
from waterlint.remedy.situation import Situation
from waterlint.rules.chlorine import chlorine_of, millimoles_needed

#: Doses that are a fault by being there, and ones that are one by being so little or so much.
_TO_GO: Final = frozenset({"alkali-after-mash", "undissolved-chalk"})
_TOO_LITTLE: Final = frozenset({"below-scale", "negligible-addition"})
_TOO_MUCH: Final = frozenset({"implausible-quantity", "beyond-solubility"})

_SULFITE_RULES: Final = frozenset({"sulfite-dose", "sulfite-label", "chlorine-untreated"})

#: The part of the sulfur dioxide that may stay without a label which a proposal uses.
_UNLABELLED: Final = 0.9


class DoseLimit(Record):
    """`low ≤ Σ factors · steps ≤ high`; or, of a restless one, that a dose changes.

    Attributes
    ----------
    text : str
        In a sentence.
    factors : tuple of float
        By lever.
    low, high : float
    restless : int or None
        The number of the lever that may be none or enough, and not what it is.
    """

    text: str
    factors: tuple[float, ...]
    low: float = -inf
    high: float = inf
    restless: int | None = None

    def is_missed_by(self, levers: Sequence[Lever], steps: Sequence[float]) -> bool:
        """Whether steps do not keep to it."""
        if self.restless is not None:
            lever, count = levers[self.restless], steps[self.restless]
            return 0.0 < count < lever.least
        total = sum(factor * count for factor, count in zip(self.factors, steps, strict=True))
        return not self.low - 1e-9 <= total <= self.high + 1e-9


def dose_limits(situation: Situation, levers: Sequence[Lever]) -> Iterator[DoseLimit]:
    """Every one that counts at the level asked for, and that no exception excuses."""
    yield from _of_told_doses(situation, levers)
    yield from _of_cautions(situation, levers)
    yield from _of_sulfites(situation, levers)


def _of_told_doses(situation: Situation, levers: Sequence[Lever]) -> Iterator[DoseLimit]:
    told: dict[str, set[str]] = {}
    for finding in situation.counted(situation.report):
        told.setdefault(finding.pointer, set()).add(finding.rule)
    for number, lever in enumerate(levers):
        if lever.line is None or lever.start <= 0.0:
            continue
        pointer = f"{situation.recipe.additions[lever.line].pointer}/{lever.place}"
        rules = told.get(pointer, set())
        alone = tuple(float(each == number) for each in range(len(levers)))
        what = f"{lever.name} in the {lever.place}"
        if rules & _TO_GO:
            yield DoseLimit(f"no {what}", alone, high=0.0)
        elif rules & _TOO_MUCH:
            yield DoseLimit(f"a sensible dose of {what}", alone, high=lever.usual)
        elif rules & _TOO_LITTLE:
            yield DoseLimit(f"no dose of {what} that is too small", alone, restless=number)


def _of_cautions(situation: Situation, levers: Sequence[Lever]) -> Iterator[DoseLimit]:
    """No acid of some strength, and no lime, where the notes on them are to be cleared."""
    accepted = {each.rule for each in situation.report.accepted if situation.is_own(each)}
    for rule, limit, text, is_meant in (
        ("acid-handling", limits.ACID_HANDLING, "no strong acid", is_strong_acid),
        ("caustic-handling", None, "no lime", _is_lime),
    ):
        level = "note" if limit is None else limit.level
        if not situation.asks(rule, level) or rule in accepted:
            continue
        factors = tuple(float(is_meant(situation, lever)) for lever in levers)
        if any(factors):
            yield DoseLimit(text, factors, high=0.0)


def is_strong_acid(situation: Situation, lever: Lever) -> bool:
    """Whether a lever doses a liquid acid of such strength that it asks for care."""
    additive = situation.case.catalog.additives.get(lever.name)
    addition = lever.addition
    stated = None if addition.strength is None else addition.strength.value
    strength = None if additive is None else additive.acid_strength(addition.form, stated)
    return strength is not None and strength >= limits.ACID_HANDLING.ceiling


def _is_lime(situation: Situation, lever: Lever) -> bool:
    additive = situation.case.catalog.additives.get(lever.name)
    return additive is not None and any(
        form.salt == "calcium_hydroxide" for form in additive.forms.values()
    )


def _of_sulfites(situation: Situation, levers: Sequence[Lever]) -> Iterator[DoseLimit]:
    """In each water as much as its chlorine asks for, and not far more."""
    factors = tuple(_millimoles(situation, lever) for lever in levers)
    accepted = {each.rule for each in situation.report.accepted if situation.is_own(each)}
    asked = situation.asks("sulfite-dose", "warning") and not accepted & _SULFITE_RULES
    if not any(factors) or not asked:
        return
    dosed = {lever.place for lever in levers if lever.kind == "sulfite" and lever.start > 0.0}
    shared = "liquor" in dosed
    groups = [LIQUOR_VESSELS] if shared else [(name,) for name in LIQUOR_VESSELS]
    for names in (*groups, ("fermenter",)):
        places = {*names} if names == ("fermenter",) else {*names, "liquor"}
        own = tuple(
            factor if lever.place in places else 0.0
            for factor, lever in zip(factors, levers, strict=True)
        )
        low, high = _sulfite_range(situation, names, is_dosed=bool(dosed & places))
        name = "liquor" if len(names) > 1 else names[0]
        if any(own):
            text = f"as much sulfite in the {name} water as its chlorine uses up"
            yield DoseLimit(text, own, low * (1.0 - 1e-9), high * (1.0 + 1e-9))


def _sulfite_range(
    situation: Situation, names: tuple[str, ...], *, is_dosed: bool
) -> tuple[float, float]:
    """What the water of these vessels may have [mmol of S2O5]."""
    vessels = [situation.recipe.vessels[name] for name in names if name in situation.recipe.vessels]
    told = {each.rule for each in situation.counted(situation.report)}
    waters = [(chlorine_of(situation.case, each), each.volume.value) for each in vessels]
    need = millimoles_needed(sum(each.left * volume for each, volume in waters))
    reported = millimoles_needed(sum(each.reported * volume for each, volume in waters))
    smells = any(not limits.CHLORINE_UNTREATED.contains(each.left) for each, _ in waters)
    high = inf
    if all(each.known for each, _ in waters):
        high = limits.SULFITE_DOSE.ceiling * reported
    if "sulfite-label" in told:
        high = min(high, need + _unlabelled_millimoles(situation))
    is_asked = is_dosed or (smells and "chlorine-untreated" in told)
    return (limits.SULFITE_DOSE.floor * need if is_asked else 0.0), high


def _unlabelled_millimoles(situation: Situation) -> float:
    """What may be left over without a label [mmol of S2O5, of which each gives two of SO2]."""
    allowed = _UNLABELLED * limits.SULFITE_LABEL.ceiling * situation.recipe.batch.volume.value
    return allowed / (2.0 * molar_mass("SO2"))


def _millimoles(situation: Situation, lever: Lever) -> float:
    """Of a sulfite in a step [mmol], 0 for all else."""
    if lever.kind != "sulfite":
        return 0.0
    compound = find_compound(lever.addition, situation.case.catalog)
    if isinstance(compound, str):
        return 0.0
    return millimoles_per_unit(compound) * float(lever.step)
