"""Cautions that go with strong acids, lime and sulfites, in general words.

Common practice throughout. They never replace the maker's safety data sheet or local rules, and
they say so themselves.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from waterlint.hints import Final

DEFERS: Final = (
    "The maker's label and safety data sheet and the local rules on food, work and waste come "
    "first."
)

ACID: Final = (
    "Acid of this strength burns skin and eyes and attacks stone, metal and cloth: wear goggles "
    "and gloves, pour the acid slowly into the water and never water into acid, and keep it from "
    "bleach and from sulfites, which give off poisonous gas with it. Food grade only; a diluted "
    "grade is easier to measure and safer to keep. " + DEFERS
)

DILUTED_ACID: Final = (
    "A diluted acid still irritates skin and attacks eyes, stone and metal: protect the eyes, pour "
    "it slowly into the water, and keep it from bleach and from sulfites, which give off poisonous "
    "gas with it. Food grade only. " + DEFERS
)
"""Of liquid acids below 30 %."""

HYDROCHLORIC: Final = ACID + (" Hydrochloric acid fumes, and its chloride attacks stainless steel.")

SULFURIC: Final = ACID + (
    " Sulfuric acid heats violently as it meets water: dilute it cold, stirring, a little at a "
    "time."
)

LIME: Final = (
    "Lime is caustic; a saturated solution stands above pH 12. Raise no dust, protect the eyes, "
    "stir it into the mash after doughing in, half of it first, and measure before the rest. "
    + DEFERS
)

SULFITE: Final = (
    "The powder irritates eyes and lungs and gives off sulfur dioxide with acid. Sulfites are "
    "dangerous to some people with asthma; in many places a beer with 10 mg/L sulfur dioxide "
    "must say so on its label. " + DEFERS
)

DRINKING_WATER: Final = (
    "These figures are limits of drinking water as published elsewhere, for information. Whether "
    "a water may be used for food is decided by local law and the authority in charge, and no "
    "recipe check shows that a water is safe: a private well needs tests for germs and metals."
)

PREDICTION: Final = (
    "A predicted pH is no measurement: add half, stir, wait, measure a cooled sample, and then "
    "decide on the rest."
)

BY_ADDITIVE: Final[Mapping[str, str]] = MappingProxyType(
    {
        "lactic-acid": ACID,
        "phosphoric-acid": ACID,
        "citric-acid": ACID,
        "hydrochloric-acid": HYDROCHLORIC,
        "sulfuric-acid": SULFURIC,
        "pickling-lime": LIME,
        "sodium-metabisulfite": SULFITE,
        "potassium-metabisulfite": SULFITE,
    }
)
"""The caution of each additive that has one; an acid's from 30 % on."""
