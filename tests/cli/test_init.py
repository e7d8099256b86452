"""`waterlint init`: what it writes is sound, and what is there stays."""

from __future__ import annotations

import json
import os
import re
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from jsonschema import Draft7Validator
from referencing import Registry, Resource
from ruamel.yaml import YAML

from waterlint.cli.init import run
from waterlint.cli.main import main
from waterlint.source.schema import load_schema
from waterlint.starting.files import KINDS
from waterlint.starting.origin import Origin, UnsafeText

Tree = Callable[..., Path]
Capture = pytest.CaptureFixture[str]

WRITTEN = [
    ".github/workflows/waterlint.yml",
    ".gitlab-ci.yml",
    ".pre-commit-config.yaml",
    ".vscode/settings.json",
    ".waterlint/schemas/any.schema.json",
    ".waterlint/schemas/config.schema.json",
    ".waterlint/schemas/recipe.schema.json",
    ".waterlint/schemas/water.schema.json",
    "ci/waterlint.sh",
    "waterlint.yaml",
]
ADDRESS = "https://git.example.net/tools/waterlint.git"

WATER = """\
waterlint: water/1
name: Toll House spring
sampled: 2026-03-02
ions: {calcium: 40 mg/L, magnesium: 5 mg/L, sodium: 9 mg/L, chloride: 14 mg/L, sulfate: 20 mg/L}
alkalinity: 90 mg/L as CaCO3
"""


def _well() -> dict[str, object]:
    return dict(YAML(typ="safe", pure=True).load(WATER))


def _files(folder: Path) -> list[str]:
    found = (path.relative_to(folder) for path in folder.rglob("*") if not path.is_dir())
    return sorted(path.as_posix() for path in found if path.parts[0] != ".git")


def _yaml(path: Path) -> object:
    return YAML(typ="safe", pure=True).load(path.read_text(encoding="utf-8"))


@pytest.fixture
def repository(tree: Tree) -> Path:
    folder = tree({})
    (folder / ".git").mkdir()
    return folder


def test_it_writes_everything_and_asks_nothing(repository: Path, capsys: Capture) -> None:
    assert run([]) == 0
    assert _files(repository) == WRITTEN
    captured = capsys.readouterr()
    lines = captured.out.splitlines()
    assert sorted(line[6:] for line in lines if line.startswith("wrote ")) == WRITTEN
    assert "pre-commit install" in lines[-2]
    assert "https://git.example.org/waterlint" in lines[-1] and "ci/waterlint.sh" in lines[-1]
    assert captured.err == ""


def test_a_second_time_nothing_changes(repository: Path, capsys: Capture) -> None:
    run([])
    before = {name: (repository / name).stat().st_mtime_ns for name in WRITTEN}
    capsys.readouterr()
    assert run([]) == 0
    assert {name: (repository / name).stat().st_mtime_ns for name in WRITTEN} == before
    lines = capsys.readouterr().out.splitlines()
    assert sorted(lines) == sorted(f"left {name}, which holds the same already" for name in WRITTEN)


def test_what_is_there_stays(repository: Path, capsys: Capture) -> None:
    for name in WRITTEN:
        (repository / name).parent.mkdir(parents=True, exist_ok=True)
        (repository / name).write_text("mine\n", encoding="utf-8")
    (repository / "waterlint.yaml").unlink()
    assert run(["--repo", ADDRESS]) == 0
    for name in WRITTEN[:-1]:
        assert (repository / name).read_text(encoding="utf-8") == "mine\n"
    out = capsys.readouterr().out
    assert (
        f"left .gitlab-ci.yml as it is; `waterlint init --repo {ADDRESS} --print gitlab` shows "
        "what would be in it\n"
    ) in out
    assert "wrote waterlint.yaml\n" in out and "Next:" not in out


def test_a_link_that_leads_nowhere_stays(repository: Path) -> None:
    (repository / "waterlint.yaml").symlink_to("elsewhere.yaml")
    assert run(["--only", "config"]) == 0
    assert _files(repository) == ["waterlint.yaml"]
    assert (repository / "waterlint.yaml").is_symlink()


def test_nothing_is_written_out_of_the_repository(
    repository: Path, tmp_path: Path, capsys: Capture
) -> None:
    (tmp_path / "outside").mkdir()
    (repository / "ci").symlink_to(tmp_path / "outside")
    assert run([]) == 2
    assert list((tmp_path / "outside").iterdir()) == []
    captured = capsys.readouterr()
    assert captured.err == (
        "waterlint: ci/waterlint.sh cannot be written: its folder is a symbolic link out of the "
        "repository\n"
    )
    assert "wrote waterlint.yaml" in captured.out and "wrote ci" not in captured.out


def test_a_file_where_a_folder_belongs(repository: Path, capsys: Capture) -> None:
    (repository / "ci").write_text("mine\n", encoding="utf-8")
    assert run(["--only", "script", "--only", "config"]) == 2
    assert _files(repository) == ["ci", "waterlint.yaml"]
    assert "ci/waterlint.sh cannot be written: its folder cannot be made" in capsys.readouterr().err


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_is_write_protected(repository: Path, capsys: Capture) -> None:
    repository.chmod(0o500)
    try:
        assert run(["--only", "config"]) == 2
    finally:
        repository.chmod(0o700)
    assert "Permission denied" in capsys.readouterr().err


def test_in_a_subfolder_the_tools_files_go_to_the_top(repository: Path, capsys: Capture) -> None:
    (repository / "brewing").mkdir()
    assert run(["brewing"]) == 0
    expected = [name for name in WRITTEN if name != "waterlint.yaml"] + ["brewing/waterlint.yaml"]
    assert _files(repository) == sorted(expected)
    config = (repository / "brewing/waterlint.yaml").read_text(encoding="utf-8")
    assert config.splitlines()[0] == (
        "# yaml-language-server: $schema=../.waterlint/schemas/config.schema.json"
    )


def test_without_git_everything_goes_to_the_folder(tree: Tree) -> None:
    folder = tree({"brews/note.txt": "x"})
    assert run(["brews"]) == 0
    assert _files(folder / "brews") == sorted([*WRITTEN, "note.txt"])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (["nowhere"], "there is no folder nowhere"),
        (["--only", "svn"], "invalid choice: 'svn'"),
        (["--repo", 'x"; rm -rf "$HOME'], "--repo takes the address of a git repository"),
        (["--repo", ADDRESS, "--rev", "-v1"], "expected one argument"),
        (["--repo", ADDRESS, "--rev=-v1"], "not '-v1'"),
        (["--repo", "a\nb"], "not 'a\\nb'"),
        (["--repo", "/my folder/x"], "written as in an address: file:///my%20folder/waterlint"),
    ],
)
def test_a_wrong_call(repository: Path, capsys: Capture, call: list[str], message: str) -> None:
    assert run(call) == 2
    assert message in capsys.readouterr().err
    assert _files(repository) == []


def test_what_it_writes_passes_the_check(repository: Path, capsys: Capture) -> None:
    run([])
    capsys.readouterr()
    assert main(["check"]) == 0
    assert capsys.readouterr().out == "1 file: nothing to report\n"


def test_every_example_of_the_configuration_is_right(repository: Path, capsys: Capture) -> None:
    run(["--only", "config"])
    path = repository / "waterlint.yaml"
    text, number = re.subn(r"^# (\w+: )", r"\1", path.read_text(encoding="utf-8"), flags=re.M)
    assert number >= 6
    path.write_text(text, encoding="utf-8")
    capsys.readouterr()
    assert main(["check"]) == 0
    assert capsys.readouterr().out == "1 file: nothing to report\n"


@pytest.mark.parametrize("origin", [[], ["--repo", ADDRESS], ["--repo", "git@host.example:w.git"]])
def test_the_commit_hook_is_valid(repository: Path, origin: list[str]) -> None:
    assert run(["--only", "pre-commit", *origin]) == 0
    done = subprocess.run(
        [sys.executable, "-m", "pre_commit", "validate-config", ".pre-commit-config.yaml"],
        cwd=repository,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_commit_hook_names_hooks_that_there_are(repository: Path) -> None:
    manifest = _yaml(Path(__file__).parents[2] / ".pre-commit-hooks.yaml")
    assert isinstance(manifest, list)
    hooks = {hook["id"]: hook for hook in manifest}
    run(["--only", "pre-commit", "--repo", ADDRESS, "--rev", "v9"])
    config = _yaml(repository / ".pre-commit-config.yaml")
    assert isinstance(config, dict)
    (theirs,) = config["repos"]
    assert (theirs["repo"], theirs["rev"]) == (ADDRESS, "v9")
    assert {hook["id"] for hook in theirs["hooks"]} <= set(hooks)
    # Without an address the hooks are spelt out; they must do what the manifest's do.
    (repository / ".pre-commit-config.yaml").unlink()
    run(["--only", "pre-commit"])
    config = _yaml(repository / ".pre-commit-config.yaml")
    assert isinstance(config, dict)
    for hook in config["repos"][0]["hooks"]:
        for key in ("entry", "types_or", "require_serial", "always_run", "pass_filenames"):
            assert hook.get(key) == hooks[hook["id"]].get(key), (hook["id"], key)


@pytest.mark.parametrize(
    ("address", "requirement"),
    [
        (ADDRESS, f"waterlint @ git+{ADDRESS}@v9"),
        ("git@host.example:w.git", "waterlint @ git+ssh://git@host.example/w.git@v9"),
        ("ssh://git@host.example/w.git", "waterlint @ git+ssh://git@host.example/w.git@v9"),
        ("/srv/git/waterlint", "waterlint @ git+file:///srv/git/waterlint@v9"),
        (None, "waterlint @ git+https://git.example.org/waterlint@v9"),
    ],
)
def test_every_ci_installs_the_same(
    repository: Path, address: str | None, requirement: str
) -> None:
    assert run(["--rev", "v9", *(["--repo", address] if address else [])]) == 0
    for name in (".github/workflows/waterlint.yml", ".gitlab-ci.yml", "ci/waterlint.sh"):
        text = (repository / name).read_text(encoding="utf-8")
        assert f'install "{requirement}"' in text.replace("--quiet ", ""), name
        assert "@RE" not in text


@pytest.mark.parametrize("text", ["", "a b", "-x", "a'b", "a`b", "a$b", "a#b", "a\\b", "ä"])
def test_an_address_that_could_be_read_otherwise(text: str) -> None:
    with pytest.raises(UnsafeText):
        Origin(text)
    with pytest.raises(UnsafeText):
        Origin(ADDRESS, text)


def test_the_ci_files_call_options_that_there_are(repository: Path) -> None:
    """Each call of `waterlint check` in them runs, here with no recipe in sight."""
    run([])
    calls = []
    for name in (".github/workflows/waterlint.yml", ".gitlab-ci.yml", "ci/waterlint.sh"):
        text = (repository / name).read_text(encoding="utf-8")
        calls += re.findall(r"^(?:\s*- (?:run: )?)?(waterlint check.*)$", text, flags=re.M)
    assert len(calls) == 3
    environment = {**os.environ, "GITHUB_STEP_SUMMARY": "summary.md"}
    for call in calls:
        command = call.replace("waterlint", f'"{sys.executable}" -m waterlint', 1)
        done = subprocess.run(["sh", "-c", command], env=environment, cwd=repository, check=False)
        assert done.returncode == 0, call
    made = {"summary.md", "waterlint-junit.xml", "waterlint-quality.json"}
    assert made <= set(_files(repository))
    assert isinstance(_yaml(repository / ".gitlab-ci.yml"), dict)
    workflow = _yaml(repository / ".github/workflows/waterlint.yml")
    assert isinstance(workflow, dict) and "waterlint" in workflow["jobs"]


def test_the_plain_script_lints(repository: Path, tmp_path: Path) -> None:
    run([])
    script = repository / "ci/waterlint.sh"
    assert script.stat().st_mode & stat.S_IXUSR
    programs = tmp_path / "programs"
    programs.mkdir()
    program = programs / "waterlint"
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m waterlint "$@"\n', encoding="utf-8")
    program.chmod(0o755)
    environment = {**os.environ, "PATH": f"{programs}{os.pathsep}{os.environ['PATH']}"}

    def lint(*arguments: str) -> subprocess.CompletedProcess[str]:
        command = [str(script), *arguments]
        return subprocess.run(
            command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False
        )

    assert lint().returncode == 0
    (repository / "well.yaml").write_text(WATER.replace("40 mg/L", "40"), encoding="utf-8")
    done = lint("--format", "json")
    assert done.returncode == 1, done.stdout + done.stderr
    assert json.loads(done.stdout)["summary"]["error"] == 1


def _validator(repository: Path) -> Draft7Validator:
    folder = repository / ".waterlint/schemas"
    schemas = {path.name: json.loads(path.read_text("utf-8")) for path in folder.iterdir()}
    resources = [(name, Resource.from_contents(schema)) for name, schema in schemas.items()]
    registry = Registry().with_resources(resources)
    Draft7Validator.check_schema(schemas["any.schema.json"])
    return Draft7Validator({"$ref": "any.schema.json"}, registry=registry)


@pytest.mark.parametrize(
    ("document", "fits"),
    [
        ({"waterlint": "config/1"}, True),
        ({"waterlint": "config/1", "rangers": {}}, False),
        ({"waterlint": "recipe/1", "name": "no more than that"}, False),
        ({"waterlint": "water/1", "malt": "none"}, False),
        ({**_well(), "sampled": "2026-03-02"}, True),
        ({"services": {"web": {"image": "x"}}}, True),
        (["a list"], True),
        (None, True),
    ],
)
def test_the_editor_sees_what_a_file_is(repository: Path, document: object, fits: bool) -> None:
    run(["--only", "editor"])
    assert _validator(repository).is_valid(document) is fits
    settings = json.loads((repository / ".vscode/settings.json").read_text("utf-8"))
    (schema,) = settings["yaml.schemas"]
    assert (repository / schema).is_file()


@pytest.mark.parametrize("kind", ["recipe", "water", "config"])
def test_the_editors_schemas_are_those_of_the_command(
    repository: Path, capsys: Capture, kind: str
) -> None:
    run(["--only", "editor"])
    capsys.readouterr()
    main(["schema", kind])
    text = (repository / f".waterlint/schemas/{kind}.schema.json").read_text("utf-8")
    assert text == capsys.readouterr().out
    assert json.loads(text) == load_schema(kind)


@pytest.mark.parametrize("kind", list(KINDS))
def test_it_prints_what_it_would_write(repository: Path, capsys: Capture, kind: str) -> None:
    assert run(["--print", kind]) == 0
    printed = capsys.readouterr().out
    assert _files(repository) == []
    run(["--only", kind])
    texts = [(repository / name).read_text("utf-8") for name in _files(repository)]
    if len(texts) == 1:
        assert printed == texts[0]
    else:
        assert all(text in printed for text in texts)


class _Terminal:
    """Answers, one a line, from somebody at a terminal."""

    def __init__(self, text: str) -> None:
        self.lines = text.splitlines(keepends=True)

    def isatty(self) -> bool:
        return True

    def readline(self) -> str:
        return self.lines.pop(0) if self.lines else ""


@pytest.mark.parametrize(
    ("call", "answers", "written"),
    [
        ([], "\nn\nno\nN\nx\ny\n", ["waterlint.yaml", *WRITTEN[3:8]]),
        ([], "yes\n", ["waterlint.yaml"]),  # and then the end of the input
        (["--yes"], "", WRITTEN),
        (["--only", "script"], "", ["ci/waterlint.sh"]),
    ],
)
def test_at_a_terminal_it_asks(
    repository: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: Capture,
    call: list[str],
    answers: str,
    written: list[str],
) -> None:
    monkeypatch.setattr(sys, "stdin", _Terminal(answers))
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    assert run(call) == 0
    assert _files(repository) == sorted(written)
    assert ("[Y/n]" in capsys.readouterr().out) is bool(answers)
