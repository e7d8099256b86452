"""How often each limit of a recipe holds, and which input decides it."""

from __future__ import annotations

from waterlint.chances.chance import chances_of as chances_of
from waterlint.output.chances import Chance as Chance
from waterlint.output.chances import Chances as Chances
from waterlint.output.chances import LimitChance as LimitChance
