"""Lines of files that earlier runs have judged, whether there is room for the files or not."""

from __future__ import annotations

import pytest

from tests.conftest import Tree
from waterlint.cache.lines import KnownLines
from waterlint.project.files import Disk
from waterlint.project.quick_search import read_content


@pytest.mark.parametrize("room", [0, 1000])
@pytest.mark.parametrize("is_told", [True, False])
def test_lines_are_shown_with_and_without_room(tree: Tree, room: int, is_told: bool) -> None:
    folder = tree({"a.yaml": "waterlint: recipe/1\nname: Quay mild\n"})
    lines = KnownLines(Disk(), lambda _: {}, room=room)
    kept = lines.take("a.yaml", read_content(str(folder / "a.yaml")), is_told)
    assert kept.data is None
    found = lines.of("a.yaml")
    assert found is not None and found.line(2) == "name: Quay mild"
    assert lines.of("b.yaml") is None


def test_no_lines_of_a_file_that_has_changed(tree: Tree) -> None:
    folder = tree({"a.yaml": "waterlint: recipe/1\n"})
    lines = KnownLines(Disk(), lambda _: {}, room=0)
    lines.take("a.yaml", read_content(str(folder / "a.yaml")), True)
    (folder / "a.yaml").write_text("waterlint: water/1\n", encoding="utf-8")
    assert lines.of("a.yaml") is None
