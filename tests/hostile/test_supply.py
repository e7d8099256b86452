"""Nothing of a recipe repository is run, nothing is fetched, and no program is started but git."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

from tests.hostile.corpus import NEIGHBOUR, RECIPE, WELL
from tests.recent import RECENT

#: Names of libraries that would be looked for, and of what tools run by themselves.
PLANTED = (
    *("ruamel", "numpy", "scipy", "jsonschema", "_ruamel_yaml", "referencing", "attrs", "attr"),
    *("conftest", "sitecustomize", "usercustomize", "setup", "argcomplete", "rpds", "yaml"),
)
#: Names of Python's own library.
PYTHONS = ("json", "re", "typing", "argparse", "pathlib", "datetime", "contextlib", "textwrap")


@pytest.fixture
def project(tmp_path: Path) -> Path:
    folder = tmp_path / "project"
    fresh = WELL.replace("2026-03-14", RECENT)
    subprocess.run(["git", "init", "-q", folder], check=True)
    for name, text in (("a.yaml", NEIGHBOUR), ("sound.yaml", RECIPE), ("well.yaml", fresh)):
        (folder / name).write_text(text, encoding="utf-8")
    planted = f"open({str(tmp_path / 'ran')!r}, 'a').write(__name__)\n"
    for name in (*PLANTED, *PYTHONS):
        (folder / f"{name}.py").write_text(planted)
        (folder / name).mkdir(exist_ok=True)
        (folder / name / "__init__.py").write_text(planted)
    (folder / "planted.pth").write_text(f"import os; {planted}")
    (folder / "pyproject.toml").write_text(
        '[project.entry-points."waterlint.rules"]\nplanted = "conftest"\n'
    )
    info = folder / "planted-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: planted\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text("[waterlint.rules]\nplanted = conftest\n")
    (folder / "sub").mkdir()
    (folder / "sub/waterlint.yaml").write_text("waterlint: config/1\nrules: [planted, conftest]\n")
    (folder / "sub/a.yaml").write_text(NEIGHBOUR, encoding="utf-8")
    subprocess.run(["git", "add", "-A"], cwd=folder, check=True)
    return folder


def run(project: Path, *command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, cwd=project, capture_output=True, text=True, check=False)


def program() -> str:
    """The command as it is installed."""
    return str(Path(sysconfig.get_path("scripts"), "waterlint"))


STARTS = {
    "command": [program()],
    "module": [sys.executable, "-m", "waterlint"],
    "safe-module": [sys.executable, "-P", "-m", "waterlint"],
}


@pytest.mark.parametrize("call", [["check", "."], ["hook", "a.yaml"], ["predict", "sound.yaml"]])
@pytest.mark.parametrize("start", STARTS.values(), ids=STARTS)
def test_no_code_of_the_project_is_run(project: Path, call: list[str], start: list[str]) -> None:
    if start == STARTS["module"]:
        # Python itself imports from its own library before it comes to the first line of ours.
        for name in PYTHONS:
            (project / f"{name}.py").unlink()
            (project / name).rename(project / f"no-{name}")
    done = run(project, *start, *call)
    assert not (project.parent / "ran").exists()
    assert done.returncode in (0, 1, 2) and "Traceback" not in done.stderr
    assert ("mil_gap" in done.stdout) == (call[0] != "predict")
    if call[0] == "check":
        assert "planted" in done.stdout and done.returncode == 2


def test_the_command_does_not_look_for_itself_in_the_project(project: Path) -> None:
    (project / "waterlint.py").write_text((project / "numpy.py").read_text())
    done = run(project, program(), "check", "sound.yaml")
    assert done.returncode == 0 and not (project.parent / "ran").exists()
    done = run(project, sys.executable, "-P", "-m", "waterlint", "check", "sound.yaml")
    assert done.returncode == 0 and not (project.parent / "ran").exists()


_WATCHED = """
import json, sys
told = []
def watch(event, arguments):
    if event.startswith(("socket.", "urllib.", "http.", "ftplib.", "smtplib.")):
        told.append(event)
        raise OSError("there is no network")
    if event in ("subprocess.Popen", "os.system", "os.exec", "os.posix_spawn", "os.spawn"):
        told.append([event, [str(each) for each in arguments[1]][:1]])
sys.addaudithook(watch)
from waterlint.cli.main import main
statuses = [main(call) for call in json.loads(sys.argv[1])]
sys.stdout.flush()
json.dump({"statuses": statuses, "told": told}, sys.stderr)
"""


def test_no_network_and_no_program_but_git(project: Path) -> None:
    calls = [
        *(["check", "."], ["check", "sound.yaml", "--format", "sarif"], ["predict", "sound.yaml"]),
        *(["hook", "a.yaml", "sound.yaml"], ["fix", "--diff", "a.yaml"], ["explain"]),
        *(["schema", "recipe"], ["init", "--print", "github"], ["sheet", "sound.yaml"]),
        ["check", "--stdin-name", "b.yaml", "-"],
    ]
    done = subprocess.run(
        [sys.executable, "-P", "-c", _WATCHED, json.dumps(calls)],
        cwd=project,
        input=NEIGHBOUR,
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONSAFEPATH": "1"},
    )
    answer = json.loads(done.stderr[done.stderr.rindex('{"statuses"') :])
    assert set(answer["statuses"]) <= {0, 1, 2}
    events = [each for each in answer["told"] if not isinstance(each, str)]
    assert [each for each in answer["told"] if isinstance(each, str)] == []
    assert {program for _, (program,) in events} == {"git"}


def test_the_watch_sees_a_connection() -> None:
    code = _WATCHED.replace(
        "from waterlint.cli.main import main", "import socket\nsocket.create_connection(('::1', 9))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "[]"], capture_output=True, text=True, check=False
    )
    assert "there is no network" in done.stderr
