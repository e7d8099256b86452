"""Slips of unit that water reports invite, and what each would do to the ion balance."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS, reported_as
from waterlint.model.water import Analysis
from waterlint.records import Record
from waterlint.rules.analyses import Charges
from waterlint.rules.wording import number
from waterlint.units import Quantity

_AS_SULFUR = reported_as("SO4", "S", 1.0)
_AS_NITROGEN = reported_as("NO3", "N", 1.0)
_CACO3 = CALCIUM_CARBONATE_EQUIVALENT
_HCO3 = IONS["bicarbonate"].equivalent_weight
_CO3 = IONS["carbonate"].equivalent_weight


class Slip(Record):
    """A figure that may stand under a wrong basis.

    Attributes
    ----------
    figure : str
        An ion, or ``alkalinity``.
    factor : float
        What the figure is to be multiplied by if the slip was made [-].
    words : str
        What the figure would then be, to follow "if".
    remedy : str
        What to write then.
    """

    figure: str
    factor: float
    words: str
    remedy: str

    @property
    def key(self) -> str:
        """The figure's key in a report."""
        return self.figure if self.figure == "alkalinity" else f"ions/{self.figure}"


class Closure(Record):
    """A slip with the balance that it would leave [%] and [mEq/L]."""

    slip: Slip
    percent: float
    difference: float


def closing(analysis: Analysis, charges: Charges, percent: float, floor: float) -> list[Closure]:
    """The slips that would close the balance, the closest first.

    Parameters
    ----------
    analysis : Analysis
    charges : Charges
        Of `analysis`.
    percent, floor : float
        What counts as closed: the difference within either [%], [mEq/L].

    Returns
    -------
    list of Closure
        Only slips that take away at least half of the difference: one that merely brings it
        across a limit explains nothing.
    """
    found: list[Closure] = []
    for slip in candidates(analysis):
        balance = charges.with_factor(slip.figure, slip.factor)
        difference = balance.cations - balance.anions
        closed = abs(balance.percent_difference) <= percent or abs(difference) <= floor
        if closed and abs(difference) <= abs(charges.difference) / 2.0:
            found.append(Closure(slip, balance.percent_difference, difference))
    return sorted(found, key=lambda closure: abs(closure.difference))


def candidates(analysis: Analysis) -> Iterator[Slip]:
    """Every slip that the figures of an analysis allow, given how each is written."""
    ions = analysis.ions
    if "sulfate" in ions:
        yield from _element("sulfate", ions["sulfate"], "sulfur", "S", "SO4", _AS_SULFUR)
    if "nitrate" in ions:
        yield from _element("nitrate", ions["nitrate"], "nitrogen", "N", "NO3", _AS_NITROGEN)
    if analysis.alkalinity is not None:
        yield from _alkalinity(analysis.alkalinity)
    else:
        if "bicarbonate" in ions:
            yield from _bicarbonate(ions["bicarbonate"])
        if "carbonate" in ions:
            yield Slip(
                "carbonate",
                _CO3 / _HCO3,
                "the carbonate is bicarbonate",
                "name it `bicarbonate` under `ions`",
            )
    for metal in ("calcium", "magnesium"):
        if metal in ions and _is_by_mass(ions[metal]):
            yield _metal(metal, ions[metal])


def has_basis(quantity: Quantity, basis: str) -> bool:
    """Whether a quantity is written with a basis, such as ``as CaCO3``."""
    words = quantity.text.lower().split()
    return "as" in words and words[-1] == basis.lower()


def _figure(quantity: Quantity) -> str:
    """The number and unit as written, without a basis."""
    return quantity.text.partition(" as ")[0].strip()


def _equivalents(amount: float) -> str:
    return f"{number(amount)} mEq/L"


def _element(
    ion: str, quantity: Quantity, element: str, symbol: str, formula: str, factor: float
) -> Iterator[Slip]:
    figure = _figure(quantity)
    if has_basis(quantity, symbol):
        yield Slip(
            ion,
            1.0 / factor,
            f"the figure is {ion} itself and not {element}",
            f"write `{ion}: {figure}`",
        )
    elif _is_by_mass(quantity):
        yield Slip(
            ion,
            factor,
            f"the {ion} is given as {element}",
            f"write `{ion}: {figure} as {symbol}`",
        )


def _alkalinity(quantity: Quantity) -> Iterator[Slip]:
    if not _is_by_mass(quantity):
        return
    figure = _figure(quantity)
    written = _HCO3 if has_basis(quantity, "HCO3") else _CACO3
    for basis, weight, words in (
        ("CaCO3", _CACO3, "calcium carbonate"),
        ("HCO3", _HCO3, "bicarbonate"),
    ):
        if weight != written:
            yield Slip(
                "alkalinity",
                written / weight,
                f"the alkalinity is given as {words}",
                f"write `alkalinity: {figure} as {basis}`",
            )
    yield Slip(
        "alkalinity",
        written / _CO3,
        "the alkalinity is given as carbonate",
        f"write `alkalinity: {_equivalents(quantity.value / _CACO3 * written / _CO3)}`",
    )


def _bicarbonate(quantity: Quantity) -> Iterator[Slip]:
    if not _is_by_mass(quantity):
        return
    figure = _figure(quantity)
    yield Slip(
        "bicarbonate",
        _HCO3 / _CACO3,
        "the bicarbonate is alkalinity given as calcium carbonate",
        f"write `alkalinity: {figure} as CaCO3` instead of the bicarbonate",
    )
    yield Slip(
        "bicarbonate",
        _HCO3 / _CO3,
        "the bicarbonate is given as carbonate",
        f"write `alkalinity: {_equivalents(quantity.value / _CO3)}` instead",
    )


def _metal(metal: str, quantity: Quantity) -> Slip:
    weight = IONS[metal].equivalent_weight
    figure = _figure(quantity)
    if has_basis(quantity, "CaCO3"):
        return Slip(
            metal,
            _CACO3 / weight,
            f"the figure is {metal} itself and not calcium carbonate",
            f"write `{metal}: {figure}`",
        )
    return Slip(
        metal,
        weight / _CACO3,
        f"the {metal} is given as calcium carbonate",
        f"write `{metal}: {figure} as CaCO3`",
    )


def _is_by_mass(quantity: Quantity) -> bool:
    """Whether the figure counts mass: equivalents and degrees leave nothing to mistake."""
    text = quantity.text.lower()
    return any(unit in text for unit in ("mg/l", "ppm", "µg/l", "μg/l", "ug/l"))
