"""What the rules say of a recipe as the sheet has it, against what they say of it as it stands."""

from __future__ import annotations

from collections.abc import Iterable

from waterlint.applying import run_rule
from waterlint.finding import Finding
from waterlint.model.recipe import Recipe
from waterlint.records import replace
from waterlint.remedy.situation import Situation
from waterlint.rules.registry import Case, all_rules

_Key = tuple[str, str]


def findings_for(situation: Situation, brewed: Iterable[Recipe]) -> tuple[Finding, ...]:
    """Warnings and errors that hold for the sheet.

    Parameters
    ----------
    situation : Situation
        Of the recipe as it stands.
    brewed : iterable of Recipe
        As the sheet has it, with the same pointers: scaled, and rounded too.

    Returns
    -------
    tuple of Finding
        Those of the file that still hold, with the figures of the sheet; then those that only
        the sheet has. What an exception in the file excuses stays excused.

    Notes
    -----
    Rules of plugins are not asked about the sheet: what they found in the file is told as it is.
    """
    before = _judged(situation, situation.case)
    after: dict[_Key, Finding] = {}
    for recipe in brewed:
        prediction = situation.predict(recipe)
        case = replace(situation.case, recipe=recipe, prediction=prediction)
        for key, finding in _judged(situation, case).items():
            after.setdefault(key, finding)
    waters = {water.path for water in situation.case.waters.values() if water.path is not None}
    told: dict[_Key, Finding] = {}
    others: list[Finding] = []
    for finding in situation.report.findings:
        key = _key(finding)
        if not situation.is_own(finding):
            others += [finding] if finding.path in waters else []
        elif key not in before:
            others.append(finding)
        elif key in after:
            told[key] = after[key]
    new = {key: finding for key, finding in after.items() if key not in before}
    found = [*told.values(), *new.values(), *others]
    return tuple(dict.fromkeys(each for each in found if each.level != "note"))


def _judged(situation: Situation, case: Case) -> dict[_Key, Finding]:
    levels = case.settings.levels
    found: dict[_Key, Finding] = {}
    for rule in all_rules().values():
        level = levels.get(rule.name)
        if rule.subject != "recipe" or rule.check is None or level == "off":
            continue
        for finding in run_rule(rule, case, built_in=True):
            leveled = finding if level is None else replace(finding, level=level)
            found.setdefault(_key(finding), leveled)
    return found


def _key(finding: Finding) -> _Key:
    return finding.rule, finding.pointer
