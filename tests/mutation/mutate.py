"""Change the code of one module at a time, and see whether its tests notice.

Run on demand (it takes minutes to hours), from the root of the repository:

    python tests/mutation/mutate.py rules/mash chemistry/boil --sample 60

Cosmic Ray makes the mutants, in a copy of the repository, so the checkout is left alone. Printed
are the mutants that live, as diffs, and the share that was killed. Without `--sample` all mutants
of a module are tried. Changes of docstrings and annotations are left out of the count: they mean
nothing to the program.
"""

from __future__ import annotations

import argparse
import ast
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

#: Test modules with other names than what they test.
TESTS = {
    "rules/range_findings": "rules/test_ranges.py rules/test_batch.py rules/test_mash_water.py",
    "rules/figures": "rules",
    "rules/registry": "rules test_linter.py",
    "rules/wording": "rules",
    "chemistry/mash_uncertainty": "chemistry/test_mash_uncertainty.py chemistry/test_mash.py",
    "chemistry/sweep": "chemistry/test_speciation.py chemistry/test_water.py",
    "chemistry/proton_balance": "chemistry/test_mash.py",
}
#: Tests of a whole room are left out where they run another program.
LEFT_OUT = ("chemistry/test_phreeqc_live.py",)

_CONFIG = """\
[cosmic-ray]
module-path = "waterlint/{module}.py"
timeout = 120.0
test-command = "{python} -m pytest -q -x -p no:cacheprovider -p no:randomly {tests}"
excluded-modules = []

[cosmic-ray.distributor]
name = "local"
"""


def tests_of(module: str) -> str:
    """The tests that should notice a change of a module, as arguments of pytest."""
    room, _, name = module.partition("/")
    if module in TESTS:
        names = TESTS[module].split()
    elif (ROOT / f"tests/{room}/test_{name}.py").is_file():
        names = [f"{room}/test_{name}.py"]
    else:
        names = [room]
    found = [f"tests/{each}" for each in names] + [f"waterlint/{module}.py"]
    if room == "rules":
        found.append("tests/test_rule_examples.py")
    return " ".join([*found, *(f"--ignore=tests/{each}" for each in LEFT_OUT)])


def meaningless(source: str) -> set[int]:
    """The lines whose change means nothing to the program: docstrings and annotations."""
    lines: set[int] = set()
    for node in ast.walk(ast.parse(source)):
        for part in _unused_parts(node):
            lines.update(range(part.lineno, (part.end_lineno or part.lineno) + 1))
    return lines


def _unused_parts(node: ast.AST) -> Iterator[ast.expr | ast.stmt]:
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        yield node
    if isinstance(node, ast.AnnAssign) and node.value is None:
        yield node
    if isinstance(node, ast.FunctionDef) and node.returns is not None:
        yield node.returns
    if isinstance(node, ast.arg) and node.annotation is not None:
        yield node.annotation


def mutate(module: str, sample: int | None, folder: Path) -> tuple[int, int]:
    """Try the mutants of a module in `folder`; how many were killed, and of how many."""
    from cosmic_ray.work_db import WorkDB, use_db
    from cosmic_ray.work_item import TestOutcome, WorkerOutcome, WorkResult

    config, results = folder / "mutants.toml", folder / "mutants.sqlite"
    results.unlink(missing_ok=True)
    config.write_text(
        _CONFIG.format(module=module, python=sys.executable, tests=tests_of(module)), "utf-8"
    )
    _cosmic_ray(folder, "init", config, results)
    _cosmic_ray(folder, "baseline", config)
    skipped = meaningless((folder / f"waterlint/{module}.py").read_text("utf-8"))
    with use_db(str(results), WorkDB.Mode.open) as database:
        items = list(database.work_items)
        worth = [item for item in items if item.mutations[0].start_pos[0] not in skipped]
        chosen = (
            worth if sample is None else random.Random(1).sample(worth, min(sample, len(worth)))
        )
        tried = {item.job_id for item in chosen}
        for item in items:
            if item.job_id not in tried:
                database.set_result(item.job_id, WorkResult(WorkerOutcome.SKIPPED))
    _cosmic_ray(folder, "exec", config, results)
    killed = 0
    with use_db(str(results), WorkDB.Mode.open) as database:
        for job, result in database.results:
            if job in tried:
                killed += result.test_outcome != TestOutcome.SURVIVED
                if result.test_outcome == TestOutcome.SURVIVED:
                    print(result.diff, flush=True)
    return killed, len(tried)


def copy(folder: Path) -> None:
    """Copy all that git keeps, as it stands now."""
    listed = subprocess.run(["git", "ls-files", "-z"], check=True, capture_output=True, cwd=ROOT)
    for name in filter(None, listed.stdout.decode().split("\0")):
        if (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / name, folder / name)


def _cosmic_ray(folder: Path, *arguments: object) -> None:
    command = [sys.executable, "-m", "cosmic_ray.cli", *map(str, arguments)]
    subprocess.run(command, check=True, cwd=folder)


def main() -> None:
    """Mutate the modules that are named."""
    parser = argparse.ArgumentParser(description="Mutate modules and run their tests.")
    parser.add_argument("modules", nargs="+", metavar="ROOM/MODULE", help="such as rules/mash")
    parser.add_argument("--sample", type=int, metavar="N", help="only N mutants of each module")
    arguments = parser.parse_args()
    sums = [0, 0]
    with tempfile.TemporaryDirectory() as name:
        copy(Path(name))
        for module in arguments.modules:
            try:
                killed, tried = mutate(module, arguments.sample, Path(name))
            except subprocess.CalledProcessError:
                print(f"{module}: its tests fail as it is; left out", flush=True)
                continue
            print(f"{module}: {killed} of {tried} killed", flush=True)
            sums = [sums[0] + killed, sums[1] + tried]
    print(f"all: {sums[0]} of {sums[1]} killed, {sums[0] / max(sums[1], 1):.0%}")


if __name__ == "__main__":
    main()
