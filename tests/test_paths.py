"""`Path` is that of the standard library, whether or not it came with what it needs for URLs."""

from __future__ import annotations

import pathlib
import subprocess
import sys

import pytest

from waterlint import paths

URIS = "assert Path('/a b/µ').as_uri() == 'file:///a%20b/%C2%B5'"


def told(*lines: str) -> str:
    """What a program of these lines prints."""
    program = "\n".join(["import sys", *lines])
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    return done.stdout.strip()


def test_it_is_that_of_the_standard_library() -> None:
    assert paths.Path is pathlib.Path


@pytest.mark.skipif(sys.platform == "win32", reason="paths of POSIX")
@pytest.mark.parametrize(
    ("before", "loaded"),
    [
        ("", False),
        ("import urllib.parse", True),
        ("import pathlib", sys.version_info < (3, 13)),
        ("import threading", sys.version_info < (3, 13)),
    ],
)
def test_urls_are_there_when_they_are_asked_for(before: str, loaded: bool) -> None:
    found = told(
        before,
        "from waterlint.paths import Path",
        "print('urllib.parse' in sys.modules)",
        URIS,
        "from urllib.parse import quote",
        "assert quote('a b') == 'a%20b'",
        URIS,
    )
    assert found == str(loaded)
