"""A sound recipe and a sound water report, from which the rules' examples are varied.

An example is a whole file. It differs from these only where its rule looks, so that what it
shows is not lost among what it shares with all others.
"""

from __future__ import annotations

from collections.abc import Iterable

from waterlint.rules.registry import Example

#: The file name under which examples find their water report.
REPORT_NAME = "well.yaml"

_REPORT = (
    "waterlint: water/1",
    "name: Quarry Lane well",
    "sampled: 2026-03-14",
    "ph: 7.4",
    "ions:",
    "  calcium: 56 mg/L",
    "  magnesium: 6 mg/L",
    "  sodium: 11 mg/L",
    "  chloride: 60 mg/L",
    "  sulfate: 61 mg/L",
    "alkalinity: 40 mg/L as CaCO3",
)

_RECIPE = (
    "waterlint: recipe/1",
    "name: Plover pale ale",
    "batch: {volume: 20 L, evaporation: 3 L, losses: 1 L}",
    "water:",
    "  mash: {volume: 15 L, from: ./well.yaml}",
    "  sparge: {volume: 13.5 L, from: ./well.yaml}",
    "mash: {mill_gap: 1 mm, temperature: 66 °C}",
    "grist:",
    "  - {malt: pale malt, kind: pale, mass: 4.2 kg, color: 6 EBC}",
    "  - {malt: light crystal, kind: crystal, mass: 300 g, color: 60 EBC}",
)


def report(*changes: str, without: Iterable[str] = ()) -> str:
    """The sound report with lines replaced by key, added, or left out.

    Examples
    --------
    >>> print(report("  sodium: 12 mg/L", "iron: 0.3 mg/L", without=["ph"]))
    waterlint: water/1
    name: Quarry Lane well
    sampled: 2026-03-14
    ions:
      calcium: 56 mg/L
      magnesium: 6 mg/L
      sodium: 12 mg/L
      chloride: 60 mg/L
      sulfate: 61 mg/L
    alkalinity: 40 mg/L as CaCO3
    iron: 0.3 mg/L
    <BLANKLINE>
    """
    return _vary(_REPORT, changes, without)


def recipe(*changes: str, without: Iterable[str] = ()) -> str:
    """The sound recipe with lines replaced by key, added, or left out.

    A change may go on over several lines. An indented line with a new key joins the last
    indented ones.
    """
    return _vary(_RECIPE, changes, without)


def recipe_example(
    *changes: str, without: Iterable[str] = (), water: tuple[str, ...] | None = None
) -> Example:
    """A recipe beside its water report, `water` being what differs in the report."""
    # Put together when it is looked at: a check has no use for it.
    return Example.deferred(
        {},
        {
            "text": lambda: recipe(*changes, without=without),
            "files": lambda: {REPORT_NAME: report(*(water or ()))},
        },
    )


def report_example(*changes: str, without: Iterable[str] = ()) -> Example:
    """A water report by itself."""
    return Example.deferred({"files": {}}, {"text": lambda: report(*changes, without=without)})


def _vary(base: tuple[str, ...], changes: Iterable[str], without: Iterable[str]) -> str:
    left_out = set(without)
    lines = [line for line in base if _key(line).strip() not in left_out]
    for change in changes:
        keys = [_key(line) for line in lines]
        if _key(change) in keys:
            lines[keys.index(_key(change))] = change
        elif change.startswith(" "):
            last = max(place for place, line in enumerate(lines) if line.startswith(" "))
            lines.insert(last + 1, change)
        else:
            lines.append(change)
    return "\n".join(lines) + "\n"


def _key(line: str) -> str:
    return line.partition(":")[0]
