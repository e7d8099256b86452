"""Pure chemistry of brewing water and mash; knows no files and no findings.

What is not asked for is not imported: few recipes are boiled down or dosed to a figure.
"""

from __future__ import annotations

from waterlint.chemistry.water import Water
from waterlint.hints import TYPE_CHECKING

if TYPE_CHECKING:
    from waterlint.chemistry.blending import blend
    from waterlint.chemistry.boiling import boil, dissolve_chalk
    from waterlint.chemistry.dosing import dose_to_alkalinity, dose_to_ph

__all__ = ["Water", "blend", "boil", "dissolve_chalk", "dose_to_alkalinity", "dose_to_ph"]

_HOMES = {
    "blend": "blending",
    "boil": "boiling",
    "dissolve_chalk": "boiling",
    "dose_to_alkalinity": "dosing",
    "dose_to_ph": "dosing",
}


def __getattr__(name: str) -> object:
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"{__name__}.{home}"), name)
