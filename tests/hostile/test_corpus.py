"""Every hostile file is told at its place, in time and in little memory; the others are checked."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fuzzing.checks import loaded
from tests.hostile.corpus import NEIGHBOUR, NEIGHBOUR_FAULT, TRAPS, WELL, Trap
from tests.hostile.runner import Outcome, run_all
from waterlint.output.formats import FORMATS

#: What a hostile file may cost: processor time [s], the program's start included, and resident
#: memory [bytes].
MOST_CPU = 2.0
MOST_MEMORY = 200 * 1024 * 1024


@pytest.fixture(scope="module")
def outcomes(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Outcome]:
    folder = tmp_path_factory.mktemp("hostile") / "project"
    (folder / ".git").mkdir(parents=True)
    (folder / "well.yaml").write_text(WELL, encoding="utf-8")
    (folder / "neighbour.yaml").write_text(NEIGHBOUR, encoding="utf-8")
    for trap in TRAPS:
        (folder / f"{trap.name}.yaml").write_bytes(trap.data)
    calls = [["check", f"{trap.name}.yaml", "neighbour.yaml", "--format", "json"] for trap in TRAPS]
    found = run_all(calls, folder)
    # On a busy machine the same work takes longer: what is over the limit gets two more tries.
    for _ in range(2):
        slow = [number for number, outcome in enumerate(found) if outcome.cpu >= MOST_CPU]
        again = run_all([calls[number] for number in slow], folder) if slow else []
        for number, outcome in zip(slow, again, strict=True):
            found[number] = min(found[number], outcome, key=lambda each: each.cpu)
    return dict(zip((trap.name for trap in TRAPS), found, strict=True))


def test_names_are_used_once() -> None:
    assert len({trap.name for trap in TRAPS}) == len(TRAPS) >= 100


@pytest.mark.parametrize("trap", TRAPS, ids=lambda trap: trap.name)
def test_a_trap(trap: Trap, outcomes: dict[str, Outcome]) -> None:
    outcome = outcomes[trap.name]
    assert outcome.err == ""
    assert outcome.status in (1, 2)
    report = loaded(outcome.out)
    assert isinstance(report, dict)
    places = {
        (each["path"], each["rule"], each["line"], each["column"]) for each in report["findings"]
    }
    assert ("neighbour.yaml", *NEIGHBOUR_FAULT) in places
    told = {place[1:] for place in places if place[0] == f"{trap.name}.yaml"}
    if trap.column is None:
        assert (trap.rule, trap.line) in {place[:2] for place in told}
    else:
        assert (trap.rule, trap.line, trap.column) in told
    assert not any(rule == "rule-crashed" for _, rule, _, _ in places)


@pytest.mark.parametrize("trap", TRAPS, ids=lambda trap: trap.name)
def test_what_a_trap_costs(trap: Trap, outcomes: dict[str, Outcome]) -> None:
    outcome = outcomes[trap.name]
    assert outcome.cpu < MOST_CPU
    assert outcome.peak < MOST_MEMORY
    assert len(outcome.out) < 8 * 1024 * 1024


def test_thousands_of_findings_in_every_format(tmp_path: Path) -> None:
    """What is shown beside a finding is looked up, and not put together for each anew."""
    text = "waterlint: recipe/1\n" + "name: x\n" * 9_900
    (tmp_path / "a.yaml").write_text(text, encoding="utf-8")
    calls = [["check", "a.yaml", "--no-cache", "--format", name] for name in FORMATS]
    for name, outcome in zip(FORMATS, run_all(calls, tmp_path), strict=True):
        assert outcome.status == 1 and outcome.err == "", name
        assert outcome.cpu < MOST_CPU, name
        assert outcome.peak < MOST_MEMORY, name
