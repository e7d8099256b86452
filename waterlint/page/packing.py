"""Data inside a page: JSON, deflated, so that thousands of recipes can be sent by mail."""

from __future__ import annotations

import json
import zlib
from base64 import b64encode

from waterlint.page.markup import Markup


def packed(data: object) -> bytes:
    """Data as raw deflate of its JSON, which a browser can unpack by itself."""
    text = json.dumps(data, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    press = zlib.compressobj(6, zlib.DEFLATED, -zlib.MAX_WBITS)
    return press.compress(text.encode()) + press.flush()


def data_block(name: str, pressed: bytes) -> Markup:
    """Packed data as a block of the page that no browser runs or shows.

    Examples
    --------
    >>> data_block("rows", b"x")
    '<script type="application/octet-stream" id="rows">eA==</script>'
    """
    return Markup(
        f'<script type="application/octet-stream" id="{name}">'
        f"{b64encode(pressed).decode()}</script>"
    )
