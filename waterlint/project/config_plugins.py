"""The plugins that a configuration names, before anything else in it is judged.

Their rules may be given levels in the same configuration, so they must be known first.
"""

from __future__ import annotations

from collections.abc import Callable

from waterlint.paths import Path
from waterlint.project.config_tree import ConfigTree
from waterlint.project.layer import Stated
from waterlint.project.references import Unresolved
from waterlint.records import Record

#: Gives the names of the rules that a plugin adds, for the configuration that names it.
Offered = Callable[[str, Path], "frozenset[str] | Unresolved"]


class Named(Record):
    """The plugins under `rules`, `None` where there is no such key, and what they add."""

    stated: Stated[tuple[str, ...]] | None = None
    rules: frozenset[str] = frozenset()


def read_plugins(
    tree: ConfigTree, path: Path, built_in: frozenset[str], offered: Offered | None
) -> Named:
    """Read the list `rules`; a plugin that cannot be used is left out and told.

    Parameters
    ----------
    tree : ConfigTree
        The configuration; takes up what is found wrong.
    path : Path
        The configuration's file.
    built_in : frozenset of str
        The rules that are there without plugins.
    offered : callable or None
        Loads a plugin; without it the names stand unjudged.
    """
    if tree.document.find("/rules") is None:
        return Named()
    names: list[str] = []
    source: dict[str, str] = {}
    for _, place in tree.items("/rules"):
        name = tree.text(place)
        if name is None:
            continue
        found = frozenset[str]() if offered is None else offered(name, path)
        problem = found if isinstance(found, Unresolved) else _clash(found, built_in, source)
        if problem is not None:
            tree.fault("bad-value", place, problem.problem, problem.help)
        elif not isinstance(found, Unresolved):
            names.append(name)
            source.update(dict.fromkeys(found, name))
    text = ", ".join(names) or "no more than the built-in ones"
    return Named(Stated(tuple(names), text, tree.origin("/rules")), frozenset(source))


def _clash(
    found: frozenset[str], built_in: frozenset[str], source: dict[str, str]
) -> Unresolved | None:
    for rule in sorted(found):
        if rule in built_in:
            return Unresolved(
                f"it adds a rule named {rule}, and there is a built-in one of that name",
                "Ask its makers for another name; a built-in rule cannot be replaced, only "
                "switched off.",
            )
        if rule in source:
            return Unresolved(
                f"it adds a rule named {rule}, and so does {source[rule]}",
                "Name only one of the two.",
            )
    return None
