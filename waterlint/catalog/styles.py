"""Beer styles: their colour, and the ranges of their water.

Names and colour figures are the guideline's, but for a few general styles
(`waterlint.catalog.style_families`); the ranges of water are by emphasis
(`waterlint.catalog.emphasis`) and override (`waterlint.catalog.style_overrides`). Nothing is
read before a style is asked for.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from types import MappingProxyType

from waterlint.catalog.emphasis import EMPHASES, RANGES, Emphasis
from waterlint.catalog.limit import Limit
from waterlint.catalog.style_families import FAMILIES, Family
from waterlint.catalog.style_overrides import OVERRIDES, Override
from waterlint.hints import Final, TypedDict, cast
from waterlint.installed import read_json
from waterlint.paths import Path
from waterlint.records import Record, field

BLACK_SRM: Final = 40.0
"""Where the guideline's scale of colours ends, in black and opaque [SRM]; from memory. A style
whose colours reach it has no upper limit."""


class Style(Record):
    """A beer style.

    Attributes
    ----------
    key : str
        As recipes write it.
    name : str
    guideline : str
        Where name and colour come from.
    category : str
    emphasis : Emphasis
        What its water should serve.
    srm : tuple of (float, float)
        Colour [SRM], both ends included.
    limits : mapping of str to Limit
        Ranges by quantity: ``calcium`` (of mash and batch), ``sulfate``, ``sodium``,
        ``chloride_to_sulfate``, ``mash_ph``. A missing one is not judged by style.
    unchecked : frozenset of str
        Quantities that are no fault in this style, even by general ranges; besides those of
        `limits`: ``alkalinity``, ``magnesium``, ``chloride``, ``minerals`` (their sum).
    soft : bool
        Brewed with soft water: little calcium is no fault.
    basis : str
        Of the colour.
    """

    key: str
    name: str
    guideline: str
    category: str
    emphasis: Emphasis
    srm: tuple[float, float]
    limits: Mapping[str, Limit]
    unchecked: frozenset[str] = field(default=frozenset())
    soft: bool = False
    basis: str = ""


class _Entry(TypedDict):
    key: str
    name: str
    category: str
    srm: tuple[float, float]
    emphasis: Emphasis


class _Data(TypedDict):
    guideline: str
    attribution: str
    styles: list[_Entry]


@lru_cache(maxsize=1)
def _data() -> _Data:
    return cast(_Data, read_json(str(Path(__file__).with_name("styles.json"))))


@lru_cache(maxsize=1)
def _entries() -> Mapping[str, _Entry]:
    return MappingProxyType({entry["key"]: entry for entry in _data()["styles"]})


def attribution() -> str:
    """Whose the names and figures of the built-in styles are."""
    return _data()["attribution"]


def water_limits(
    emphasis: Emphasis, override: Override | None = None
) -> tuple[Mapping[str, Limit], frozenset[str]]:
    """The ranges of an emphasis with an override on top, and what is then unchecked."""
    if emphasis not in EMPHASES:
        raise ValueError(f"unknown emphasis {emphasis!r}; known are {', '.join(EMPHASES)}")
    override = override or Override()
    unchecked = set(override.unchecked)
    if emphasis == "sour":
        unchecked.add("chloride_to_sulfate")
    merged = {**RANGES[emphasis], **override.limits}
    kept = {name: limit for name, limit in merged.items() if name not in unchecked}
    return MappingProxyType(kept), frozenset(unchecked)


def _keys() -> tuple[str, ...]:
    return (*_entries(), *FAMILIES)


@lru_cache(maxsize=256)
def _style(key: str) -> Style:
    if key in FAMILIES:
        return _general(key, FAMILIES[key])
    entry = _entries()[key]
    override = OVERRIDES.get(key, Override())
    limits, unchecked = water_limits(entry["emphasis"], override)
    guideline = _data()["guideline"]
    low, high = entry["srm"]
    return Style(
        key,
        entry["name"],
        guideline,
        entry["category"],
        entry["emphasis"],
        (float(low), float(high)),
        limits,
        unchecked,
        override.soft,
        f"{guideline}, read in a transcription",
    )


def _general(key: str, family: Family) -> Style:
    members = [_style(member) for member in family.members]
    limits, unchecked = water_limits(family.emphasis)
    return Style(
        key,
        family.name,
        "this catalogue",
        "General",
        family.emphasis,
        (min(each.srm[0] for each in members), max(each.srm[1] for each in members)),
        limits,
        unchecked,
        basis=f"span of {', '.join(each.name for each in members)} in {members[0].basis}",
    )


class _StyleBook(Mapping[str, Style]):
    """The built-in styles, each made when it is first asked for."""

    __slots__ = ()

    def __getitem__(self, key: str) -> Style:
        return _style(key)

    def __contains__(self, key: object) -> bool:
        return key in FAMILIES or key in _entries()

    def __iter__(self) -> Iterator[str]:
        return iter(_keys())

    def __len__(self) -> int:
        return len(_keys())


STYLES: Final[Mapping[str, Style]] = _StyleBook()
"""The built-in styles by key."""


def style(key: str) -> Style | None:
    """A built-in style by its key, `None` if there is none of that key."""
    return STYLES.get(key)


def key_form(text: str) -> str:
    """A text as a style key would be written.

    Examples
    --------
    >>> key_form("Bière de Garde"), key_form("Specialty IPA: Black IPA")
    ('biere-de-garde', 'specialty-ipa-black-ipa')
    """
    import unicodedata  # late: styles are mostly named by their keys

    plain = unicodedata.normalize("NFKD", text.casefold()).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")


_TRADE_NAMES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "dipa": "double-ipa",
        "dry-stout": "irish-stout",
        "esb": "strong-bitter",
        "hefeweizen": "weissbier",
        "neipa": "hazy-ipa",
        "oktoberfest": "marzen",
        "pils": "german-pils",
        "pilsener": "german-pils",
        "pilsner": "german-pils",
        "weizen": "weissbier",
    }
)
"""Words of the trade for which the guideline has another; common practice."""

_LONGEST_WORD: Final = 80
"""A longer text is no slip of the pen, and comparing it would take its square in time."""

_LIKENESS: Final = 0.6
"""How alike two keys must be before one is offered for the other (0 to 1); by trial."""


def nearest(word: str, keys: Iterable[str] | None = None, count: int = 3) -> list[str]:
    """The style keys that were probably meant by a word, the likeliest first.

    Parameters
    ----------
    word : str
    keys : iterable of str, optional
        The keys to choose from; the built-in ones unless given.
    count : int
        How many at most.

    Returns
    -------
    list of str

    Examples
    --------
    >>> nearest("oatmeal stout"), nearest("black-ipa")[0]
    (['oatmeal-stout'], 'specialty-ipa-black-ipa')
    >>> nearest("window")
    []
    """
    from difflib import SequenceMatcher

    wanted = key_form(word[:_LONGEST_WORD])
    known = list(_keys() if keys is None else keys)
    if not wanted:
        return []
    if wanted in known:
        return [wanted]
    found = [_TRADE_NAMES[wanted]] if _TRADE_NAMES.get(wanted) in known else []
    likeness = SequenceMatcher(None, b=wanted)
    scores: dict[str, float] = {}
    for key in known:
        likeness.set_seq1(key)
        scores[key] = likeness.ratio()
    # A key that holds every part of the word is meant more likely than one that looks like it.
    parts = set(wanted.split("-"))
    near = [key for key in known if parts <= set(key.split("-"))]
    near = near or [key for key in known if scores[key] >= _LIKENESS]
    found += sorted((key for key in near if key not in found), key=lambda key: (-scores[key], key))
    return found[:count]
