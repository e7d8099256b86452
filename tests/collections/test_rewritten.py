"""What is found does not hang on how a recipe is written: its units, its order, its layout.

The house asks for what no recipe keeps, so that there is something to tell of each figure.
"""

from __future__ import annotations

import re
from datetime import date
from functools import lru_cache
from io import StringIO
from pathlib import Path

import pytest
from ruamel.yaml import YAML

from waterlint.finding import Finding
from waterlint.linter import Linter, Options

HERE = Path(__file__).resolve().parent
TEXTS = {
    path: path.read_text("utf-8")
    for folder in ("sound", "unsound")
    for path in sorted((HERE / folder).glob("*.yaml"))
}

#: The day on which ages are judged.
TODAY = date(2026, 11, 1)

HOUSE = """\
waterlint: config/1
ranges:
  mash_ph: 4.9 .. 5.0
  chloride_to_sulfate: 20 .. 21
  calcium: 1 .. 2 mg/L
  magnesium: 70 .. 71 mg/L
  sodium: .. 1 mg/L
  chloride: .. 1 mg/L
  sulfate: .. 1 mg/L
"""

_LITERS = re.compile(r"(?<=[ {])(\d+(?:\.\d+)?) L(?=[,}\s])")
_KILOGRAMS = re.compile(r"(?<=[ {])(\d+(?:\.\d+)?) kg(?=[,}\s])")
_GRAMS = re.compile(r"(?<=[ {])(\d+(?:\.\d+)?) g(?=[,}\s])")

#: What is lost where a file is read and written anew: comments, keys given twice, and commas that
#: YAML takes for others.
_NOT_KEPT = {"burton-historic", "exception-left-behind", "exception-without-reason"} | {
    "merged-defaults",
    "twice-gypsum",
    "decimal-comma",
}


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Path:
    config = tmp_path_factory.mktemp("house") / "waterlint.yaml"
    config.write_text(HOUSE, encoding="utf-8")
    return config


#: Each finding but for its value, and the values.
Told = tuple[list[tuple[object, ...]], list[float]]


@lru_cache(maxsize=512)
def findings(path: Path, text: str, house: Path) -> list[Finding]:
    """What is found in a recipe that is written like this, without its reports' own faults."""
    report = Linter(Options(today=TODAY, config=house)).lint_text(text, path)
    return [each for each in report.findings if Path(each.path).name == path.name]


def told(path: Path, text: str, house: Path, *, places: bool) -> Told:
    """What is found, with its places or without; values."""
    kept = [
        (
            (each.rule, each.level, each.document, each.quantity, each.vessel),
            each.pointer if places else "",
            0.0 if each.value is None else each.value,
        )
        for each in findings(path, text, house)
    ]
    kept.sort(key=repr)
    return [each[:2] for each in kept], [each[2] for each in kept]


def assert_same(first: Told, second: Told) -> None:
    assert first[0] == second[0]
    assert first[1] == pytest.approx(second[1], rel=1e-6, abs=1e-6)


def in_other_units(text: str) -> str:
    """The text with US gallons for litres, pounds for kilograms, milligrams for grams."""
    text = _LITERS.sub(lambda match: f"{_short(float(match[1]) / 3.785411784)} US gal", text)
    text = _KILOGRAMS.sub(lambda match: f"{_short(float(match[1]) / 0.45359237)} lb", text)
    return _GRAMS.sub(lambda match: f"{_short(1000.0 * float(match[1]))} mg", text)


def _short(number: float) -> str:
    """A number of at most 12 digits."""
    return f"{number:.12f}"[:13].rstrip("0").rstrip(".")


def from_the_end(text: str) -> str:
    """The text written anew in block style, with the last of every list and vessel first."""
    yaml = YAML(typ="safe", pure=True)
    yaml.default_flow_style = False  # type: ignore[assignment]
    yaml.sort_base_mapping_type_on_output = False
    recipes = list(yaml.load_all(text))
    for recipe in recipes:
        for key in ("additions", "grist"):
            if isinstance(recipe.get(key), list):
                recipe[key].reverse()
        for key in ("water", "targets"):
            if key in recipe:
                recipe[key] = dict(reversed(recipe[key].items()))
    written = StringIO()
    yaml.dump_all(recipes, written)
    return written.getvalue()


def test_the_house_has_something_to_tell(house: Path) -> None:
    assert sum(len(told(path, text, house, places=True)[0]) for path, text in TEXTS.items()) > 500


@pytest.mark.parametrize(
    "path",
    [path for path, text in TEXTS.items() if in_other_units(text) != text],
    ids=lambda path: path.stem,
)
def test_in_other_units(path: Path, house: Path) -> None:
    text = TEXTS[path]
    other = told(path, in_other_units(text), house, places=True)
    assert_same(other, told(path, text, house, places=True))


@pytest.mark.parametrize(
    "path", [path for path in TEXTS if path.stem not in _NOT_KEPT], ids=lambda path: path.stem
)
def test_written_anew_from_the_end(path: Path, house: Path) -> None:
    text = TEXTS[path]
    turned = told(path, from_the_end(text), house, places=False)
    assert_same(turned, told(path, text, house, places=False))
