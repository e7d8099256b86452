"""`Path`, without the time that `pathlib` takes for URLs.

Up to Python 3.12 `pathlib` imports `urllib.parse`, and `ipaddress` with it, for `Path.as_uri`
alone. That is half of what importing it takes, so here it finds a stand-in, which fetches the real
function when somebody calls it. In a program with threads another might meet the stand-in, so
`pathlib` is imported there as ever.
"""

from __future__ import annotations

import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from pathlib import Path as Path
else:

    def _quote_from_bytes(*args, **kwargs):
        """As `urllib.parse.quote_from_bytes`."""
        from urllib.parse import quote_from_bytes

        return quote_from_bytes(*args, **kwargs)

    def _import_without_urls():
        stand_in = type(sys)("urllib.parse")
        stand_in.quote_from_bytes = _quote_from_bytes
        sys.modules["urllib.parse"] = stand_in
        try:
            import pathlib  # noqa: F401
        finally:
            del sys.modules["urllib.parse"]

    _KEEPS_AWAY = {"pathlib", "threading", "urllib.parse"}
    if sys.version_info < (3, 13) and _KEEPS_AWAY.isdisjoint(sys.modules):
        _import_without_urls()
    from pathlib import Path as Path
