"""A weighing sheet as text of 80 columns, to print or to read at the kettle."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable, Iterator

from waterlint.hints import Final
from waterlint.output.cleaning import shown_path
from waterlint.output.sheet import Blank, Line, Sheet, Step, warnings
from waterlint.output.text import one_line

WIDTH: Final = 80
"""[columns]; what a printer takes in its usual type."""

_LINE: Final = "_" * 10
_AMOUNT: Final = 11

#: What a printer or terminal without these signs is given instead.
_PLAIN: Final = {
    "±": "+/-",
    "–": "-",
    "−": "-",
    "—": "-",
    "…": "...",
    "×": "x",
    "·": "-",
    "°": " deg ",
    "µ": "u",
    "μ": "u",
    "’": "'",
    "“": '"',
    "”": '"',
    "½": "1/2",
    "ß": "ss",
    "æ": "ae",
    "ø": "o",
    "œ": "oe",
}


def render_text(sheets: Iterable[Sheet], encoding: str = "utf-8") -> str:
    """The sheets one after the other.

    Parameters
    ----------
    sheets : iterable of Sheet
    encoding : str
        Of whatever shows the text; signs that it lacks are written in plain letters.
    """
    lines: list[str] = []
    for sheet in sheets:
        if lines:
            lines += ["", "=" * WIDTH, ""]
        lines += [line.rstrip() for line in _sheet(sheet, encoding)]
    return "\n".join(lines) + "\n" if lines else ""


def fitted(text: str, encoding: str) -> str:
    """`text` in signs that `encoding` has.

    Examples
    --------
    >>> fitted("Kölsch at 66 °C, ± 0.1", "ascii"), fitted("66 °C", "latin-1")
    ('Kolsch at 66 deg C, +/- 0.1', '66 °C')
    """
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return "".join(_plain(sign, encoding) for sign in text).replace("  deg ", " deg ")
    except LookupError:
        return fitted(text, "ascii")
    return text


def _plain(sign: str, encoding: str) -> str:
    try:
        sign.encode(encoding)
    except UnicodeEncodeError:
        bare = _PLAIN.get(sign) or unicodedata.normalize("NFKD", sign)
        return bare.encode(encoding, errors="ignore").decode(encoding) or "?"
    return sign


def _sheet(sheet: Sheet, encoding: str) -> Iterator[str]:
    page = _Writer(encoding)
    yield from page.paragraph(f"{sheet.name}: {sheet.batch}", "")
    yield from page.paragraph(f"{shown_path(sheet.path)}. {sheet.tools}", "")
    if sheet.scaled_from:
        yield from page.paragraph(sheet.scaled_from, "")
    yield ""
    yield f"Date {_LINE}____  Brewed by {_LINE}{_LINE}  Batch no. {_LINE}"
    if sheet.findings:
        yield ""
    for message, rule, todo in warnings(sheet):
        yield from page.paragraph(f"Look first: {message.rstrip('.')} [{rule}]. {todo}", "! ")
    for step in sheet.steps:
        yield ""
        yield from page.step(step)
        if step.place == "mash":
            for remark in (*((sheet.mash.sentence,) if sheet.mash else ()), *sheet.measuring):
                yield from page.paragraph(remark)
    yield ""
    yield "WRITE DOWN"
    for blank in sheet.blanks:
        yield page.blank(blank)
    if sheet.mash:
        yield from page.paragraph(MEASURED_HINT)
    if sheet.cautions:
        yield ""
        yield "TAKE CARE"
        for caution in sheet.cautions:
            yield from page.paragraph(caution)


class _Writer:
    """Lines in the signs that an encoding has."""

    def __init__(self, encoding: str) -> None:
        self._encoding = encoding

    def fit(self, text: str) -> str:
        return fitted(one_line(text), self._encoding)

    def paragraph(self, text: str, indent: str = "  ") -> list[str]:
        return textwrap.wrap(
            self.fit(text),
            WIDTH,
            initial_indent=indent,
            subsequent_indent=indent,
            break_on_hyphens=False,
        )

    def step(self, step: Step) -> Iterator[str]:
        heading = self.fit(step.title).upper()
        yield from self.paragraph(f"{heading}: {step.aim}" if step.aim else heading, "")
        for water in step.waters:
            yield from self.paragraph(water)
        for line in step.lines:
            yield from self._line(line)
        for remark in step.remarks:
            yield from self.paragraph(remark)

    def _line(self, line: Line) -> Iterator[str]:
        first = f"  [ ] {self.fit(line.amount).rjust(_AMOUNT)}  "
        name = f"{line.name} ({line.note})" if line.note else line.name
        yield from textwrap.wrap(
            self.fit(name),
            WIDTH,
            initial_indent=first,
            subsequent_indent=" " * len(first),
            break_on_hyphens=False,
        )

    def blank(self, blank: Blank) -> str:
        unit = self.fit(blank.unit).strip()
        aim = f"  aim {self.fit(blank.aim)}" if blank.aim else ""
        return f"  {self.fit(blank.label):<30}{_LINE} {unit:<6}{aim}"


MEASURED_HINT: Final = (
    "Keep the pH and its sample's temperature in the recipe, under `measured`: then `waterlint "
    "learn` can make the next prediction better."
)
"""Where the reading goes after the brew day."""
