"""Since a revision, in real repositories: each kind of change, subfolders, worktrees, links."""

from __future__ import annotations

import json
import os
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft7Validator

from tests.compare.state import DAY, FILES, HARD, PORTER
from waterlint.cli.main import main
from waterlint.source.schema import load_schema

Tree = Callable[..., Path]
Git = Callable[..., str]
Capture = pytest.CaptureFixture[str]


@pytest.fixture
def git(tree: Tree) -> Git:
    """Call git in a repository of the ``tree`` folder that holds the small project."""
    folder = tree(FILES)

    def call(*arguments: str, cwd: Path = folder) -> str:
        who = ["-c", "user.name=Test Brewer", "-c", "user.email=brewer@brewery.test"]
        safe = ["-c", "commit.gpgsign=false", "-c", "protocol.file.allow=always"]
        return subprocess.run(
            ["git", *who, *safe, *arguments], cwd=cwd, check=True, capture_output=True, text=True
        ).stdout

    call("init", "-q", "--initial-branch=main")
    call("add", "-A")
    call("commit", "-qm", "start")
    return call


def since(capsys: Capture, *arguments: str, status: int) -> dict[str, Any]:
    """What the JSON says; it fits its schema."""
    assert main(["compare", "--format", "json", *DAY, *arguments]) == status
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    Draft7Validator(load_schema("compare")).validate(told)
    return told


def states(told: dict[str, Any]) -> dict[str, str]:
    return {recipe["path"]: recipe["state"] for recipe in told["recipes"]}


def test_a_report_that_changed_touches_its_recipes(tree: Tree, git: Git, capsys: Capture) -> None:
    folder = tree({"waters/well.yaml": HARD})
    told = since(capsys, "--rev", "HEAD", status=1)
    assert states(told) == {"ales/porter.yaml": "changed", "ales/blended.yaml": "changed"}
    first = told["recipes"][0]
    assert first["because"] == "waters/well.yaml changed"
    assert [each["finding"]["rule"] for each in first["appearing"]] == ["mash-ph", "mash-calcium"]
    calcium = {(r["quantity"], r["vessel"]): r for r in first["figures"]}["calcium", "mash"]
    assert calcium["before"]["value"] == pytest.approx(81.2, abs=0.05)
    assert calcium["after"]["value"] == pytest.approx(181.2, abs=0.05)
    # The same, committed; and git's own state is what it was.
    git("commit", "-qam", "summer")
    assert since(capsys, "--rev", "HEAD~1", status=1) == {
        **told,
        "question": told["question"] + "~1",
    }
    assert since(capsys, "--rev", "HEAD", status=0)["recipes"] == []
    assert git("status", "--porcelain") == ""
    assert sorted(path.name for path in folder.iterdir()) == [".git", "ales", "waters"]


def test_renamed_deleted_and_added(tree: Tree, git: Git, capsys: Capture) -> None:
    folder = tree({"ales/new.yaml": PORTER.replace("porter", "newcomer")})
    git("mv", "ales/porter.yaml", "ales/renamed.yaml")
    (folder / "ales/renamed.yaml").write_text(PORTER.replace("1.1 mm", "1.3 mm"), "utf-8")
    (folder / "ales/apart.yaml").unlink()
    told = since(capsys, "--rev", "HEAD", "ales", status=0)
    assert states(told) == {
        "ales/apart.yaml": "removed",
        "ales/new.yaml": "added",
        "ales/renamed.yaml": "changed",
    }
    renamed = told["recipes"][2]
    assert renamed["old_path"] == "ales/porter.yaml"
    moved = [row["quantity"] for row in renamed["figures"] if row["before"] != row["after"]]
    assert moved == ["mash_ph"]
    gone = {(r["quantity"], r["vessel"]): r for r in told["recipes"][0]["figures"]}
    assert gone["calcium", "mash"]["after"] is None
    assert gone["calcium", "mash"]["before"]["value"] == pytest.approx(29.2, abs=0.05)


def test_a_renamed_report_is_the_same_report(tree: Tree, git: Git, capsys: Capture) -> None:
    git("mv", "waters/well.yaml", "waters/cottage.yaml")
    for name in ("porter", "blended"):
        text = FILES[f"ales/{name}.yaml"].replace("well.yaml", "cottage.yaml")
        tree({f"ales/{name}.yaml": text})
    told = since(capsys, "--rev", "HEAD", status=0)
    assert told["recipes"] == [] and told["files"] == []
    assert told["summary"]["same"] == 2


def test_a_report_that_went_is_an_error_where_it_is_used(
    tree: Tree, git: Git, capsys: Capture
) -> None:
    git("rm", "-q", "waters/well.yaml")
    told = since(capsys, "--rev", "HEAD", status=1)
    rules = [each["finding"]["rule"] for each in told["recipes"][0]["appearing"]]
    assert "unresolved-water" in rules
    assert told["recipes"][0]["because"] == "waters/well.yaml was deleted"


def test_through_configurations_and_links(tree: Tree, git: Git, capsys: Capture) -> None:
    house = "waterlint: config/1\nextends: house/base.yaml\n"
    base = "waterlint: config/1\nranges: {chloride: .. 120 mg/L}\n"
    folder = tree({"waterlint.yaml": house, "house/base.yaml": base})
    (folder / "waters/current.yaml").symlink_to("well.yaml")
    tree({"ales/linked.yaml": PORTER.replace("well.yaml", "current.yaml")})
    git("add", "-A")
    git("commit", "-qm", "house")
    tree({"house/base.yaml": base.replace("120", "60")})
    told = since(capsys, "--rev", "HEAD", "ales/linked.yaml", status=1)
    (recipe,) = told["recipes"]
    (chloride,) = recipe["appearing"]
    assert chloride["finding"]["rule"] == "batch-chloride"
    assert "house/base.yaml changed" in recipe["because"]
    git("commit", "-qam", "stricter")
    (folder / "waters/current.yaml").unlink()
    (folder / "waters/current.yaml").symlink_to("2027.yaml")
    told = since(capsys, "--rev", "HEAD", "ales", status=1)
    assert list(states(told)) == ["ales/linked.yaml"]


def test_several_recipes_in_a_file_are_known_by_name(tree: Tree, git: Git, capsys: Capture) -> None:
    second = PORTER.replace("porter", "bitter")
    tree({"ales/both.yaml": f"{PORTER}---\n{second}"})
    git("add", "-A")
    git("commit", "-qm", "both")
    third = PORTER.replace("porter", "mild")
    tree({"ales/both.yaml": f"{third}---\n{PORTER}---\n{second.replace('1.5 g', '2 g')}"})
    told = since(capsys, "--rev", "HEAD", status=0)
    found = {recipe["name"]: recipe["state"] for recipe in told["recipes"]}
    assert found == {"Lock Cottage mild": "added", "Lock Cottage bitter": "changed"}


def test_a_finding_stays_where_only_its_place_has_moved(
    tree: Tree, git: Git, capsys: Capture
) -> None:
    salty = PORTER + "  - {add: baking-soda, kettle: 2 g}\n"
    tree({"ales/porter.yaml": salty})
    git("commit", "-qam", "salty")
    moved = salty.replace("additions:\n", "additions:\n  - {add: gypsum, sparge: 1 g}\n")
    tree({"ales/porter.yaml": f"# a remark\n{moved}"})
    (recipe,) = since(capsys, "--rev", "HEAD", status=0)["recipes"]
    assert recipe["appearing"] == [] and recipe["going"] == []
    assert recipe["staying"] == 1
    twice = moved + "  - {add: potassium-bicarbonate, kettle: 1 g}\n"
    tree({"ales/porter.yaml": twice})
    (recipe,) = since(capsys, "--rev", "HEAD", status=1)["recipes"]
    assert [each["finding"]["pointer"] for each in recipe["appearing"]] == ["/additions/3/kettle"]


def test_a_recipe_that_cannot_be_read_any_more_is_still_that_recipe(
    tree: Tree, git: Git, capsys: Capture
) -> None:
    tree({"ales/porter.yaml": PORTER.replace("batch: {", "batch: [{")})
    (recipe,) = since(capsys, "--rev", "HEAD", status=1)["recipes"]
    assert (recipe["name"], recipe["state"]) == ("Lock Cottage porter", "changed")
    assert [each["finding"]["rule"] for each in recipe["appearing"]] == ["invalid-yaml"]
    assert {row["after"] for row in recipe["figures"] if row["quantity"] == "calcium"} == {None}
    git("commit", "-qam", "broken")
    tree({"ales/porter.yaml": PORTER})
    told = since(capsys, "--rev", "HEAD", status=0)
    (recipe,) = told["recipes"]
    assert recipe["state"] == "changed" and told["files"] == []
    assert [each["finding"]["rule"] for each in recipe["going"]] == ["invalid-yaml"]


def test_a_schema_fault_stands_in_the_way_of_figures(tree: Tree, git: Git, capsys: Capture) -> None:
    tree({"ales/porter.yaml": PORTER.replace("grist:", "grsit:")})
    (recipe,) = since(capsys, "--rev", "HEAD", "--suggest", status=1)["recipes"]
    assert recipe["state"] == "changed"
    assert recipe["without_remedy"] == "errors stand in the way"


def test_a_file_that_is_there_no_more_can_be_named(tree: Tree, git: Git, capsys: Capture) -> None:
    git("rm", "-q", "ales/porter.yaml")
    told = since(capsys, "--rev", "HEAD", "ales/porter.yaml", status=0)
    assert states(told) == {"ales/porter.yaml": "removed"}


def test_from_a_subfolder_and_from_outside(
    tree: Tree, git: Git, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tree({"waters/well.yaml": HARD})
    monkeypatch.chdir(folder / "ales")
    told = since(capsys, "--rev", "HEAD", status=1)
    assert list(states(told)) == ["porter.yaml", "blended.yaml"]
    reasons = {each["because"] for each in told["recipes"]}
    assert reasons == {"../waters/well.yaml changed"}
    monkeypatch.chdir(folder.parent)
    told = since(capsys, "--rev", "HEAD", "project", status=1)
    assert list(states(told)) == ["project/ales/porter.yaml", "project/ales/blended.yaml"]


def test_in_a_worktree(
    tree: Tree, git: Git, capsys: Capture, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    git("worktree", "add", "-q", str(tmp_path / "beside"))
    monkeypatch.chdir(tmp_path / "beside")
    Path("waters/well.yaml").write_text(HARD, encoding="utf-8")
    told = since(capsys, "--rev", "main", status=1)
    assert list(states(told)) == ["ales/porter.yaml", "ales/blended.yaml"]


def test_submodules(tree: Tree, git: Git, capsys: Capture, tmp_path: Path) -> None:
    outside = tmp_path / "shared"
    outside.mkdir()
    (outside / "well.yaml").write_text(FILES["waters/well.yaml"], encoding="utf-8")
    git("init", "-q", "--initial-branch=main", cwd=outside)
    git("add", "-A", cwd=outside)
    git("commit", "-qm", "well", cwd=outside)
    git("submodule", "--quiet", "add", str(outside), "shared")
    folder = tree({"ales/far.yaml": PORTER.replace("../waters/well.yaml", "../shared/well.yaml")})
    git("add", "-A")
    git("commit", "-qm", "shared water")
    (folder / "shared/well.yaml").write_text(HARD, encoding="utf-8")
    told = since(capsys, "--rev", "HEAD", status=1)
    assert list(states(told)) == ["ales/far.yaml"]
    assert told["remarks"] == []
    git("submodule", "--quiet", "deinit", "-f", "shared")
    tree({"ales/far.yaml": PORTER.replace("1.1 mm", "1.3 mm")})
    told = since(capsys, "--rev", "HEAD", status=0)
    assert told["remarks"] == [
        "the submodule shared is not checked out, so its files are not known"
    ]


@pytest.mark.parametrize(
    ("revision", "told"),
    [
        ("nowhere", "git knows no revision 'nowhere' here"),
        ("", "git knows no revision ''"),
        ("HEAD:waters", "git knows no revision 'HEAD:waters'"),
        ("-n", "'-n' is no revision: none begins with a dash"),
        ("--output=x", "'--output=x' is no revision"),
    ],
)
def test_no_such_revision(git: Git, capsys: Capture, revision: str, told: str) -> None:
    assert main(["compare", f"--rev={revision}"]) == 2
    captured = capsys.readouterr()
    assert captured.out == "" and told in captured.err
    assert "Traceback" not in captured.err


def test_no_repository_and_no_git(
    tree: Tree, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tree(FILES)
    assert main(["compare", "--rev", "HEAD"]) == 2
    assert "lies in no git repository" in capsys.readouterr().err
    (folder / ".git").mkdir()
    assert main(["compare", "--rev", "HEAD"]) == 2
    assert "git does not open the repository" in capsys.readouterr().err
    monkeypatch.setenv("PATH", os.fspath(folder))
    assert main(["compare", "--rev", "HEAD"]) == 2
    assert "there is no program `git`" in capsys.readouterr().err


def test_two_repositories_are_two_questions(git: Git, capsys: Capture, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    git("init", "-q", cwd=other)
    git("commit", "-q", "--allow-empty", "-m", "empty", cwd=other)
    assert main(["compare", "--rev", "HEAD", ".", str(other)]) == 2
    assert "the paths lie in several repositories" in capsys.readouterr().err


def test_a_link_in_the_old_state_leads_nowhere_else(
    tree: Tree, git: Git, capsys: Capture, tmp_path: Path
) -> None:
    (tmp_path / "secret.yaml").write_text(HARD, encoding="utf-8")
    folder = tree({"ales/sly.yaml": PORTER.replace("../waters/well.yaml", "./sly-water.yaml")})
    (folder / "ales/sly-water.yaml").symlink_to(tmp_path / "secret.yaml")
    git("add", "-A")
    git("commit", "-qm", "sly")
    (folder / "ales/sly.yaml").unlink()
    told = since(capsys, "--rev", "HEAD", status=0)
    (recipe,) = told["recipes"]
    assert "unresolved-water" in {each["finding"]["rule"] for each in recipe["going"]}
    assert {row["before"] for row in recipe["figures"] if row["vessel"] == "mash"} == set()


def test_remedies(tree: Tree, git: Git, capsys: Capture) -> None:
    pytest.importorskip("scipy.optimize")
    tree({"waters/well.yaml": HARD})
    told = since(capsys, "--rev", "HEAD", "--suggest", status=1)
    assert [each["rule"] for each in told["recipes"][0]["remedy"]["cleared"]] == ["mash-ph"]
