"""How much CPU time waterlint takes, as a ratio to other programs on the same files.

    python tests/benchmarks/run.py [--pairs N] [--only WORD]

Makes a collection of recipes in a temporary folder, installs this package as it stands in an
environment, `yamllint` and `check-jsonschema` in another, and runs each pair of commands in turns.
Other work on the machine slows both sides of a pair, so the ratio of a pair says more than a time:
the median of the pairs is held against the goal, and the smallest and the largest stand beside it.
Nothing is remembered from run to run (`--no-cache`), but where the name of the work says so.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import tempfile
import venv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from corpus import make_corpus

ROOT = Path(__file__).resolve().parents[2]
SCHEMA = ROOT / "schemas" / "recipe.schema.json"
PEERS = ("yamllint", "check-jsonschema")


@dataclass(frozen=True)
class Usage:
    """CPU time of a process and all that it starts [s], and its peak memory [MiB]."""

    cpu: float
    memory: float


@dataclass(frozen=True)
class Command:
    """A call and the folder that it runs in."""

    arguments: tuple[str, ...]
    folder: Path

    def run(self) -> Usage:
        """Run it once; what it prints is dropped."""
        process = subprocess.Popen(
            self.arguments,
            cwd=self.folder,
            env=environment(),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode not in (0, 1):
            raise SystemExit(f"{' '.join(self.arguments[:4])} … gave {process.returncode}")
        return Usage(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0)


@dataclass(frozen=True)
class Comparison:
    """Two commands and the ratio of the first to the second that is aimed at.

    `pairs` is the share of the pairs asked for that are run, for long commands a small one.
    """

    work: str
    against: str
    ours: Command
    theirs: Command
    goal: float
    memory_goal: float | None = None
    pairs: float = 1.0


def environment() -> dict[str, str]:
    """That of this process, without what would keep Python from keeping compiled modules."""
    return {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}


def make_environment(folder: Path, *packages: str) -> Path:
    """An environment with these packages; the folder of its scripts."""
    venv.create(folder, with_pip=True)
    scripts = folder / ("Scripts" if os.name == "nt" else "bin")
    call = (str(scripts / "python"), "-m", "pip", "install", "--quiet", *packages)
    subprocess.run(call, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return scripts


def comparisons(folder: Path, own: Path, peers: Path) -> Iterator[Comparison]:
    """All that is measured."""
    sound, many = folder / "sound", folder / "many"
    one, *_ = make_corpus(sound, 1000)
    make_corpus(many, 10_000)
    subprocess.run(("git", "init", "--quiet", str(sound)), check=True)
    waterlint = str(own / "waterlint")

    def ours(where: Path, *arguments: str) -> Command:
        return Command((waterlint, *arguments, "--no-cache", "--jobs=1"), where)

    def yamllint(where: Path, *paths: str) -> Command:
        return Command((str(peers / "yamllint"), *paths), where)

    def schema(where: Path, *paths: str) -> Command:
        program = str(peers / "check-jsonschema")
        return Command((program, "--schemafile", str(SCHEMA), *paths), where)

    first = f"recipes/{one.name}"
    all_files = tuple(f"recipes/{path.name}" for path in sorted(one.parent.iterdir()))
    check = ours(sound, "check", "--no-cache", first)
    yield Comparison("one valid file", "check-jsonschema", check, schema(sound, first), 0.20)
    yield Comparison("one valid file", "yamllint", check, yamllint(sound, first), 0.50)
    faults: tuple[Literal["rules", "schema"], ...] = ("rules", "schema")
    for fault in faults:
        (bad,) = make_corpus(folder / fault, 1, fault)
        yield Comparison(
            f"one file with findings of the {fault}",
            "check-jsonschema",
            ours(folder / fault, "check", "--no-cache", f"recipes/{bad.name}"),
            schema(folder / fault, f"recipes/{bad.name}"),
            0.40,
        )
    yield Comparison(
        "hook, nothing to do",
        "python -c 'import json'",
        Command((waterlint, "hook"), sound),
        Command((str(own / "python"), "-c", "import json"), sound),
        2.0,
    )
    whole = ours(sound, "check", "--no-cache", ".")
    yield Comparison("1,000 files", "yamllint", whole, yamllint(sound, "recipes"), 0.08, pairs=0.2)
    yield Comparison(
        "1,000 files", "check-jsonschema", whole, schema(sound, *all_files), 0.08, pairs=0.2
    )
    yield Comparison(
        "1,000 files, all cached",
        "yamllint",
        Command((waterlint, "check", "."), sound),
        yamllint(sound, "recipes"),
        0.006,
        pairs=0.2,
    )
    yield Comparison(
        "10,000 files",
        "1,000 files",
        ours(many, "check", "--no-cache", "."),
        whole,
        11.0,
        2.0,
        pairs=0.2,
    )
    noted, noted_many = folder / "noted", folder / "noted-many"
    make_corpus(noted, 1000, "rules")
    make_corpus(noted_many, 10_000, "rules")
    yield Comparison(
        "10,000 files, each with findings",
        "1,000 files, each with findings",
        ours(noted_many, "check", "--no-cache", "."),
        ours(noted, "check", "--no-cache", "."),
        11.0,
        2.0,
        pairs=0.2,
    )
    page = ("audit", "--format", "csv", "--page", "audit.html", ".")
    yield Comparison(
        "10,000 files, audit with its page",
        "1,000 files",
        Command((waterlint, *page), many),
        Command((waterlint, *page), sound),
        15.0,
        2.0,
        pairs=0.2,
    )


def measure(comparison: Comparison, pairs: int) -> str:
    """Run pairs of commands in turns; a line of the table."""
    for command in (comparison.ours, comparison.theirs):
        command.run()  # once unmeasured: what is cached, is cached for both
    times: list[float] = []
    ours: list[float] = []
    memory: list[float] = []
    for _ in range(max(3, round(pairs * comparison.pairs))):
        left, right = comparison.ours.run(), comparison.theirs.run()
        times.append(left.cpu / right.cpu)
        ours.append(left.cpu)
        memory.append(left.memory / right.memory)
    ratio = statistics.median(times)
    met = "yes" if ratio <= comparison.goal else "no"
    text = (
        f"| {comparison.work} | {comparison.against} | {comparison.goal:g} | {ratio:.3f} | "
        f"{min(times):.3f} to {max(times):.3f} | {statistics.median(ours):.3f} s | {met} |"
    )
    if comparison.memory_goal is not None:
        most = statistics.median(memory)
        met = "yes" if most <= comparison.memory_goal else "no"
        text += f"\n| {comparison.work}, peak memory | {comparison.against} | "
        text += f"{comparison.memory_goal:g} | {most:.2f} | "
        text += f"{min(memory):.2f} to {max(memory):.2f} | | {met} |"
    return text


def main() -> None:
    """Measure everything and print a table."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0] if __doc__ else None)
    parser.add_argument("--pairs", type=int, default=15, help="pairs of short commands")
    parser.add_argument("--only", default="", help="only what has this word in its name")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        own = make_environment(folder / "own", f"{ROOT}[page]")
        peers = make_environment(folder / "peers", *PEERS)
        print("| work | against | goal | median ratio | smallest to largest | our CPU time | met |")
        print("| --- | --- | --- | --- | --- | --- | --- |")
        for comparison in comparisons(folder, own, peers):
            if arguments.only in f"{comparison.work} {comparison.against}":
                print(measure(comparison, arguments.pairs), flush=True)


if __name__ == "__main__":
    main()
