"""The figures that every rule tells: in its message, in its help, beside them, and where.

`told.txt` has them for each rule's failing example and for the further ones of `shapes.py`. It
holds figures, units, names in backticks and words such as `above`, not sentences, so that most
rewording changes nothing there; of the help it has the first two words besides. Where a change is
meant, `python -m tests.rules.test_told` writes the file anew: read the difference before you commit
it.
"""

from __future__ import annotations

import itertools
import re
from functools import cache
from pathlib import Path

from waterlint.finding import LEVELS, Finding
from waterlint.rules.registry import Example, all_rules

from .making import findings_of, recipe_case, report_case
from .shapes import SHAPES

FILE = Path(__file__).with_name("told.txt")

#: A figure with its unit, a name in backticks, or a word that says which way.
_UNIT = r"%|(?:°C|mg/L|g/L|mL/L|mEq/L|µS/cm|L/kg|SRM|EBC|kg|mg|g|mL|L|times)\b"
_WAY = r"\b(?:above|below|over|under|beyond|more|less|at least|at most|neither|together)\b"
_TOLD = re.compile(rf"`[^`]*`|{_WAY}|[−-]?\d+(?:[.:-]\d+)*(?: ?(?:{_UNIT}))?")


def told() -> str:
    """The figures of all rules, as the file has them."""
    blocks = []
    for name, examples in _all_findings().items():
        for number, findings in enumerate(examples):
            lines = [_lines(each) for each in findings]
            if lines:
                blocks.append("\n".join([f"{name} {number}", *lines]))
    return "\n\n".join(blocks) + "\n"


@cache
def _all_findings() -> dict[str, list[list[Finding]]]:
    """By rule, what it finds in its example and in each further shape."""
    return {
        name: [
            _findings(name, each)
            for each in (*([rule.failing] if rule.failing else []), *SHAPES.get(name, ()))
        ]
        for name, rule in all_rules().items()
    }


def _findings(name: str, example: Example) -> list[Finding]:
    if all_rules()[name].check is None or name == "missing-key":
        return []  # told while a file is read
    if example.text.startswith("waterlint: recipe/1"):
        case = recipe_case(example.text, example.files)
    else:
        case = report_case(example.text, used_by=("plover.yaml",))
    return findings_of(case, name)


def _lines(finding: Finding) -> str:
    span = finding.span
    figures = (finding.value, finding.value_low, finding.value_high, finding.low, finding.high)
    shown = " ".join("-" if each is None else f"{each:.5g}" for each in figures)
    about = f"{finding.quantity} of {finding.vessel}: {shown} {finding.unit}"
    place = f"{span.line}:{span.column}-{span.end_column}"
    lines = [
        f"{finding.level} {finding.rule} {finding.pointer} {place}",
        f"about {about}",
        f"says {', '.join(_TOLD.findall(finding.message))}",
        f"help {' '.join(finding.help.split()[:2])} … {', '.join(_TOLD.findall(finding.help))}",
    ]
    if finding.fix is not None:
        lines.append(f"fix {finding.fix.description}")
    for each in finding.related:
        seen = f"{each.path}:{each.span.line}:{each.span.column}"
        lines.append(f"see {seen} {', '.join(_TOLD.findall(each.message))}")
    return "\n".join(f"  {line}".rstrip() for line in lines)


def test_the_figures_told_are_those_written_down() -> None:
    assert told().splitlines() == FILE.read_text("utf-8").splitlines()


def test_each_has_a_level_of_its_rule_and_says_what_to_do_and_why() -> None:
    for name, examples in _all_findings().items():
        for finding in itertools.chain.from_iterable(examples):
            assert finding.rule == name
            assert finding.level in all_rules()[name].levels
            assert finding.message and finding.help and finding.basis, finding


def test_levels_of_the_documentation_are_levels() -> None:
    for rule in all_rules().values():
        assert rule.levels and set(rule.levels) <= set(LEVELS)
        assert rule.subject in ("recipe", "water", "file")


def test_every_shape_is_told() -> None:
    for name in SHAPES:
        assert all(_all_findings()[name][-len(SHAPES[name]) :]), f"{name} is silent on a shape"


if __name__ == "__main__":
    FILE.write_text(told(), encoding="utf-8")
