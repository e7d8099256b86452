"""The example recipes: the sound ones are sound, each wrong one is wrong in its one way."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from waterlint.finding import Finding
from waterlint.linter import Linter, Options, Report
from waterlint.project.discovery import discover

EXAMPLES = Path(__file__).resolve().parent.parent / "example-recipes"

#: The one finding of each wrong file: rule, line, column.
WRONG = {
    "acid-and-soda-together.yaml": ("acid-against-alkali", 17, 50),
    "acid-without-strength.yaml": ("strength-unstated", 14, 5),
    "calcium-chloride-without-form.yaml": ("form-unstated", 13, 5),
    "color-of-another-beer.yaml": ("color-disagrees", 5, 8),
    "decimal-comma.yaml": ("bad-quantity", 7, 20),
    "kettle-salt-stout.yaml": ("kettle-only-excess", 16, 31),
    "kettle-soda-stout.yaml": ("alkali-after-mash", 17, 32),
    "lost-water-report.yaml": ("unresolved-water", 7, 32),
    "misspelt-key.yaml": ("unknown-key", 7, 12),
    "pale-beer-on-chalk-water.yaml": ("mash-ph", 10, 1),
    "spoon-of-gypsum.yaml": ("bad-quantity", 14, 25),
    "sulfate-as-sulfur.yaml": ("ion-balance", 6, 1),
}

SOUND = sorted(
    path for folder in ("ales", "lagers", "waters") for path in (EXAMPLES / folder).glob("*.yaml")
)


def lint(*paths: Path) -> Report:
    linter = Linter(Options(today=date(2026, 11, 1)))
    return linter.lint(discover(list(paths), linter.configs, linter.disk))


def words(findings: tuple[Finding, ...]) -> list[str]:
    return [f"{each.path}:{each.span.line}: {each.rule}: {each.message}" for each in findings]


def test_there_are_enough_examples() -> None:
    assert len([path for path in SOUND if path.parent.name != "waters"]) >= 8
    assert len([path for path in SOUND if path.parent.name == "waters"]) >= 3
    assert {path.name for path in (EXAMPLES / "wrong").glob("*.yaml")} == set(WRONG)


def test_the_folder_as_a_whole_is_sound() -> None:
    report = lint(EXAMPLES)
    loud = tuple(each for each in report.findings if each.level != "note")
    assert words(loud) == []
    # The recipes, the reports and the configuration; wrong/ is excluded.
    assert report.files == len(SOUND) + 1


@pytest.mark.parametrize("path", SOUND, ids=lambda path: path.stem)
def test_each_sound_file_is_sound_alone(path: Path) -> None:
    loud = tuple(each for each in lint(path).findings if each.level != "note")
    assert words(loud) == []


@pytest.mark.parametrize("name", sorted(WRONG))
def test_each_wrong_file_gives_its_finding_and_no_other(name: str) -> None:
    found = [
        (each.rule, each.span.line, each.span.column)
        for each in lint(EXAMPLES / "wrong" / name).findings
    ]
    assert found == [WRONG[name]]


def test_wrong_files_say_in_their_first_line_what_is_wrong() -> None:
    for name in WRONG:
        first = (EXAMPLES / "wrong" / name).read_text(encoding="utf-8").splitlines()[0]
        assert first.startswith("# ") and len(first) > 20, name


def test_exception_of_the_readme_excuses_what_it_names() -> None:
    """Put in the place of that line in the example which is wrong in the same way."""
    path = EXAMPLES / "wrong" / "kettle-salt-stout.yaml"
    readme = (EXAMPLES.parent / "README.md").read_text(encoding="utf-8")
    (line,) = (line for line in readme.splitlines() if "# waterlint: accept" in line)
    dose = line.partition("  #")[0].strip()
    text = path.read_text(encoding="utf-8")
    assert text.count(f"{dose}\n") == 1
    linter = Linter(Options(today=date(2026, 11, 1)))
    report = linter.lint_text(text.replace(f"  {dose}\n", f"{line}\n"), path)
    assert [(each.rule, each.accepted_because) for each in report.accepted] == [
        ("kettle-only-excess", "it is a salty stout")
    ]
    assert report.findings == ()
