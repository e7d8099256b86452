"""A pull request from a stranger: nothing outside the repository is shown, and nothing is written.

All that files can say is tried at once: references, configurations, baselines, links in place of
each of them, and links in the places that the program writes to.
"""

from __future__ import annotations

import json
import os
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.hostile.corpus import NEIGHBOUR, RECIPE, WELL, put
from tests.hostile.runner import Outcome, run_all

TOKEN = "keep-this-to-yourself"

#: What lies outside: of every kind that is read, sound and faulty, each line with the token.
SECRETS = {
    "well.yaml": WELL.replace("Quarry Lane well", TOKEN).replace("56 mg/L", f"56 mg/L # {TOKEN}"),
    "faulty.yaml": WELL.replace("56 mg/L", f"{TOKEN} mg/L").replace("Quarry Lane", TOKEN),
    "broken.yaml": f"waterlint: water/1\nname: '{TOKEN}\n",
    "recipe.yaml": NEIGHBOUR.replace("mil_gap", TOKEN).replace("1 mm", TOKEN),
    "waterlint.yaml": f"waterlint: config/1\nexclude: [{TOKEN}]\nlevels: {{{TOKEN}: {TOKEN}}}\n",
    "known.json": json.dumps({"waterlint": "baseline/1", "findings": [{"path": TOKEN}]}),
    "secret.txt": f"{TOKEN}\n",
    f"{TOKEN}.yaml": f"waterlint: {TOKEN}\n",
}

WAYS = (
    *("../outside/well.yaml", "../../outside/well.yaml", "./../outside/faulty.yaml"),
    *("../project/../outside/well.yaml", "sub/../../outside/broken.yaml", "../outside/secret.txt"),
    *("../outside", "../outside/no-such.yaml", "../outside/keep-this.yaml", "link.yaml"),
    *("faulty-link.yaml", "broken-link.yaml", "chain.yaml", "away/well.yaml", "away/faulty.yaml"),
    *("away/../secret.txt", "away/../outside/faulty.yaml", "secret-link.yaml", "gone-link.yaml"),
    *(
        "passwd.yaml",
        "environ.yaml",
        "/etc/passwd",
        "~/well.yaml",
        "~root/well.yaml",
        "$HOME/w.yaml",
    ),
    *("file:///etc/passwd", "file:../outside/well.yaml", "https://example.org/well.yaml"),
    *("//example.org/share/well.yaml", "..\\outside\\well.yaml", "C:/outside/well.yaml"),
    *(
        "./well.yaml/../../outside/well.yaml",
        "....//outside/well.yaml",
        "./%2e%2e/outside/well.yaml",
    ),
    *("other/well.yaml", "loop/well.yaml", "./loop.yaml", "./pipe.yaml", "./null.yaml"),
)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with `project`, which the stranger has filled, and `outside`, which is ours."""
    top = tmp_path_factory.mktemp("strangers")
    project, outside = top / "project", top / "outside"
    for folder in (project / ".git", project / "sub", outside / "folder", outside / "repo/.git"):
        folder.mkdir(parents=True)
    for name, text in SECRETS.items():
        (outside / name).write_text(text, encoding="utf-8")
        (outside / "repo" / name).write_text(text, encoding="utf-8")
    _fill(project)
    for path in outside.rglob("*"):
        os.utime(path, (1_700_000_000, 1_700_000_000))
    return top


def _fill(project: Path) -> None:
    files = {
        "well.yaml": WELL,
        "sound.yaml": RECIPE,
        "waterlint.yaml": "waterlint: config/1\nbaseline: known-link.json\n",
        "sub/a.yaml": NEIGHBOUR,
        "sub/waterlint.yaml": "waterlint: config/1\nextends: ../../outside/waterlint.yaml\n"
        "baseline: ../../outside/known.json\nexclude: [../../outside/**]\nrules: [planted]\n"
        "paths: [{match: ../../outside/**, levels: {mash-ph: off}}]\n",
        "linked/waterlint.yaml": "waterlint: config/1\nextends: ../config-link.yaml\n"
        "baseline: ../away/new.json\n",
        "linked/a.yaml": NEIGHBOUR,
        "own/a.yaml": NEIGHBOUR,
        "away-config/waterlint.yaml": "waterlint: config/1\nextends: ../away/waterlint.yaml\n",
        "away-config/a.yaml": NEIGHBOUR,
        "known.json": json.dumps(
            {
                "waterlint": "baseline/1",
                "findings": [
                    {"path": path, "rule": "mash-ph", "level": "note", "pointer": ""}
                    for path in ("../outside/faulty.yaml", "/etc/passwd", "away/faulty.yaml")
                ],
            }
        ),
        "planted.py": f"print('{TOKEN}')\n",
    }
    for number, way in enumerate(WAYS):
        files[f"ways/{number}.yaml"] = put("./well.yaml", f"'{way}'")
        files[f"{number}.yaml"] = put("./well.yaml", f"'{way}'")
    for name, text in files.items():
        path = project / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    links = {
        "link.yaml": "../outside/well.yaml",
        "faulty-link.yaml": "../outside/faulty.yaml",
        "broken-link.yaml": str(project.parent / "outside/broken.yaml"),
        "chain.yaml": "faulty-link.yaml",
        "recipe-link.yaml": "../outside/recipe.yaml",
        "secret-link.yaml": "../outside/secret.txt",
        "gone-link.yaml": "../outside/not-yet.yaml",
        "config-link.yaml": "../outside/waterlint.yaml",
        "known-link.json": "../outside/known.json",
        "own/waterlint.yaml": "../../outside/waterlint.yaml",
        "passwd.yaml": "/etc/passwd",
        "environ.yaml": "/proc/self/environ",
        "null.yaml": "/dev/null",
        "loop.yaml": "loop.yaml",
        "loop": "loop",
        "away": "../outside",
        "other": "../outside/repo",
        "report.json": "../outside/secret.txt",
        "new-report.json": "../outside/made.txt",
        "reports": "../outside/folder",
        ".github": "../outside/folder",
        ".gitlab-ci.yml": "../outside/made.yml",
        ".vscode": "../outside/folder",
        ".waterlint-cache": "../outside/folder",
    }
    for name, target in links.items():
        (project / name).symlink_to(target)
    os.mkfifo(project / "pipe.yaml")


def _state(outside: Path) -> dict[str, tuple[float, bytes]]:
    return {
        str(path.relative_to(outside)): (
            path.stat().st_mtime,
            b"" if path.is_dir() else path.read_bytes(),
        )
        for path in sorted(outside.rglob("*"))
    }


NAMED = ("link", "faulty-link", "broken-link", "chain", "recipe-link", "secret-link", "passwd")
FILES = [f"{name}.yaml" for name in (*NAMED, "environ", "null", "loop", "pipe", "gone-link")]
FILES += ["away/recipe.yaml", "away", "other/recipe.yaml", "other", "other/faulty.yaml"]
CALLS = (
    ["check", "."],
    ["check", *FILES],
    *(["check", *FILES, ".", "--format", name] for name in ("json", "sarif", "junit", "markdown")),
    *(["check", *FILES, ".", "--format", name] for name in ("github", "gitlab")),
    ["check", *FILES, ".", "--format", "json", "--jobs", "1"],
    ["check", *FILES, ".", "--format", "json", "--jobs", "2", "--no-cache"],
    ["check", ".", "--show-files"],
    ["check", "--show-config", "sub/a.yaml"],
    ["check", "--show-config", "own/a.yaml"],
    ["check", "--show-config", "away-config/a.yaml"],
    ["check", ".", "--update-baseline"],
    ["check", "linked", "--update-baseline"],
    ["check", ".", "--baseline", "known.json"],
    ["check", ".", "--baseline", "known-link.json"],
    ["check", ".", "--baseline", "known-link.json", "--update-baseline"],
    ["check", "sound.yaml", "--output", "json=report.json"],
    ["check", "sound.yaml", "--output", "json=new-report.json"],
    ["check", "sound.yaml", "--output", "json=reports/new.json"],
    ["check", "sound.yaml", "--output", "json=other/new.json"],
    ["predict", ".", *FILES],
    ["predict", "--format", "json", ".", *FILES],
    ["fix", ".", *FILES],
    ["fix", "--diff", ".", *FILES],
    ["hook", *FILES, "sub/a.yaml", "own/a.yaml", *(f"{number}.yaml" for number in range(20))],
    ["init", "--yes"],
    ["suggest", "sound.yaml", "recipe-link.yaml", "other/recipe.yaml", "0.yaml"],
    ["sheet", "sound.yaml", "recipe-link.yaml", "other/recipe.yaml", "0.yaml"],
    ["sheet", "sound.yaml", "--page", "reports/sheet.html"],
    *(["compare", "--water", f"well.yaml={new}", "."] for new in ("faulty-link.yaml", "link.yaml")),
    ["compare", "--water", "well.yaml=other/well.yaml", "sound.yaml", "recipe-link.yaml"],
    ["compare", "--water", "well.yaml=../outside/well.yaml", "other/recipe.yaml", "--suggest"],
    ["audit", "."],
    ["audit", "--format", "json", ".", *FILES],
    ["audit", "sound.yaml", "--page", "reports/audit.html"],
    ["learn", ".", *FILES],
    ["explain"],
)


@pytest.fixture(scope="module")
def outcomes(place: Path) -> Iterator[list[Outcome]]:
    before = _state(place / "outside")
    home = place / "home"
    home.mkdir()
    environment = {"HOME": str(home), "XDG_CACHE_HOME": str(home), "PWD": str(place / "project")}
    yield run_all(CALLS, place / "project", environment)
    after = _state(place / "outside")
    assert after == before


@pytest.mark.parametrize("number", range(len(CALLS)), ids=lambda n: " ".join(CALLS[n])[:50])
def test_nothing_from_outside_is_shown(number: int, outcomes: list[Outcome]) -> None:
    outcome = outcomes[number]
    shown = outcome.out + outcome.err
    assert TOKEN not in shown
    assert "root:x:0" not in shown and "XDG_CACHE_HOME" not in shown
    assert "Traceback" not in shown and "unexpected" not in shown
    assert outcome.status in (0, 1, 2)


def test_every_way_out_is_told(outcomes: list[Outcome]) -> None:
    report = json.loads(outcomes[2].out)
    told = {each["path"] for each in report["findings"] if each["rule"] == "unresolved-water"}
    for number in range(len(WAYS)):
        assert {f"{number}.yaml", f"ways/{number}.yaml"} <= told, WAYS[number]


def test_links_in_place_of_a_report_are_refused(outcomes: list[Outcome]) -> None:
    for call, outcome in zip(CALLS, outcomes, strict=True):
        if "--output" in call or "--page" in call:
            assert outcome.status == 2
            assert "leads out of the project" in outcome.err


def test_a_report_may_be_written_where_the_user_says(place: Path) -> None:
    elsewhere = place / "elsewhere"
    elsewhere.mkdir()
    calls = [["check", "sound.yaml", "--output", f"json={elsewhere / 'report.json'}"]]
    (outcome,) = run_all(calls, place / "project")
    assert outcome.err == ""
    assert json.loads((elsewhere / "report.json").read_bytes())["summary"]["files"] == 2


def test_git_runs_nothing_that_the_repository_says(tmp_path: Path) -> None:
    subprocess.run(["git", "init", "-q", tmp_path / "project"], check=True)
    project = tmp_path / "project"
    (project / "a.yaml").write_text(NEIGHBOUR, encoding="utf-8")
    (project / "well.yaml").write_text(WELL, encoding="utf-8")
    (project / ".gitattributes").write_text("*.yaml diff=own filter=own\n")
    subprocess.run(["git", "add", "-A"], cwd=project, check=True)
    script = tmp_path / "run-me"
    script.write_text(f"#!/bin/sh\necho done > {tmp_path}/ran\ncat\n")
    script.chmod(0o755)
    for name in ("core.fsmonitor", "diff.own.command", "diff.own.textconv", "diff.external"):
        subprocess.run(["git", "config", name, str(script)], cwd=project, check=True)
    (outcome,) = run_all([["hook", "a.yaml"]], project)
    assert outcome.status == 1 and "mil_gap" in outcome.out
    assert not (tmp_path / "ran").exists()
