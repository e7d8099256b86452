"""Synthetic houses: malts whose own pH is known, and mashes measured of them.

Everything is drawn from what the model says it does not know: the malts from the spread of their
defaults, the readings from the spread of a mash's.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from random import Random

from waterlint.chemistry.malts import MaltTerm, malt_term
from waterlint.chemistry.mash import MashInputs, mash_ph
from waterlint.chemistry.mash_uncertainty import PH_PER_KELVIN_SD
from waterlint.learning.mashes import Label, Mash
from waterlint.learning.system import SHARED
from waterlint.records import replace

#: What a house has in its store: kind, name, colour [EBC].
STORE = (
    ("pale", "weir pale", 6.0),
    ("pale", "floor pale", 5.0),
    ("pilsner", "lock pilsner", 3.5),
    ("munich", "towpath munich", 20.0),
    ("crystal", "amber crystal", 120.0),
    ("roasted", "coal roast", 1000.0),
)

#: What a reading strays from the model where the malts are known [pH].
READING_SD = 0.07


@dataclass(frozen=True)
class House:
    """A house with the truth about its malts: how far each is from its default [pH]."""

    truth: Mapping[Label, float]
    mashes: tuple[Mash, ...]


def _term(kind: str, mass: float, color: float) -> MaltTerm:
    found = malt_term(kind, mass, color=color)
    assert found is not None
    return found


def _truth(random: Random) -> dict[Label, float]:
    shared = {kind: random.gauss(0.0, sqrt(SHARED)) for kind, _, _ in STORE}
    found = {}
    for kind, name, color in STORE:
        term = _term(kind, 1.0, color)
        own = random.gauss(0.0, sqrt(1.0 - SHARED))
        found[Label(kind, name, kind)] = (shared[kind] + own) * term.acidity_sd / term.buffer
    return found


def _grist(random: Random) -> list[tuple[str, str, float, float]]:
    base, second = random.sample([item for item in STORE if item[0] in ("pale", "pilsner")], 2)
    grist = [(*base, random.uniform(3.0, 5.0))]
    if random.random() < 0.3:
        grist.append((*second, random.uniform(0.5, 2.0)))
    for item in STORE[3:]:
        if random.random() < 0.4:
            grist.append((*item, random.uniform(0.1, 0.6)))
    return grist


def house(
    seed: int, count: int, truth: Mapping[Label, float] | None = None, warmer: float = 0.0
) -> House:
    """A house of so many mashes, the same for the same seed.

    With samples `warmer` than 25 degrees Celsius, whose pH falls otherwise than by the book.
    """
    random = Random(seed)
    unlike_the_book = Random(-seed).gauss(0.0, PH_PER_KELVIN_SD) * warmer
    known = _truth(random) if truth is None else truth
    mashes = []
    for number in range(count):
        grist = _grist(random)
        inputs = MashInputs(
            tuple(_term(kind, mass, color) for kind, _, color, mass in grist),
            volume=3.2 * sum(mass for *_, mass in grist),
            alkalinity=random.uniform(0.0, 3.0),
            calcium=random.uniform(0.5, 6.0),
            magnesium=random.uniform(0.0, 1.5),
            carbon=None,
            acids={"lactic": random.choice((0.0, 0.8))},
            mill_gap=1.1,
        )
        labels = tuple(Label(kind, name, kind) for kind, name, _, _ in grist)
        ph = brewed(inputs, labels, known) + random.gauss(0.0, READING_SD) + unlike_the_book
        mashes.append(
            Mash(
                path=f"mash-{number}.yaml",
                document=0,
                name=f"mash {number}",
                ph=round(ph, 2),
                warmer=warmer,
                inputs=inputs,
                labels=labels,
                colors=tuple(color for *_, color, _ in grist),
                sd=READING_SD,
            )
        )
    return House(known, tuple(mashes))


def brewed(inputs: MashInputs, labels: Sequence[Label], truth: Mapping[Label, float]) -> float:
    """The pH with the malts as they truly are."""
    malts = tuple(
        replace(term, ph_di=term.ph_di + truth.get(label, 0.0))
        for term, label in zip(inputs.malts, labels, strict=True)
    )
    return mash_ph(replace(inputs, malts=malts)).ph
