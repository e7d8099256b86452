"""Change the code of one module at a time, and see whether its tests notice.

Run on demand (it takes minutes to hours), from the root of the repository:

    python tests/mutation/mutate.py rules/mash chemistry/boiling --sample 60

`mutants.py` makes the mutants, with Cosmic Ray and beyond it; `trying.py` runs the tests, in a copy
of the repository, so the checkout is left alone. A mutant meets those tests of its module that call
the function it is in, and with `--whole` all tests of the room after that. Printed are the mutants
that live and how many were killed. Without `--sample` all mutants of a module are tried; with it,
so many, a third of them of texts, the same ones every time. A room's name stands for all its
modules. `--killed FILE` keeps in a file which mutants were killed and does not try those again: for
when tests were only added.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import mutants
import trying

ROOT = Path(__file__).resolve().parents[2]

#: What else tests a module besides the tests of its name.
TESTS = {
    "rules/agreement": "test_cross_checks",
    "rules/analyses": "test_report",
    "rules/balance": "test_report",
    "rules/batch": "test_practice",
    "rules/disagreement": "test_cross_checks",
    "rules/figures": "test_ranges test_batch",
    "rules/ion_rules": "test_limit_lines test_batch",
    "rules/kettle_dose": "test_kettle",
    "rules/limit_lines": "test_batch",
    "rules/minerals": "test_batch",
    "rules/range_findings": "test_batch test_mash_water",
    "rules/ratio": "test_batch",
    "rules/registry": "test_once",
    "rules/required": "test_file",
    "rules/residual": "test_mash_water test_mash",
    "rules/slips": "test_report",
    "rules/totals": "test_cross_checks",
    "chemistry/acids": "test_dosing test_formulas test_water",
    "chemistry/blending": "test_water",
    "chemistry/carbonate": "test_arithmetic_cases test_water",
    "chemistry/color": "test_arithmetic_cases",
    "chemistry/conductivity": "test_water test_phreeqc_cases",
    "chemistry/equilibria": "test_speciation test_phreeqc_cases",
    "chemistry/ions": "test_formulas test_arithmetic_cases",
    "chemistry/malts": "test_mash",
    "chemistry/mash_uncertainty": "test_mash",
    "chemistry/number": "test_water",
    "chemistry/proton_balance": "test_mash",
    "chemistry/salts": "test_formulas",
    "chemistry/speciation": "test_dosing test_water",
    "chemistry/species": "test_speciation test_water test_phreeqc_cases",
    "chemistry/sweep": "test_speciation test_water",
}
#: What tests every module of a room.
ROOM = {"rules": ["test_told"], "chemistry": ["test_refusals"]}
#: What a whole room is tested by, besides its folder.
ALSO = {"rules": ["test_rule_examples.py"], "chemistry": []}
#: Tests of a whole room are left out where they run another program.
LEFT_OUT = ("--ignore=tests/chemistry/test_phreeqc_live.py",)


def tests_of(module: str) -> list[list[str]]:
    """The tests that should notice a change of a module, as arguments of pytest, step by step."""
    room, _, name = module.partition("/")
    names = [f"test_{name}", *TESTS.get(module, "").split()]
    paths = [f"tests/{room}/{each}.py" for each in (*names, *ROOM[room])]
    own = [path for path in paths if (ROOT / path).is_file()]
    whole = [f"tests/{each}" for each in (room, *ALSO[room])]
    return [[*own, f"waterlint/{module}.py"], [*whole, *LEFT_OUT]]


def mutate(module: str, arguments: argparse.Namespace, folder: Path) -> None:
    """Try the mutants of a module in `folder`, and print what becomes of them."""
    path = folder / f"waterlint/{module}.py"
    source = path.read_text("utf-8")
    own, whole = tests_of(module)
    known = _known(arguments.killed)
    tried = {
        kind: mutants.mutants_of(source, kind, _sample_of(kind, arguments.sample))
        for kind in mutants.KINDS
    }
    new = [each for kind in tried.values() for each in kind if each.key not in known]
    # To watch the tests costs as much as to run some mutants.
    watched = len(new) >= _FEW
    by_function = trying.tests_by_function(own, path) if watched else {}
    fails = by_function is None or (not watched and trying.is_killed(own, keep=True))
    if fails or (arguments.whole and trying.is_killed(whole)):
        print(f"{module}: its tests fail as it is; left out", flush=True)
        return
    for cached in path.parent.glob(f"__pycache__/{path.stem}.*"):
        cached.unlink()
    living = set()
    for each, _ in zip(new, trying.mutated(path, (each.source for each in new)), strict=True):
        tests = mutants.tests_of_line(source, each.line, by_function) if by_function else None
        if trying.is_killed(own, tests) or (arguments.whole and trying.is_killed(whole)):
            _note(arguments.killed, each)
        else:
            living.add(each.key)
            change = mutants.difference(source, each.source)
            print(f"{module}:{each.line}: {each.what} lives\n{change}", flush=True)
    told = [
        f"{kind} {sum(each.key not in living for each in found)} of {len(found)}"
        for kind, found in tried.items()
    ]
    print(f"{module}: killed {', '.join(told)}", flush=True)


#: So few mutants are tried with all tests of their module.
_FEW = 8


def _sample_of(kind: str, sample: int | None) -> int | None:
    """A third of a sample is about texts."""
    if sample is None:
        return None
    return sample // 3 if kind == "text" else sample - sample // 3


def _known(file: Path | None) -> set[str]:
    return set(file.read_text("utf-8").split()) if file is not None and file.is_file() else set()


def _note(file: Path | None, killed: mutants.Mutant) -> None:
    if file is not None:
        with file.open("a", encoding="utf-8") as out:
            out.write(f"{killed.key}\n")


def copy(folder: Path) -> None:
    """Copy all that git keeps, as it stands now."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        check=True,
        capture_output=True,
        cwd=ROOT,
    )
    for name in filter(None, listed.stdout.decode().split("\0")):
        if (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / name, folder / name)


def modules_of(names: Sequence[str]) -> list[str]:
    """The modules that are named, those of a room for its name."""
    found = []
    for name in names:
        if "/" in name:
            found.append(name)
        else:
            paths = sorted((ROOT / "waterlint" / name).glob("[!_]*.py"))
            found += [f"{name}/{path.stem}" for path in paths]
    return found


def main() -> None:
    """Mutate the modules that are named."""
    parser = argparse.ArgumentParser(description="Mutate modules and run their tests.")
    parser.add_argument("modules", nargs="+", metavar="ROOM[/MODULE]", help="such as rules/mash")
    parser.add_argument("--sample", type=int, metavar="N", help="only N mutants of each")
    parser.add_argument("--whole", action="store_true", help="try all tests of the room too")
    parser.add_argument("--killed", type=Path, metavar="FILE", help="what was killed before")
    arguments = parser.parse_args()
    if arguments.killed is not None:
        arguments.killed = arguments.killed.resolve()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        copy(folder)
        modules = modules_of(arguments.modules)
        for room in dict.fromkeys(module.partition("/")[0] for module in modules):
            its = [module for module in modules if module.startswith(f"{room}/")]
            _apart(partial(_room, room, its, arguments, folder))


def _room(room: str, modules: Sequence[str], arguments: argparse.Namespace, folder: Path) -> None:
    """Try the modules of a room, each in a process of its own."""
    trying.prepare(room, folder)
    for module in modules:
        _apart(partial(mutate, module, arguments, folder))


def _apart(work: Callable[[], None]) -> None:
    """Do some work in a fork."""
    sys.stdout.flush()
    child = os.fork()
    if not child:
        try:
            work()
        except BaseException as error:
            print(f"left out: {error!r}", flush=True)
        finally:
            os._exit(0)
    os.waitpid(child, 0)


if __name__ == "__main__":
    main()
