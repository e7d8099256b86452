"""Cases for the rules' tests, made from texts as a run makes them from files."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from waterlint.catalog.catalog import Catalog, default_catalog
from waterlint.finding import Finding
from waterlint.model.read import read_recipe, read_water
from waterlint.model.water import WaterReport
from waterlint.prediction.builtin import builtin_report
from waterlint.prediction.predict import predict
from waterlint.project.config import Settings
from waterlint.rules.registry import Case, UsedWater, all_rules
from waterlint.source.document import Document, read_text

#: The day on which all cases are judged.
TODAY = date(2026, 9, 1)


def document_of(text: str, path: str) -> Document:
    """The one document of a text without faults."""
    source = read_text(text, path)
    assert not source.findings, source.findings
    (document,) = source.documents
    return document


def recipe_case(
    text: str,
    files: Mapping[str, str] | None = None,
    *,
    settings: Settings | None = None,
    catalog: Catalog | None = None,
    problems: Mapping[str, str] | None = None,
) -> Case:
    """A recipe's case; `files` are its reports by the name it uses, `problems` what is amiss."""
    catalog = catalog or default_catalog()
    document = document_of(text, "recipe.yaml")
    recipe = read_recipe(document, "recipe.yaml")
    waters: dict[str, UsedWater] = {}
    for share in recipe.references:
        name = share.water
        waters[name] = _used(name, catalog, files or {}, problems or {})
    reports = {name: used.report for name, used in waters.items() if used.report is not None}
    return Case(
        path="recipe.yaml",
        document=document,
        settings=settings or Settings(),
        catalog=catalog,
        today=TODAY,
        recipe=recipe,
        prediction=predict(recipe, reports, catalog),
        waters=waters,
    )


def _used(
    name: str, catalog: Catalog, files: Mapping[str, str], problems: Mapping[str, str]
) -> UsedWater:
    builtin = builtin_report(name, catalog)
    if builtin is not None:
        return UsedWater(name, builtin)
    file = name.removeprefix("./")
    if file not in files:
        problem = problems.get(name, "there is no such file")
        return UsedWater(name, None, problem=problem, help="Mend it.")
    document = document_of(files[file], file)
    return UsedWater(name, read_water(document, file), file, document)


def report_case(
    text: str,
    *,
    settings: Settings | None = None,
    used_by: tuple[str, ...] = (),
    today: date = TODAY,
) -> Case:
    """A water report's case."""
    document = document_of(text, "well.yaml")
    report: WaterReport = read_water(document, "well.yaml")
    return Case(
        path="well.yaml",
        document=document,
        settings=settings or Settings(),
        catalog=default_catalog(),
        today=today,
        report=report,
        used_by=used_by,
    )


def findings_of(case: Case, name: str | None = None) -> list[Finding]:
    """What the rules find in a case: one rule's findings, or those of all."""
    kind = "recipe" if case.recipe is not None else "water"
    rules = all_rules()
    found: list[Finding] = []
    for rule in rules.values() if name is None else (rules[name],):
        if rule.subject in (kind, "file") and rule.check is not None:
            found += rule.check(case)
    return sorted(found, key=lambda finding: finding.order)


def levels_and_pointers(findings: list[Finding]) -> list[tuple[str, str]]:
    """What tables of expectations compare."""
    return [(finding.level, finding.pointer) for finding in findings]
