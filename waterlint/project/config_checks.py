"""What only the whole catalogue can tell of a configuration: names that it uses must be known."""

from __future__ import annotations

from collections.abc import Iterable

from waterlint.catalog.catalog import Catalog
from waterlint.finding import Finding
from waterlint.project.config_tree import ConfigTree
from waterlint.project.nearest import did_you_mean
from waterlint.source.document import Mapping


def check_names(tree: ConfigTree, catalog: Catalog) -> Iterable[Finding]:
    """Styles and additives that a configuration names and nobody knows.

    Parameters
    ----------
    tree : ConfigTree
        The configuration.
    catalog : Catalog
        With the entries of this configuration and all it builds on.
    """
    own = ConfigTree(tree.document, tree.shown, tree.told)
    for pointer in ("", *(place for _, place in tree.items("/paths"))):
        _check_styles(own, f"{pointer}/ranges", catalog)
        _check_stock(own, f"{pointer}/stock", catalog)
    return own.findings


def _check_styles(tree: ConfigTree, pointer: str, catalog: Catalog) -> None:
    for _, place in tree.keys(pointer):
        for style, inner in tree.keys(place):
            if style not in catalog.styles and not catalog.has_faulty("styles", style):
                near = catalog.nearest_styles(style)
                help = f"Did you mean {near[0]}?" if near else "Write the key of a style."
                tree.fault("unknown-key", inner, f"there is no style {style}", help, key=True)


def _check_stock(tree: ConfigTree, pointer: str, catalog: Catalog) -> None:
    for node, place in tree.items(pointer):
        at = f"{place}/add" if isinstance(node, Mapping) else place
        name = tree.text(at)
        if name is None:
            continue
        additive = catalog.additives.get(name)
        if additive is None and catalog.has_faulty("additives", name):
            continue
        if additive is None:
            help = did_you_mean(name, catalog.additives) or "Write the name of an additive."
            tree.fault("bad-value", at, f"there is no additive {name}", help)
            continue
        form = tree.text(f"{place}/form")
        if form is not None and form not in additive.forms:
            tree.fault(
                "bad-value",
                f"{place}/form",
                f"{name} is not sold as {form}",
                f"Write one of {', '.join(additive.forms)}.",
            )
        elif additive.form(form) is None:
            tree.fault(
                "missing-key",
                place,
                f"{name} is sold in several forms, and none is stated",
                f"Write it as {{add: {name}, form: …}} with one of {', '.join(additive.forms)}.",
            )
        elif additive.needs_strength(form) and tree.document.find(f"{place}/strength") is None:
            tree.fault(
                "missing-key",
                place,
                f"the strength of {name} is not stated",
                f"Write it as {{add: {name}, strength: …}} with the percentage on the label.",
            )
