"""Changes written back into a text: all that is not changed stays, character by character.

Comments, order, quotes, indentation, line ends and byte order mark are the brewer's. A change is
a replacement of characters, never a text written anew; what comes out is read again, and must say
what was asked for and nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from waterlint.finding import Edit, Fix
from waterlint.records import Record
from waterlint.source.document import SourceFile, read_text
from waterlint.source.edit_data import Change, Data, changed_data, data_of
from waterlint.source.edit_places import edits_for

__all__ = ["CannotEdit", "Change", "apply_fixes", "change_document", "replace_stretches"]


class CannotEdit(ValueError):
    """A change that the text has no place for; the text says why."""


class Mended(Record):
    """A text after some fixes, those that were applied, and those that wait for the next pass."""

    text: str
    applied: tuple[Fix, ...]
    waiting: tuple[Fix, ...]


def replace_stretches(text: str, edits: Iterable[Edit]) -> str:
    """The text with each edit's stretch replaced.

    Parameters
    ----------
    text : str
    edits : iterable of Edit
        In any order; none may overlap another. Insertions at one place keep their order.

    Raises
    ------
    ValueError
        If two edits overlap, or one lies outside the text.

    Examples
    --------
    >>> replace_stretches("mash: 1,5 g", [Edit(6, 11, "1.5 g")])
    'mash: 1.5 g'
    """
    parts: list[str] = []
    done = 0
    for edit in sorted(edits, key=lambda each: (each.start, each.end)):
        if not done <= edit.start <= edit.end <= len(text):
            raise ValueError("edits overlap, or lie outside the text")
        parts += (text[done : edit.start], edit.replacement)
        done = edit.end
    return "".join((*parts, text[done:]))


def apply_fixes(text: str, fixes: Iterable[Fix]) -> Mended:
    """Apply the fixes that do not touch one another; the rest waits for the next pass.

    Parameters
    ----------
    text : str
        Without byte order mark, as the offsets of edits count.
    fixes : iterable of Fix
        The first comes first; a fix is applied whole or not at all. One given twice counts once.

    Returns
    -------
    Mended

    Examples
    --------
    >>> fix = Fix("write `mash`", (Edit(0, 4, "mash"),))
    >>> apply_fixes("msah: 2 g", [fix, fix]).text
    'mash: 2 g'
    """
    applied: list[Fix] = []
    waiting: list[Fix] = []
    taken: list[Edit] = []
    for fix in dict.fromkeys(fixes):
        if any(_touch(edit, other) for edit in fix.edits for other in taken):
            waiting.append(fix)
            continue
        applied.append(fix)
        taken += fix.edits
    return Mended(replace_stretches(text, taken), tuple(applied), tuple(waiting))


def _touch(one: Edit, other: Edit) -> bool:
    """Whether two edits overlap or meet: what one writes may change what the other means."""
    return one.start <= other.end and other.start <= one.end


def change_document(text: str, document: int, changes: Sequence[Change]) -> str:
    """The text with changes in one of its documents, one after the other.

    Parameters
    ----------
    text : str
        With or without byte order mark.
    document : int
        Its number in the text, from 0.
    changes : sequence of Change
        Each counts by the places that those before it have left.

    Returns
    -------
    str
        With byte order mark if there was one.

    Raises
    ------
    CannotEdit
        If a change has no place in the text as it is written, as behind an alias, or would say
        more than was asked, as at an anchor that others repeat.

    Examples
    --------
    >>> from waterlint.source.edit_data import SetValue
    >>> change_document("a: {b: 1 g}  # weighed\\n", 0, [SetValue("/a/b", "1.2 g")])
    'a: {b: 1.2 g}  # weighed\\n'
    """
    source = _read(text)
    for change in changes:
        source = _change(source, document, change)
    return ("\ufeff" if source.has_bom else "") + source.text


def _change(source: SourceFile, document: int, change: Change) -> SourceFile:
    try:
        edits = edits_for(source.documents[document], source.text, change)
        wanted = _all_data(source)
        wanted[document] = changed_data(wanted[document], change)
    except (LookupError, ValueError) as error:
        raise CannotEdit(str(error)) from error
    changed = _read(("\ufeff" if source.has_bom else "") + replace_stretches(source.text, edits))
    if _all_data(changed) != wanted:
        raise CannotEdit(
            f"{change.pointer} is repeated elsewhere through an anchor, or written in a way that "
            "leaves no place for the change"
        )
    return changed


def _read(text: str) -> SourceFile:
    source = read_text(text, "")
    if source.findings:
        raise CannotEdit(f"the text cannot be read: {source.findings[0].message}")
    return source


def _all_data(source: SourceFile) -> list[Data]:
    return [data_of(each.root) for each in source.documents]
