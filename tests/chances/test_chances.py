"""Chances against the normal distribution, the first-order prediction and the rules' own limits."""

from __future__ import annotations

import json
import subprocess
import sys
from functools import cache
from math import isfinite
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

from tests.rules.making import recipe_case
from waterlint.chances import Chance, Chances, chances_of
from waterlint.chances.chance import LEAST_SAMPLES, MOST_SAMPLES
from waterlint.chances.draws import SOURCES, Draws, Streams
from waterlint.chances.figures import Evaluation, sources_of
from waterlint.cli.main import main
from waterlint.linter import Linter
from waterlint.output.chances import as_data, render, render_summary
from waterlint.rules.confidence import chance_outside
from waterlint.rules.figures import figure_of
from waterlint.rules.ranges import judge
from waterlint.rules.registry import Case
from waterlint.rules.samples import recipe, report

EXAMPLES = Path(__file__).resolve().parents[2] / "example-recipes"
SOUND = (
    "ales/tidewrack-oatmeal-stout.yaml",
    "ales/breakwater-ipa.yaml",
    "lagers/glasswort-pils.yaml",
)

#: How near the spread of the draws and that of the first order are, of it.
FIRST_ORDER = 0.045


def example(name: str) -> Case:
    (case,) = Linter().cases(EXAMPLES / name)
    return case


def made(*changes: str, water: tuple[str, ...] = (), without: tuple[str, ...] = ()) -> Case:
    return recipe_case(recipe(*changes, without=without), {"well.yaml": report(*water)})


def chance(chances: Chances, quantity: str, vessel: str) -> Chance:
    (found,) = [e for e in chances.chances if (e.quantity, e.vessel) == (quantity, vessel)]
    return found


class _Nothing(Draws):
    """Draws of which each is the middle."""

    def __init__(self) -> None:
        super().__init__(Streams(1, 3))

    def normal(self, source: str, *name: object) -> np.ndarray:
        return np.zeros(3)


#: Doses in every place and of every kind, treatments and blends.
TANGLED = {
    "liquor and kettle": (
        "additions:\n"
        "  - {add: gypsum, liquor: 4 g, kettle: 2 g}\n"
        "  - {add: lactic-acid, strength: 80 %, mash: 2 mL, sparge: 0.1 mL/L}\n"
        "  - {add: table-salt, fermenter: 1 g, liquor: 0.05 g/L}",
        "  sparge: {volume: 13 L, from: [{water: ./well.yaml, share: 40 %}, "
        "{water: reverse-osmosis, share: 60 %}]}\n"
        "  kettle: {volume: 2 L, from: distilled}",
    ),
    "chalk, lime, soda": (
        "additions:\n"
        "  - {add: chalk, mash: 3 g}\n"
        "  - {add: pickling-lime, mash: 0.5 g}\n"
        "  - {add: baking-soda, mash: 1 g}",
    ),
    "volumes that are hard to read": (
        "  mash: {volume: 15 ± 1 L, from: ./well.yaml}",
        "additions: [{add: table-salt, liquor: 9 g}]",
        "targets: {mash: {sodium: .. 200 mg/L}, bicarbonate: .. 300 mg/L}",
    ),
    "boiled": ("  mash: {volume: 15 L, from: ./well.yaml, treat: boiled}",),
    "lime-softened": ("  mash: {volume: 15 L, from: ./well.yaml, treat: lime-softened}",),
    "lots": (
        "grist:\n"
        "  - {malt: lot, kind: pale, mass: 4 kg, di_ph: 5.71 ± 0.04}\n"
        "  - {malt: dark, kind: roasted, mass: 200 g, acidity: 41 ± 4 mEq/kg}\n"
        "  - {malt: late, kind: crystal, mass: 200 g, late: true, color: 60 EBC}",
    ),
}


def tangled(name: str) -> Case:
    hard = ("alkalinity: 180 mg/L as CaCO3", "  calcium: 92 mg/L")
    without = ("- {malt",) if name == "lots" else ()
    return made(*TANGLED[name], water=hard, without=without)


@cache
def of_example(name: str) -> Chances:
    """The chances that several tests look at."""
    return chances_of(tangled(name) if name in TANGLED else example(name), 3000)


@pytest.mark.parametrize("name", TANGLED)
def test_the_middle_of_all_draws_is_the_prediction(name: str) -> None:
    case = tangled(name)
    keys = [("mash_ph", "mash"), ("residual_alkalinity", "mash"), ("alkalinity", "sparge")]
    keys += [
        (ion, vessel)
        for ion in ("calcium", "sodium", "bicarbonate")
        for vessel in ("mash", "batch")
    ]
    keys += [("chloride_to_sulfate", "batch")]
    found = Evaluation(case, keys).figures(_Nothing())
    for key in keys:
        figure = figure_of(case.prediction, *key)
        assert figure is not None
        assert found[key] == pytest.approx([figure.value] * 3, rel=1e-9), key


@pytest.mark.parametrize("name", [*TANGLED, *SOUND])
def test_first_order_agrees(name: str) -> None:
    chances = of_example(name)
    # What lies within its own spread of nothing is cut off there.
    known = [each for each in chances.chances if each.value > 3.0 * each.sd]
    assert len(known) > 5
    for each in known:
        # Chalk's credit is cut off at nothing and at all of it.
        allowed = 0.12 if name == "chalk, lime, soda" else FIRST_ORDER
        assert each.drawn_sd == pytest.approx(each.sd, rel=allowed), each.title
        assert sum(each.shares.values()) == pytest.approx(1.0, abs=0.06), each.title


@pytest.mark.parametrize("name", SOUND)
def test_shares_of_the_mash_ph_are_those_of_the_prediction(name: str) -> None:
    case = example(name)
    assert case.prediction is not None and case.prediction.mash is not None
    parts = case.prediction.mash.parts
    groups = {
        "malt": ("malts", "crush"),
        "model": ("model", "meter", "carbon_dioxide", "decoction"),
        "report": ("report",),
        "seasons": ("seasons",),
        "weighing": ("weighing",),
        "volumes": ("volume",),
    }
    shares = chance(of_example(name), "mash_ph", "mash").shares
    for source, kinds in groups.items():
        expected = sum(parts.get(kind, 0.0) for kind in kinds)
        assert shares.get(source, 0.0) == pytest.approx(expected, abs=0.03), source


@pytest.mark.parametrize("limit", [10.0, 10.6, 11.0, 11.3, 11.9, 12.6])
def test_a_linear_case_against_the_normal_distribution(limit: float) -> None:
    # One water in every vessel and no sodium in any dose: the batch has the report's sodium.
    case = made(f"targets: {{sodium: .. {limit} mg/L}}", water=("  sodium: 11 ± 0.5 mg/L",))
    found = chance(chances_of(case, 8000), "sodium", "batch")
    assert found.holds == pytest.approx(norm.cdf((limit - 11.0) / 0.5), abs=0.01)
    (bound,) = found.limits
    assert (bound.side, bound.origin, bound.value) == ("high", "target", limit)
    assert bound.holds == pytest.approx(found.holds, abs=1e-12)
    assert found.drawn_low == pytest.approx(norm.ppf(0.16, 11.0, 0.5), abs=0.01)
    assert found.drawn_high == pytest.approx(norm.ppf(0.84, 11.0, 0.5), abs=0.01)
    assert found.shares["report"] == pytest.approx(1.0, abs=1e-9)
    assert found.dominant == "report"


@pytest.mark.parametrize("name", SOUND)
def test_chances_and_rules_speak_of_the_same_limits(name: str) -> None:
    case = example(name)
    for each in of_example(name).chances:
        verdict = judge(case, each.quantity, each.vessel)
        assert verdict is not None
        assert [(b.side, b.level, b.value, b.basis) for b in verdict.bounds] == [
            (b.side, b.level, b.value, b.basis) for b in each.limits
        ]
        if verdict.broken is None:
            warnings = [bound for bound in verdict.bounds if bound.level == "warning"]
            outside = chance_outside(verdict.figure, warnings)
            if warnings:
                assert 1.0 - each.holds == pytest.approx(outside, abs=0.02), each.title
        assert set(each.shares) <= set(sources_of((each.quantity, each.vessel)))


def test_a_limit_holds_more_often_as_its_dominant_spread_shrinks() -> None:
    def holds(sd: str) -> tuple[float, float]:
        case = made(
            "targets: {mash_ph: 5.3 .. 5.9, sodium: .. 12 mg/L}",
            f"grist: [{{malt: lot, kind: pale, mass: 4.2 kg, di_ph: 5.75 ± {sd}}}]",
            water=(f"  sodium: 11 ± {float(sd) * 20:.3f} mg/L",),
            without=("- {malt",),
        )
        chances = chances_of(case, 1000)
        ph = chance(chances, "mash_ph", "mash")
        return chance(chances, "sodium", "batch").holds, ph.shares["malt"]

    found = [holds(sd) for sd in ("0.3", "0.15", "0.07", "0.03")]
    assert found == sorted(found, key=lambda pair: pair[0])
    assert [share for _, share in found] == sorted((share for _, share in found), reverse=True)
    assert found[0][1] > 0.8 and found[-1][1] < 0.35


def test_seeds() -> None:
    case = example(SOUND[0])
    first, same, other = (as_data(chances_of(case, 500, seed)) for seed in (5, 5, 6))
    assert first == same
    assert {**first, "seed": 6} != other


def test_a_recipe_has_the_same_chances_alone_and_among_others(
    capsys: pytest.CaptureFixture[str],
) -> None:
    def told(*names: str) -> dict[str, object]:
        paths = [str(EXAMPLES / name) for name in names]
        call = ["predict", "--chances", "--samples", "200", "--seed", "3", "--format", "json"]
        assert main([*call, *paths]) == 0
        made = json.loads(capsys.readouterr().out)["predictions"]
        return {each["path"]: each["chances"] for each in made}

    together = told(*SOUND)
    assert told(*reversed(SOUND)) == together
    for name in SOUND:
        (alone,) = told(name).items()
        assert together[alone[0]] == alone[1]


@pytest.mark.parametrize(
    "case",
    [
        made("targets: {chloride_to_sulfate: 0.5 .. 2}", water=("  sulfate: 0 ± 40 mg/L",)),
        made("targets: {bicarbonate: .. 60 mg/L}", water=("alkalinity: 40 ± 90 mg/L as CaCO3",)),
        made("  mash: {volume: 15 ± 14 L, from: ./well.yaml}"),
        made("additions: [{add: phosphoric-acid, strength: 10 %, mash: 60 ± 60 mL}]"),
        made(without=("grist", "- {malt")),
    ],
)
def test_no_draw_is_ever_not_a_number(case: Case) -> None:
    chances = chances_of(case, LEAST_SAMPLES)
    json.dumps(as_data(chances), allow_nan=False)
    for each in chances.chances:
        figures = (each.holds, each.drawn_sd, *each.shares.values())
        assert all(isfinite(figure) for figure in figures)
        assert 0.0 <= each.holds <= 1.0
        assert all(0.0 <= share <= 1.0 for share in each.shares.values())
        assert all(0.0 <= limit.holds <= 1.0 for limit in each.limits)
        assert 1.0 - each.holds <= sum(1.0 - limit.holds for limit in each.limits) + 1e-9


def test_seasons_and_reports_are_told_apart() -> None:
    year = "seasons:\n  - {sampled: 2025-08-02, ions: {sodium: 19 mg/L}}"
    case = made("targets: {sodium: .. 20 mg/L}", water=("  sodium: 11 ± 1 mg/L", year))
    shares = chance(chances_of(case), "sodium", "batch").shares
    # Half the range of the two analyses is 4: 16 of 17 parts of the variance.
    assert shares["seasons"] == pytest.approx(16 / 17, abs=0.01)
    assert shares["report"] == pytest.approx(1 / 17, abs=0.01)


def test_a_finer_scale_is_what_helps_where_weighing_decides() -> None:
    case = made(
        "additions: [{add: table-salt, mash: 0.5 ± 0.2 g}]", "targets: {sodium: .. 20 mg/L}"
    )
    chances = chances_of(case)
    assert chance(chances, "sodium", "batch").dominant == "weighing"
    assert "To know more of sodium of the whole batch: a finer scale or measure." in render(chances)


def test_several_recipes_say_what_decides_most_often() -> None:
    made_ = [of_example(name) for name in SOUND]
    unsure = [each.dominant for chances in made_ for each in chances.chances if each.holds < 0.95]
    assert unsure and set(unsure) <= {"malt", "model"}
    first, *rest = render_summary(made_).splitlines()
    assert first.startswith(f"In these 3 recipes {len(unsure)} figures keep their limits in less")
    assert len(rest) == len(set(unsure))
    assert render_summary(made_[:1]) == ""


@pytest.mark.parametrize("samples", [LEAST_SAMPLES - 1, MOST_SAMPLES + 1])
def test_too_few_or_too_many(samples: int, capsys: pytest.CaptureFixture[str]) -> None:
    case = example(SOUND[0])
    with pytest.raises(ValueError, match="samples must be"):
        chances_of(case, samples)
    path = str(EXAMPLES / SOUND[0])
    assert main(["predict", "--chances", "--samples", str(samples), path]) == 2
    assert "--samples takes a number from 100 to 100000" in capsys.readouterr().err


def test_the_table(capsys: pytest.CaptureFixture[str]) -> None:
    path = str(EXAMPLES / SOUND[2])
    assert main(["predict", "--chances", "--samples", "1000", path]) == 0
    shown = capsys.readouterr().out
    assert "Glasswort pils: how often each limit holds, in 1000 draws" in shown
    assert "  mash pH                                 5.43 ± 0.06   " in shown
    assert "No warning at all: " in shown
    assert main(["predict", "--seed", "2", path]) == 2
    assert "--samples and --seed say how --chances draws" in capsys.readouterr().err


def test_nothing_is_loaded_where_no_chance_is_asked_for() -> None:
    program = (
        "import sys\n"
        "from waterlint.cli.main import main\n"
        f"main(['predict', {str(EXAMPLES / SOUND[0])!r}])\n"
        "assert not {'numpy', 'waterlint.chances', 'waterlint.output.chances'} & set(sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr


def test_every_source_has_its_words() -> None:
    from waterlint.output import chances

    assert set(chances._WORDS) == set(chances._HELP) == set(SOURCES)
