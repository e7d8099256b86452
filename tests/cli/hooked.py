"""A recipe repository with the hook in it, for tests with the real `pre-commit` and real git."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path

from tests.recent import RECENT

CHECKOUT = Path(__file__).resolve().parents[2]

WATER = """\
waterlint: water/1
name: Lock Cottage well
sampled: RECENT
ph: 7.2
ions:
  calcium: 52 mg/L
  magnesium: 5 mg/L
  sodium: 12 mg/L
  chloride: 30 mg/L
  sulfate: 41 mg/L
alkalinity: 94 mg/L as CaCO3
""".replace("RECENT", RECENT)

#: The same well after a dry summer: too hard for the porter.
HARD_WATER = (
    WATER.replace("calcium: 52", "calcium: 152")
    .replace("chloride: 30", "chloride: 83")
    .replace("alkalinity: 94", "alkalinity: 269")
)

RECIPE = """\
waterlint: recipe/1
name: Lock Cottage porter
batch: {volume: 20 L, boil: 60 min, evaporation: 3 L, losses: 1 L}
water:
  mash:   {volume: 14 L, from: waters/well.yaml}
  sparge: {volume: 14 L, from: reverse-osmosis}
mash: {mill_gap: 1.1 mm}
grist:
  - {malt: pale malt, kind: pale,    mass: 4.0 kg, color: 5 EBC}
  - {malt: chocolate, kind: roasted, mass: 300 g,  color: 900 EBC}
additions:
  - {add: calcium-chloride, form: dihydrate, mash: 1.5 g, sparge: 1.5 g}
"""

#: Another porter, with an error in line 12.
FAULTY = RECIPE.replace("form: dihydrate, ", "")

#: And one with a warning in line 13.
SALTY = RECIPE + "  - {add: baking-soda, kettle: 2 g}\n"

Environment = dict[str, str]
Run = Callable[..., subprocess.CompletedProcess[str]]


def surroundings(home: Path, pre_commit_home: Path) -> Environment:
    """An environment without traces of an outer git or pre-commit."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("GIT_", "PRE_COMMIT")) and name != "SKIP"
    }
    return kept | {
        "HOME": str(home),
        "PRE_COMMIT_HOME": str(pre_commit_home),
        "PRE_COMMIT_COLOR": "never",
        "GIT_CONFIG_GLOBAL": os.devnull,
        "GIT_AUTHOR_NAME": "A Brewer",
        "GIT_AUTHOR_EMAIL": "brewer@example.org",
        "GIT_COMMITTER_NAME": "A Brewer",
        "GIT_COMMITTER_EMAIL": "brewer@example.org",
    }


def runner(folder: Path, environment: Mapping[str, str]) -> Run:
    """A function that runs a program in a folder, and by default insists on its success."""

    def run(*command: str, check: bool = True) -> subprocess.CompletedProcess[str]:
        done = subprocess.run(
            command, cwd=folder, env=environment, capture_output=True, text=True, check=False
        )
        if check and done.returncode:
            raise AssertionError(f"{command} gave {done.returncode}:\n{done.stdout}{done.stderr}")
        return done

    return run


def download_wheels(folder: Path, environment: Mapping[str, str]) -> str | None:
    """Fetch all that installing waterlint needs into a folder; why not, where it fails."""
    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))
    needed = [*project["build-system"]["requires"], *project["project"]["dependencies"]]
    command = [sys.executable, "-m", "pip", "download", "-q", "-d", str(folder), *needed]
    try:
        done = subprocess.run(
            command, env=environment, capture_output=True, text=True, check=False, timeout=120
        )
    except subprocess.TimeoutExpired:
        return "no package index answers"
    if done.returncode == 0:
        return None
    return f"no package index gives what is needed: {done.stderr.strip().splitlines()[-1]}"


def normal(name: str) -> str:
    """A package's name as names are compared."""
    return re.sub(r"[-_.]+", "_", name).lower()


def offline(environment: Mapping[str, str], wheels: Path) -> Environment:
    """The same environment with no other source of packages than a folder."""
    kept = {name: value for name, value in environment.items() if not name.startswith("PIP_")}
    return kept | {
        "PIP_NO_INDEX": "1",
        "PIP_FIND_LINKS": wheels.as_uri(),  # a path may have blanks, which would cut it
        "PIP_CONFIG_FILE": os.devnull,
        "PIP_DISABLE_PIP_VERSION_CHECK": "1",
    }


def take_snapshot(folder: Path, environment: Mapping[str, str]) -> str:
    """Commit a copy of this checkout, without its tests, in a folder; the commit."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=CHECKOUT,
        capture_output=True,
        check=True,
    )
    for name in filter(None, listed.stdout.decode().split("\0")):
        if name.startswith("tests/") or not (CHECKOUT / name).is_file():
            continue
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(CHECKOUT / name, folder / name)
    run = runner(folder, environment)
    run("git", "init", "-q")
    run("git", "add", "-A")
    run("git", "commit", "-q", "-m", "snapshot")
    return run("git", "rev-parse", "HEAD").stdout.strip()


def hook_config(source: Path, commit: str, *hooks: str) -> str:
    """A pre-commit configuration with some hooks of a snapshot, each as a YAML mapping."""
    listed = "".join(f"      - {{{hook}}}\n" for hook in hooks)
    return f"repos:\n  - repo: {source}\n    rev: {commit}\n    hooks:\n{listed}"
