"""Doses in one vessel: beyond what dissolves, and against each other."""

from __future__ import annotations

import pytest

from waterlint.project.config import Settings
from waterlint.rules.samples import recipe, report

from .making import findings_of, levels_and_pointers, recipe_case

WARNING = "warning"


def _case(additions: list[str], *changes: str, settings: Settings | None = None):
    lines = "additions:\n" + "\n".join(f"  - {{{addition}}}" for addition in additions)
    return recipe_case(recipe(*changes, lines), {"well.yaml": report()}, settings=settings)


def _found(name: str, additions: list[str], *changes: str) -> list[tuple[str, str]]:
    return levels_and_pointers(findings_of(_case(additions, *changes), name))


# Mash 15 L: hot 2.0 g/L of gypsum is 30 g, lime 1.6 g/L 24 g. Sparge 13.5 L: cold 2.4 g/L of
# gypsum is 32.4 g. Kettle and fermenter hold 20 L: 40 g hot, 48 g cold. Liquor 28.5 L.
@pytest.mark.parametrize(
    ("additions", "expected"),
    [
        (["add: gypsum, mash: 30 g"], []),
        (["add: gypsum, mash: 30.1 g"], ["/additions/0/mash"]),
        (["add: gypsum, sparge: 32.4 g"], []),
        (["add: gypsum, sparge: 32.5 g"], ["/additions/0/sparge"]),
        (["add: gypsum, kettle: 40 g"], []),
        (["add: gypsum, kettle: 41 g"], ["/additions/0/kettle"]),
        (["add: gypsum, fermenter: 48 g"], []),
        (["add: gypsum, fermenter: 49 g"], ["/additions/0/fermenter"]),
        (["add: gypsum, sparge: 2.5 g/L"], ["/additions/0/sparge"]),
        (["add: pickling-lime, mash: 24 g"], []),
        (["add: pickling-lime, mash: 24.1 g"], ["/additions/0/mash"]),
        # two doses of one salt add up, also with what the liquor brings; the larger is named
        (["add: gypsum, mash: 18 g", "add: gypsum, mash: 14 g"], ["/additions/0/mash"]),
        (["add: gypsum, liquor: 1.2 g/L, mash: 0.9 g/L"], ["/additions/0/liquor"]),
        (["add: gypsum, liquor: 1.2 g/L, sparge: 0.9 g/L"], []),
        # other forms by the gypsum they make: 25.3 g of the hemihydrate are 30.0 g
        (["add: gypsum, form: hemihydrate, mash: 25.2 g"], []),
        (["add: gypsum, form: hemihydrate, mash: 25.4 g"], ["/additions/0/mash"]),
        (["add: gypsum, strength: 95 %, mash: 31 g"], []),
        # gypsum and lime are two salts
        (["add: gypsum, mash: 20 g", "add: pickling-lime, mash: 20 g"], []),
        # what dissolves as far as brewing goes, and chalk, which has a rule of its own
        (["add: epsom-salt, mash: 40 g"], []),
        (["add: chalk, mash: 5 g"], []),
    ],
)
def test_solubility(additions: list[str], expected: list[str]) -> None:
    found = _found("beyond-solubility", additions)
    assert found == [(WARNING, pointer) for pointer in expected]


def test_a_liquor_dose_is_told_once() -> None:
    assert _found("beyond-solubility", ["add: gypsum, liquor: 75 g"]) == [
        (WARNING, "/additions/0/liquor")
    ]


def test_a_ten_fold_slip_is_told_as_such() -> None:
    case = _case(["add: gypsum, mash: 60 g"])
    rules = [each.rule for each in findings_of(case) if each.pointer == "/additions/0/mash"]
    assert "implausible-quantity" in rules and "beyond-solubility" not in rules
    silent = Settings(levels={"implausible-quantity": "off"})
    case = _case(["add: gypsum, mash: 60 g"], settings=silent)
    assert len(findings_of(case, "beyond-solubility")) == 1


def test_solubility_says_what_would_dissolve() -> None:
    (finding,) = findings_of(_case(["add: gypsum, sparge: 35 g"]), "beyond-solubility")
    assert "2.59 g/L of gypsum in the sparge water is more than the 2.4 g/L" in finding.message
    assert "At most 32 g of gypsum dissolve in these 13.5 L" in finding.help
    assert "PHREEQC" in finding.basis
    assert (finding.value, finding.high, finding.unit) == (pytest.approx(35 / 13.5), 2.4, "g/L")


LACTIC = "add: lactic-acid, strength: 80 %"
SODA = "add: baking-soda"


@pytest.mark.parametrize(
    ("additions", "expected"),
    [
        pytest.param(
            [f"{LACTIC}, mash: 2 mL", f"{SODA}, mash: 2 g"], ["/additions/1/mash"], id="in the mash"
        ),
        pytest.param(
            [f"{SODA}, mash: 2 g", f"{LACTIC}, mash: 2 mL"],
            ["/additions/1/mash"],
            id="the later one is named",
        ),
        pytest.param(
            [f"{LACTIC}, liquor: 2 mL", f"{SODA}, mash: 2 g"],
            ["/additions/1/mash"],
            id="the liquor counts for the mash",
        ),
        pytest.param(
            [f"{SODA}, liquor: 2 g", f"{LACTIC}, sparge: 2 mL"],
            ["/additions/1/sparge"],
            id="the liquor counts for the sparge",
        ),
        pytest.param(
            [f"{LACTIC}, liquor: 2 mL", f"{SODA}, liquor: 2 g"],
            ["/additions/1/liquor"],
            id="both in the liquor, told once",
        ),
        pytest.param(
            ["add: pickling-lime, mash: 1 g", "add: gypsum, mash: 2 g", f"{LACTIC}, mash: 2 mL"],
            ["/additions/2/mash"],
            id="lime, with a salt between",
        ),
        pytest.param(
            [
                "add: citric-acid, form: anhydrous, mash: 1 g",
                "add: potassium-bicarbonate, mash: 1 g",
            ],
            ["/additions/1/mash"],
            id="every acid and every alkali",
        ),
        pytest.param(
            [
                f"{LACTIC}, mash: 1 mL",
                "add: phosphoric-acid, strength: 10 %, mash: 1 mL",
                "add: chalk, mash: 1 g",
            ],
            ["/additions/2/mash"],
            id="two acids, one finding",
        ),
        pytest.param([f"{LACTIC}, sparge: 2 mL", f"{SODA}, mash: 2 g"], [], id="in two vessels"),
        pytest.param([f"{SODA}, mash: 2 g", "add: gypsum, mash: 2 g"], [], id="a salt is no acid"),
        pytest.param(
            [f"{LACTIC}, mash: 2 mL", "add: phosphoric-acid, strength: 10 %, mash: 2 mL"],
            [],
            id="two acids",
        ),
        pytest.param([f"{SODA}, mash: 0 g", f"{LACTIC}, mash: 2 mL"], [], id="none of one"),
        pytest.param(
            [f"{LACTIC}, sparge: 2 mL", f"{SODA}, sparge: 2 g"],
            [],
            id="after the mash the alkali has a rule of its own",
        ),
        pytest.param(
            [f"{LACTIC}, kettle: 2 mL", f"{SODA}, kettle: 2 g"], [], id="the same in the kettle"
        ),
    ],
)
def test_acid_against_alkali(additions: list[str], expected: list[str]) -> None:
    found = _found("acid-against-alkali", additions)
    assert found == [(WARNING, pointer) for pointer in expected]


def test_speaks_after_the_mash_where_the_other_rule_is_off() -> None:
    case = _case(
        [f"{LACTIC}, sparge: 2 mL", f"{SODA}, sparge: 2 g"],
        settings=Settings(levels={"alkali-after-mash": "off"}),
    )
    found = findings_of(case, "acid-against-alkali")
    assert levels_and_pointers(found) == [(WARNING, "/additions/1/sparge")]


def test_acid_against_alkali_shows_both() -> None:
    case = _case([f"{LACTIC}, mash: 2 mL", f"{SODA}, mash: 2 g"])
    (finding,) = findings_of(case, "acid-against-alkali")
    assert "lactic acid and baking soda meet in the mash" in finding.message
    assert (finding.span.line, finding.span.column) == (13, 30)
    (related,) = finding.related
    assert (related.span.line, related.span.column) == (12, 46)


def test_acidulated_malt_beside_soda_is_left_alone() -> None:
    malt = "  - {malt: acidulated malt, kind: acidulated, mass: 100 g, color: 5 EBC}"
    grist = "  - {malt: pale malt, kind: pale, mass: 4.2 kg, color: 6 EBC}\n" + malt
    assert _found("acid-against-alkali", [f"{SODA}, mash: 1 g"], grist) == []


@pytest.mark.parametrize(
    ("place", "left"),
    [("mash", "the mash pH that is left."), ("sparge", "the alkalinity that is left.")],
)
def test_what_is_left_when_they_cancel(place: str, left: str) -> None:
    silent = Settings(levels={"alkali-after-mash": "off"})
    case = _case([f"{LACTIC}, {place}: 2 mL", f"{SODA}, {place}: 2 g"], settings=silent)
    (finding,) = findings_of(case, "acid-against-alkali")
    assert finding.help.endswith(left)
