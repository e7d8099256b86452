"""The catalogue that a run works with: the built-in one, and a house's own entries on top."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from functools import lru_cache
from types import MappingProxyType

from waterlint.catalog.additives import ADDITIVES, Additive
from waterlint.catalog.limits import GENERAL, Limit
from waterlint.catalog.malts import MALT_KINDS, MaltKind
from waterlint.catalog.styles import STYLES, Style
from waterlint.catalog.styles import nearest as nearest_styles
from waterlint.catalog.waters import WATERS, KnownWater
from waterlint.hints import Protocol, TypeVar
from waterlint.records import Record

_NAME = r"[a-z0-9]+(-[a-z0-9]+)*"


class CatalogError(ValueError):
    """A house's entry that cannot join the catalogue, with what is wrong about it."""


class Catalog(Record):
    """Everything that is known before a recipe is read.

    Attributes
    ----------
    additives, malts, styles, waters : mapping
        By the names that recipes write.
    limits : tuple of Limit
        The general ones.
    house : frozenset of str
        ``additives/NAME`` and so on, of the entries that are not built in.
    faulty : frozenset of str
        The same of entries that the house has and that could not join; each is told where it
        stands.
    """

    additives: Mapping[str, Additive]
    malts: Mapping[str, MaltKind]
    styles: Mapping[str, Style]
    waters: Mapping[str, KnownWater]
    limits: tuple[Limit, ...] = GENERAL
    house: frozenset[str] = frozenset()
    faulty: frozenset[str] = frozenset()

    def extended(
        self,
        additives: Mapping[str, Additive] | None = None,
        malts: Mapping[str, MaltKind] | None = None,
        styles: Mapping[str, Style] | None = None,
        waters: Mapping[str, KnownWater] | None = None,
        faulty: frozenset[str] = frozenset(),
    ) -> Catalog:
        """A new catalogue with a house's entries, which win over those of the same name.

        Parameters
        ----------
        additives, malts, styles, waters : mapping, optional
            By name.
        faulty : frozenset of str
            Entries that could not be read, as the attribute names them.

        Returns
        -------
        Catalog

        Raises
        ------
        CatalogError
            If an entry has no basis, or its name is not its key or no plain word.

        Examples
        --------
        >>> from waterlint.catalog.house import house_malt
        >>> floor = house_malt("moor-floor-malt", "pale", "the maltster's sheet", di_ph=5.72)
        >>> catalog = default_catalog().extended(malts={floor.name: floor})
        >>> catalog.malts["moor-floor-malt"].like
        'pale'
        """
        return Catalog(
            _joined("additives", self.additives, additives),
            _joined("malts", self.malts, malts),
            _joined("styles", self.styles, styles),
            _joined("waters", self.waters, waters),
            self.limits,
            self.house.union(
                f"{kind}/{name}"
                for kind, entries in (
                    ("additives", additives),
                    ("malts", malts),
                    ("styles", styles),
                    ("waters", waters),
                )
                for name in entries or ()
            ),
            self.faulty | faulty,
        )

    def has_faulty(self, kind: str, name: str) -> bool:
        """Whether a name is unknown only since the house's entry of it has an error of its own.

        Parameters
        ----------
        kind : str
            ``additives``, ``malts``, ``styles`` or ``waters``.
        name : str
        """
        return f"{kind}/{name}" in self.faulty

    def malt_words(self) -> Collection[str]:
        """The kinds that a recipe's malts may name: a house's own, even where it has an error."""
        faulty = [entry.partition("/") for entry in self.faulty]
        return {*self.malts, *[name for kind, _, name in faulty if kind == "malts"]}

    def nearest_styles(self, word: str) -> list[str]:
        """The styles that were probably meant by a word, the house's own among them."""
        return nearest_styles(word, self.styles)


class _HasBasis(Protocol):
    @property
    def name(self) -> str: ...

    @property
    def basis(self) -> str: ...


_Item = TypeVar("_Item", bound=_HasBasis)


def _joined(
    kind: str, known: Mapping[str, _Item], own: Mapping[str, _Item] | None
) -> Mapping[str, _Item]:
    if not own:
        return known
    for name, item in own.items():
        key = item.key if isinstance(item, Style) else item.name
        if key != name:
            raise CatalogError(f"{kind}: the entry {name!r} names itself {key!r}")
        if not re.fullmatch(_NAME, name):
            raise CatalogError(
                f"{kind}: {name!r} is no name; use small letters, digits and hyphens"
            )
        if not item.basis.strip():
            raise CatalogError(f"{kind}: {name!r} does not say what its figures rest on (basis)")
    return MappingProxyType({**known, **own})


@lru_cache(maxsize=1)
def default_catalog() -> Catalog:
    """The built-in catalogue.

    Examples
    --------
    >>> "distilled" in default_catalog().waters
    True
    """
    return Catalog(ADDITIVES, MALT_KINDS, STYLES, WATERS)
