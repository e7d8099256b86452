"""SARIF: valid by the standard's own schema, places in UTF-16, nothing read as a link."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import Any
from urllib.parse import unquote_to_bytes

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.output.reported import (
    EXCESS,
    EXCUSED,
    MISSPELT,
    RULES,
    SCHEMAS,
    TEXTS,
    UNREAD,
    assert_golden,
    outcome,
    outcomes,
)
from waterlint.finding import FILE_START, Edit, Fix, Span
from waterlint.output.outcome import Outcome
from waterlint.output.sarif import render
from waterlint.output.sarif_places import artifact, region
from waterlint.output.sarif_rules import LONGEST_DESCRIPTION, descriptor
from waterlint.rules.registry import all_rules
from waterlint.source.lines import Lines

SCHEMA = json.loads((SCHEMAS / "sarif-schema-2.1.0.json").read_text(encoding="utf-8"))
VALIDATOR = jsonschema.Draft4Validator(SCHEMA)

#: The characters of a relative reference that has a path only (RFC 3986, section 3.3), without
#: the colon, which could be taken for the end of a scheme.
RELATIVE = re.compile(r"(?:[A-Za-z0-9._~/-]|%[0-9A-F]{2})+")

Run = dict[str, Any]


def run_of(given: Outcome) -> Run:
    """The one run of a log that is valid."""
    text = render(given)
    text.encode("ascii")
    log = json.loads(text)
    VALIDATOR.validate(log)
    (run,) = log["runs"]
    return dict(run)


def test_byte_for_byte() -> None:
    run_of(outcome())
    assert_golden("sarif")


def test_the_schema_would_tell() -> None:
    log = json.loads(render(outcome()))
    log["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["region"]["startColumn"] = 0
    assert not VALIDATOR.is_valid(log)


def test_no_findings_make_a_valid_log_too() -> None:
    run = run_of(outcome((), ()))
    assert run["results"] == []
    assert [rule["id"] for rule in run["tool"]["driver"]["rules"]] == list(RULES)


def test_every_rule_of_ours_is_described() -> None:
    run = run_of(replace(outcome((), ()), rules=all_rules()))
    for rule in run["tool"]["driver"]["rules"]:
        short, full = rule["shortDescription"]["text"], rule["fullDescription"]["text"]
        assert 10 < len(short) <= len(full) <= LONGEST_DESCRIPTION
        assert not full.endswith("…")
        assert short.endswith(".") and "\n" not in full
        assert "<" not in re.sub("`[^`]*`", "", rule["help"]["markdown"]), "no HTML"


def test_a_rule_has_its_gravest_level_and_its_group() -> None:
    described = descriptor(RULES["kettle-only-excess"])
    assert described["defaultConfiguration"] == {"level": "warning"}
    assert described["properties"] == {"tags": ["the whole batch"]}
    assert "properties" not in descriptor(RULES["unreadable-file"])


def test_a_long_description_is_shortened() -> None:
    rule = replace(RULES["unknown-key"], what="x" * 2000)
    described = json.dumps(descriptor(rule)["fullDescription"], ensure_ascii=False)
    assert len(json.loads(described)["text"]) == LONGEST_DESCRIPTION


def test_a_result_names_its_rule_and_its_place_in_the_list() -> None:
    run = run_of(outcome())
    listed = run["tool"]["driver"]["rules"]
    for result in run["results"]:
        assert listed[result["ruleIndex"]]["id"] == result["ruleId"]


def test_a_rule_of_nobody_has_no_index() -> None:
    (result,) = run_of(outcome((replace(UNREAD, rule="of-a-plugin"),), ()))["results"]
    assert result["ruleId"] == "of-a-plugin" and "ruleIndex" not in result


def test_a_related_place_is_linked_in_the_message() -> None:
    (result,) = run_of(outcome((EXCESS,), ()))["results"]
    (related,) = result["relatedLocations"]
    assert related["physicalLocation"]["artifactLocation"]["uri"] == "waters/leat%20run.yaml"
    assert f"See [waters/leat run.yaml:4]({related['id']}): the" in result["message"]["text"]


def test_square_brackets_in_a_link_are_escaped() -> None:
    related = replace(EXCESS.related[0], path="a[1]\\b.yaml")
    (result,) = run_of(outcome((replace(EXCESS, related=(related,)),), ()))["results"]
    assert "See [a\\[1\\]\\\\b.yaml:4](1): " in result["message"]["text"]


def test_braces_and_links_in_a_message_are_text() -> None:
    finding = replace(UNREAD, message="write {0} or [x](1)")
    (result,) = run_of(outcome((finding,), ()))["results"]
    assert result["message"]["text"] == "write {{0}} or [x] (1)."


def test_an_accepted_finding_is_suppressed_with_its_reason() -> None:
    told, excused = run_of(outcome((EXCESS,), (EXCUSED,)))["results"]
    assert told["suppressions"] == []
    assert excused["suppressions"] == [
        {"kind": "inSource", "justification": "this beer | is meant so"}
    ]


@pytest.mark.parametrize(
    ("path", "uri"),
    [
        ("a.yaml", "a.yaml"),
        ("../b/a.yaml", "../b/a.yaml"),
        ("a b/ö.yaml", "a%20b/%C3%B6.yaml"),
        ("a:b%20#?.yaml", "a%3Ab%2520%23%3F.yaml"),
        ("\udcff.yaml", "%FF.yaml"),
        ("\ud800.yaml", "%ED%A0%80.yaml"),
        ("a\nb[1]\\c.yaml", "a%0Ab%5B1%5D%5Cc.yaml"),
    ],
)
def test_uris_are_relative_and_percent_encoded(path: str, uri: str) -> None:
    assert artifact(path) == {"uri": uri, "uriBaseId": "%SRCROOT%"}


@pytest.mark.parametrize(
    ("text", "span", "place"),
    [
        ("abc", Span(1, 2, 1, 4), (1, 2, 1, 4)),
        ("🍺 abc", Span(1, 3, 1, 6), (1, 4, 1, 7)),
        ("a🍺🍺b", Span(1, 2, 1, 4), (1, 2, 1, 6)),
        ("öä水b", Span(1, 4, 1, 5), (1, 4, 1, 5)),
        ("🍺\n🍺x", Span(1, 1, 2, 3), (1, 1, 2, 4)),
        ("ab\n🍺cd", Span(2, 2, 3, 1), (2, 3, 3, 1)),
        ("\uffff\U00010000b", Span(1, 2, 1, 3), (1, 2, 1, 4)),
        # Without extent: the character that follows, or one where none does.
        ("abc", Span(1, 2, 1, 2), (1, 2, 1, 3)),
        ("a🍺c", Span(1, 2, 1, 2), (1, 2, 1, 4)),
        ("abc", Span(1, 4, 1, 4), (1, 4, 1, 5)),
        ("", FILE_START, (1, 1, 1, 2)),
    ],
)
def test_columns_are_utf_16(text: str, span: Span, place: tuple[int, ...]) -> None:
    assert tuple(region(span, Lines(text)).values()) == place


def test_columns_of_a_file_without_text_are_taken_over() -> None:
    assert tuple(region(Span(3, 4, 3, 9), None).values()) == (3, 4, 3, 9)
    assert tuple(region(FILE_START, None).values()) == (1, 1, 1, 2)


def offset_16(text: str, line: int, column: int) -> int:
    """The offset in UTF-16 code units that a line and a column mean, both from 1."""
    starts = [0, *(match.end() for match in re.finditer("\r\n|\r|\n", text))]
    before = text[: starts[line - 1]].encode("utf-16-le", "surrogatepass")
    return len(before) // 2 + column - 1


def edited_16(text: str, replacement: Run) -> str:
    """`text` after a replacement that counts as SARIF does."""
    place = replacement["deletedRegion"]
    units = text.encode("utf-16-le", "surrogatepass")
    start = 2 * offset_16(text, place["startLine"], place["startColumn"])
    end = 2 * offset_16(text, place["endLine"], place["endColumn"])
    inserted = replacement["insertedContent"]["text"].encode("utf-16-le")
    return (units[:start] + inserted + units[end:]).decode("utf-16-le", "surrogatepass")


@given(
    st.text("ab🍺\n\r水", max_size=12),
    st.integers(0, 12),
    st.integers(0, 12),
    st.text("x🍺\n", max_size=3),
)
def test_a_fix_changes_what_our_edit_changes(text: str, one: int, other: int, new: str) -> None:
    start, end = sorted((min(one, len(text)), min(other, len(text))))
    finding = replace(MISSPELT, fix=Fix("mend it", (Edit(start, end, new),)), span=FILE_START)
    given_outcome = replace(outcome((finding,), ()), lines=lambda path: Lines(text))
    (result,) = json.loads(render(given_outcome))["runs"][0]["results"]
    (change,) = result["fixes"][0]["artifactChanges"]
    (replacement,) = change["replacements"]
    assert edited_16(text, replacement) == text[:start] + new + text[end:]


def test_the_fix_of_the_golden_mends_the_key() -> None:
    (result,) = run_of(outcome((MISSPELT,), ()))["results"]
    (replacement,) = result["fixes"][0]["artifactChanges"][0]["replacements"]
    text = TEXTS["ales/stout.yaml"]
    assert edited_16(text, replacement) == text.replace("vollume", "volume")
    assert result["fixes"][0]["description"] == {"text": "write `volume`."}


@pytest.mark.parametrize("fix", [Fix("x", ()), Fix("x", (Edit(0, 1, "\ud800"),))])
def test_a_fix_that_cannot_be_written_is_left_out(fix: Fix) -> None:
    (result,) = run_of(outcome((replace(MISSPELT, fix=fix),), ()))["results"]
    assert "fixes" not in result


def test_there_is_no_fix_without_the_text() -> None:
    without = replace(outcome((MISSPELT,), ()), lines=lambda path: None)
    assert "fixes" not in run_of(without)["results"][0]


@settings(max_examples=25, deadline=None)
@given(outcomes())
def test_whatever_is_found_the_log_is_valid(given: Outcome) -> None:
    run = run_of(given)
    assert len(run["results"]) == len(given.findings) + len(given.accepted)
    json.dumps(run, ensure_ascii=False).encode("utf-8")  # no half character anywhere
    for result in run["results"]:
        text = result["message"]["text"]
        assert text and "{" not in text.replace("{{", "") and "}" not in text.replace("}}", "")
        links = re.findall(r"\]\((.*?)\)", text)
        ids = [str(related["id"]) for related in result.get("relatedLocations", ())]
        assert links == ids
        for location in (*result["locations"], *result.get("relatedLocations", ())):
            place = location["physicalLocation"]
            assert RELATIVE.fullmatch(place["artifactLocation"]["uri"])
            (start, column), (end, last) = _ends(place["region"])
            assert (end, last) > (start, column) >= (1, 1) and last >= 1
    everything = sorted((*given.findings, *given.accepted), key=lambda each: each.order)
    for result, finding in zip(run["results"], everything, strict=True):
        uri = result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
        assert unquote_to_bytes(uri) in _possible_bytes(finding.path)


def _ends(place: Run) -> tuple[tuple[int, int], tuple[int, int]]:
    start = (place["startLine"], place["startColumn"])
    return start, (place["endLine"], place["endColumn"])


def _possible_bytes(path: str) -> set[bytes]:
    """The name as the system has it, or where it can have none, its half characters' bytes."""
    try:
        return {path.encode("utf-8", "surrogateescape")}
    except UnicodeEncodeError:
        return {path.encode("utf-8", "surrogatepass")}
