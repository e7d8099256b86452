"""What `kind_of` and `check` promise beyond single keys: kinds, aliases, doubt, any input."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterlint.finding import Finding
from waterlint.source.document import Document, read_text
from waterlint.source.schema import UNKNOWN_KIND, check, kind_of

RECIPE = """\
waterlint: recipe/1
name: Plover pale ale
batch: {volume: 20 L, losses: 1 L}
water:
  mash: {volume: 15 L, from: distilled}
grist:
  - {malt: pale malt, kind: pale, mass: 4.5 kg, color: 6 EBC}
"""


def _document(text: str) -> Document:
    return read_text(text, "a.yaml").documents[0]


def _check(text: str, house: dict[str, list[str]] | None = None) -> list[Finding]:
    source = read_text(text, "a.yaml")
    (document,) = source.documents
    kind = kind_of(document)
    assert kind is not None
    return check(document, source, kind, house)


def _told(text: str) -> list[tuple[str, int, int]]:
    return [(f.rule, f.span.line, f.span.column) for f in _check(text)]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("waterlint: recipe/1", "recipe"),
        ("waterlint: water/1\nname: x", "water"),
        ("'waterlint': \"config/1\"", "config"),
        ("# a comment first\nwaterlint: recipe/1", "recipe"),
        ("{waterlint: recipe/1}", "recipe"),
        ("waterlint: recipe/2", "recipe"),
        ("waterlint: recipe", "recipe"),
        ("waterlint: Recipe/1", "recipe"),
        ("waterlint: recpie/1", "recipe"),
        ("waterlint: waters/1", "water"),
        ("waterlint: beer/1", UNKNOWN_KIND),
        ("waterlint: findings/1", UNKNOWN_KIND),
        ("waterlint:", UNKNOWN_KIND),
        ("waterlint: 1", UNKNOWN_KIND),
        ("waterlint: [recipe/1]", UNKNOWN_KIND),
        ("name: x\nwaterlint: recipe/1", None),
        ("waterlinter: recipe/1", None),
        ("recipe/1", None),
        ("- waterlint: recipe/1", None),
        ("{}", None),
    ],
)
def test_kind_of(text: str, kind: str | None) -> None:
    assert kind_of(_document(text)) == kind


@pytest.mark.parametrize(
    ("first", "column", "message", "help", "fixed"),
    [
        ("waterlint: recipe/2", 12, "reads recipe/1", "needs a newer waterlint", None),
        ("waterlint: recipe", 12, "does not say which version", "recipe/1", "recipe/1"),
        ("waterlint: recpie/1", 12, "no kind of file", "recipe/1", "recipe/1"),
        ("waterlint: beer/1", 12, "no kind of file", "water/1` or `waterlint: config/1", None),
        ("waterlint:", 1, "does not say what the file is", "`waterlint: recipe/1`", None),
        ("waterlint: {}", 12, "does not say what the file is", "`waterlint: recipe/1`", None),
    ],
)
def test_wrong_kind_is_the_only_finding(
    first: str, column: int, message: str, help: str, fixed: str | None
) -> None:
    (finding,) = _check(f"{first}\nnonsense: true\n")
    assert (finding.rule, finding.span.line, finding.span.column) == ("bad-value", 1, column)
    assert message in finding.message and help in finding.help
    assert finding.pointer == "/waterlint"
    assert (finding.fix.edits[0].replacement if finding.fix else None) == fixed


@pytest.mark.parametrize(
    "name",
    [
        "1999",
        "5.0",
        "true",
        "no",
        "2026-03-14",
        "1e3",
        "'null'",
        '"~"',
        "0x1F",
        ".inf",
        "|\n  a\n  b",
    ],
)
def test_a_text_takes_what_was_written(name: str) -> None:
    assert _check(RECIPE.replace("Plover pale ale", name)) == []


@pytest.mark.parametrize("value", ["", "~", "null", "Null"])
def test_nothing_is_no_text(value: str) -> None:
    assert [rule for rule, _, _ in _told(RECIPE.replace("Plover pale ale", value))] == [
        "wrong-type"
    ]


def test_numbers_without_unit_may_be_numbers_or_texts() -> None:
    for value in ("5.72", "'5.72'", "5.72 ± 0.03", "6"):
        assert _check(RECIPE.replace("color: 6 EBC", f"di_ph: {value}")) == []


def test_a_fault_that_only_the_alias_has_is_told_at_the_alias() -> None:
    text = RECIPE.replace("volume: 20 L", "volume: &all 20 L").replace("4.5 kg", "*all")
    (finding,) = _check(text)
    assert (finding.rule, finding.span.line, finding.span.column) == ("bad-quantity", 7, 41)
    assert finding.pointer == "/grist/0/mass"
    (related,) = finding.related
    assert (related.path, related.span.line, related.span.column) == ("a.yaml", 3, 22)
    assert finding.fix is None


def test_a_fault_of_the_original_is_told_there_alone() -> None:
    water = "  mash: &w {volme: 15 L, from: [x], treat: boild}\n  sparge: *w\n  kettle: *w\n"
    text = RECIPE.replace("  mash: {volume: 15 L, from: distilled}\n", water)
    assert _told(text) == [
        ("unknown-key", 5, 13),
        ("wrong-type", 5, 33),
        ("bad-value", 5, 44),
    ]


def test_a_missing_key_of_an_original_is_told_there_alone() -> None:
    water = "  mash: &w {from: distilled}\n  sparge: *w\n"
    text = RECIPE.replace("  mash: {volume: 15 L, from: distilled}\n", water)
    assert _told(text) == [("missing-key", 5, 3)]


def test_each_use_is_told_where_the_original_is_sound() -> None:
    text = RECIPE.replace("name: Plover pale ale", "name: &n Plover pale ale")
    text = text.replace("20 L", "*n").replace("1 L", "*n", 1)
    assert [rule for rule, _, _ in _told(text)] == ["bad-quantity", "bad-quantity"]


def test_a_fix_is_not_offered_for_what_an_alias_repeats() -> None:
    text = RECIPE.replace("name: Plover pale ale", "name: &n 20 litres").replace("20 L", "*n")
    (finding,) = _check(text)
    assert "`20 L`" in finding.help and finding.fix is None


REPORT = """\
waterlint: water/1
name: Quarry Lane well
sampled: 2026-03-14
ions: {calcium: 42 mg/L, magnesium: 6 mg/L, sodium: 11 mg/L, chloride: 28 mg/L, sulfate: 8 mg/L}
"""


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (REPORT, [("missing-key", 1, 1)]),
        (REPORT + "alkalinty: 96 mg/L\n", [("unknown-key", 5, 1)]),
        (REPORT + "kh: 5 °dH\n", [("unknown-key", 5, 1)]),
        (REPORT.replace("sulfate: 8 mg/L}", "sulfate: 8 mg/L, bicarbonate: 90 mg/L}"), []),
        (
            REPORT.replace("sulfate: 8 mg/L}", "sulfate: 8 mg/L, bicarbonat: 90 mg/L}"),
            [("unknown-key", 4, 98)],
        ),
        (
            REPORT.replace("sulfate: 8 mg/L}", "sulfate: 8 mg/L, HCO3: 90 mg/L}"),
            [("unknown-key", 4, 98)],
        ),
        (RECIPE + "additions: [{add: gypsum, kettl: 1 g}]\n", [("unknown-key", 8, 27)]),
        (RECIPE + "additions: [{add: gypsum, boiler: 1 g}]\n", [("unknown-key", 8, 27)]),
        (RECIPE.replace("grist:", "grits:"), [("unknown-key", 6, 1)]),
        (RECIPE.replace("  mash:", "  msh:").partition("grist")[0], [("unknown-key", 5, 3)]),
        (
            RECIPE.replace("{volume: 20 L", "{volume: 20,5 L, x: y"),
            [("bad-quantity", 3, 17), ("unknown-key", 3, 25)],
        ),
    ],
)
def test_what_follows_from_another_fault_is_not_told(
    text: str, told: list[tuple[str, int, int]]
) -> None:
    assert _told(text) == told


@pytest.mark.parametrize(
    ("value", "rules"),
    [("14", []), ("14.1", ["bad-value"]), ("0", []), ("5.72 ± 20", [])],
)
def test_limits_are_included(value: str, rules: list[str]) -> None:
    text = RECIPE.replace("color: 6 EBC", f"di_ph: {value}")
    assert [rule for rule, _, _ in _told(text)] == rules


def test_what_a_reported_fault_leaves_in_doubt_is_not_judged() -> None:
    merged = RECIPE.replace("{volume: 15 L, from: distilled}", "{<<: *x, treat: boiled}")
    source = read_text(merged, "a.yaml")
    assert {finding.rule for finding in source.findings} == {"merge-key", "invalid-yaml"}
    assert check(source.documents[0], source, "recipe") == []
    undefined = RECIPE.replace("20 L", "*nowhere")
    source = read_text(undefined, "a.yaml")
    assert [finding.rule for finding in source.findings] == ["invalid-yaml"]
    assert check(source.documents[0], source, "recipe") == []


def test_an_unknown_key_beside_a_merge_key_is_told() -> None:
    text = RECIPE.replace("{volume: 15 L, from: distilled}", "{<<: {volume: 15 L}, treatt: boiled}")
    source = read_text(text, "a.yaml")
    findings = check(source.documents[0], source, "recipe")
    assert [(f.rule, f.pointer) for f in findings] == [("unknown-key", "/water/mash/treatt")]


def test_words_of_the_house() -> None:
    text = RECIPE.replace("kind: pale", "kind: moor-floor-malt")
    assert [finding.rule for finding in _check(text)] == ["bad-value"]
    assert _check(text, {"malts": ["moor-floor-malt"]}) == []
    assert [f.rule for f in _check(text, {"styles": ["moor-floor-malt"]})] == ["bad-value"]


@pytest.mark.parametrize(
    ("line", "rule", "column", "message", "help"),
    [
        ("stock: [gypsum, chalk, gypsum]", "bad-value", 24, "item 3", "Take one of them away"),
        ("stock: [{add: a}, {add: a}]", "bad-value", 19, "the same as item 1", "Take one"),
        (
            "rules: [not a module]",
            "bad-value",
            9,
            "`not a module` cannot be",
            "acme_waterlint_rules",
        ),
        ("waters: {Tap Water: *w}", "bad-value", 10, "cannot be a name", "moor-floor-malt"),
        ("report_age: 9", "bad-quantity", 13, "has no unit", "9 months"),
        ("report_age: 0 months", "bad-value", 13, "above 0 months", "9 months"),
        ("scale: {mass: 0 g}", "bad-value", 15, "above 0 g", "0.1 g"),
        ("levels: {mash-ph: of}", "bad-value", 19, "`of` is none", "`off`"),
        (
            "paths: [{levels: {}}]",
            "missing-key",
            9,
            "item 1 of `paths` has no `match`",
            "lagers/**",
        ),
        ("ranges: {sodium: 90 mg/L}", "bad-quantity", 18, "one value", "`.. 90 mg/L`"),
        ("malts: {own: {basis: x}}", "missing-key", 9, "`own` has no `like`", "`like: pale`"),
        ("exclude: attic", "wrong-type", 10, "a list belongs", "[attic/**]"),
    ],
)
def test_configuration(line: str, rule: str, column: int, message: str, help: str) -> None:
    ions = ", ".join(f"{ion}: 1 mg/L" for ion in ("calcium", "magnesium", "sodium", "chloride"))
    water = f"{{ions: {{{ions}, sulfate: 1 mg/L}}, basis: x}}"
    findings = _check(f"waterlint: config/1\n{line.replace('*w', water)}\n")
    assert [(f.rule, f.span.line, f.span.column) for f in findings] == [(rule, 2, column)]
    assert message in findings[0].message and help in findings[0].help


@pytest.mark.parametrize(
    ("text", "offered"),
    [
        ("waterlint: recipe/1\nVolume: 1\n", None),
        (RECIPE + "colour: 6 EBC\n", "color"),
        (RECIPE + "Color: 6 EBC\n", "color"),
        (RECIPE + "salts: []\n", "additions"),
        (RECIPE.replace("mass:", "weight:"), "mass"),
    ],
)
def test_the_word_that_was_meant(text: str, offered: str | None) -> None:
    unknown = [finding for finding in _check(text) if finding.rule == "unknown-key"]
    assert len(unknown) == 1
    fix = unknown[0].fix
    assert (None if fix is None else fix.edits[0].replacement) == offered


@pytest.mark.parametrize(
    ("text", "help"),
    [
        (RECIPE + "targets: {sulfte: 1 .. 2 mg/L}\n", "Did you mean `sulfate` or `sulfite`?"),
        (RECIPE.replace("kind: pale", "kind: malted"), "Did you mean `unmalted`"),
        (RECIPE.replace("kind: pale", "kind: ''"), "Write `pilsner`, `pale`"),
        (RECIPE.replace("kind: pale", f"kind: {'x' * 500}"), "Write `pilsner`, `pale`"),
    ],
)
def test_words_that_may_have_been_meant(text: str, help: str) -> None:
    (finding,) = _check(text)
    assert help in finding.help and finding.fix is None


def test_a_day_cut_at_a_comma_is_told_as_a_day_and_a_key() -> None:
    text = "{waterlint: water/1, name: x, sampled: 2026,05, ions: {chloride: 12,5 mg/L}}"
    told = _told(text)
    assert ("bad-value", 1, 40) in told and ("unknown-key", 1, 45) in told
    assert ("bad-quantity", 1, 66) in told  # a quantity is still put together


def test_a_key_that_stands_there_already_is_not_offered() -> None:
    (finding,) = _check(RECIPE + "Name: again\n")
    assert finding.rule == "unknown-key" and finding.fix is None
    assert "stands here already" in finding.help


def test_findings_come_in_the_order_of_their_places() -> None:
    findings = _check(RECIPE.replace("20 L", "20").replace("15 L", "15").replace("4.5 kg", "4.5"))
    assert [finding.span.line for finding in findings] == [3, 5, 7]


def test_documents_of_one_file_are_told_apart() -> None:
    source = read_text(f"{RECIPE}---\n{RECIPE.replace('20 L', '20')}", "a.yaml")
    first, second = source.documents
    assert check(first, source, "recipe") == []
    (finding,) = check(second, source, "recipe")
    assert (finding.document, finding.span.line) == (1, 11)


VALUES = st.sampled_from(
    ["20 L", "15,5 L", "", "~", "[]", "{}", "[a, b]", "{a: 1}", "{volume: 1,5 L}", "yes", "&a x"]
) | st.sampled_from(
    ["*a", "'q'", "5.4 .. 5.6", "< 1 mg/L", "-1", "1e999", "[[]]", "{? [a] : b}", "!!int 3"]
)
KEYS = st.sampled_from(
    ["name", "batch", "water", "mash", "grist", "additions", "targets", "ions", "calcium", "from"]
) | st.sampled_from(
    ["seasons", "levels", "paths", "ranges", "stock", "<<", "a/b~c", "", "'x y'", "color"]
)


@given(
    kind=st.sampled_from(["recipe/1", "water/1", "config/1"]),
    entries=st.lists(st.tuples(KEYS, VALUES | st.tuples(KEYS, VALUES)), max_size=6),
)
@settings(max_examples=150, deadline=None)
def test_any_document_gives_findings_and_no_exception(
    kind: str, entries: list[tuple[str, str | tuple[str, str]]]
) -> None:
    lines = [f"waterlint: {kind}"]
    for key, value in entries:
        if isinstance(value, tuple):
            lines += [f"{key}:", f"  {value[0]}: {value[1]}"]
        else:
            lines.append(f"{key}: {value}")
    text = "\n".join(lines) + "\n"
    source = read_text(text, "a.yaml")
    for document in source.documents:
        name = kind_of(document)
        if name is None:
            continue
        for finding in check(document, source, name):
            span = finding.span
            assert 0 <= span.start <= span.end <= len(text)
            assert 1 <= span.line <= text.count("\n") + 1 and span.column >= 1
            assert finding.message and finding.help
            assert document.find(finding.pointer) is not None


def test_thousands_of_faults_do_not_take_minutes() -> None:
    keys = "".join(f"unknown_key_number_{number}: 1,5 L\n" for number in range(3000))
    styles = ", ".join(f"style-{number}: 0,3 .. 0,9" for number in range(1500))
    text = f"{RECIPE}{keys}"
    config = f"waterlint: config/1\nranges: {{chloride_to_sulfate: {{{styles}}}}}\n"
    start = time.process_time()
    assert len(_check(text)) == 3000
    source = read_text(config, "a.yaml")
    assert len(check(source.documents[0], source, "config")) == 1500
    assert time.process_time() - start < 10.0
