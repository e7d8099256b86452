"""The watch that the other tests rely on."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

_OUTSIDE = Path(__file__).parent / "never-written"


@pytest.mark.parametrize(
    "write",
    [
        lambda: _OUTSIDE.write_text("x"),
        lambda: os.close(os.open(_OUTSIDE, os.O_CREAT | os.O_WRONLY)),
        lambda: _OUTSIDE.mkdir(),
        lambda: _OUTSIDE.symlink_to("x"),
        lambda: Path(__file__).rename(_OUTSIDE),
        lambda: _OUTSIDE.unlink(),
    ],
)
def test_a_write_outside_the_temporary_folder_is_refused(
    write: Callable[[], object], clean_surroundings: Any
) -> None:
    with pytest.raises(clean_surroundings.refusal):
        write()
    assert not os.path.lexists(_OUTSIDE)
    assert len(clean_surroundings.refused) == 1
    clean_surroundings.refused.clear()


def test_a_write_inside_is_allowed(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("x")
    (tmp_path / "a").rename(tmp_path / "b")
    assert (tmp_path / "b").read_text() == "x"


def test_the_environment_is_clean() -> None:
    left = [name for name in os.environ if name.startswith(("GIT_", "PRE_COMMIT"))]
    assert left == ["GIT_CONFIG_NOSYSTEM"]
    assert Path.home().name == "home"
