"""`python -m waterlint`."""

from __future__ import annotations

import sys

from waterlint.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
