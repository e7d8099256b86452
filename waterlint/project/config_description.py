"""What holds for a file and why, for people."""

from __future__ import annotations

from collections.abc import Iterable

from waterlint.catalog.catalog import Catalog
from waterlint.project.config_file import ConfigFile
from waterlint.project.settings import FileConfig, statements
from waterlint.source.document import Mapping, Node, Scalar, Sequence

#: The keys under which a house adds to the catalogue.
_KINDS = ("additives", "malts", "styles", "waters")


def describe(
    shown: str,
    config: FileConfig,
    exclusion: str | None,
    roots: Iterable[str],
    files: Iterable[ConfigFile],
) -> str:
    """A line for each value with where it was stated.

    Parameters
    ----------
    shown : str
        The file as it is shown.
    config : FileConfig
        What holds for the file.
    exclusion : str or None
        Why a search leaves the file out.
    roots : iterable of str
        The root of its project, and then the folders that the call allows besides.
    files : iterable of ConfigFile
        The configurations in use, the one that others build on first.

    Returns
    -------
    str
        Lines, each with its end.
    """
    root, *allowed = roots
    lines = [f"file: {shown}", f"project root: {root}"]
    lines += [f"files may be named below {each} too (the command line)" for each in allowed]
    if config.paths:
        lines.append(f"configuration: {', which builds on '.join(config.paths)}")
    else:
        lines.append("configuration: none, what is built in holds")
    if config.is_broken:
        lines.append("the configuration has errors; what is wrong is left out here:")
        lines += [
            f"  {each.path}:{each.span.line}:{each.span.column}: {each.message}"
            for each in config.findings
        ]
    if exclusion is not None:
        lines.append(f"left out of searches: {exclusion}")
    rows = [*statements(config.values), *_entries(files, config.catalog)]
    wide = max(len(key) for key, _, _ in rows)
    lines += [f"{key:<{wide}}  {text}  ({origin})" for key, text, origin in rows]
    lines.append("Rules without a line here have their own levels: see `waterlint explain`.")
    return "".join(f"{line}\n" for line in lines)


def _entries(files: Iterable[ConfigFile], catalog: Catalog) -> list[tuple[str, str, str]]:
    """The house's own entries with all that they say; the last file's wins."""
    rows: dict[str, tuple[str, str, str]] = {}
    for file in files:
        tree = file.tree
        if tree is None:
            continue
        for kind in _KINDS:
            for name, place in tree.keys(f"/{kind}"):
                node = tree.document.find(place)
                if f"{kind}/{name}" in catalog.house and node is not None:
                    key = f"{kind}.{name}"
                    rows[key] = (key, _text(node), tree.origin(place))
    return [rows[key] for key in sorted(rows)]


def _text(node: Node) -> str:
    """A value on one line, as it could stand in the file."""
    if isinstance(node, Mapping):
        return (
            f"{{{', '.join(f'{key}: {_text(each.value)}' for key, each in node.entries.items())}}}"
        )
    if isinstance(node, Sequence):
        return f"[{', '.join(_text(item) for item in node.items)}]"
    return " ".join(node.text.split()) if isinstance(node, Scalar) else ""
