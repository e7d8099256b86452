"""Waters that could not be had, and shares off the whole."""

from __future__ import annotations

from dataclasses import replace

import pytest

from waterlint.rules.registry import Case
from waterlint.rules.samples import recipe, report

from .making import findings_of, levels_and_pointers, recipe_case

NAME = "unresolved-water"
ERROR = "error"
FILES = {"well.yaml": report()}


def _found(*changes: str, files: dict[str, str] | None = None) -> list[tuple[str, str]]:
    case = recipe_case(recipe(*changes), FILES if files is None else files)
    return levels_and_pointers(findings_of(case, NAME))


def test_sound() -> None:
    assert _found() == []


@pytest.mark.parametrize(
    ("sparge", "expected"),
    [
        ("./wall.yaml", [(ERROR, "/water/sparge/from")]),
        ("../../elsewhere.yaml", [(ERROR, "/water/sparge/from")]),
        ("https://example.org/well.yaml", [(ERROR, "/water/sparge/from")]),
        ("distilled", []),
        ("reverse-osmosis", []),
        (
            "[{water: ./well.yaml, share: 60 %}, {water: ./wall.yaml, share: 40 %}]",
            [(ERROR, "/water/sparge/from/1/water")],
        ),
    ],
)
def test_places(sparge: str, expected: list[tuple[str, str]]) -> None:
    assert _found(f"  sparge: {{volume: 13.5 L, from: {sparge}}}") == expected


def test_one_water_that_is_missing_is_told_once() -> None:
    case = recipe_case(recipe(), {}, problems={"./well.yaml": "there is no file well.yaml"})
    (finding,) = findings_of(case, NAME)
    assert (finding.pointer, finding.span.line, finding.span.column) == (
        "/water/mash/from",
        5,
        30,
    )
    assert finding.message == "the water `./well.yaml` cannot be used: there is no file well.yaml"
    (related,) = finding.related
    assert (related.span.line, related.span.column) == (6, 34)


def test_two_waters_that_are_missing_are_two_faults() -> None:
    assert _found("  sparge: {volume: 13.5 L, from: ./wall.yaml}", files={}) == [
        (ERROR, "/water/mash/from"),
        (ERROR, "/water/sparge/from"),
    ]


def test_an_alias_is_told_where_it_is_used_first() -> None:
    case = recipe_case(
        recipe(
            "notes: &lost ./wall.yaml",
            "  mash: {volume: 15 L, from: distilled}",
            "  sparge: {volume: 13.5 L, from: *lost}",
        )
        .replace("notes: &lost ./wall.yaml\n", "")
        .replace("name: Plover", "notes: &lost ./wall.yaml\nname: Plover"),
        {},
    )
    (finding,) = findings_of(case, NAME)
    assert (finding.span.line, finding.span.column) == (7, 34)
    assert [each.span.line for each in finding.related] == [2]


@pytest.mark.parametrize(
    ("shares", "fires"),
    [
        (("60 %", "40 %"), False),
        (("33.3 %", "66.6 %"), False),
        (("33.4 %", "66.7 %"), False),
        (("60 %", "40.1 %"), False),
        (("60 %", "39.9 %"), False),
        (("60 %", "40.11 %"), True),
        (("60 %", "39.89 %"), True),
        (("60 %", "4 %"), True),
        (("60 %", "60 %"), True),
    ],
)
def test_shares(shares: tuple[str, str], fires: bool) -> None:
    sparge = (
        "  sparge:\n    volume: 13.5 L\n    from:\n"
        f"      - {{water: ./well.yaml, share: {shares[0]}}}\n"
        f"      - {{water: distilled, share: {shares[1]}}}"
    )
    assert _found(sparge) == ([(ERROR, "/water/sparge/from")] if fires else [])


def test_shares_point_at_the_list_and_say_the_sum() -> None:
    sparge = "  sparge: {volume: 13.5 L, from: [{water: ./well.yaml, share: 60 %}]}"
    (finding,) = findings_of(recipe_case(recipe(sparge), FILES), NAME)
    assert finding.message == "the shares of the sparge water add up to 60 %, not to 100 %"
    assert (finding.span.line, finding.span.column) == (6, 28)
    assert (finding.value, finding.low, finding.high) == (pytest.approx(60.0), 99.9, 100.1)


# -- untracked --------------------------------------------------------------------------------

UNTRACKED = "untracked-water"


def _untracked(*names: str, changes: tuple[str, ...] = ()) -> Case:
    """A case in a hook, where git does not keep the reports of these names."""
    case = recipe_case(recipe(*changes), {**FILES, "pond.yaml": report()})
    waters = {
        name: replace(water, path=f"waters/{name[2:]}", untracked=name in names)
        for name, water in case.waters.items()
    }
    return replace(case, waters=waters)


@pytest.mark.parametrize(
    ("names", "expected"),
    [
        ((), []),
        (("./well.yaml",), ["/water/mash/from"]),
        (("./pond.yaml",), ["/water/sparge/from/1/water"]),
        (("./well.yaml", "./pond.yaml"), ["/water/mash/from", "/water/sparge/from/1/water"]),
    ],
)
def test_each_report_that_git_does_not_keep_is_told_once(names, expected: list[str]) -> None:
    sparge = (
        "  sparge:\n    volume: 13.5 L\n    from:\n"
        "      - {water: ./well.yaml, share: 60 %}\n      - {water: ./pond.yaml, share: 40 %}"
    )
    found = findings_of(_untracked(*names, changes=(sparge,)), UNTRACKED)
    assert levels_and_pointers(found) == [("warning", pointer) for pointer in expected]


def test_what_git_does_not_keep_is_named() -> None:
    (finding,) = findings_of(_untracked("./well.yaml"), UNTRACKED)
    assert finding.rule == UNTRACKED
    assert "the water report waters/well.yaml is not part of the repository" in finding.message
    assert finding.help == "Add it to the commit: `git add waters/well.yaml`."
    assert (finding.span.line, finding.span.column) == (5, 30)
