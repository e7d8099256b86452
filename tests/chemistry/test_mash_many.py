"""Many mashes at once are the same mashes."""

from __future__ import annotations

import random

import pytest

from waterlint.chemistry.malts import malt_term
from waterlint.chemistry.mash import MashInputs, mash_ph
from waterlint.chemistry.mash_many import predict_many


def _mash(chance: random.Random) -> MashInputs:
    base = malt_term(chance.choice(["pilsner", "pale", "wheat", "munich"]), chance.uniform(1, 6))
    dark = malt_term("roasted", chance.uniform(0.01, 0.8))
    assert base is not None and dark is not None
    acids = {"lactic": chance.uniform(0, 4), "phosphoric": chance.uniform(0, 4)}
    return MashInputs(
        malts=chance.choice([(base,), (base, dark)]),
        volume=chance.uniform(4, 40),
        alkalinity=chance.uniform(-4, 8),
        calcium=chance.uniform(0, 12),
        magnesium=chance.uniform(0, 5),
        acids={name: acids[name] for name in chance.choice([[], ["lactic"], list(acids)])},
    )


def test_many_equal_each_alone() -> None:
    chance = random.Random(20261125)
    mashes = [_mash(chance) for _ in range(500)]
    many = predict_many(mashes)
    assert many.ph.shape == many.converged.shape == (500,)
    for mash, ph, converged in zip(mashes, many.ph, many.converged, strict=True):
        alone = mash_ph(mash)
        assert bool(converged) == alone.converged
        assert float(ph) == pytest.approx(alone.ph, abs=1e-9)


def test_what_has_no_ph_is_said_not_to_have_one() -> None:
    pale = malt_term("pale", 0.001)
    assert pale is not None
    sour = MashInputs((pale,), 40.0, acids={"sulfuric": 5000.0})
    fine = MashInputs((pale,), 0.003)
    many = predict_many([sour, fine])
    assert many.converged.tolist() == [False, True]


def test_none_at_all() -> None:
    assert predict_many([]).ph.shape == (0,)


def test_an_impossible_mash_is_refused() -> None:
    with pytest.raises(ValueError, match="no malt"):
        predict_many([MashInputs((), 10.0)])
