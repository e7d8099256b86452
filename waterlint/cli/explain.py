"""`waterlint explain`: what a rule means, why, its limits with their basis, and examples.

Rules of plugins are explained where the configuration of the working directory names them.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence

from waterlint.cli.console import (
    UsageError,
    add_common,
    options,
    width,
    write,
    wrong_call,
)
from waterlint.cli.parsing import Parser
from waterlint.hints import TYPE_CHECKING
from waterlint.output import explanation
from waterlint.paths import Path

if TYPE_CHECKING:
    from waterlint.rules.registry import Rule


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    try:
        arguments = parser().parse_args(argv)
        write(_text(arguments.name, _rules(arguments)), sys.stdout)
    except UsageError as error:
        return wrong_call(error)
    return 0


def parser() -> argparse.ArgumentParser:
    """What the command takes."""
    made = Parser(prog="waterlint explain", description="Explain a rule, or list all rules.")
    made.add_argument("name", nargs="?", metavar="RULE", help="a rule's name")
    add_common(made)
    return made


def _rules(arguments: argparse.Namespace) -> Mapping[str, Rule]:
    """The rules of the working directory; a plugin that cannot be loaded is told."""
    from waterlint.linter import Linter
    from waterlint.output.text import one_line, path_text

    linter = Linter(options(arguments))
    here = Path("here.yaml")
    for fault in linter.configs.for_file(here).findings:
        if fault.pointer.startswith("/rules"):
            place = f"{path_text(fault.path)}:{fault.span.line}:{fault.span.column}"
            write(f"{place}: {one_line(fault.message)}\n", sys.stderr)
    return dict(sorted(linter.rules_for(here).items()))


def _text(name: str | None, rules: Mapping[str, Rule]) -> str:
    if name is None:
        return explanation.render_list(rules.values())
    if name not in rules:
        from difflib import get_close_matches

        near = get_close_matches(name, list(rules), 3)
        guess = f"; did you mean {', '.join(near)}?" if near else "."
        raise UsageError(f"there is no rule named {name!r}{guess} `waterlint explain` lists all")
    return explanation.render(rules[name], width())
