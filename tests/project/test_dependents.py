"""What a change touches besides the files it changes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from waterlint.project.config_store import ConfigStore
from waterlint.project.dependents import dependents, extended, water_references
from waterlint.project.files import Disk
from waterlint.project.git import Change, staged_changes
from waterlint.source.document import read_text

Tree = Callable[..., Path]
Git = Callable[..., str]


def _recipe(*waters: str, **more: str) -> str:
    shares = "".join(f"\n      - {{water: {water}, share: 50 %}}" for water in waters)
    source = f" {waters[0]}" if len(waters) == 1 else shares
    return f"waterlint: recipe/1\nwater:\n  mash:\n    volume: 15 L\n    from:{source}\n"


WATER = "waterlint: water/1\nname: Mill Leat supply\n"
CONFIG = "waterlint: config/1\n"


def _because(folder: Path, *changes: Change) -> dict[str, str]:
    disk = Disk()
    configs = ConfigStore(disk, frozenset())
    found = dependents(changes, folder, configs, disk)
    return {disk.shown(each.path): each.because for each in found}


@pytest.fixture
def brewery(tree: Tree) -> Path:
    folder = tree(
        {
            "recipes/stout.yaml": _recipe("../waters/mill.yaml"),
            "recipes/blend.yaml": _recipe("distilled", "../waters/mill.yaml"),
            "recipes/helles.yaml": _recipe("../waters/spring.yaml"),
            "recipes/ro.yaml": _recipe("reverse-osmosis"),
            "recipes/quoted.yaml": _recipe('"../waters/m\\u0069ll.yaml"'),
            "recipes/folded.yaml": _recipe("../waters/mill\n        leat.yaml"),
            "recipes/doubled.yaml": _recipe("'../waters/o''mill.yaml'"),
            "recipes/linked.yaml": _recipe("../waters/current.yaml"),
            "recipes/broken.yaml": _recipe("../waters/mill.yaml") + "name: [\n",
            "recipes/notes.yaml": "name: mill.yaml\n",
            "recipes/sub/deep.yaml": _recipe("../../waters/../waters/mill.yaml"),
            "attic/old.yaml": _recipe("../waters/mill.yaml"),
            "waters/mill.yaml": WATER,
            "waters/mill leat.yaml": WATER,
            "waters/o'mill.yaml": WATER,
            "waters/spring.yaml": WATER,
            "waterlint.yaml": CONFIG + "exclude: [attic]\n",
        }
    )
    (folder / ".git").mkdir()
    (folder / "waters/current.yaml").symlink_to("spring.yaml")
    return folder


MILL = ["recipes/blend.yaml", "recipes/quoted.yaml", "recipes/stout.yaml", "recipes/sub/deep.yaml"]


@pytest.mark.parametrize(
    ("status", "what"), [("changed", "changed"), ("deleted", "was deleted"), ("added", "was added")]
)
def test_a_changed_report(brewery: Path, status: str, what: str) -> None:
    if status == "deleted":
        (brewery / "waters/mill.yaml").unlink()
    because = _because(brewery, Change(status, brewery / "waters/mill.yaml"))  # type: ignore
    assert because == dict.fromkeys(MILL, f"checked because waters/mill.yaml {what}")


def test_a_renamed_report(brewery: Path) -> None:
    (brewery / "waters/mill.yaml").rename(brewery / "waters/race.yaml")
    change = Change("renamed", brewery / "waters/race.yaml", brewery / "waters/mill.yaml")
    because = _because(brewery, change)
    assert list(because) == MILL
    assert set(because.values()) == {
        "checked because waters/mill.yaml was renamed to waters/race.yaml"
    }


def test_a_report_under_the_name_of_a_link(brewery: Path) -> None:
    because = _because(brewery, Change("changed", brewery / "waters/spring.yaml"))
    assert list(because) == ["recipes/helles.yaml", "recipes/linked.yaml"]
    because = _because(brewery, Change("changed", brewery / "waters/current.yaml"))
    assert list(because) == ["recipes/linked.yaml"]


@pytest.mark.parametrize(
    ("water", "recipe"), [("mill leat.yaml", "folded.yaml"), ("o'mill.yaml", "doubled.yaml")]
)
def test_a_name_that_is_written_otherwise(brewery: Path, water: str, recipe: str) -> None:
    because = _because(brewery, Change("changed", brewery / "waters" / water))
    assert list(because) == [f"recipes/{recipe}"]


@pytest.mark.parametrize("others", [0, 100])
@pytest.mark.parametrize(
    ("name", "written"),
    [
        ("mill.yaml", "mill.yaml"),
        ("mill.yaml", "mill.yaml # the new one"),
        ("mill.yaml", '"mill.yaml"'),
        ("mill.yaml", "!!str mill.yaml"),
        ("mill,[a]{b}:c#d.yaml", "mill,[a]{b}:c#d.yaml"),
        ("mill#1 : leat.yaml", "'mill#1 : leat.yaml'"),
        ("mill leat race.yaml", "mill\n     leat\n     race.yaml"),
        ("o'm.yaml", "'o''m.yaml'"),
        ("mühle.yaml", "mühle.yaml"),
        ("mühle.yaml", '"m\\xFChle.yaml"'),
        ("[].yaml", "'[].yaml'"),
    ],
)
def test_a_name_is_found_however_it_is_written(
    tree: Tree, name: str, written: str, others: int
) -> None:
    """Among many changes names are looked for in another way than among few."""
    folder = tree({"a.yaml": _recipe(written), "b.yaml": _recipe("distilled"), name: WATER})
    crowd = [Change("changed", folder / f"other {number}.yaml") for number in range(others)]
    because = _because(folder, Change("changed", folder / name), *crowd)
    assert because == {"a.yaml": f"checked because {name} changed"}


def test_a_changed_file_is_no_dependent_of_another(brewery: Path) -> None:
    because = _because(
        brewery,
        Change("changed", brewery / "waters/mill.yaml"),
        Change("changed", brewery / "recipes/stout.yaml"),
    )
    assert "recipes/stout.yaml" not in because and "recipes/blend.yaml" in because


def test_nothing_depends_on_a_recipe_or_another_file(brewery: Path) -> None:
    assert _because(brewery) == {}
    assert _because(brewery, Change("changed", brewery / "recipes/ro.yaml")) == {}
    assert _because(brewery, Change("changed", brewery / "elsewhere/mill.yaml")) == {}


def test_a_configuration_touches_what_it_governs(tree: Tree) -> None:
    folder = tree(
        {
            "waterlint.yaml": CONFIG,
            "a.yaml": _recipe("distilled"),
            "water.yaml": WATER,
            "sub/waterlint.yaml": CONFIG + "extends: ../house/base.yaml\n",
            "sub/b.yaml": _recipe("distilled"),
            "sub/deep/c.yaml": _recipe("distilled"),
            "house/base.yaml": CONFIG + "extends: root.yaml\n",
            "house/root.yaml": CONFIG,
        }
    )
    (folder / ".git").mkdir()
    top = _because(folder, Change("changed", folder / "waterlint.yaml"))
    assert {path for path in top if not path.startswith("house/")} == {"a.yaml", "water.yaml"}
    assert top["a.yaml"] == "checked because waterlint.yaml changed"
    sub = _because(folder, Change("changed", folder / "sub/waterlint.yaml"))
    assert list(sub) == ["sub/b.yaml", "sub/deep/c.yaml"]
    # One that is gone, or new: what it governed, or governs from now on.
    gone = _because(folder, Change("deleted", folder / "sub/deep/waterlint.yaml"))
    assert gone == {"sub/deep/c.yaml": "checked because sub/deep/waterlint.yaml was deleted"}
    base = _because(folder, Change("deleted", folder / "house/root.yaml"))
    assert base["sub/b.yaml"] == (
        "checked because house/root.yaml was deleted, on which sub/waterlint.yaml builds"
    )
    assert "a.yaml" not in base


def test_a_circle_of_configurations_ends(tree: Tree) -> None:
    folder = tree(
        {
            "waterlint.yaml": CONFIG + "extends: other.yaml\n",
            "other.yaml": CONFIG + "extends: waterlint.yaml\n",
            "a.yaml": _recipe("distilled"),
        }
    )
    assert _because(folder, Change("changed", folder / "x.yaml")) == {}
    assert "a.yaml" in _because(folder, Change("changed", folder / "other.yaml"))


def test_a_real_commit(tree: Tree, git: Git) -> None:
    folder = tree({"r/a.yaml": _recipe("../w/x.yaml"), "w/x.yaml": WATER, "w/y.yaml": WATER})
    git("add", ".")
    git("commit", "-qm", "start")
    git("rm", "-q", "w/x.yaml")
    changes = staged_changes(folder)
    assert changes is not None
    assert _because(folder, *changes) == {"r/a.yaml": "checked because w/x.yaml was deleted"}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("water: {mash: {from: a.yaml}}", [("a.yaml", "/water/mash/from")]),
        (
            "water: {mash: {from: [{water: a.yaml, share: 1}, {water: b}]}, sparge: {from: c}}",
            [
                ("a.yaml", "/water/mash/from/0/water"),
                ("b", "/water/mash/from/1/water"),
                ("c", "/water/sparge/from"),
            ],
        ),
        ("water: {a/b: {from: c}}", [("c", "/water/a~1b/from")]),
        (
            "water: {mash: &m {from: a}, sparge: *m}",
            [("a", "/water/mash/from"), ("a", "/water/sparge/from")],
        ),
        ("water: [1, 2]", []),
        ("water: {mash: 1, sparge: {from: [1, {}, [x]]}}", []),
        ("[1]", []),
        ("x", []),
    ],
)
def test_references_of_any_shape(text: str, expected: list[tuple[str, str]]) -> None:
    (document,) = read_text(text, "a.yaml").documents
    assert [(each.text, each.pointer) for each in water_references(document)] == expected


@pytest.mark.parametrize(
    ("text", "expected"), [("extends: a", "a"), ("extends: [a]", None), ("x", None)]
)
def test_what_is_built_on(text: str, expected: str | None) -> None:
    (document,) = read_text(text, "a.yaml").documents
    reference = extended(document)
    assert (None if reference is None else reference.text) == expected
