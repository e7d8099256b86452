"""The mash's pH from whole recipes."""

from __future__ import annotations

from dataclasses import replace
from math import log10

import pytest

from waterlint.chemistry.malts import malt_term
from waterlint.chemistry.mash import MashInputs, mash_ph
from waterlint.chemistry.water import Water
from waterlint.model.recipe import Addition, Malt, MashSettings
from waterlint.prediction.result import MashFigures, Prediction

from .brew import TAP, add, analysis, brew, malt, q, report, vessel

GRIST = (malt(0, "pale", 4.0, color=5.0, di_ph=5.72), malt(1, "crystal", 0.4, color=120.0))
GAP = MashSettings(mill_gap=q(1.2, "mm"))

#: The usual water in equivalents: alkalinity, calcium, magnesium.
_WATER = (96.0 / 50.043, 42.0 / 20.039, 6.0 / 12.1525)

#: Its inorganic carbon [mmol/L].
_CARBON = Water(**TAP, alkalinity=96.0, ph=7.6).dic


def _mash(predicted: Prediction) -> MashFigures:
    assert predicted.mash is not None
    return predicted.mash


def _ph(
    *additions: Addition, grist: tuple[Malt, ...] = GRIST, liters: float = 14.0, **kwargs: object
) -> float:
    predicted = brew(
        vessel("mash", liters),
        additions=additions,
        grist=grist,
        mash=GAP,
        **kwargs,  # type: ignore[arg-type]
    )
    ph = _mash(predicted).ph
    assert ph is not None
    return ph.value


def _expected(
    alkalinity: float = 0.0,
    calcium: float = 0.0,
    magnesium: float = 0.0,
    acids: dict[str, float] | None = None,
    carbon: float | None = None,
    chalk: float = 0.0,
) -> float:
    """What the balance gives for the usual water with more of these [mEq/L, mmol/L, mg/L]."""
    terms = (
        malt_term("pale", 4.0, di_ph=5.72),
        malt_term("crystal", 0.4, color=120.0),
    )
    return mash_ph(
        MashInputs(
            malts=tuple(term for term in terms if term is not None),
            volume=14.0,
            alkalinity=_WATER[0] + alkalinity,
            calcium=_WATER[1] + calcium,
            magnesium=_WATER[2] + magnesium,
            carbon=carbon,
            acids=acids or {},
            undissolved_chalk=chalk,
            mill_gap=1.2,
        )
    ).ph


def test_water_and_grist_reach_the_balance() -> None:
    predicted = brew(vessel("mash", 14.0), grist=GRIST, mash=GAP)
    mash = _mash(predicted)
    assert mash.ph is not None
    assert mash.ph.value == pytest.approx(_expected(), abs=1e-4)
    assert mash.thickness_l_per_kg == pytest.approx(14.0 / 4.4)
    assert mash.reference_temperature_c == 25.0


@pytest.mark.parametrize(
    ("addition", "expected"),
    [
        # 2 g in 14 L: 142.86 mg/L x 0.23279 / 20.039 mEq/mg calcium
        (add(0, "gypsum", mash=(2.0, "g")), _expected(calcium=1.65956)),
        (add(0, "epsom-salt", mash=(2.0, "g")), _expected(magnesium=1.15919)),
        # 142.86 mg/L x 11.904 mEq/g
        (add(0, "baking-soda", mash=(2.0, "g")), _expected(alkalinity=1.70057)),
        # 71.43 mg/L x 26.993 mEq/g; the carbon is the water's own
        (
            add(0, "pickling-lime", mash=(1.0, "g")),
            _expected(alkalinity=1.92807, calcium=1.92807, carbon=_CARBON),
        ),
        # 3 mL x 1.1848 g/mL x 80 % / 90.078 g/mol in 14 L
        (
            add(0, "lactic-acid", strength=80.0, mash=(3.0, "mL")),
            _expected(acids={"lactic": 2.25479}),
        ),
        # 2 g of 10 % in 14 L
        (
            add(0, "phosphoric-acid", strength=10.0, mash=(20.0, "g")),
            _expected(acids={"phosphoric": 2.0 / 97.994 / 14.0 * 1000.0}),
        ),
        # half of 28 g goes to the mash: 1000 mg/L, of which 500 count by half
        (add(0, "chalk", liquor=(28.0, "g")), _expected(chalk=1000.0)),
        # dissolved: 142.86 mg/L x 19.983 mEq/g of both
        (
            add(0, "chalk", dissolved=True, mash=(2.0, "g")),
            _expected(alkalinity=2.85471, calcium=2.85471),
        ),
    ],
    ids=lambda value: value.name if isinstance(value, Addition) else "",
)
def test_doses_reach_the_balance_once(addition: Addition, expected: float) -> None:
    predicted = brew(
        vessel("mash", 14.0),
        vessel("sparge", 14.0),
        additions=(addition,),
        grist=GRIST,
        mash=GAP,
    )
    ph = _mash(predicted).ph
    assert ph is not None
    assert ph.value == pytest.approx(expected, abs=2e-4)


@pytest.mark.parametrize(
    "addition",
    [
        add(0, "lactic-acid", strength=80.0, mash=(3.0, "mL")),
        add(0, "calcium-chloride", "dihydrate", mash=(4.0, "g")),
        add(0, "pickling-lime", mash=(1.0, "g")),
    ],
    ids=lambda value: value.name,
)
def test_the_same_dose_through_the_liquor_acts_alike(addition: Addition) -> None:
    (dose,) = addition.doses
    twice = replace(dose.amount, value=2.0 * dose.amount.value)
    liquor = replace(addition, doses=(replace(dose, place="liquor", amount=twice),))
    both = (vessel("mash", 14.0), vessel("sparge", 14.0))
    direct = brew(*both, additions=(addition,), grist=GRIST)
    through = brew(*both, additions=(liquor,), grist=GRIST)
    first, second = _mash(direct).ph, _mash(through).ph
    assert first is not None and second is not None
    assert first.value == pytest.approx(second.value, abs=1e-9)


def test_sparge_and_kettle_doses_leave_the_mash_alone() -> None:
    plain = brew(vessel("mash", 14.0), vessel("sparge", 14.0), grist=GRIST)
    dosed = brew(
        vessel("mash", 14.0),
        vessel("sparge", 14.0),
        grist=GRIST,
        additions=(
            add(0, "gypsum", kettle=(5.0, "g"), sparge=(5.0, "g")),
            add(1, "lactic-acid", strength=80.0, sparge=(5.0, "mL")),
        ),
    )
    assert _mash(plain).ph == _mash(dosed).ph


def test_late_malt_sugar_and_extract_stay_out() -> None:
    late = malt(2, "roasted", 0.5, color=1000.0, late=True)
    sugar = malt(3, "sugar", 0.5)
    extract = malt(4, "extract", 1.0, color=10.0)
    assert _ph(grist=(*GRIST, late, sugar, extract)) == _ph()
    in_mash = replace(late, late=False)
    assert _ph(grist=(*GRIST, in_mash)) < _ph() - 0.05


def test_acidulated_malt_lowers_the_ph() -> None:
    # maltsters' rule: 1 % of the grist lowers a mash by 0.1
    sour = _ph(grist=(*GRIST, malt(2, "acidulated", 0.044)))
    assert 0.06 < _ph() - sour < 0.12


def test_measured_mash_of_hosom() -> None:
    # Hosom 2018: 420.14 g two-row malt (fitted 5.62), 1.372 L of water of alkalinity 0.73, Ca 0.1,
    # Mg 0.05 mEq/L: measured 5.67; 3.4 mL of 10 % phosphoric acid brought it to 5.40.
    soft = report(
        analysis(
            dict.fromkeys(TAP, 0.0) | {"calcium": 0.1 * 20.039, "magnesium": 0.05 * 12.1525},
            alkalinity=0.73 * 50.043,
        )
    )
    grist = (malt(0, "two-row", 0.42014, di_ph=5.62),)
    acid = add(0, "phosphoric-acid", strength=10.0, mash=(3.4, "mL"))
    plain, soured = (
        brew(vessel("mash", 1.372), grist=grist, additions=additions, tap=soft)
        for additions in ((), (acid,))
    )
    before, after = _mash(plain).ph, _mash(soured).ph
    assert before is not None and after is not None
    assert before.value == pytest.approx(5.67, abs=0.06)
    assert after.value == pytest.approx(5.40, abs=0.06)


def test_parts_are_shares_of_the_variance() -> None:
    mash = _mash(brew(vessel("mash", 14.0), grist=GRIST))
    assert sum(mash.parts.values()) == pytest.approx(1.0)
    assert set(mash.parts) >= {"model", "meter", "malts", "crush", "report"}
    assert all(0.0 < part <= 1.0 for part in mash.parts.values())


def test_a_known_lot_and_a_stated_gap_leave_model_and_meter() -> None:
    known = (malt(0, "pale", 4.0, di_ph=5.72), malt(1, "crystal", 0.4, color=120.0, acidity=30.0))
    mash = _mash(brew(vessel("mash", 14.0), grist=known, mash=GAP))
    assert mash.ph is not None
    assert 0.05 < mash.ph.sd < 0.065
    assert mash.parts["model"] + mash.parts["meter"] > 0.9
    unknown = _mash(brew(vessel("mash", 14.0), grist=(malt(0, "pale", 4.4),)))
    assert unknown.ph is not None
    assert unknown.ph.sd > 0.08


@pytest.mark.parametrize(
    ("changed", "part"),
    [
        ({"mash": MashSettings(mill_gap=q(1.2, "mm"), decoctions=1)}, "decoction"),
        ({"tap": report(uncertainty=0.3)}, "report"),
        (
            {
                "tap": report(
                    analysis(),
                    analysis(alkalinity=220.0, pointer="/seasons/0"),
                )
            },
            "seasons",
        ),
        ({"additions": (add(0, "chalk", mash=(5.0, "g")),)}, "chalk"),
        ({"additions": (add(0, "lactic-acid", strength=80.0, mash=(0.5, "mL")),)}, "weighing"),
    ],
)
def test_what_widens_the_interval(changed: dict[str, object], part: str) -> None:
    usual = {"grist": GRIST, "mash": GAP}
    plain = _mash(brew(vessel("mash", 14.0), **usual))  # type: ignore[arg-type]
    wider = _mash(brew(vessel("mash", 14.0), **(usual | changed)))  # type: ignore[arg-type]
    assert plain.ph is not None and wider.ph is not None
    assert wider.ph.sd > plain.ph.sd
    assert wider.parts[part] * wider.ph.sd**2 > plain.parts.get(part, 0.0) * plain.ph.sd**2


@pytest.mark.parametrize(
    ("grist", "liters", "word"),
    [
        ((), 14.0, "no malt"),
        ((malt(0, "sugar", 1.0), malt(1, "pale", 4.0, late=True)), 14.0, "no malt"),
        ((malt(0, "pale", 0.0),), 14.0, "no malt"),
        ((malt(0, "acidulated", 0.2),), 0.6, "base malt"),
        ((malt(0, "crystal", 4.0, color=100.0),), 14.0, "base malt"),
        ((malt(0, "pale", 10.0),), 14.0, "1.4 L/kg"),
        ((malt(0, "pale", 1.0),), 14.0, "14 L/kg"),
        ((malt(0, "moon-malt", 4.0),), 14.0, "moon-malt"),
    ],
)
def test_no_ph_without_a_mash_to_speak_of(
    grist: tuple[Malt, ...], liters: float, word: str
) -> None:
    predicted = brew(vessel("mash", liters), grist=grist)
    assert predicted.mash is not None
    assert predicted.mash.ph is None
    (gap,) = (gap for gap in predicted.gaps if gap.figure == "mash_ph")
    assert word in gap.reason


@pytest.mark.parametrize(
    ("tap", "additions", "liters", "word"),
    [
        (report(analysis(alkalinity=400.0)), (), 14.0, "the alkalinity"),
        (report(analysis(TAP | {"calcium": 330.0})), (), 14.0, "the calcium"),
        (
            report(),
            (add(0, "lactic-acid", strength=80.0, mash=(12.0, "mL")),),
            14.0,
            "the alkalinity and the pH",
        ),
        (report(), (), 40.0, "the thickness"),
    ],
)
def test_beyond_the_measured_mashes_the_interval_is_wider_and_said_so(
    tap: object, additions: tuple[Addition, ...], liters: float, word: str
) -> None:
    predicted = brew(
        vessel("mash", liters),
        grist=GRIST,
        mash=GAP,
        additions=additions,
        tap=tap,  # type: ignore[arg-type]
    )
    mash = _mash(predicted)
    assert mash.ph is not None
    # the model's error doubled, and for the thickness 0.1 a decade beyond 5 L/kg
    thin = 0.1 * log10(max(liters / 4.4 / 5.0, 1.0))
    assert mash.parts["model"] * mash.ph.sd**2 == pytest.approx(0.1**2 + thin**2, rel=1e-6)
    (gap,) = (gap for gap in predicted.gaps if gap.figure == "mash_ph")
    assert gap.reason.startswith(word)


def test_alkalinity_that_an_acid_takes_up_is_not_beyond_the_measured_mashes() -> None:
    hard = report(analysis(alkalinity=330.0))
    acid = add(0, "lactic-acid", strength=80.0, mash=(6.0, "mL"))
    raw = brew(vessel("mash", 14.0), grist=GRIST, tap=hard)
    soured = brew(vessel("mash", 14.0), grist=GRIST, additions=(acid,), tap=hard)
    assert [gap.figure for gap in raw.gaps if gap.figure == "mash_ph"] == ["mash_ph"]
    assert not [gap for gap in soured.gaps if gap.figure == "mash_ph"]


def test_figures_of_a_malt_that_cannot_be() -> None:
    grist = (replace(GRIST[0], buffer=q(0.0, "mEq/kg/pH")),)
    predicted = brew(vessel("mash", 14.0), grist=grist)
    assert predicted.mash is not None
    assert predicted.mash.ph is None
    (gap,) = (gap for gap in predicted.gaps if gap.figure == "mash_ph")
    assert gap.pointer == "/grist/0"
    assert "buffering" in gap.reason


def test_an_absurd_dose_is_a_gap_and_no_crash() -> None:
    acid = add(0, "hydrochloric-acid", strength=37.0, mash=(50000.0, "g"))
    predicted = brew(vessel("mash", 14.0), grist=GRIST, additions=(acid,))
    assert predicted.mash is not None
    assert predicted.mash.ph is None
    assert any(gap.figure == "mash_ph" for gap in predicted.gaps)


@pytest.mark.parametrize(
    ("liters_per_kg", "decades"),
    [(7.0, log10(7.0 / 5.0)), (1.6, log10(2.0 / 1.6)), (2.0, 0.0), (5.0, 0.0)],
)
def test_thickness_beside_the_measured_mashes_widens_without_a_word(
    liters_per_kg: float, decades: float
) -> None:
    predicted = brew(vessel("mash", liters_per_kg * 4.4), grist=GRIST, mash=GAP)
    assert not [gap for gap in predicted.gaps if gap.figure == "mash_ph"]
    mash = _mash(predicted)
    assert mash.ph is not None
    # the model's own 0.05, and 0.1 a decade beyond 2 to 5 L/kg
    expected = 0.05**2 + (0.1 * decades) ** 2
    assert mash.parts["model"] * mash.ph.sd**2 == pytest.approx(expected, rel=1e-6)
