"""`python -m waterlint`."""

from __future__ import annotations

import sys

# Python has put the working directory in front of its search path, and with it what a stranger
# may have put into a recipe repository under the name of a library. It is taken away, unless it is
# where this package itself lies. A `waterlint.py` or a `typing.py` there has been run before this
# line: only the command `waterlint`, or `python -P -m waterlint`, does not look there at all.
if not sys.flags.safe_path and sys.path and not __file__.startswith(f"{sys.path[0]}/waterlint/"):
    del sys.path[0]

from waterlint.launch import main

if __name__ == "__main__":
    main()
