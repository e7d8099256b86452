"""The word that was probably meant."""

from __future__ import annotations

from collections.abc import Iterable

#: How alike two words must be before one is offered for the other (0 to 1); by trial: it offers
#: `sodium` for `soduim`, and nothing for `sugar`.
_LIKENESS = 0.6


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The one of `words` that is most like `word`, upper and lower case alike.

    Examples
    --------
    >>> nearest("report_agee", ["report_age", "ranges"])
    'report_age'
    >>> nearest("sugar", ["gypsum", "chalk"]) is None
    True
    """
    by_folded = {each.casefold(): each for each in sorted(words, reverse=True)}
    folded = word.casefold()
    if folded in by_folded:
        return by_folded[folded]
    from difflib import get_close_matches

    # A very long word is no slip of the pen, and comparing it would take its square in time.
    if len(word) > 300:
        return None
    near = get_close_matches(folded, by_folded, 1, _LIKENESS)
    return by_folded[near[0]] if near else None


def did_you_mean(word: str, words: Iterable[str]) -> str:
    """A sentence that offers the nearest word, or nothing."""
    near = nearest(word, words)
    return f"Did you mean {near}?" if near else ""


def nearest_file(name: str, names: Iterable[str]) -> str | None:
    """The YAML file among `names` that was probably meant; the ending does not count.

    Examples
    --------
    >>> nearest_file("mil-leat.yml", ["mill-leat.yaml", "notes.txt"])
    'mill-leat.yaml'
    """
    by_stem = {
        stem: each
        for each in sorted(names, reverse=True)
        for stem, ending in (each.rsplit(".", 1) if "." in each else (each, ""),)
        if ending.lower() in ("yaml", "yml")
    }
    stem, _, ending = name.rpartition(".")
    near = nearest(stem if ending.lower() in ("yaml", "yml") else name, by_stem)
    return by_stem[near] if near is not None else None
