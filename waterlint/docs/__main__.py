"""`python -m waterlint.docs OUT` builds the site into the folder OUT."""

from __future__ import annotations

import argparse
import sys

from waterlint.docs.site import SiteError, build
from waterlint.paths import Path


def main() -> int:
    """Build the site; the exit status."""
    parser = argparse.ArgumentParser(
        prog="python -m waterlint.docs", description="Build the documentation as a static site."
    )
    parser.add_argument("out", metavar="OUT", type=Path, help="folder for the pages; made if new")
    arguments = parser.parse_args()
    try:
        build(arguments.out)
    except SiteError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    sys.stdout.write(f"{arguments.out / 'index.html'}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
