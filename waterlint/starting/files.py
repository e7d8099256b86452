"""The files that a recipe repository starts with, as texts; nothing is written here."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from dataclasses import dataclass
from importlib import resources

from waterlint.paths import Path
from waterlint.project.config import CONFIG_NAME
from waterlint.source.schema import load_schema
from waterlint.starting.origin import Origin

#: The kinds of starting files, and what each is for.
KINDS: dict[str, str] = {
    "config": "the house's own rules",
    "pre-commit": "lint at every commit",
    "github": "lint in GitHub Actions",
    "gitlab": "lint in GitLab CI",
    "script": "lint in any other CI",
    "editor": "completion and checks in VS Code, and schemas for other editors",
}

_SCHEMAS = Path(".waterlint/schemas")


@dataclass(frozen=True, slots=True)
class StartingFile:
    """A file to begin with; `path` is absolute."""

    kind: str
    path: Path
    text: str
    executable: bool = False


def starting_files(
    kinds: Iterable[str], folder: Path, root: Path, origin: Origin
) -> list[StartingFile]:
    """The files of some kinds, in the order of `KINDS`.

    Parameters
    ----------
    kinds : iterable of str
        Keys of `KINDS`.
    folder : Path
        Where the recipes are, absolute: the configuration goes there.
    root : Path
        The top of the repository, where tools look for the other files.
    origin : Origin
        Where waterlint is installed from.

    Returns
    -------
    list of StartingFile
    """
    wanted = set(kinds)
    files = [
        StartingFile("config", folder / CONFIG_NAME, _config(folder, root, "editor" in wanted)),
        StartingFile("pre-commit", root / ".pre-commit-config.yaml", _pre_commit(origin)),
        StartingFile(
            "github", root / ".github/workflows/waterlint.yml", _filled("github.yaml", origin)
        ),
        StartingFile("gitlab", root / ".gitlab-ci.yml", _filled("gitlab.yaml", origin)),
        StartingFile(
            "script", root / "ci/waterlint.sh", _filled("script.sh", origin), executable=True
        ),
        StartingFile("editor", root / ".vscode/settings.json", _template("vscode.json")),
        *_schemas(root),
    ]
    return [file for file in files if file.kind in wanted]


def _schemas(root: Path) -> list[StartingFile]:
    texts = {"any": _template("any.schema.json")}
    for kind in ("recipe", "water", "config"):
        texts[kind] = json.dumps(load_schema(kind), indent=2, ensure_ascii=False) + "\n"
    return [
        StartingFile("editor", root / _SCHEMAS / f"{kind}.schema.json", text)
        for kind, text in texts.items()
    ]


def _config(folder: Path, root: Path, with_schema: bool) -> str:
    schema = root / _SCHEMAS / "config.schema.json"
    line = ""
    if with_schema or schema.is_file():
        place = Path(os.path.relpath(schema, folder)).as_posix()
        line = f"# yaml-language-server: $schema={place}\n"
    return _template("config.yaml").replace("@MODELINE@", line)


def _pre_commit(origin: Origin) -> str:
    # Without an address the hook takes the installed waterlint: it works at once, and nothing
    # is fetched from a place that nobody has named.
    name = "pre-commit-local.yaml" if origin.repository is None else "pre-commit-repo.yaml"
    return _filled(name, origin)


def _filled(name: str, origin: Origin) -> str:
    values = {
        "@REPO@": origin.repository or "",
        "@REV@": origin.revision,
        "@REQUIREMENT@": origin.requirement,
    }
    text = _template(name)
    for mark, value in values.items():
        text = text.replace(mark, value)
    return text


def _template(name: str) -> str:
    return (resources.files(__package__) / "templates" / name).read_text(encoding="utf-8")
