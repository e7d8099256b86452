"""The JSON Schemas of the files, and the keyword of theirs that asks for quantities.

The dialect is draft-07 with one keyword more. ``quantity`` says of a text that it is a value or
a range of a kind (`waterlint.units.KINDS`) or a date, with limits in the kind's canonical unit:
``{"kind": "volume", "form": "value", "exclusiveMinimum": 0}``.
"""

from __future__ import annotations

from functools import lru_cache

from waterlint.days import date
from waterlint.hints import TYPE_CHECKING, Any, Final
from waterlint.installed import read_json
from waterlint.paths import Path
from waterlint.units import Range, parse, parse_range

if TYPE_CHECKING:
    from waterlint.source.schema_fields import Schema

#: The key that says what a file is, and the kinds there are.
KIND_KEY: Final = "waterlint"
KINDS: Final = ("recipe", "water", "config")


def read_schema(kind: str) -> dict[str, Any]:
    """The schema of a kind of file, read from where the package is installed.

    Raises
    ------
    ValueError
        If there is no such kind.
    """
    name = f"{kind}.schema.json"
    package = Path(__file__).resolve().parent.parent
    # Inside the package in a wheel, beside it in a working copy.
    for folder in (package / "schemas", package.parent / "schemas"):
        if kind.isalpha() and (folder / name).is_file():
            schema: dict[str, Any] = read_json(str(folder / name))
            return schema
    raise ValueError(f"there is no schema of {kind!r}")


@lru_cache(maxsize=8)
def schema_of(kind: str) -> Schema:
    """The schema of a kind of file, read once; not to be changed."""
    return read_schema(kind)


def read_quantity(text: str, wanted: Schema) -> Range:
    """Read a text as the ``quantity`` of a schema says; a value is a range of no width.

    Raises
    ------
    QuantityError
    """
    if wanted["form"] == "range":
        return parse_range(wanted["kind"], text, wanted.get("substance"))
    quantity = parse(wanted["kind"], text, wanted.get("substance"))
    return Range(quantity.value, quantity.value, quantity.unit)


def passed_limit(quantity: Range, wanted: Schema) -> str:
    """What a quantity should be, if it is not."""
    unit = f" {quantity.unit}" if quantity.unit else ""
    for value in (quantity.low, quantity.high):
        if value is None:
            continue
        if value <= wanted.get("exclusiveMinimum", -1e999):
            return f"above {wanted['exclusiveMinimum']:g}{unit}"
        if value > wanted.get("maximum", 1e999):
            return f"at most {wanted['maximum']:g}{unit}"
    return ""


def is_date(text: str) -> bool:
    """Whether a text is a day of the calendar, written year-month-day."""
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False
