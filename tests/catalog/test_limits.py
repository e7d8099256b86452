"""Every limit has its basis, says its range, and the table agrees with the rule book."""

from __future__ import annotations

import math

import pytest

from waterlint.catalog import limits
from waterlint.catalog.emphasis import EMPHASES, RANGES
from waterlint.catalog.limit import Limit
from waterlint.catalog.style_overrides import OVERRIDES

ALL = [
    *limits.GENERAL,
    limits.SODIUM_ADVISORY,
    *(limit for ranges in RANGES.values() for limit in ranges.values()),
    *(limit for override in OVERRIDES.values() for limit in override.limits.values()),
]


def _limit(low: float | None, high: float | None, basis: str = "common practice") -> Limit:
    return Limit("some-rule", "calcium", "mash", "note", low, high, "mg/L", basis)


@pytest.mark.parametrize("limit", ALL, ids=lambda limit: f"{limit.rule}/{limit.quantity}")
def test_every_limit_is_whole(limit: Limit) -> None:
    assert len(limit.basis) > 5
    assert limit.range_text in limit.line and limit.line.endswith(f"— {limit.basis}")
    assert limit.rule and limit.quantity and limit.vessel
    # Where a number is nobody's but ours, it says so; else it names someone or something.
    named = any(word[0].isupper() or word[0].isdigit() for word in limit.basis.split())
    admitted = any(word in limit.basis for word in ("common practice", "from memory"))
    assert named or admitted


@pytest.mark.parametrize(
    ("name", "low", "high", "level"),
    [
        ("ION_BALANCE_NOTE", None, 5, "note"),
        ("ION_BALANCE_WARNING", None, 10, "warning"),
        ("ION_BALANCE_FLOOR", None, 0.2, "note"),
        ("HARDNESS_DISAGREES", None, 5, "warning"),
        ("ALKALINITY_DISAGREES", None, 3, "warning"),
        ("CONDUCTIVITY_DISAGREES", None, 15, "warning"),
        ("SOLIDS_DISAGREE", None, 15, "warning"),
        ("REPORT_AGE", None, 12, "warning"),
        ("SOFTENED_SODIUM", None, 2, "warning"),
        ("SOFTENED_RATIO", None, 4, "warning"),
        ("IRON_IN_BREWING", None, 0.2, "warning"),
        ("MANGANESE_IN_BREWING", None, 0.05, "warning"),
        ("SHARE_TOLERANCE", None, 0.1, "error"),
        ("THICKNESS_PLAUSIBLE", 1.5, 12, "warning"),
        ("IMPLAUSIBLE_DOSE", None, 3, "warning"),
        ("IMPLAUSIBLE_ION", None, 2000, "warning"),
        ("SULFITE_DOSE", 1, 3, "warning"),
        ("MASH_PH_WARNING", 5.2, 5.7, "warning"),
        ("MASH_PH_WARNING_ROAST", 5.2, 5.8, "warning"),
        ("MASH_PH_ERROR", 5.0, 6.0, "error"),
        ("MASH_CALCIUM_NOTE", 50, 150, "note"),
        ("MASH_CALCIUM_WARNING", 30, 200, "warning"),
        ("MASH_SCALE", None, 1, "note"),
        ("SPARGE_ALKALINITY_NOTE", None, 50, "note"),
        ("SPARGE_ALKALINITY_WARNING", None, 100, "warning"),
        ("SPARGE_OVERACID", -0.3, None, "warning"),
        ("BATCH_CALCIUM_NOTE", 40, 200, "note"),
        ("BATCH_CALCIUM_WARNING", 20, 250, "warning"),
        ("BATCH_MAGNESIUM_NOTE", None, 30, "note"),
        ("BATCH_MAGNESIUM_WARNING", None, 50, "warning"),
        ("BATCH_SODIUM_NOTE", None, 75, "note"),
        ("BATCH_SODIUM_WARNING", None, 100, "warning"),
        ("BATCH_SODIUM_WARNING_DARK_SOUR", None, 150, "warning"),
        ("BATCH_POTASSIUM_NOTE", None, 20, "note"),
        ("BATCH_POTASSIUM_WARNING", None, 50, "warning"),
        ("BATCH_CHLORIDE_NOTE", None, 150, "note"),
        ("BATCH_CHLORIDE_WARNING", None, 250, "warning"),
        ("BATCH_SULFATE_WARNING", None, 400, "warning"),
        ("RATIO_MEANINGLESS", 50, None, "note"),
        ("RATIO_SLIGHT", 75, None, "warning"),
        ("RATIO_CHLORIDE_ALONE", 130, None, "warning"),
        ("RATIO_SULFATE_LITTLE", 20, None, "warning"),
        ("MINERALS_HIGH_BOTH", None, 150, "note"),
        ("MINERALS_HIGH_SUM", None, 1000, "note"),
        ("COLOR_DISAGREES_PERCENT", None, 20, "warning"),
        ("COLOR_DISAGREES_SRM", None, 3, "warning"),
        ("BELOW_SCALE", 2, None, "warning"),
        ("NEGLIGIBLE_ION", 1, None, "note"),
        ("NEGLIGIBLE_PH", 0.01, None, "note"),
        ("VOLUME_BALANCE", None, 5, "warning"),
        ("GRAIN_ABSORPTION", 0.7, 1.3, "warning"),
        ("UNSTATED_EVAPORATION", 0, 20, "warning"),
        ("UNSTATED_LOSSES", 0, 10, "warning"),
        ("ACID_HANDLING", None, 30, "note"),
        ("SULFITE_LABEL", None, 10, "warning"),
        ("PRACTICE_MAGNESIUM", None, 125, "warning"),
        ("PRACTICE_SULFATE", None, 500, "warning"),
        ("PRACTICE_SODIUM", None, 200, "warning"),
        ("PRACTICE_LACTATE", None, 400, "warning"),
        ("MEASURED_PH", None, 2, "warning"),
    ],
)
def test_the_rule_book_s_numbers(
    name: str, low: float | None, high: float | None, level: str
) -> None:
    limit = getattr(limits, name)
    assert (limit.low, limit.high, limit.level) == (low, high, level)
    assert limit in limits.of_rule(limit.rule)


def test_narrow_pass_is_one_time_in_three() -> None:
    assert limits.NARROW_PASS.ceiling == pytest.approx(100 / 3)


@pytest.mark.parametrize(
    ("value", "inside"),
    [(49.99, False), (50.0, True), (100.0, True), (150.0, True), (150.01, False)],
)
def test_bounds_are_included(value: float, inside: bool) -> None:
    assert _limit(50, 150).contains(value) is inside


@pytest.mark.parametrize(
    ("low", "high", "value"), [(None, 10, -1e9), (10, None, 1e9), (-0.3, None, -0.3)]
)
def test_an_open_side_is_open(low: float | None, high: float | None, value: float) -> None:
    assert _limit(low, high).contains(value)


def test_what_is_no_number_is_never_inside() -> None:
    assert not _limit(0, 10).contains(math.nan)


@pytest.mark.parametrize(
    ("low", "high", "basis", "message"),
    [
        (1, 2, "  ", "no basis"),
        (None, None, "x", "no finite bound"),
        (math.nan, 2, "x", "no finite bound"),
        (1, math.inf, "x", "no finite bound"),
        (2, 1, "x", "upside down"),
    ],
)
def test_what_is_no_limit_is_refused(
    low: float | None, high: float | None, basis: str, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        _limit(low, high, basis)


def test_floor_and_ceiling_want_a_bound() -> None:
    assert _limit(1, None).floor == 1 and _limit(None, 2).ceiling == 2
    with pytest.raises(ValueError, match="open above"):
        _ = _limit(1, None).ceiling
    with pytest.raises(ValueError, match="open below"):
        _ = _limit(None, 2).floor


@pytest.mark.parametrize(
    ("limit", "line"),
    [
        (limits.BATCH_SODIUM_WARNING, "sodium of the whole batch at most 100 mg/L, else a warning"),
        (limits.SPARGE_OVERACID, "alkalinity of the sparge water at least −0.3 mEq/L, else a"),
        (limits.MASH_PH_ERROR, "the whole 68 % interval of mash pH 5 to 6, else an error — Univ"),
        (limits.GRAIN_ABSORPTION, "water that the grain keeps 0.7 to 1.3 L/kg — common practice"),
        (limits.DRINKING_WATER[0], "nitrate (health) at most 44.27 mg/L, else a warning — EPA"),
    ],
)
def test_lines_read_as_sentences(limit: Limit, line: str) -> None:
    assert limit.line.startswith(line)


def test_conditions_are_told_from_limits() -> None:
    conditions = {limit.line.partition(" — ")[0] for limit in ALL if limit.condition}
    assert conditions
    assert not any(", else" in line for line in conditions)


def test_a_rule_without_numbers_has_none() -> None:
    assert limits.of_rule("duplicate-key") == ()


class TestDrinkingWater:
    @pytest.mark.parametrize(
        ("quantity", "expected"),
        [
            # The table of EPA, EU and WHO, in mg/L of the ion itself.
            ("nitrate", [44.3, 50, 50]),
            ("nitrite", [3.28, 0.5, 3]),
            ("fluoride", [4.0, 2.0, 1.5, 1.5]),
            ("sodium", [200, 200]),
            ("chloride", [250, 250, 250]),
            ("sulfate", [250, 250, 500]),
            ("iron", [0.3, 0.2, 0.3]),
            ("manganese", [0.05, 0.05, 0.08]),
            ("copper", [1.3, 1.0, 2.0, 2.0]),
        ],
    )
    def test_figures(self, quantity: str, expected: list[float]) -> None:
        found = [each.ceiling for each in limits.DRINKING_WATER if each.quantity == quantity]
        assert found == pytest.approx(expected, rel=0.005)

    def test_health_warns_and_taste_does_not(self) -> None:
        for each in limits.DRINKING_WATER:
            assert (each.level == "note") == ("taste" in each.label)

    def test_sources_say_how_they_were_read(self) -> None:
        for each in limits.DRINKING_WATER:
            assert any(name in each.basis for name in ("EPA", "EU", "WHO"))
            # The newer EU and WHO texts were not opened.
            for unread in ("2020/2184", "2022"):
                if unread in each.basis:
                    assert any(said in each.basis for said in ("from memory", "as quoted"))

    def test_the_sodium_advisory_makes_no_finding(self) -> None:
        assert limits.SODIUM_ADVISORY not in limits.GENERAL
        assert limits.SODIUM_ADVISORY.ceiling == 20


def test_no_unread_standard_is_cited() -> None:
    for limit in ALL:
        assert "Standard Methods" not in limit.basis and "1030" not in limit.basis


class TestEmphasis:
    @pytest.mark.parametrize(
        ("emphasis", "calcium", "ratio", "sulfate", "sodium", "ph"),
        [
            ("hop-bitter", (40, 200), (0.05, 1.3), 400, 100, (5.2, 5.6)),
            ("hop-aroma", (40, 200), (0.5, 4), 200, 100, (5.2, 5.6)),
            ("balanced", (20, 150), (0.4, 2.5), 200, 100, (5.2, 5.6)),
            ("malt", (20, 150), (0.7, 4), 150, 100, (5.2, 5.7)),
            ("roast", (40, 150), (0.7, 6), 150, 150, (5.3, 5.8)),
            ("wheat", (20, 150), (0.5, 4), 150, 100, (5.2, 5.6)),
            ("sour", (20, 200), None, 250, 150, (5.2, 5.7)),
        ],
    )
    def test_table(
        self,
        emphasis: str,
        calcium: tuple[float, float],
        ratio: tuple[float, float] | None,
        sulfate: float,
        sodium: float,
        ph: tuple[float, float],
    ) -> None:
        ranges = RANGES[emphasis]  # type: ignore[index]
        assert (ranges["calcium"].low, ranges["calcium"].high) == calcium
        assert (ranges["sulfate"].low, ranges["sulfate"].high) == (None, sulfate)
        assert (ranges["sodium"].low, ranges["sodium"].high) == (None, sodium)
        assert (ranges["mash_ph"].low, ranges["mash_ph"].high) == ph
        if ratio is None:
            assert "chloride_to_sulfate" not in ranges
        else:
            limit = ranges["chloride_to_sulfate"]
            assert (limit.low, limit.high) == ratio

    def test_every_emphasis_has_its_ranges(self) -> None:
        assert set(RANGES) == set(EMPHASES) and len(EMPHASES) == 7

    def test_levels_are_those_of_the_rule_book(self) -> None:
        levels = {name: limit.level for name, limit in RANGES["malt"].items()}
        assert levels == {
            "calcium": "note",
            "sulfate": "note",
            "sodium": "warning",
            "mash_ph": "note",
            "chloride_to_sulfate": "warning",
        }
