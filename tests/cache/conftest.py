"""A project that has everything a finding can hang on, and calls of the program in it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.conftest import Tree
from tests.plugins.conftest import install as install
from waterlint.cli.main import main
from waterlint.rules.samples import recipe, report

AS_OF = "2026-11-01"

SODA = "additions:\n  - {add: baking-soda, kettle: 2 g}"
EXCUSED = (
    "additions:\n"
    "  - {add: baking-soda, kettle: 2 g}  # waterlint: accept alkali-after-mash because of a test\n"
    "  # waterlint: accept mash-ph, report-age because it was measured\n"
    "  - {add: gypsum, mash: 1 g}"
)
BLEND = (
    "  mash: {volume: 15 L, from: [{water: ../waters/well.yaml, share: 60 %}, "
    "{water: ../waters/old.yaml, share: 40 %}]}"
)
WATERS = (
    "  mash: {volume: 15 L, from: ../waters/well.yaml}",
    "  sparge: {volume: 13.5 L, from: ../waters/old.yaml}",
)

PROJECT = {
    ".git/HEAD": "ref: refs/heads/main\n",
    "waterlint.yaml": (
        "waterlint: config/1\nextends: house/base.yaml\nbaseline: known.json\n"
        "exclude: [attic/**]\nranges: {sodium: .. 20 mg/L}\n"
    ),
    "house/base.yaml": "waterlint: config/1\nlevels: {mash-ph: note}\nscale: {mass: 0.1 g}\n",
    "ales/a.yaml": recipe(*WATERS, SODA),
    "ales/b.yaml": recipe(BLEND, WATERS[1], EXCUSED),
    "ales/c.yaml": recipe("  mash: {volume: 15 L, from: ../waters/wel.yaml}", WATERS[1]),
    "ales/broken.yaml": recipe(*WATERS).replace("20 L", "20"),
    "ales/two.yaml": recipe(*WATERS) + "---\n" + recipe(*WATERS, SODA),
    "ales/ci.yaml": "jobs:\n  build: yes\n",
    "attic/gone.yaml": recipe(*WATERS, SODA),
    "waters/well.yaml": report("  sodium: 15 mg/L"),
    "waters/old.yaml": report("sampled: 2019-02-03"),
    "waters/unused.yaml": report("sampled: 2018-02-03"),
    "known.json": (
        '{"waterlint": "baseline/1", "findings": [\n'
        '  {"path": "ales/a.yaml", "rule": "alkali-after-mash", "level": "warning", '
        '"pointer": "/additions/baking-soda/kettle", "quantity": "sodium", "vessel": "batch"},\n'
        '  {"path": "waters/well.yaml", "rule": "softened-water", "level": "warning", '
        '"pointer": "/ions/sodium", "quantity": "sodium"},\n'
        '  {"path": "ales/ci.yaml", "rule": "mash-ph", "level": "note", "pointer": "/grist"}\n'
        "]}\n"
    ),
}


class Done(NamedTuple):
    """What a call left behind."""

    status: int
    out: str
    err: str

    @property
    def findings(self) -> list[dict[str, object]]:
        """The findings of a JSON report."""
        found: list[dict[str, object]] = json.loads(self.out)["findings"]
        return found


Check = Callable[..., Done]


@pytest.fixture
def project(tree: Tree) -> Path:
    """The project; the working directory is its root."""
    return tree(dict(PROJECT))


@pytest.fixture
def check(capsys: pytest.CaptureFixture[str]) -> Check:
    """Call `waterlint check`; JSON on a fixed day, unless the call says otherwise."""

    def call(*arguments: str) -> Done:
        given = list(arguments)
        if "--format" not in given:
            given += ["--format", "json"]
        if "--as-of" not in given:
            given += ["--as-of", AS_OF]
        capsys.readouterr()
        status = main(["check", *given])
        return Done(status, *capsys.readouterr())

    return call
