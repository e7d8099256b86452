"""Real git repositories for the tests of this room."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Git = Callable[..., str]


@pytest.fixture
def git(tree: Callable[..., Path]) -> Git:
    """Call git in a fresh repository of the ``tree`` folder: ``git("add", ".")``."""
    folder = tree({})

    def call(*arguments: str, cwd: Path = folder) -> str:
        who = ["-c", "user.name=Test Brewer", "-c", "user.email=brewer@brewery.test"]
        safe = ["-c", "commit.gpgsign=false", "-c", "protocol.file.allow=always"]
        return subprocess.run(
            ["git", *who, *safe, *arguments], cwd=cwd, check=True, capture_output=True, text=True
        ).stdout

    call("init", "--quiet", "--initial-branch=main")
    return call
