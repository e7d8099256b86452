"""What a configuration states: levels, ranges, scale, stock and the rest."""

from __future__ import annotations

from collections.abc import Iterable

from waterlint.hints import get_args
from waterlint.paths import Path
from waterlint.project.config import FIXED_RULES, LevelOrOff, StockItem
from waterlint.project.config_tree import ConfigTree
from waterlint.project.layer import Pattern, Stated, Values
from waterlint.project.nearest import did_you_mean, nearest
from waterlint.project.references import Unresolved, locate
from waterlint.source.document import Mapping
from waterlint.units import Range

LEVELS: tuple[LevelOrOff, ...] = get_args(LevelOrOff)

#: The kind of quantity behind each range; any other is an ion's concentration.
RANGE_KINDS = {
    "mash_ph": "ph",
    "alkalinity": "alkalinity",
    "residual_alkalinity": "residual_alkalinity",
    "chloride_to_sulfate": "ratio",
    "color": "beer_color",
}


def level_problem(rule: str, level: str, known_rules: Iterable[str]) -> tuple[str, str, str] | None:
    """What is wrong with giving a rule a level; `None` where nothing is.

    Parameters
    ----------
    rule, level : str
        As written.
    known_rules : iterable of str
        All rules there are.

    Returns
    -------
    tuple of str or None
        ``unknown-key`` or ``bad-value``, what is wrong, and what to write instead.
    """
    if rule not in known_rules:
        near = did_you_mean(rule, known_rules)
        help = near or "`waterlint explain` lists the rules."
        return "unknown-key", f"there is no rule named {rule}", help
    if level not in LEVELS:
        meant = nearest(level, LEVELS)
        help = f"Write one of {', '.join(LEVELS)}." + (f" Did you mean {meant}?" if meant else "")
        return "bad-value", f"{level} is no level", help
    if rule in FIXED_RULES and level != "error":
        return (
            "bad-value",
            f"the level of {rule} cannot be changed: without the file being right nothing else "
            "can be judged",
            "Take the line out.",
        )
    return None


def read_values(
    tree: ConfigTree, pointer: str, path: Path, known_rules: frozenset[str], roots: Iterable[Path]
) -> Values:
    """What the mapping at `pointer` states: the configuration itself or an entry of `paths`.

    Parameters
    ----------
    tree : ConfigTree
        The configuration; takes up what is found wrong.
    pointer : str
        Of the mapping; empty for the configuration itself.
    path : Path
        The configuration's file.
    known_rules : frozenset of str
        All rules that it may name.
    roots : iterable of Path
        Folders that the call allows besides the project.
    """
    ranges, style_ranges = _ranges(tree, f"{pointer}/ranges")
    return Values(
        levels=_levels(tree, f"{pointer}/levels", known_rules),
        ranges=ranges,
        style_ranges=style_ranges,
        report_age=_number(tree, "duration", f"{pointer}/report_age"),
        scale_mass=_number(tree, "mass", f"{pointer}/scale/mass"),
        scale_volume=_number(tree, "volume", f"{pointer}/scale/volume", factor=1000.0),
        stock=_stock(tree, f"{pointer}/stock"),
        require=_words(tree, f"{pointer}/require"),
        exclude=_patterns(tree, f"{pointer}/exclude", path),
        baseline=_baseline(tree, f"{pointer}/baseline", path, roots),
    )


def read_paths(
    tree: ConfigTree, path: Path, known_rules: frozenset[str], roots: Iterable[Path]
) -> tuple[tuple[Pattern, Values], ...]:
    """The entries of `paths`, in their order."""
    entries: list[tuple[Pattern, Values]] = []
    for _, pointer in tree.items("/paths"):
        pattern = _pattern(tree, f"{pointer}/match", path)
        values = read_values(tree, pointer, path, known_rules, roots)
        if pattern is not None:
            entries.append((pattern, values))
    return tuple(entries)


def _levels(
    tree: ConfigTree, pointer: str, known_rules: frozenset[str]
) -> dict[str, Stated[LevelOrOff]]:
    levels: dict[str, Stated[LevelOrOff]] = {}
    for rule, place in tree.keys(pointer):
        written = tree.text(place)
        problem = level_problem(rule, written or "", known_rules)
        if problem is not None:
            kind, message, help = problem
            if written is not None or kind == "unknown-key":
                tree.fault(kind, place, message, help, key=kind == "unknown-key")
            continue
        for level in LEVELS:
            if level == written:
                levels[rule] = Stated(level, level, tree.origin(place))
    return levels


def _ranges(
    tree: ConfigTree, pointer: str
) -> tuple[dict[str, Stated[Range]], dict[tuple[str, str], Stated[Range]]]:
    ranges: dict[str, Stated[Range]] = {}
    style_ranges: dict[tuple[str, str], Stated[Range]] = {}
    for quantity, place in tree.keys(pointer):
        if isinstance(tree.document.find(place), Mapping):
            for style, inner in tree.keys(place):
                found = _range(tree, quantity, inner)
                if found is not None:
                    style_ranges[quantity, style] = found
        else:
            found = _range(tree, quantity, place)
            if found is not None:
                ranges[quantity] = found
    return ranges, style_ranges


def _range(tree: ConfigTree, quantity: str, pointer: str) -> Stated[Range] | None:
    found = tree.range(RANGE_KINDS.get(quantity, "concentration"), pointer, quantity)
    return None if found is None else Stated(found, found.text, tree.origin(pointer))


def _number(
    tree: ConfigTree, kind: str, pointer: str, *, factor: float = 1.0
) -> Stated[float] | None:
    found = tree.quantity(kind, pointer)
    if found is None:
        return None
    return Stated(found.value * factor, found.text, tree.origin(pointer))


def _words(tree: ConfigTree, pointer: str) -> Stated[tuple[str, ...]] | None:
    if tree.document.find(pointer) is None:
        return None
    texts = (tree.text(place) for _, place in tree.items(pointer))
    words = tuple(text for text in texts if text is not None)
    return Stated(words, ", ".join(words) or "nothing", tree.origin(pointer))


def _stock(tree: ConfigTree, pointer: str) -> Stated[tuple[StockItem, ...]] | None:
    if tree.document.find(pointer) is None:
        return None
    items: list[StockItem] = []
    for node, place in tree.items(pointer):
        is_mapping = isinstance(node, Mapping)
        name = tree.text(f"{place}/add" if is_mapping else place)
        if is_mapping and tree.is_told(place):
            continue
        strength = tree.quantity("strength", f"{place}/strength") if is_mapping else None
        density = tree.quantity("density", f"{place}/density") if is_mapping else None
        if name is not None:
            form = tree.text(f"{place}/form") if is_mapping else None
            items.append(
                StockItem(
                    name,
                    form,
                    None if strength is None else strength.value,
                    None if density is None else density.value,
                )
            )
    return Stated(tuple(items), stock_text(items), tree.origin(pointer))


def stock_text(items: Iterable[StockItem]) -> str:
    """A stock in a line: names with form, strength and density."""
    return (
        ", ".join(
            " ".join(
                word
                for word in (
                    item.name,
                    item.form or "",
                    "" if item.strength is None else f"{item.strength:g} %",
                    "" if item.density is None else f"{item.density:g} g/mL",
                )
                if word
            )
            for item in items
        )
        or "nothing"
    )


def _patterns(tree: ConfigTree, pointer: str, path: Path) -> Stated[tuple[Pattern, ...]] | None:
    if tree.document.find(pointer) is None:
        return None
    found = (_pattern(tree, place, path) for _, place in tree.items(pointer))
    patterns = tuple(pattern for pattern in found if pattern is not None)
    text = ", ".join(pattern.glob.pattern for pattern in patterns) or "nothing"
    return Stated(patterns, text, tree.origin(pointer))


def _pattern(tree: ConfigTree, pointer: str, path: Path) -> Pattern | None:
    text = tree.text(pointer)
    if text is None:
        return None
    # Imported late: most houses have no patterns.
    from waterlint.project.glob import Glob, problem_of

    problem = problem_of(text)
    if problem is not None:
        tree.fault("bad-value", pointer, *problem)
        return None
    return Pattern(Glob.of(text), path.parent)


def _baseline(
    tree: ConfigTree, pointer: str, path: Path, roots: Iterable[Path]
) -> Stated[Path] | None:
    text = tree.text(pointer)
    if text is None:
        return None
    # It need not be there yet: --update-baseline makes it.
    found = locate(text, path, roots)
    if isinstance(found, Unresolved):
        tree.fault("bad-value", pointer, found.problem, found.help)
        return None
    return Stated(found, text, tree.origin(pointer))
