"""A text that was tried as a quantity, and how to speak about it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from waterlint.hints import Final
from waterlint.records import Record
from waterlint.units.concentration import base_units, bases, substance_of
from waterlint.units.quantity import QuantityError
from waterlint.units.table import Kind

_LONGEST_SHOWN: Final = 60


class Attempt(Record):
    """A text that the grammar does not take.

    Attributes
    ----------
    kind : Kind
        What it should have been.
    substance : str or None
    text : str
        With single blanks.
    reads : callable
        Whether a text can be read as what was wanted.
    is_range : bool
        Whether a range was wanted.
    """

    kind: Kind
    substance: str | None
    text: str
    reads: Callable[[str], bool]
    is_range: bool = False

    def guess(self, text: str) -> str | None:
        """`text` if it is what was wanted, else `None`."""
        return text if self.reads(text) else None

    def error(
        self, message: str, help: str | None = None, guess: str | None = None
    ) -> QuantityError:
        """The error for this text; a guess that is no quantity is not offered."""
        suggestion = None if guess is None else self.guess(guess)
        if help is None:
            help = self.accepted() if suggestion is None else f"Write {shown(suggestion)}."
        return QuantityError(message, help, suggestion)

    def example(self) -> str:
        """What was wanted, as one writes it."""
        return self.kind.range_example if self.is_range else self.kind.example

    def accepted(self) -> str:
        """A sentence that says how what was wanted is written."""
        kind = self.kind
        example = f"for example `{self.example()}`"
        if kind.bare:
            limits = "both limits as plain numbers" if self.is_range else "a plain number"
            return f"Write {limits} without a unit, {example}."
        noun = f"A range of {kind.bare_noun}" if self.is_range else kind.noun.capitalize()
        if not kind.chemical:
            units = [unit.symbol for unit in kind.units if " at " not in unit.symbol]
            return f"{noun} is written in {either(units)}, {example}."
        _, what = substance_of(kind, self.substance)
        sentence = f"{noun} is written in {either(base_units(kind, self.substance))}"
        if what.bases:
            sentence += f", milligrams {either([f'as {basis}' for basis in bases(what)])}"
        return f"{sentence}; {example}."


def shown(text: str) -> str:
    """A written text for a sentence: in backticks, and not without end."""
    return f"`{text if len(text) <= _LONGEST_SHOWN else text[:_LONGEST_SHOWN] + '…'}`"


def either(words: Sequence[str]) -> str:
    """Alternatives as a sentence has them."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
