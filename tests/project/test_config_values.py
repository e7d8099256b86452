"""What a configuration may not say, told at its place."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from waterlint.project.config import Scale
from waterlint.project.config_store import ConfigStore
from waterlint.project.config_values import level_problem
from waterlint.project.files import Disk

Tree = Callable[..., Path]

RULES = frozenset({"report-age", "batch-sodium", "unknown-key", "rule-crashed"})


@pytest.mark.parametrize(
    ("lines", "rule", "place", "pointer", "words"),
    [
        (
            ["levels:", "  report-agee: off"],
            "unknown-key",
            (3, 3),
            "/levels/report-agee",
            "no rule named report-agee|Did you mean report-age?",
        ),
        (
            ["levels: {xyzzy: off}"],
            "unknown-key",
            (2, 10),
            "/levels/xyzzy",
            "no rule named xyzzy|`waterlint explain` lists",
        ),
        (
            ["levels: {unknown-key: off}"],
            "bad-value",
            (2, 23),
            "/levels/unknown-key",
            "cannot be changed",
        ),
        (["levels: {report-age: loud}"], "bad-value", (2, 22), "/levels/report-age", ""),
        (["levels: {xyzzy: loud}"], "bad-value", (2, 17), "/levels/xyzzy", ""),
        (["levels: {report-age: }"], "wrong-type", None, "/levels/report-age", ""),
        (["ranges: {sodium: 90}"], None, (2, 18), "/ranges/sodium", ""),
        (["ranges: {sodium: 90 .. mg}"], "bad-quantity", (2, 18), "/ranges/sodium", ""),
        (["ranges: {soduim: .. 90 mg/L}"], "unknown-key", (2, 10), "/ranges/soduim", "sodium"),
        (
            ["ranges: {sodium: {american-pail-ale: .. 90 mg/L}}"],
            "unknown-key",
            (2, 19),
            "/ranges/sodium/american-pail-ale",
            "no style american-pail-ale|american-pale-ale",
        ),
        (
            ["paths: [{match: a/**, ranges: {sodium: {xyzzy: .. 90 mg/L}}}]"],
            "unknown-key",
            (2, 41),
            "/paths/0/ranges/sodium/xyzzy",
            "no style xyzzy",
        ),
        (
            ["paths:", "  - {match: a/**, levels: {bach-sodium: off}}"],
            "unknown-key",
            (3, 28),
            "/paths/0/levels/bach-sodium",
            "batch-sodium",
        ),
        (
            ["paths:", "  - {match: ../a/**, levels: {}}"],
            "bad-value",
            (3, 13),
            "/paths/0/match",
            "leaves the folder",
        ),
        (
            ["exclude: [a/**, 'b\\**']"],
            "bad-value",
            (2, 17),
            "/exclude/1",
            "backslash|b/**",
        ),
        (["report_age: 9"], None, (2, 13), "/report_age", "months"),
        (["scale: {mass: 0 g}"], None, (2, 15), "/scale/mass", ""),
        (["stock: [gipsum]"], "bad-value", (2, 9), "/stock/0", "no additive gipsum|gypsum"),
        (
            ["stock: [{add: gypsum, form: solution}]"],
            "bad-value",
            (2, 29),
            "/stock/0/form",
            "not sold as solution|dihydrate",
        ),
        (
            ["stock: [gypsum, calcium-chloride]"],
            "missing-key",
            (2, 17),
            "/stock/1",
            "several forms|dihydrate",
        ),
        (
            ["stock: [lactic-acid]"],
            "missing-key",
            (2, 9),
            "/stock/0",
            "strength of lactic-acid|percentage",
        ),
        (["baseline: /tmp/b.json"], "bad-value", (2, 11), "/baseline", "absolute path"),
        (["baseline: ../b.json"], "bad-value", (2, 11), "/baseline", "leads out of the project"),
        (["baseline: ~/b.json"], "bad-value", (2, 11), "/baseline", "home folder"),
        (
            ["additives:", "  cellar-acid: {like: lactic, basis: label}"],
            "bad-value",
            (3, 23),
            "/additives/cellar-acid/like",
            "no additive lactic|lactic-acid",
        ),
        (
            ["additives:", "  cellar-salt: {like: table-salt, form: solution, basis: label}"],
            "bad-value",
            (3, 41),
            "/additives/cellar-salt/form",
            "not sold as solution|anhydrous",
        ),
        (["additives:", "  cellar-acid: {like: lactic-acid}"], "missing-key", None, None, "basis"),
        (
            ["additives:", "  cellar-acid: {like: lactic-acid, basis: ' '}"],
            None,
            None,
            None,
            "basis|rest on",
        ),
        (
            ["malts:", "  moor-malt: {like: pale, di_ph: 2.5, basis: own mash}"],
            "bad-value",
            (3, 3),
            "/malts/moor-malt",
            "di_ph must lie between 3 and 8",
        ),
        (
            ["styles:", "  moor-ale: {emphasis: malt, color: .. 18 SRM, basis: panel}"],
            "bad-value",
            (3, 37),
            "/styles/moor-ale/color",
            "open on one side",
        ),
        (
            [
                "waters:",
                "  cellar:",
                "    basis: measured",
                "    ions: {calcium: 2 mg/L, magnesium: 1 mg/L, sodium: 1 mg/L,",
                "           chloride: 90 mg/L, sulfate: 2 mg/L}",
            ],
            "bad-value",
            (3, 3),
            "/waters/cellar",
            "no alkalinity closes the charge",
        ),
    ],
)
def test_a_fault_is_told_once_at_its_place(
    tree: Tree,
    lines: list[str],
    rule: str | None,
    place: tuple[int, int] | None,
    pointer: str | None,
    words: str,
) -> None:
    tree({"waterlint.yaml": "\n".join(["waterlint: config/1", *lines, ""])})
    config = ConfigStore(Disk(), RULES).for_file(Path("a.yaml"))
    assert len(config.findings) == 1, config.findings
    (finding,) = config.findings
    assert (finding.level, finding.path) == ("error", "waterlint.yaml")
    if rule is not None:
        assert finding.rule == rule
    if place is not None:
        assert (finding.span.line, finding.span.column) == place
    if pointer is not None:
        assert finding.pointer == pointer
    said = finding.message + " " + finding.help
    assert any(word in said for word in words.split("|")[:1]), said
    assert words.split("|")[-1] in said


@pytest.mark.parametrize(
    "lines",
    [
        ["levels: {report-age: off, batch-sodium: error}"],
        ["levels: {unknown-key: error}"],
        ["exclude: []"],
        ["stock: []"],
        ["stock: [magnesium-chloride, {add: citric-acid, form: anhydrous}]"],
        ["baseline: sub/not-there-yet.json"],
        ["ranges: {mash_ph: 5.3 .. 5.5, residual_alkalinity: -50 .. 20 mg/L as CaCO3}"],
        ["ranges: {color: {stout: 40 .. 60 EBC}, alkalinity: .. 60 mg/L as CaCO3}"],
        ["styles: {moor-ale: {emphasis: malt, color: 12 .. 18 SRM, basis: panel}}"],
        [
            "styles: {moor-ale: {emphasis: malt, color: 12 .. 18 SRM, basis: panel}}",
            "ranges: {sodium: {moor-ale: .. 90 mg/L}}",
        ],
        [
            "additives: {cellar-acid: {like: lactic-acid, strength: 60 %, basis: label}}",
            "stock: [cellar-acid]",
        ],
    ],
)
def test_what_is_sound_is_not_told(tree: Tree, lines: list[str]) -> None:
    tree({"waterlint.yaml": "\n".join(["waterlint: config/1", *lines, ""])})
    assert ConfigStore(Disk(), RULES).for_file(Path("a.yaml")).findings == ()


def test_the_sound_part_of_a_broken_configuration_still_holds(tree: Tree) -> None:
    tree(
        {
            "waterlint.yaml": "waterlint: config/1\n"
            "levels: {report-age: note, nothing: off}\n"
            "ranges: {sodium: .. 90 mg/L, calcium: 5}\n"
            "scale: {mass: 0 g, volume: 2 mL}\n"
        }
    )
    config = ConfigStore(Disk(), RULES).for_file(Path("a.yaml"))
    assert len(config.findings) == 3
    assert config.settings.scale == Scale(0.1, 2.0)
    assert dict(config.settings.levels) == {"report-age": "note"}
    assert list(config.settings.ranges) == ["sodium"]


def test_an_entry_with_a_fault_is_kept_without_it(tree: Tree) -> None:
    """So that recipes that name it are not told of a malt that nobody knows."""
    tree(
        {
            "waterlint.yaml": "waterlint: config/1\n"
            "malts: {moor-malt: {like: pale, di_ph: 99, color: 6 EBC, basis: own mash}}\n"
        }
    )
    config = ConfigStore(Disk(), RULES).for_file(Path("a.yaml"))
    assert [each.pointer for each in config.findings] == ["/malts/moor-malt/di_ph"]
    malt = config.catalog.malts["moor-malt"]
    assert (malt.di_ph, malt.color_ebc) == (None, 6.0)


HOUSE = """\
waterlint: config/1
additives:
  cellar-calcium:
    {like: calcium-chloride, form: solution, strength: 33 %, density: 1.31 g/mL, basis: label}
malts:
  moor-malt: {like: pale, di_ph: 5.72 ± 0.03, color: 6 EBC, title: Moor malt, basis: own mash}
styles:
  moor-ale:
    {emphasis: malt, color: 12 .. 18 SRM, ranges: {sulfate: .. 150 mg/L}, soft: true, basis: panel}
waters:
  cellar-permeate:
    ions: {calcium: 2 ± 1 mg/L, magnesium: 0.5 mg/L, sodium: 6 mg/L,
           chloride: 5 mg/L, sulfate: 2 mg/L}
    alkalinity: 14 mg/L as CaCO3
    ph: 6.2
    basis: measured twice
  moor-spring:
    ions: {calcium: 40 mg/L, magnesium: 5 mg/L, sodium: 6 mg/L, chloride: 5 mg/L, sulfate: 2 mg/L,
           bicarbonate: 122 mg/L}
    basis: measured
"""


def test_the_house_adds_to_the_catalogue(tree: Tree) -> None:
    tree({"waterlint.yaml": HOUSE})
    config = ConfigStore(Disk(), RULES).for_file(Path("a.yaml"))
    assert config.findings == ()
    catalog = config.catalog
    calcium = catalog.additives["cellar-calcium"]
    assert (calcium.default_strength, calcium.default_density) == (33.0, 1.31)
    malt = catalog.malts["moor-malt"]
    assert (malt.like, malt.color_ebc, malt.di_ph, malt.di_ph_sd) == ("pale", 6.0, 5.72, 0.03)
    assert malt.title == "Moor malt"
    style = catalog.styles["moor-ale"]
    assert style.soft and style.srm == (12.0, 18.0)
    assert style.limits["sulfate"].high == 150.0
    permeate = catalog.waters["cellar-permeate"]
    assert permeate.ions["calcium"] == (2.0, 1.0)
    # Without ±: 5 % of the value, and the rounding of its last digit.
    assert permeate.ions["sodium"].sd == pytest.approx((0.3**2 + 0.5**2 / 3.0) ** 0.5)
    assert permeate.alkalinity.value == 14.0 and permeate.ph == (6.2, 0.1)
    spring = catalog.waters["moor-spring"]
    # 122 mg/L of bicarbonate are 2 mEq/L, and so 100 mg/L as CaCO3.
    assert spring.alkalinity.value == pytest.approx(100.06, abs=0.05)
    assert "bicarbonate" not in spring.ions and spring.ph is None
    assert "distilled" in catalog.waters
    text = ConfigStore(Disk(), RULES).describe(Path("a.yaml"))
    assert "malts.moor-malt" in text and "basis: own mash" in text


@pytest.mark.parametrize(
    ("rule", "level", "kind"),
    [
        ("report-age", "off", None),
        ("unknown-key", "error", None),
        ("unknown-key", "off", "bad-value"),
        ("rule-crashed", "note", "bad-value"),
        ("report-age", "warn", "bad-value"),
        ("raport-age", "off", "unknown-key"),
    ],
)
def test_a_level_of_the_call_is_checked_the_same_way(
    rule: str, level: str, kind: str | None
) -> None:
    problem = level_problem(rule, level, RULES)
    assert (None if problem is None else problem[0]) == kind
    if level == "warn":
        assert problem is not None and "Did you mean warning?" in problem[2]
