"""`waterlint explain`: what a rule means, why, its limits with their basis, and examples."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from difflib import get_close_matches

from waterlint.cli.console import Parser, UsageError, width, write, wrong_call
from waterlint.output import explanation
from waterlint.rules.registry import all_rules


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    parser = Parser(prog="waterlint explain", description="Explain a rule, or list all rules.")
    parser.add_argument("rule", nargs="?", metavar="RULE", help="a rule's name")
    try:
        arguments = parser.parse_args(argv)
        write(_text(arguments.rule), sys.stdout)
    except UsageError as error:
        return wrong_call(error)
    return 0


def _text(name: str | None) -> str:
    rules = all_rules()
    if name is None:
        return explanation.render_list(rules.values())
    if name not in rules:
        near = get_close_matches(name, list(rules), 3)
        guess = f"; did you mean {', '.join(near)}?" if near else ""
        raise UsageError(f"there is no rule named {name!r}{guess} `waterlint explain` lists all")
    return explanation.render(rules[name], width())
