"""One configuration file: from the disk to its layer, with everything that is wrong in it."""

from __future__ import annotations

from collections.abc import Iterable

from waterlint.finding import FILE_START, Finding, Span
from waterlint.paths import Path
from waterlint.project.config_plugins import Named, Offered, read_plugins
from waterlint.project.config_tree import ConfigTree
from waterlint.project.config_values import read_paths, read_values
from waterlint.project.files import Disk, ReadProblem
from waterlint.project.layer import Entries, Layer
from waterlint.project.names import CONFIG_NAME
from waterlint.project.references import Resolved, is_path, resolve
from waterlint.project.root import is_inside, leads_out, project_root
from waterlint.records import Record, replace
from waterlint.source import schema
from waterlint.source.document import Document, SourceFile


class Opened(Record):
    """A configuration file before its values are read.

    `told` is what is wrong with the file as such. `tree` is `None` where there is nothing to read;
    `parent` is the file that it builds on.
    """

    path: Path
    shown: str
    told: tuple[Finding, ...]
    tree: ConfigTree | None = None
    parent: Path | None = None
    plugins: Named = Named()


class ConfigFile(Record):
    """A configuration file as far as it could be read.

    `tree` is `None` where there is nothing to read; `parent` is the file that it builds on.
    """

    path: Path
    shown: str
    layer: Layer
    findings: tuple[Finding, ...]
    tree: ConfigTree | None = None
    parent: Path | None = None


def open_config(
    path: Path,
    disk: Disk,
    built_in: frozenset[str],
    allow_roots: tuple[Path, ...] = (),
    offered: Offered | None = None,
) -> Opened:
    """Open one configuration file, without those that it builds on.

    Parameters
    ----------
    path : Path
        The file, absolute.
    disk : Disk
        Of this run.
    built_in : frozenset of str
        All rules there are without plugins.
    allow_roots : tuple of Path
        Folders that the call allows besides the project.
    offered : callable or None
        Loads a plugin.
    """
    shown = disk.shown(path)
    document, told = _read_document(path, disk, allow_roots)
    if document is None:
        return Opened(path, shown, told)
    tree = ConfigTree(document, shown, told)
    parent = _parent(tree, path, allow_roots)
    return Opened(path, shown, told, tree, parent, read_plugins(tree, path, built_in, offered))


def read_config(
    opened: Opened, known_rules: frozenset[str], allow_roots: tuple[Path, ...] = ()
) -> ConfigFile:
    """Read the values of a configuration file.

    Parameters
    ----------
    opened : Opened
    known_rules : frozenset of str
        All rules that it may name, those of its plugins and of what it builds on included.
    allow_roots : tuple of Path
        Folders that the call allows besides the project.

    Returns
    -------
    ConfigFile
        What is wrong is left out of its layer and told in its findings.
    """
    path, tree = opened.path, opened.tree
    if tree is None:
        return ConfigFile(path, opened.shown, Layer(), opened.told)
    values = read_values(tree, "", path, known_rules, allow_roots)
    layer = Layer(
        replace(values, rules=opened.plugins.stated),
        read_paths(tree, path, known_rules, allow_roots),
        _read_entries(tree),
    )
    findings = (*opened.told, *tree.findings)
    return ConfigFile(path, opened.shown, layer, findings, tree, opened.parent)


def _read_entries(tree: ConfigTree) -> Entries:
    kinds = ("additives", "malts", "styles", "waters")
    if not any(True for kind in kinds for _ in tree.keys(f"/{kind}")):
        return Entries()
    # Imported late: most houses have no entries of their own.
    from waterlint.project.config_entries import read_entries

    return read_entries(tree)


def _read_document(
    path: Path, disk: Disk, allow_roots: tuple[Path, ...]
) -> tuple[Document | None, tuple[Finding, ...]]:
    """The configuration of a file, unless there is none to read, and what is wrong with it."""
    root = project_root(path, disk.working_directory)
    linked_out = leads_out(path, allow_roots, disk.working_directory)
    if linked_out or not is_inside(path, (root, *allow_roots)):
        refusal = _finding(
            disk.shown(path),
            "unreadable-file",
            "a symbolic link to the configuration leads out of the project",
            "Put the file itself here, or allow its folder with --allow-root.",
        )
        return None, (refusal,)
    source = disk.read(path)
    if isinstance(source, ReadProblem):
        return None, (source.finding(),)
    document = _only_document(source, path.name)
    if isinstance(document, Finding):
        return None, source.findings or (document,)
    return document, (*source.findings, *schema.check(document, source, "config"))


def _only_document(source: SourceFile, name: str) -> Document | Finding:
    """The configuration in a file of this name, or why there is none."""
    if not source.documents:
        return _finding(
            source.path,
            "missing-key",
            "the configuration is empty",
            "Begin with `waterlint: config/1`, or take the file away.",
        )
    document = source.documents[0]
    kind = schema.kind_of(document)
    if kind != "config":
        return _no_config(source, document, kind, name)
    if len(source.documents) > 1:
        return _finding(
            source.path,
            "bad-value",
            "the file holds more than one configuration",
            "Keep one of them; other settings for some files go under `paths`.",
            source.documents[1].root.span,
            document=1,
        )
    return document


def _no_config(source: SourceFile, document: Document, kind: str | None, name: str) -> Finding:
    """That a file is no configuration, whether its name or another file says that it is one."""
    what = "none" if kind is None else f"a {kind} file"
    if name == CONFIG_NAME:
        message = f"the file has the name of a configuration and is {what}"
        help = "Begin with `waterlint: config/1`, or give the file another name."
    else:
        message = f"the file is named as a configuration and is {what}"
        help = "Name a file that begins with `waterlint: config/1`."
    return _finding(
        source.path,
        "not-a-waterlint-file" if kind is None else "bad-value",
        message,
        help,
        document.root.span if kind is None else document.span_of("/waterlint"),
        "" if kind is None else "/waterlint",
    )


def _parent(tree: ConfigTree, path: Path, allow_roots: Iterable[Path]) -> Path | None:
    written = tree.text("/extends")
    if written is None:
        return None
    if not is_path(written):
        tree.fault(
            "bad-value",
            "/extends",
            f"{written} is no path",
            "Write the path of a configuration from this file's folder on, "
            "as in ../house/waterlint.yaml.",
        )
        return None
    found = resolve(written, path, allow_roots)
    if isinstance(found, Resolved):
        return found.path
    tree.fault("bad-value", "/extends", found.problem, found.help)
    return None


def _finding(
    shown: str,
    rule: str,
    message: str,
    help: str,
    span: Span = FILE_START,
    pointer: str = "",
    document: int = 0,
) -> Finding:
    return Finding(rule, "error", shown, span, message, help, document=document, pointer=pointer)
