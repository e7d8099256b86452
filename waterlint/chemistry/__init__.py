"""Pure chemistry of brewing water and mash; knows no files and no findings."""

from waterlint.chemistry.blending import blend
from waterlint.chemistry.boil import boil, dissolve_chalk
from waterlint.chemistry.dosing import dose_to_alkalinity, dose_to_ph
from waterlint.chemistry.water import Water

__all__ = ["Water", "blend", "boil", "dissolve_chalk", "dose_to_alkalinity", "dose_to_ph"]
