"""Unknown styles, and colours that do not go with grist or style."""

from __future__ import annotations

from dataclasses import replace

import pytest

from .figured import case_of, house, off, with_color
from .making import findings_of, levels_and_pointers

NOTE, WARNING, ERROR = "note", "warning", "error"


@pytest.mark.parametrize(
    ("style", "meant"),
    [
        ("bst-bitter", "`best-bitter`"),
        ("Oatmeal Stout", "`oatmeal-stout`"),
        ("oatmeal_stout", "`oatmeal-stout`"),
        ("window", None),
    ],
)
def test_unknown_style(style: str, meant: str | None) -> None:
    (finding,) = findings_of(case_of(f"style: {style}"), "unknown-style")
    assert (finding.level, finding.pointer) == (ERROR, "/style")
    assert (finding.span.line, finding.span.column) == (11, 8)
    assert (meant in finding.help) if meant else ("Did you mean" not in finding.help)


@pytest.mark.parametrize("changes", [[], ["style: best-bitter"], ["style: gose"]])
def test_known_styles_and_none(changes: list[str]) -> None:
    assert findings_of(case_of(*changes), "unknown-style") == []


@pytest.mark.parametrize(
    ("declared", "predicted", "fires"),
    [
        pytest.param("10 SRM", 10.0, False, id="as declared"),
        pytest.param("13 SRM", 10.0, False, id="3 SRM exactly"),
        pytest.param("13.1 SRM", 10.0, True, id="more"),
        pytest.param("6.9 SRM", 10.0, True, id="less"),
        pytest.param("5 SRM", 3.0, False, id="by much of little"),
        pytest.param("24 SRM", 20.0, False, id="20 % exactly"),
        pytest.param("23.5 SRM", 20.0, False, id="more than 3 SRM, less than 20 %"),
        pytest.param("24.1 SRM", 20.0, True, id="more than both"),
        pytest.param("19.7 EBC", 10.0, False, id="in EBC"),
        pytest.param("26 EBC", 10.0, True, id="too far in EBC"),
    ],
)
def test_color_disagrees(declared: str, predicted: float, fires: bool) -> None:
    found = findings_of(with_color(case_of(f"color: {declared}"), predicted), "color-disagrees")
    assert levels_and_pointers(found) == ([(WARNING, "/color")] if fires else [])
    for finding in found:
        assert (finding.span.line, finding.span.column) == (11, 8)


@pytest.mark.parametrize(("declared", "fires"), [(38, True), (40, False), (60, False), (90, True)])
def test_black_beer_is_black(declared: int, fires: bool) -> None:
    case = with_color(case_of(f"color: {declared} SRM"), 70.0, in_range=False)
    found = findings_of(case, "color-disagrees")
    assert bool(found) is fires
    if fires:
        assert "gives more than " in found[0].message


def test_nothing_to_compare() -> None:
    assert findings_of(with_color(case_of(), 40.0), "color-disagrees") == []
    unknown = case_of("color: 40 SRM")
    assert unknown.prediction is not None
    unknown = replace(unknown, prediction=replace(unknown.prediction, color=None))
    assert findings_of(unknown, "color-disagrees") == []


OUTSIDE = "color-outside-style"
STYLE = "style: best-bitter"  # 8 to 16 SRM


@pytest.mark.parametrize(
    ("changes", "predicted", "sd", "expected"),
    [
        pytest.param([STYLE], 8.0, 0.0, [], id="at the low end"),
        pytest.param([STYLE], 16.0, 0.0, [], id="at the high end"),
        pytest.param([STYLE], 7.9, 0.0, [(NOTE, "/style")], id="too pale"),
        pytest.param([STYLE], 16.1, 0.0, [(NOTE, "/style")], id="too dark"),
        pytest.param([STYLE], 7.5, 0.6, [], id="within its spread"),
        pytest.param([STYLE], 7.0, 0.6, [(NOTE, "/style")], id="not within its spread"),
        pytest.param([STYLE, "color: 18 SRM"], 17.8, 0.5, [(NOTE, "/color")], id="declared too"),
        pytest.param([STYLE, "color: 16.2 SRM"], 15.5, 1.5, [(NOTE, "/color")], id="declared only"),
        pytest.param([STYLE, "color: 12 SRM"], 12.0, 1.0, [], id="sound"),
        pytest.param(["style: imperial-stout"], 62.0, 2.0, [], id="blacker than black"),
        pytest.param(["style: imperial-stout"], 29.0, 0.0, [(NOTE, "/style")], id="not black"),
        pytest.param(["style: american-brown-ale"], 36.0, 0.0, [(NOTE, "/style")], id="too black"),
        pytest.param(["color: 30 SRM"], 30.0, 0.0, [], id="no style"),
        pytest.param(["style: no-such", "color: 30 SRM"], 30.0, 0.0, [], id="unknown style"),
        pytest.param([STYLE, "targets: {color: 4 .. 6 SRM}"], 5.0, 0.0, [], id="a target"),
        pytest.param([STYLE, "color: 9 SRM"], 20.0, 1.0, [], id="color-disagrees tells it"),
    ],
)
def test_color_outside_style(changes, predicted: float, sd: float, expected) -> None:
    found = findings_of(with_color(case_of(*changes), predicted, sd), OUTSIDE)
    assert levels_and_pointers(found) == expected


def test_which_colour_is_outside() -> None:
    (finding,) = findings_of(with_color(case_of(STYLE, "color: 16.2 SRM"), 15.5, 1.5), OUTSIDE)
    assert finding.message.startswith("the declared colour is 16.2 SRM, outside the 8 to 16 SRM")
    (finding,) = findings_of(with_color(case_of(STYLE), 17.0), OUTSIDE)
    assert finding.message.startswith("the predicted colour is 17 SRM, outside the 8 to 16 SRM")
    (finding,) = findings_of(with_color(case_of("style: imperial-stout"), 22.0), OUTSIDE)
    assert "outside the 30 SRM and more of imperial-stout" in finding.message
    assert (finding.low, finding.high) == (30.0, None)


def test_a_rule_that_is_off_tells_nothing_for_another() -> None:
    case = case_of(STYLE, "color: 9 SRM", settings=off("color-disagrees"))
    assert len(findings_of(with_color(case, 20.0), OUTSIDE)) == 1


def test_a_house_range_of_colour_replaces_the_style() -> None:
    case = case_of(STYLE, settings=house(color=(4, 6)))
    assert findings_of(with_color(case, 5.0), OUTSIDE) == []
