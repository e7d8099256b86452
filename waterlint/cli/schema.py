"""`waterlint schema`: the JSON Schema of a kind of file, for editors."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence

from waterlint.cli.console import UsageError, write, wrong_call
from waterlint.cli.parsing import Parser
from waterlint.source.schema import load_schema

KINDS = ("recipe", "water", "config", "findings", "compare", "audit", "suggestion")


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    try:
        arguments = parser().parse_args(argv)
    except UsageError as error:
        return wrong_call(error)
    schema = json.dumps(load_schema(arguments.kind), indent=2, ensure_ascii=False)
    write(schema + "\n", sys.stdout)
    return 0


def parser() -> argparse.ArgumentParser:
    """What the command takes."""
    made = Parser(
        prog="waterlint schema",
        description=(
            "Print the JSON Schema of a kind of file: recipe, water and config are what you write, "
            "for editors; findings, compare, audit and suggestion are what --format json writes."
        ),
    )
    made.add_argument("kind", metavar="KIND", choices=KINDS, help=", ".join(KINDS))
    return made
