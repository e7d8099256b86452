"""One limit of one quantity, with where its numbers come from."""

from __future__ import annotations

from math import isfinite

from waterlint.finding import Level
from waterlint.records import Record

_TITLES = {
    "mash": "of the mash water",
    "sparge": "of the sparge water",
    "batch": "of the whole batch",
    "report": "in a water report",
}


class Limit(Record):
    """Where a quantity may lie before a rule speaks, and why there.

    Attributes
    ----------
    rule : str
        The rule that asks, by its name.
    quantity : str
        What is looked at: an ion's name, or a figure's (``chloride_to_sulfate``).
    vessel : str
        ``mash``, ``sparge`` or ``batch`` for a water; ``report``, ``dose``, ``recipe`` for what
        has no vessel.
    level : Level
        What lies outside is at least this.
    low, high : float or None
        Inclusive bounds [`unit`]; `None` where that side is open.
    unit : str
        Empty for pH, ratios and counts.
    basis : str
        Where the numbers come from: a source, ``common practice``, ``from memory``.
    label : str
        The quantity in words, where its name does not say it.
    condition : bool
        It makes no finding by itself: another limit of the rule works with it.

    Raises
    ------
    ValueError
        If there is no basis, no bound, or the bounds are not finite and in order.
    """

    rule: str
    quantity: str
    vessel: str
    level: Level
    low: float | None
    high: float | None
    unit: str
    basis: str
    label: str = ""
    condition: bool = False

    def __post_init__(self) -> None:
        low = self.high if self.low is None else self.low
        high = self.low if self.high is None else self.high
        if not self.basis.strip():
            raise ValueError(f"the limit of {self.quantity} ({self.rule}) has no basis")
        if low is None or high is None or not (isfinite(low) and isfinite(high)):
            raise ValueError(f"the limit of {self.quantity} ({self.rule}) has no finite bound")
        if low > high:
            raise ValueError(f"the limit of {self.quantity} ({self.rule}) is upside down")

    def contains(self, value: float) -> bool:
        """Whether a value lies within the bounds, both included."""
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)

    @property
    def floor(self) -> float:
        """The lower bound of a limit that has one [`unit`].

        Raises
        ------
        ValueError
            If that side is open.
        """
        if self.low is None:
            raise ValueError(f"the limit of {self.quantity} ({self.rule}) is open below")
        return self.low

    @property
    def ceiling(self) -> float:
        """The upper bound of a limit that has one [`unit`].

        Raises
        ------
        ValueError
            If that side is open.
        """
        if self.high is None:
            raise ValueError(f"the limit of {self.quantity} ({self.rule}) is open above")
        return self.high

    @property
    def range_text(self) -> str:
        """The bounds in words.

        Examples
        --------
        >>> Limit("r", "calcium", "mash", "note", 50, 150, "mg/L", "common practice").range_text
        '50 to 150 mg/L'
        >>> Limit("r", "calcium", "mash", "note", None, 0.5, "", "common practice").range_text
        'at most 0.5'
        """
        unit = f" {self.unit}" if self.unit else ""
        if self.low is None:
            return f"at most {_plain(self.high)}{unit}"
        if self.high is None:
            return f"at least {_plain(self.low)}{unit}"
        return f"{_plain(self.low)} to {_plain(self.high)}{unit}"

    @property
    def line(self) -> str:
        """The limit and its basis as one line of a rule's documentation.

        Examples
        --------
        >>> Limit("r", "calcium", "mash", "note", 50, 150, "mg/L", "common practice").line
        'calcium of the mash water 50 to 150 mg/L, else a note — common practice'
        """
        title = self.label or f"{self.quantity.replace('_', ' ')} {_TITLES.get(self.vessel, '')}"
        article = "an" if self.level == "error" else "a"
        otherwise = "" if self.condition else f", else {article} {self.level}"
        return f"{title.strip()} {self.range_text}{otherwise} — {self.basis}"


def _plain(value: float | None) -> str:
    """A bound to four digits, without idle zeros, with a minus sign that is one."""
    return f"{value:.4g}".replace("-", "−")
