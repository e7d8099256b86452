"""A weighing sheet, ready to be shown, and as JSON; `sheet_text` and `sheet_page` show it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from itertools import zip_longest

from waterlint.finding import Finding
from waterlint.output.json_report import as_data
from waterlint.records import Record
from waterlint.version import __version__


class Line(Record):
    """Something to weigh or measure.

    Attributes
    ----------
    amount : str
        With its unit, on the grid of the scale or the measure.
    name : str
        What it is, with form and strength.
    note : str
        Such as the volume of an acid that is weighed.
    value, unit, exact : float, str, float
        The amount as numbers, and what the recipe asks for.
    pointer : str
        Of the dose or the malt in the recipe.
    """

    amount: str
    name: str
    note: str
    value: float
    unit: str
    exact: float
    pointer: str


class Step(Record):
    """One vessel, or the grist: what goes in, and what to know about it.

    Attributes
    ----------
    place : str
        ``grist``, ``liquor``, ``mash-water``, ``mash``, ``sparge``, ``kettle``, ``fermenter``.
    title, aim : str
        What it is; how much and how warm.
    waters : tuple of str
        Which waters, how much of each, how treated.
    lines : tuple of Line
    remarks : tuple of str
    """

    place: str
    title: str
    aim: str
    waters: tuple[str, ...]
    lines: tuple[Line, ...]
    remarks: tuple[str, ...]


class MashPh(Record):
    """The mash pH to expect of a sample cooled to `temperature` [degrees Celsius]; the interval
    holds two times in three. `aim` is the recipe's own range, where it has one."""

    value: float
    low: float
    high: float
    temperature: float
    aim: str = ""

    @property
    def sentence(self) -> str:
        """The figures in words."""
        aim = f" The recipe aims at {self.aim}." if self.aim else ""
        return (
            f"Expect pH {self.value:.2f} in a sample cooled to {self.temperature:.0f} °C; two "
            f"mashes in three fall between {self.low:.2f} and {self.high:.2f}.{aim}"
        )


class Blank(Record):
    """A figure to write down on brew day, and what it should be."""

    label: str
    unit: str
    aim: str


class Sheet(Record):
    """The sheet of one recipe.

    `scaled_from` is the recipe's own batch where the sheet is for another; `tools` says what is
    measured with; `measuring` how the mash pH is taken. `findings` are those that hold for the
    sheet's doses.
    """

    path: str
    document: int
    name: str
    batch: str
    scaled_from: str | None
    tools: str
    steps: tuple[Step, ...]
    mash: MashPh | None
    measuring: tuple[str, ...]
    blanks: tuple[Blank, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...]


def warnings(sheet: Sheet) -> Iterator[tuple[str, str, str]]:
    """Each finding's message and rule, and what to do, which is said once for several alike."""
    for finding, after in zip_longest(sheet.findings, sheet.findings[1:]):
        said_later = after is not None and after.help == finding.help
        yield finding.message, finding.rule, "" if said_later else finding.help


def render_json(sheets: Iterable[Sheet]) -> str:
    """The sheets for programs."""
    data = {"waterlint": __version__, "sheets": [_data(sheet) for sheet in sheets]}
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def _data(sheet: Sheet) -> dict[str, object]:
    mash = sheet.mash
    return {
        "path": sheet.path,
        "document": sheet.document,
        "name": sheet.name,
        "batch": sheet.batch,
        "scaled_from": sheet.scaled_from,
        "steps": [
            {
                "place": step.place,
                "aim": step.aim,
                "waters": list(step.waters),
                "lines": [
                    {
                        "pointer": line.pointer,
                        "name": line.name,
                        "value": line.value,
                        "unit": line.unit,
                        "exact": float(f"{line.exact:.7g}"),
                        "note": line.note,
                    }
                    for line in step.lines
                ],
                "remarks": list(step.remarks),
            }
            for step in sheet.steps
        ],
        "mash_ph": None
        if mash is None
        else {
            "value": round(mash.value, 4),
            "low": round(mash.low, 4),
            "high": round(mash.high, 4),
            "reference_temperature_c": mash.temperature,
        },
        "measuring": list(sheet.measuring),
        "findings": [as_data(finding) for finding in sheet.findings],
        "cautions": list(sheet.cautions),
    }
