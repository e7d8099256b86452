"""A misspelt name and the one that was meant beyond doubt, as a fix of the text."""

from __future__ import annotations

from waterlint.finding import Edit, Finding, Fix
from waterlint.records import replace
from waterlint.rules.registry import Case

#: Endings that tell one substance from another: `sulfite` is no misspelt `sulfate`.
_TELLING_ENDINGS = ("ate", "ite", "ide")


def with_name(case: Case, finding: Finding, word: str, meant: str | None) -> Finding:
    """The finding with the fix that writes another name, where only one slip lies between.

    Parameters
    ----------
    case : Case
    finding : Finding
        About the name, at its place.
    word : str
        The name as it stands.
    meant : str or None
        The nearest known one.
    """
    node = case.document.find(finding.pointer)
    if meant is None or node is None or node.use is not None or not is_one_slip(word, meant):
        return finding
    from waterlint.source.edit_data import in_place_of

    stands = node.lines.text[finding.span.start : finding.span.end]
    edit = Edit(finding.span.start, finding.span.end, in_place_of(stands, meant))
    return replace(finding, fix=Fix(f"write `{meant}`", (edit,)))


def is_one_slip(word: str, meant: str) -> bool:
    """Whether a word is another but for one letter too many, too few, wrong, or out of turn.

    The first letter is never the slip, and a chemical ending never is.

    Examples
    --------
    >>> [is_one_slip(word, "gypsum") for word in ("gypsm", "gpysum", "Gypsum")]
    [True, True, True]
    >>> is_one_slip("sodium-sulfite", "sodium-sulfate"), is_one_slip("rye", "wye")
    (False, False)
    """
    one, other = word.casefold(), meant.casefold()
    if not one or one[0] != other[0] or abs(len(one) - len(other)) > 1:
        return False
    if one == other:
        return word != meant
    start = next(
        (place for place, (a, b) in enumerate(zip(one, other, strict=False)) if a != b),
        min(len(one), len(other)),
    )
    rest, wanted = one[start:], other[start:]
    turned = rest[:2] == wanted[1::-1] and rest[2:] == wanted[2:]
    missing = rest == wanted[1:]
    extra = rest[1:] == wanted
    wrong = rest[1:] == wanted[1:] and not _tells(one, other)
    return turned or missing or extra or wrong


def _tells(one: str, other: str) -> bool:
    return one[-3:] != other[-3:] and any(each.endswith(_TELLING_ENDINGS) for each in (one, other))
