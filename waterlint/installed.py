"""The JSON files that come with the package, read fast.

What such a file says is kept beside the compiled modules, in the form that those have (`marshal`),
and like them is taken only while its source has the size and the times that it had. A run on one
file so does without importing `json`. Where nothing can be kept, the file is parsed each time.
"""

from __future__ import annotations

import marshal
import os
import sys

from waterlint.hints import Any

#: Where Python keeps the compiled modules of this package.
_FOLDER = os.path.join(os.path.dirname(__file__), "__pycache__")  # noqa: PTH118, PTH120


def read_json(path: str) -> Any:
    """What a JSON file of the package says, each time anew."""
    found = os.stat(path)  # noqa: PTH116
    key = (sys.version, path, found.st_mtime_ns, found.st_ctime_ns, found.st_size)
    kept = f"{_FOLDER}/{os.path.basename(path)}.{sys.implementation.cache_tag}"  # noqa: PTH119
    try:
        with open(kept, "rb", buffering=0) as file:  # noqa: PTH123
            known, said = marshal.loads(file.read())
        if known == key:
            return said
    except (OSError, EOFError, TypeError, ValueError):
        pass  # not kept yet, or not whole
    # Imported late: mostly it is kept.
    import json

    with open(path, encoding="utf-8") as file:  # noqa: PTH123
        said = json.load(file)
    _keep(kept, marshal.dumps((key, said)))
    return said


def _keep(path: str, data: bytes) -> None:
    """Write a file whole or not at all, where Python would write its own."""
    if sys.dont_write_bytecode or sys.pycache_prefix is not None:
        return
    temporary = f"{path}.{os.getpid()}"
    try:
        with open(temporary, "xb") as file:  # noqa: PTH123
            file.write(data)
        os.replace(temporary, path)  # noqa: PTH105
    except OSError:
        try:
            os.remove(temporary)  # noqa: PTH107
        except OSError:
            return
