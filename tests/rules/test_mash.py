"""The mash's pH: levels, places, and what is said where it cannot be predicted."""

from __future__ import annotations

from dataclasses import replace

import pytest

from waterlint.prediction.result import Figure, Gap, MashFigures
from waterlint.rules.registry import Case
from waterlint.rules.residual import alkalinity_off

from .figured import case_of, house, with_ions, with_mash_ph, with_water
from .making import findings_of, levels_and_pointers

NOTE, WARNING, ERROR = "note", "warning", "error"
GRIST, TARGET = "/grist", "/targets/mash_ph"
PH = "mash-ph"


@pytest.mark.parametrize(
    ("ph", "sd", "changes", "expected"),
    [
        pytest.param(5.45, 0.1, [], [], id="sound"),
        pytest.param(5.2, 0.1, [], [], id="at the low end"),
        pytest.param(5.7, 0.1, [], [], id="at the high end"),
        pytest.param(5.19, 0.1, [], [(WARNING, GRIST)], id="below"),
        pytest.param(5.71, 0.1, [], [(WARNING, GRIST)], id="above"),
        pytest.param(6.05, 0.1, [], [(WARNING, GRIST)], id="not all of it beyond"),
        pytest.param(6.11, 0.1, [], [(ERROR, GRIST)], id="all of it above"),
        pytest.param(4.89, 0.1, [], [(ERROR, GRIST)], id="all of it below"),
        pytest.param(4.95, 0.1, [], [(WARNING, GRIST)], id="not all of it below"),
        pytest.param(6.1, 0.1, [], [(WARNING, GRIST)], id="its end just at the limit"),
        pytest.param(5.65, 0.1, ["style: best-bitter"], [(NOTE, GRIST)], id="off the aim"),
        pytest.param(5.6, 0.1, ["style: best-bitter"], [], id="at the aim's end"),
        pytest.param(5.65, 0.1, ["style: munich-helles"], [], id="another aim"),
        pytest.param(5.75, 0.1, ["style: best-bitter"], [(WARNING, GRIST)], id="too high for it"),
        pytest.param(5.75, 0.1, ["style: irish-stout"], [], id="roast may be higher"),
        pytest.param(5.81, 0.1, ["style: irish-stout"], [(WARNING, GRIST)], id="not that high"),
        pytest.param(5.25, 0.1, ["style: irish-stout"], [(NOTE, GRIST)], id="roast, low"),
        pytest.param(
            5.35, 0.1, ["targets: {mash_ph: 5.4 .. 5.6}"], [(WARNING, TARGET)], id="target, low"
        ),
        pytest.param(
            5.65, 0.1, ["targets: {mash_ph: 5.4 .. 5.6}"], [(WARNING, TARGET)], id="target, high"
        ),
        pytest.param(5.78, 0.1, ["targets: {mash_ph: 5.6 .. 5.8}"], [], id="a target kept"),
        pytest.param(
            5.65,
            0.1,
            ["style: best-bitter", "targets: {mash_ph: 5.4 .. 5.7}"],
            [],
            id="a target replaces the style's aim",
        ),
        pytest.param(
            6.3, 0.1, ["targets: {mash_ph: 5.4 .. 5.6}"], [(ERROR, TARGET)], id="far off a target"
        ),
        pytest.param(
            4.7, 0.1, ["targets: {mash_ph: 4.5 .. 4.8}"], [(ERROR, GRIST)], id="an absurd target"
        ),
    ],
)
def test_levels_and_places(ph: float, sd: float, changes, expected) -> None:
    found = findings_of(with_mash_ph(case_of(*changes), ph, sd), PH)
    assert levels_and_pointers(found) == expected
    for finding in found:
        assert finding.value == ph and finding.basis and finding.help
        assert finding.value_low == pytest.approx(ph - sd)


def test_the_house() -> None:
    settings = house(mash_ph=(5.3, 5.5))
    found = findings_of(with_mash_ph(case_of(settings=settings), 5.55, 0.05), PH)
    assert levels_and_pointers(found) == [(WARNING, GRIST)]
    assert "above the house's 5.5" in found[0].message
    assert findings_of(with_mash_ph(case_of(settings=settings), 5.5, 0.05), PH) == []


def test_the_grist_is_named_by_its_key() -> None:
    (finding,) = findings_of(with_mash_ph(case_of(), 5.8, 0.05), PH)
    assert (finding.span.line, finding.span.column, finding.span.end_column) == (8, 1, 6)


def test_a_straddling_interval_is_said() -> None:
    (near,) = findings_of(with_mash_ph(case_of(), 5.75, 0.1), PH)
    assert near.message == (
        "mash pH is 5.75, above 5.7. Its stated spread, 5.65 to 5.85, reaches across the limit."
    )
    (far,) = findings_of(with_mash_ph(case_of(), 5.85, 0.1), PH)
    assert far.message == "mash pH is 5.85, above 5.7. The 68 % interval is 5.75 to 5.95."
    (worse,) = findings_of(with_mash_ph(case_of(), 6.2, 0.1), PH)
    assert worse.message == (
        "mash pH is 6.2, above 6. All of its 68 % interval, 6.10 to 6.30, lies there."
    )


def test_no_mash_no_ph() -> None:
    case = case_of()
    assert case.prediction is not None
    for mash in (None, MashFigures(None, 3.0)):
        unknown = replace(case, prediction=replace(case.prediction, mash=mash))
        assert findings_of(unknown, PH) == []


# -- unpredictable ----------------------------------------------------------------------------

UNPREDICTABLE = "mash-ph-unpredictable"


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        (["  mash: {volume: 70 L, from: ./well.yaml}"], "/water/mash/volume"),
        (["grist:\n  - {malt: black, kind: roasted, mass: 4 kg, color: 900 EBC}"], "/grist"),
        (["additions: [{add: calcium-chloride, form: dihydrate, mash: 40 g}]"], "/water/mash"),
    ],
)
def test_what_keeps_the_ph_unknown(changes: list[str], pointer: str) -> None:
    without = ["  - {malt"] if changes[0].startswith("grist") else []
    case = case_of(*changes) if not without else _replaced_grist(changes[0])
    found = findings_of(case, UNPREDICTABLE)
    assert levels_and_pointers(found) == [(NOTE, pointer)]


def _replaced_grist(grist: str):
    from waterlint.rules.samples import recipe, report

    from .making import recipe_case

    text = recipe()
    head = text[: text.index("grist:")]
    return recipe_case(head + grist + "\n", {"well.yaml": report()})


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param([], id="predicted"),
        pytest.param(["  mash: {volume: 15 L, from: ./lost.yaml}"], id="unresolved-water tells it"),
        pytest.param(
            [
                "  mash:\n    volume: 15 L\n    from:\n"
                "      - {water: ./well.yaml, share: 60 %}\n      - {water: distilled, share: 30 %}"
            ],
            id="so it does shares",
        ),
        pytest.param(["additions: [{add: gipsum, mash: 2 g}]"], id="unknown-additive tells it"),
        pytest.param(["additions: [{add: calcium-chloride, mash: 2 g}]"], id="form-unstated does"),
        pytest.param(["additions: [{add: lactic-acid, mash: 2 mL}]"], id="strength-unstated does"),
        pytest.param(["additions: [{add: gypsum, mash: 2 mL}]"], id="a volume of a solid"),
        pytest.param(
            ["additions: [{add: phosphoric-acid, strength: 95 %, mash: 2 mL}]"],
            id="a density that no table has",
        ),
    ],
)
def test_what_others_tell_is_not_told_again(changes: list[str]) -> None:
    assert findings_of(case_of(*changes), UNPREDICTABLE) == []


def test_a_widened_interval_is_no_missing_one() -> None:
    case = with_mash_ph(case_of(), 5.5, 0.2)
    assert case.prediction is not None
    gap = Gap("mash_ph", "calcium is beyond what was measured", "/water/mash")
    widened = replace(case, prediction=replace(case.prediction, gaps=(gap,)))
    (finding,) = findings_of(widened, UNPREDICTABLE)
    assert finding.message == (
        "the mash pH can be predicted only roughly: calcium is beyond what was measured"
    )
    missing = replace(widened.prediction, mash=MashFigures(None, 3.0))  # type: ignore[type-var]
    (finding,) = findings_of(replace(widened, prediction=missing), UNPREDICTABLE)
    assert finding.message.startswith("the mash pH cannot be predicted: ")


def test_one_cause_is_enough() -> None:
    case = case_of()
    assert case.prediction is not None
    gaps = (Gap("wort", "x"), Gap("mash_ph", "first"), Gap("mash_ph", "second"))
    (finding,) = findings_of(
        replace(case, prediction=replace(case.prediction, gaps=gaps)), UNPREDICTABLE
    )
    assert "first" in finding.message and finding.pointer == GRIST


# -- residual alkalinity ----------------------------------------------------------------------

RESIDUAL = "residual-alkalinity"


def _with_residual(ph: float, sd: float, value: float, *changes: str):
    case = with_mash_ph(case_of(*changes), ph, sd, thickness=3.0)
    return with_water(case, "mash", residual_alkalinity=Figure(value, 5.0))


@pytest.mark.parametrize(
    ("ph", "sd", "changes", "fires"),
    [
        pytest.param(5.45, 0.1, [], False, id="sound"),
        pytest.param(5.78, 0.1, [], False, id="its spread explains it"),
        pytest.param(5.12, 0.1, [], False, id="so it does the low"),
        pytest.param(5.85, 0.1, [], True, id="high"),
        pytest.param(5.05, 0.1, [], True, id="low"),
        pytest.param(5.85, 0.1, ["style: irish-stout"], False, id="roast"),
        pytest.param(5.66, 0.03, ["style: best-bitter"], False, id="off the aim only"),
        pytest.param(5.95, 0.1, ["style: historical-beer-kentucky-common"], False, id="in style"),
        pytest.param(
            5.95,
            0.1,
            ["targets: {mash: {residual_alkalinity: .. 90 mg/L as CaCO3}}"],
            False,
            id="its target has its own rule",
        ),
    ],
)
def test_far_from_what_the_grist_takes(ph: float, sd: float, changes, fires: bool) -> None:
    found = findings_of(_with_residual(ph, sd, 150.0, *changes), RESIDUAL)
    assert levels_and_pointers(found) == ([(NOTE, "/water/mash/from")] if fires else [])


@pytest.mark.parametrize(
    ("alkalinity", "means"),
    [
        pytest.param(
            60.0, "dilution with distilled or reverse-osmosis water", id="water that can be diluted"
        ),
        pytest.param(20.0, "from the mash: by acid or acidulated malt", id="too little to lose"),
    ],
)
def test_what_lowers_a_high_ph(alkalinity: float, means: str) -> None:
    # 0.052 pH are a mEq/L, 50 mg/L as CaCO3.
    case = with_water(
        with_mash_ph(case_of(), 5.752, 0.05), "mash", alkalinity=Figure(alkalinity, 1.0)
    )
    (finding,) = findings_of(case, "mash-ph")
    assert "about 50 mg/L as CaCO3" in finding.help and means in finding.help


@pytest.mark.parametrize(
    ("ph", "changes", "told"),
    [
        pytest.param(
            5.9,
            ["{add: pickling-lime, mash: 8 g}"],
            "by less pickling-lime.",
            id="lime is lessened",
        ),
        pytest.param(
            5.9,
            ["{add: baking-soda, liquor: 1 g}"],
            "by leaving out baking-soda, and for the rest by acid or acidulated malt; more calcium",
            id="soda is not all of it",
        ),
        pytest.param(
            5.0,
            ["{add: lactic-acid, strength: 80 %, mash: 9 mL}"],
            "by less lactic-acid.",
            id="acid",
        ),
        pytest.param(
            5.0,
            ["{add: lactic-acid, strength: 80 %, mash: 1 mL}"],
            "by leaving out lactic-acid, and for the rest by baking soda or lime.",
            id="acid is not all of it",
        ),
        pytest.param(5.0, [], "mash: by baking soda or lime.", id="nothing is dosed"),
    ],
)
def test_what_is_dosed_goes_before_what_would_cancel_it(ph: float, changes, told: str) -> None:
    case = with_mash_ph(case_of(f"additions: [{', '.join(changes)}]"), ph, 0.01)
    for rule in ("mash-ph", RESIDUAL):
        (finding,) = findings_of(case, rule)
        assert told.removeprefix("mash: ") in finding.help


def test_acidulated_malt_is_lessened() -> None:
    sour = case_of("  - {malt: sour malt, kind: acidulated, mass: 400 g, color: 5 EBC}")
    (finding,) = findings_of(with_mash_ph(sour, 5.1), "mash-ph")
    assert "by less acidulated malt, or by baking soda or lime." in finding.help


@pytest.mark.parametrize(("calcium", "told"), [(149.0, True), (150.0, False), (260.0, False)])
def test_no_more_calcium_where_it_is_ample(calcium: float, told: bool) -> None:
    case = with_ions(with_mash_ph(case_of(), 5.9, 0.01), "mash", calcium=calcium)
    for rule in ("mash-ph", RESIDUAL):
        (finding,) = findings_of(case, rule)
        assert ("more calcium helps" in finding.help) == told
    (low,) = findings_of(with_mash_ph(case, 5.1, 0.01), "mash-ph")
    assert ("less calcium helps" in low.help) != told


def test_the_advice_for_an_error_leads_past_the_warning() -> None:
    # 5.2 is 0.52 off, ten times 0.052 pH; 5.0 would be 6.2 of them.
    (finding,) = findings_of(with_mash_ph(case_of(), 4.68, 0.05), "mash-ph")
    assert finding.level == ERROR and "about 500 mg/L as CaCO3" in finding.help


def test_all_that_is_beyond_the_measured_mashes_is_a_list() -> None:
    case = case_of("additions: [{add: pickling-lime, mash: 20 g}]")
    (finding,) = findings_of(case, "mash-ph-unpredictable")
    assert ": the alkalinity, the calcium and the pH of the mash are beyond" in finding.message


def test_an_interval_is_told_once() -> None:
    """It keeps off the style's 5.6 and reaches the 5.7 of any beer."""
    (finding,) = findings_of(with_mash_ph(case_of("style: german-pils"), 5.69, 0.05), "mash-ph")
    assert finding.message.endswith("Its stated spread, 5.64 to 5.74, reaches the warning's 5.7.")


def test_how_far() -> None:
    # A mEq/L is worth 0.052 pH.
    (high,) = findings_of(_with_residual(5.804, 0.05, 150.0), RESIDUAL)
    assert high.high == pytest.approx(150.0 - 2 * 50.043, abs=0.01)
    assert "150 mg/L as CaCO3, about 100 more than this grist takes" in high.message
    (low,) = findings_of(_with_residual(5.096, 0.05, -90.0), RESIDUAL)
    assert low.low == pytest.approx(-90.0 + 2 * 50.043, abs=0.01)
    assert "about 100 less than this grist takes at a mash pH of at least 5.2" in low.message
    assert "−90 mg/L" in low.message
    assert (high.help.split()[0], low.help.split()[0]) == ("Take", "Give")


@pytest.mark.parametrize("wanted", [6.0, 5.7, 5.2], ids=["far", "near", "up"])
def test_acid_of_that_much_alkalinity_hits_the_limit(wanted: float) -> None:
    acid = 400.0 if wanted < 5.5 else 20.0

    def made(grams: float) -> Case:
        dose = f"{{add: hydrochloric-acid, strength: 10 %, mash: {grams:.4f} g}}"
        return case_of(f"additions: [{{add: baking-soda, mash: 30 g}}, {dose}]")

    before = made(acid)
    off = alkalinity_off(before, wanted)
    assert off is not None and before.recipe is not None
    # 50.04 mg/L as CaCO3 are a mEq/L; a mEq is 36.46 mg of HCl.
    litres = before.recipe.vessels["mash"].volume.value
    more = off / 50.043 * litres * 36.46 / 0.1 / 1000.0
    assert _ph(before) != pytest.approx(wanted, abs=0.1)
    after = made(acid + more if wanted < _ph(before) else acid - more)
    assert _ph(after) == pytest.approx(wanted, abs=0.002)


def _ph(case: Case) -> float:
    assert case.prediction is not None and case.prediction.mash is not None
    assert case.prediction.mash.ph is not None
    return case.prediction.mash.ph.value


SHARES = (
    "  sparge:\n    volume: 13.5 L\n    from:\n"
    "      - {water: ./well.yaml, share: 60 %}\n      - {water: distilled, share: 40 %}"
)


@pytest.mark.parametrize(
    ("pointer", "told"),
    [
        ("/water/mash/from", True),
        ("/water/sparge/from", False),
        ("/water/sparge", True),
        ("/water/sparge/volume", True),
        ("/additions/0", False),
        ("/grist/0", True),
    ],
)
def test_only_a_list_of_shares_is_told_elsewhere(pointer: str, told: bool) -> None:
    case = case_of(SHARES)
    assert case.prediction is not None
    gaps = (Gap("mash_ph", "x", pointer),)
    case = replace(case, prediction=replace(case.prediction, gaps=gaps))
    found = findings_of(case, UNPREDICTABLE)
    assert levels_and_pointers(found) == ([(NOTE, pointer)] if told else [])
