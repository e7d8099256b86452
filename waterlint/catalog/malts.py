"""Kinds of malt and other grist, as recipes name them.

A kind says where a material goes and which defaults hold for its mash pH; those defaults are
chemistry's (`waterlint.chemistry.mash`) and keyed by the same names.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from waterlint.hints import Final
from waterlint.records import Record


class MaltKind(Record):
    """A kind of grist.

    Attributes
    ----------
    name : str
        As recipes write it under `kind`.
    title : str
        In a sentence.
    base : bool
        A base malt: it gives the mash its enzymes and sets its pH.
    in_mash : bool
        Whether it is mashed at all.
    basis : str
    like : str
        The built-in kind whose mash defaults hold; for a built-in kind its own name.
    color_ebc : float or None
        A house malt's colour [EBC], where the recipe states none.
    di_ph, di_ph_sd : float or None
        A house malt's distilled-water mash pH at 4 L/kg, and its standard deviation.
    acidity : float or None
        A house malt's titrated acidity to pH 5.7 [mEq/kg].
    buffer : float or None
        A house malt's buffering [mEq/kg/pH].
    """

    name: str
    title: str
    base: bool
    in_mash: bool
    basis: str
    like: str
    color_ebc: float | None = None
    di_ph: float | None = None
    di_ph_sd: float | None = None
    acidity: float | None = None
    buffer: float | None = None


_TROESTER = "K. Troester 2009, measured malts"
_PRACTICE = "common practice"


def _kind(
    name: str, title: str, basis: str = _TROESTER, *, base: bool = False, in_mash: bool = True
) -> MaltKind:
    return MaltKind(name, title, base, in_mash, basis, name)


_ALL = (
    _kind("pilsner", "Pilsner malt", base=True),
    _kind("pale", "pale ale malt", base=True),
    _kind("two-row", "North American two-row malt", f"{_TROESTER}; J.-P. Hosom 2018", base=True),
    _kind("wheat", "wheat malt", base=True),
    _kind("rye", "rye malt", "from memory: like wheat malt", base=True),
    _kind("vienna", "Vienna malt", base=True),
    _kind("munich", "Munich malt", base=True),
    _kind("toasted", "toasted malt: biscuit, amber, melanoidin", f"{_TROESTER}: one sample"),
    _kind("crystal", "crystal or caramel malt"),
    _kind("roasted", "roasted malt or barley, husked or not"),
    _kind("acidulated", "acidulated malt"),
    _kind("unmalted", "unmalted grain, flaked or torrefied", "from memory: like a base malt"),
    _kind("sugar", "sugar", _PRACTICE, in_mash=False),
    _kind("extract", "malt extract", _PRACTICE, in_mash=False),
)

MALT_KINDS: Final[Mapping[str, MaltKind]] = MappingProxyType({each.name: each for each in _ALL})
"""Every kind of the recipe format."""
