"""What is worked out later is what would be worked out at once, and only when it is asked for."""

from __future__ import annotations

import copy
import pickle
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT
from waterlint.prediction import figures
from waterlint.prediction.deferred import Deferred, IonFigures
from waterlint.prediction.result import Figure
from waterlint.prediction.rows import ALKALINITY, CARBON, row
from waterlint.prediction.saturation import saturation_at_most
from waterlint.records import Record

from .brew import add, analysis, brew, malt, report, vessel


class _Record(Deferred, Record):
    now: int
    later: int = 0


def test_a_field_is_worked_out_once() -> None:
    asked: list[str] = []

    def work() -> int:
        asked.append("later")
        return 7

    record = _Record.deferred({"now": 1}, {"later": work})
    assert record.now == 1 and asked == []
    assert (record.later, record.later, asked) == (7, 7, ["later"])
    assert record == _Record(1, 7)


def test_all_fields_are_there_for_whoever_takes_the_whole() -> None:
    record = _Record.deferred({"now": 1}, {"later": lambda: 7})
    assert repr(record) == "_Record(now=1, later=7)"
    for make in (copy.copy, lambda each: pickle.loads(pickle.dumps(each))):
        assert make(_Record.deferred({"now": 1}, {"later": int})) == _Record(1, 0)
    assert replace(_Record.deferred({"now": 1}, {"later": lambda: 7}), now=2) == _Record(2, 7)


def test_what_is_no_field_is_missing() -> None:
    for record in (_Record(1), _Record.deferred({"now": 1}, {"later": int})):
        with pytest.raises(AttributeError):
            record.other  # type: ignore[attr-defined]  # noqa: B018


def test_ions_in_the_order_of_tables() -> None:
    asked: list[str] = []
    values = {"calcium": 1.0, "bicarbonate": 3.0, "lactate": 2.0}

    def work_out(name: str) -> Figure:
        asked.append(name)
        return Figure(values[name])

    ions = IonFigures(tuple(values), work_out, values.__getitem__)
    assert ions.value("lactate") == 2.0 and asked == []
    assert list(ions) == ["calcium", "bicarbonate", "lactate"] and len(ions) == 3
    assert "bicarbonate" in ions and "sulfate" not in ions and ions.get("sulfate") is None
    assert ions["calcium"].value == ions["calcium"].value == 1.0 and asked == ["calcium"]
    assert [figure.value for figure in ions.values()] == [1.0, 3.0, 2.0]
    assert ions["bicarbonate"].value == 3.0 and sorted(asked) == sorted(values)
    assert ions == {"calcium": Figure(1.0), "bicarbonate": Figure(3.0), "lactate": Figure(2.0)}
    assert pickle.loads(pickle.dumps(ions)) == dict(ions)
    with pytest.raises(KeyError):
        ions["sulfate"]


def test_nothing_is_solved_for_sums(monkeypatch: pytest.MonkeyPatch) -> None:
    prediction = brew(
        vessel("mash", 15.0),
        vessel("sparge", 15.0),
        grist=(malt(0, "pale", 4.0, 6.0),),
        additions=(add(0, "gypsum", mash=(2.0, "g")),),
    )
    monkeypatch.setattr(figures, "solve", lambda row: pytest.fail("a water was solved"))
    water = prediction.batch_water
    assert water is not None and water.ions["calcium"].value > 0.0
    assert water.alkalinity.value > 0.0 and water.chloride_to_sulfate is not None
    assert prediction.mash is not None and prediction.mash.ph is not None
    assert prediction.gaps_of("mash_ph") == ()


def test_bicarbonate_is_never_more_than_said() -> None:
    for alkalinity in (-20.0, 0.0, 96.0, 400.0):
        for ph in (4.5, 7.6, 9.5):
            prediction = brew(
                vessel("mash", 15.0), tap=report(analysis(alkalinity=alkalinity, ph=ph))
            )
            water = prediction.mash_water
            assert water is not None
            assert water.ions["bicarbonate"].value <= water.bicarbonate_at_most + 1e-9


def test_gaps_in_the_order_of_figures() -> None:
    prediction = brew(
        vessel("mash", 15.0),
        vessel("sparge", 15.0, ("nowhere", 1.0)),
        grist=(malt(0, "pale", 1.0, 6.0),),
        tap=report(analysis(ph=None)),
    )
    assert [gap.figure for gap in prediction.gaps] == [
        "sparge_water",
        "batch_water",
        "wort",
        "mash_water.ph",
        "mash_ph",
    ]
    for figure in ("sparge_water", "mash_ph", "mash_water.ph", "sparge_water.ph"):
        told = [gap for gap in prediction.gaps if gap.figure == figure]
        assert list(prediction.gaps_of(figure)) == told


@given(
    calcium=st.floats(0.0, 400.0),
    alkalinity=st.floats(-60.0, 500.0),
    carbon=st.floats(0.0, 15.0),
    lactate=st.floats(0.0, 600.0),
    phosphate=st.floats(0.0, 600.0),
    sulfate=st.floats(0.0, 600.0),
)
@settings(max_examples=300, deadline=None)
def test_saturation_is_never_more_than_said(
    calcium: float,
    alkalinity: float,
    carbon: float,
    lactate: float,
    phosphate: float,
    sulfate: float,
) -> None:
    mixed = row(
        {
            "calcium": calcium,
            "sulfate": sulfate,
            "lactate": lactate,
            "phosphate": phosphate,
            ALKALINITY: alkalinity / CALCIUM_CARBONATE_EQUIVALENT,
            CARBON: carbon,
        }
    )
    water = figures.solve(mixed)
    if water.converged:
        assert water.calcite_saturation_index <= saturation_at_most(mixed) + 1e-9


def test_an_ordinary_water_is_told_apart_without_solving() -> None:
    prediction = brew(vessel("mash", 15.0))
    water = prediction.mash_water
    assert water is not None and water.calcite_saturation_index is not None
    assert water.calcite_saturation_index < water.calcite_saturation_at_most < 0.8
