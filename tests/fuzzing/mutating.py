"""Changes of a recipe's text that keep most of its shape, so that they reach far into the linter.

Random bytes are refused by the reader, and nothing behind it is ever tried.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import lru_cache
from pathlib import Path
from random import Random

_REPOSITORY = Path(__file__).resolve().parents[2]
_SEEDS = ("example-recipes", "tests/broken", "tests/collections")

#: The report that stands beside every text that is tried, by the name that the texts use.
WELL = "./well.yaml"

_REFERENCE = re.compile(r"[\w./-]*\.ya?ml\b")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_WORD = re.compile(r"[A-Za-z][\w-]*")
_VALUE = re.compile(r"(?<=[:\[,-] )[^{}\[\],#\r\n]+")
_KEY = re.compile(r"[\w-]+(?=:)")

#: What a number may become.
NUMBERS = (
    *("0", "0.0", "1", "999999999999", "0.000000000001", "100", "-1", "1e9", "1e-300", "1,5"),
    *("1234567890123", "007", ".5", "5.", "0x1F", "1_000", "½", "٣", "NaN", "inf", "--1", "+3"),
)

#: What a value may become: quantities of every kind, and what is none.
VALUES = (
    *("15 L", "0 L", "0.000001 mL", "999999999999 hL", "1 US gal", "5 gal", "31 US bbl", "1 tsp"),
    *("2 g", "0 g", "100 kg", "1 oz", "1 lb", "0.1 g/L", "5 mL/L", "10 g/hL", "1 mEq/kg"),
    *("42 ± 3 mg/L", "< 0.02 mg/L", "8 mg/L as S", "3 °dH", "2 mmol/L", "0 mg/L", "1 ppm"),
    *("50 .. 110 mg/L", ".. 100 mg/L", "50 .. mg/L", "9 .. 1 mg/L", "..", "5.3 .. 5.5", "± 3"),
    *("60 %", "0 %", "100 %", "101 %", "66 °C", "152 °F", "60 min", "2 h", "1.2 mm", "1.3 g/mL"),
    *("12 SRM", "3 EBC", "500 °L", "5.72 ± 0.03", "14", "0", "310 µS/cm", "310 μS/cm at 20 °C"),
    *("2026-03-14", "2026-02-30", "9999-12-31", "0001-01-01", "14.3.2026", "9 months"),
    *("null", "~", "true", "no", "yes", "''", '"\\u0041"', "'a''b'", "[]", "{}", "[[]]", "{a: {}}"),
    *("&a x", "*a", "!!int 3", "<<", "? x", "|\n  a\n  b", ">-\n  a", "- 1", "#", "@x", "`x`", "%"),
    *("gypsum", "calcium-chloride", "lactic-acid", "chalk", "table-salt", "pickling-lime"),
    *("dihydrate", "anhydrous", "solution", "pilsner", "roasted", "acidulated", "sugar", "extract"),
    *("distilled", "reverse-osmosis", WELL, "../well.yaml", "/etc/passwd", "https://example.org/x"),
    *("carbon-filtered", "boiled", "lime-softened", "stood", "dry-stout", "german-pils", "gose"),
    *(
        "recipe/1",
        "water/1",
        "config/1",
        "recipe/2",
        "🍺",
        "e\u0301",
        "\u200b",
        "漢字",
        "off",
        "note",
    ),
)

#: What a key may become, beside those of the seeds.
KEYS = (
    *("liquor", "mash", "sparge", "kettle", "fermenter", "volume", "from", "treat", "strength"),
    *("density", "dissolved", "form", "late", "di_ph", "acidity", "buffer", "decoctions", "boil"),
    *("seasons", "bicarbonate", "carbonate", "hardness", "conductivity", "chlorine", "chloramine"),
    *("uncertainty", "measured", "targets", "mash_ph", "chloride_to_sulfate", "levels", "paths"),
    *("ranges", "scale", "stock", "require", "additives", "malts", "styles", "waters", "exclude"),
)

#: What may be put anywhere: signs of YAML, and characters that hide or turn.
PIECES = (
    *("\t", "\r", "\r\n", "\n", "\n\n", " ", "  ", ":", ": ", "- ", "{", "}", "[", "]", ",", "#"),
    *(" # waterlint: accept batch-sodium because so", "# waterlint: accept", "---\n", "...\n"),
    *("\ufeff", "\x00", "\x1b[31m", "\x85", "\u2028", "\u202e", "\ud800", "\udcff", "\U0001f37a"),
    *("&a ", "*a ", "!!str ", "<<: *a\n", "%YAML 1.1\n", "? ", "|+\n", ">\n", "'", '"', "\\", "~/"),
)


@lru_cache(maxsize=1)
def seeds() -> tuple[str, ...]:
    """Texts of all kinds, sound and unsound, each made to use the report beside it."""
    paths = [path for folder in _SEEDS for path in sorted((_REPOSITORY / folder).rglob("*.yaml"))]
    texts = (path.read_bytes().decode("utf-8", "surrogateescape") for path in paths)
    return tuple(dict.fromkeys(_REFERENCE.sub(WELL, text) for text in texts))


@lru_cache(maxsize=1)
def _seed_lines() -> tuple[str, ...]:
    return tuple(dict.fromkeys(line for text in seeds() for line in text.splitlines(True)))


@lru_cache(maxsize=1)
def _seed_keys() -> tuple[str, ...]:
    return tuple(dict.fromkeys(key for text in seeds() for key in _KEY.findall(text)))


def mutate(text: str, random: Random) -> str:
    """A text after one to five changes."""
    for _ in range(random.choice((1, 1, 1, 2, 2, 3, 5))):
        text = random.choice(_CHANGES)(text, random)
    return text


def _replace(pattern: re.Pattern[str], words: Sequence[str], text: str, random: Random) -> str:
    found = list(pattern.finditer(text))
    if not found:
        return text
    match = random.choice(found)
    return text[: match.start()] + random.choice(words) + text[match.end() :]


def _number(text: str, random: Random) -> str:
    return _replace(_NUMBER, NUMBERS, text, random)


def _value(text: str, random: Random) -> str:
    return _replace(_VALUE, VALUES, text, random)


def _word(text: str, random: Random) -> str:
    return _replace(_WORD, _WORD.findall(text) or ("x",), text, random)


def _key(text: str, random: Random) -> str:
    return _replace(_KEY, random.choice((KEYS, _seed_keys())), text, random)


def _letter(text: str, random: Random) -> str:
    place = random.randint(0, len(text))
    kept = place + random.choice((0, 0, 1))
    return text[:place] + random.choice((*PIECES, "x", "e", "5")) + text[kept:]


def _cut(text: str, random: Random) -> str:
    start = random.randint(0, len(text))
    return text[:start] + text[start + random.choice((1, 2, 10, 100, len(text))) :]


def _lines(text: str, random: Random) -> str:
    lines = text.splitlines(True) or [""]
    place, other = random.randrange(len(lines)), random.randrange(len(lines))
    match random.randrange(6):
        case 0:
            del lines[place]
        case 1:
            lines.insert(other, lines[place])
        case 2:
            lines[place], lines[other] = lines[other], lines[place]
        case 3:
            lines.insert(place, random.choice(_seed_lines()))
        case 4:
            lines[place] = random.choice(_seed_lines())
        case _:
            lines[place] = " " * random.randrange(6) + lines[place].lstrip(" ")
    return "".join(lines)


def _many(text: str, random: Random) -> str:
    lines = text.splitlines(True) or [""]
    place = random.randrange(len(lines))
    return "".join([*lines[:place], *[lines[place]] * random.choice((3, 10, 40)), *lines[place:]])


def _block(text: str, random: Random) -> str:
    lines, others = text.splitlines(True), random.choice(seeds()).splitlines(True)
    place, start = random.randint(0, len(lines)), random.randrange(len(others))
    end = min(len(others), start + random.randint(1, 8))
    return "".join([*lines[:place], *others[start:end], *lines[place + end - start :]])


def _join(text: str, random: Random) -> str:
    return text + random.choice(("---\n", "\n---\n", "...\n", "")) + random.choice(seeds())


def _ends(text: str, random: Random) -> str:
    return text.replace("\n", random.choice(("\r\n", "\r", "\n\n")))


_CHANGES: tuple[Callable[[str, Random], str], ...] = (
    *(_number, _number, _number, _value, _value, _value, _value, _word, _key, _key, _letter),
    *(_letter, _cut, _lines, _lines, _lines, _many, _block, _join, _ends),
)
