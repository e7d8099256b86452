"""The table of rooms tells every room once, in the order that the contract on imports holds."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[1]

#: It and the linter import each other, the one late, so that no floor parts them.
BESIDE = {"parallel": "linter"}


def told() -> list[str]:
    """The rooms of the table, in its order."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    rows = re.search(r"^\| room \|.*\n\| ---.*\n((?:\|.*\n)+)", text, re.M)
    assert rows is not None
    first = [row.split("|")[1] for row in rows[1].splitlines()]
    return [room for cell in first for room in re.findall(r"`(\w+)(?:/|\.py)`", cell)]


def floors() -> dict[str, int]:
    """The floor of each room of the contract, counted from the lowest."""
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["importlinter"]
    (layers,) = (each["layers"] for each in contracts["contracts"] if each["type"] == "layers")
    return {
        room: floor
        for floor, layer in enumerate(reversed(layers))
        for room in re.findall(r"waterlint\.(\w+)", layer)
    }


def test_every_room_is_told_once_and_stands_on_a_floor() -> None:
    package = {
        path.stem
        for path in (ROOT / "waterlint").iterdir()
        if path.name != "__init__.py" and (path.suffix == ".py" or (path / "__init__.py").exists())
    }
    assert sorted(told()) == sorted(package)
    assert floors().keys() == package - BESIDE.keys()


def test_rooms_are_told_from_the_lowest_floor_up() -> None:
    known = floors()
    order = [known[BESIDE.get(room, room)] for room in told()]
    assert order == sorted(order)
